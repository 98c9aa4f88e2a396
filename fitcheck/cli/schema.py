"""`fitcheck schema`: the JSON Schema of a design file."""

from __future__ import annotations

import sys


def schema_command() -> None:
    """Print the JSON Schema of a design file."""
    from fitcheck.design.schema import kept_schema

    sys.stdout.write(kept_schema())
