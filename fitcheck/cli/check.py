"""`fitcheck check`: does it go together?"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from fitcheck.cli.options import DesignArgument, StockOption, stock_overrides

DOES_NOT_FIT = 1


def check_command(
    design: DesignArgument,
    stock: StockOption = None,
    json: Annotated[
        Path | None, typer.Option("--json", metavar="FILE", help="Write the check as JSON too.")
    ] = None,
) -> None:
    """Say whether the lid slides on and the contents go in."""
    from fitcheck.design.read import read_design
    from fitcheck.fit.check import check
    from fitcheck.outputs.check_json import check_json
    from fitcheck.outputs.check_text import check_text
    from fitcheck.workspace.atomic import write_whole
    from fitcheck.workspace.designs import find_design

    found = check(read_design(find_design(design), stocks=stock_overrides(stock)))
    sys.stdout.write(check_text(found))
    if json is not None:
        write_whole(json, check_json(found))
    if not found.fits:
        raise typer.Exit(DOES_NOT_FIT)
