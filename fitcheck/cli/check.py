"""`fitcheck check`: does it go together?"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli.odds_options import HumidityOption, SeedOption, read_humidity
from fitcheck.cli.options import (
    DesignArgument,
    StockOption,
    refuse_to_overwrite,
    stock_overrides,
)
from fitcheck.errors import InputError

if TYPE_CHECKING:
    from fitcheck.fit.check import Check
    from fitcheck.odds.result import Odds

DOES_NOT_FIT = 1


def check_command(
    design: DesignArgument,
    stock: StockOption = None,
    json: Annotated[
        Path | None, typer.Option("--json", metavar="FILE", help="Write the check as JSON too.")
    ] = None,
    odds: Annotated[
        int | None,
        typer.Option("--odds", metavar="N", help="Odds over N virtual boxes, such as 100000."),
    ] = None,
    seed: SeedOption = 0,
    humidity: HumidityOption = None,
    report: Annotated[
        Path | None,
        typer.Option("--report", metavar="FILE.html", help="Write a page with a turning view."),
    ] = None,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", metavar="DIR", help="Write still pictures, as SVG and PNG."),
    ] = None,
) -> None:
    """Say whether the lid slides on and the contents go in."""
    from fitcheck.cli.progress import Bar
    from fitcheck.design.read import read_design
    from fitcheck.fit.check import check
    from fitcheck.outputs.check_json import check_json
    from fitcheck.outputs.check_text import check_text
    from fitcheck.workspace.atomic import write_whole
    from fitcheck.workspace.designs import find_design

    path = find_design(design)
    refuse_to_overwrite(path, json, report)
    with Bar() as progress:
        found = check(read_design(path, stocks=stock_overrides(stock)), progress)
    sys.stdout.write(check_text(found))
    if odds is None and humidity is not None:
        raise InputError("--humidity: read it without --odds; allowed: together with --odds N")
    sure = None
    if odds is not None:
        sure = _odds(found, odds, seed, humidity, json)
    elif json is not None:
        write_whole(json, check_json(found))
    if report is not None or picture is not None:
        _show(found, sure, report, picture)
    if not found.fits:
        raise typer.Exit(DOES_NOT_FIT)


def _odds(found: Check, boxes: int, seed: int, humidity: str | None, json: Path | None) -> Odds:
    """Print the odds of a checked design, and write the check with them if wanted."""
    from fitcheck.cli.progress import Bar
    from fitcheck.odds.odds import odds_of
    from fitcheck.outputs.odds_json import check_odds_json
    from fitcheck.outputs.odds_text import odds_text
    from fitcheck.workspace.atomic import write_whole

    with Bar() as bar:
        odds = odds_of(found, boxes, seed, read_humidity(humidity), progress=bar)
    sys.stdout.write(odds_text(odds))
    if json is not None:
        write_whole(json, check_odds_json(found, odds))
    return odds


def _show(found: Check, odds: Odds | None, report: Path | None, picture: Path | None) -> None:
    """Write the page and the pictures that were asked for, all or none."""
    from fitcheck.cli.progress import Bar
    from fitcheck.workspace.atomic import write_many

    files: dict[Path, str | bytes] = {}
    with Bar() as bar:
        if report is not None:
            from fitcheck.outputs.report.model import report_of
            from fitcheck.outputs.report.render import report_page

            files[report] = report_page(report_of(found, odds, bar))
        if picture is not None:
            from fitcheck.outputs.pictures import picture_files

            files |= picture_files(found, picture, bar)
    write_many(files)
