"""`fitcheck schema`: the JSON Schema of a design file."""

from __future__ import annotations

import sys


def schema_command() -> None:
    """Print the JSON Schema of a design file."""
    from fitcheck.design.schema import whole_schema

    sys.stdout.write(whole_schema())
