"""`fitcheck check`: does it go together, as drawn and by hand?"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli.odds_options import (
    DetailsOption,
    HumidityOption,
    NoOddsOption,
    OddsOption,
    SeedOption,
    boxes_asked,
    odds_with_advice,
    read_humidity,
)
from fitcheck.cli.options import (
    DesignArgument,
    StockOption,
    refuse_to_overwrite,
    stock_overrides,
)

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
    odds: OddsOption = None,
    no_odds: NoOddsOption = False,
    details: DetailsOption = False,
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
    """Say whether the lid slides on and the contents go in, as drawn and made by hand."""
    from fitcheck.cli.progress import Bar
    from fitcheck.design.read import read_design
    from fitcheck.fit.check import check
    from fitcheck.workspace.designs import find_design

    boxes, air = boxes_asked(odds, no_odds, humidity), read_humidity(humidity)
    stocks = stock_overrides(stock)
    path = find_design(design)
    refuse_to_overwrite(path, json, report)
    with Bar() as progress:
        found = check(read_design(path, stocks=stocks), progress)
    sure = None if boxes is None else odds_with_advice(found, boxes, seed, air)
    _say(found, sure, details, json)
    if report is not None or picture is not None:
        _show(found, sure, report, picture)
    if not found.fits:
        raise typer.Exit(DOES_NOT_FIT)


def _say(found: Check, odds: Odds | None, details: bool, json: Path | None) -> None:
    """Print what was found, and write it as JSON if wanted."""
    from fitcheck.outputs.check_json import check_json
    from fitcheck.outputs.check_text import check_text
    from fitcheck.workspace.atomic import write_whole

    sys.stdout.write(check_text(found, odds))
    text = ""
    if odds is None:
        text = check_json(found) if json is not None else ""
    else:
        from fitcheck.outputs.odds_details import odds_details
        from fitcheck.outputs.odds_json import check_odds_json
        from fitcheck.outputs.odds_text import odds_text

        sys.stdout.write(odds_text(odds) + (odds_details(odds) if details else ""))
        text = check_odds_json(found, odds)
    if json is not None:
        write_whole(json, text)


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
