"""`fitcheck check`: does it go together, as drawn and by hand?"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli.common_options import (
    DesignArgument,
    ForceOption,
    StockOption,
    stock_overrides,
)
from fitcheck.cli.odds_options import (
    ByOption,
    DetailsOption,
    HumidityOption,
    MadeAtOption,
    NoOddsOption,
    OddsOption,
    SeedOption,
    boxes_asked,
    in_hands_of,
    odds_with_advice,
    read_humidity,
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
    made_at: MadeAtOption = None,
    by: ByOption = None,
    report: Annotated[
        Path | None,
        typer.Option("--report", metavar="FILE.html", help="Write a page with a turning view."),
    ] = None,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", metavar="DIR", help="Write still pictures, as SVG and PNG."),
    ] = None,
    force: ForceOption = False,
) -> None:
    """Say whether the lid slides on and the contents go in, as drawn and made by hand."""
    from fitcheck.cli.progress_bar import Bar
    from fitcheck.design.read import read_design
    from fitcheck.fit.check import check
    from fitcheck.outputs.records_finding import with_records
    from fitcheck.workspace.designs import find_design
    from fitcheck.workspace.outputs import Outputs
    from fitcheck.workspace.paths import workplace_here

    boxes, air = boxes_asked(odds, no_odds, humidity), read_humidity(humidity, made_at)
    stocks = stock_overrides(stock)
    outputs = Outputs(
        {"--json": json, "--report": report}, {"--picture": picture}, force, command="check"
    )
    path = find_design(design)
    outputs.check([path])
    drawn = in_hands_of(read_design(path, stocks=stocks), by)
    outputs.check()
    with Bar() as progress:
        found = check(drawn, progress)
    sure = None
    if boxes is not None:
        sure = with_records(
            odds_with_advice(found, boxes, seed, air), drawn, workplace_here().root, by
        )
    data = {} if json is None else {json: _json(found, sure)}
    shown = _shown(found, sure, report, picture)
    outputs.check((), data, *shown)
    _say(found, sure, details)
    outputs.write(data, *shown)
    if not found.fits:
        raise typer.Exit(DOES_NOT_FIT)


def _say(found: Check, odds: Odds | None, details: bool) -> None:
    """Print what was found."""
    from fitcheck.outputs.check_text import check_text

    sys.stdout.write(check_text(found, odds))
    if odds is not None:
        from fitcheck.outputs.odds_text import odds_text

        sys.stdout.write(odds_text(odds))
    if details:
        from fitcheck.feel.feel import feel_of
        from fitcheck.outputs.feel_text import feel_details
        from fitcheck.outputs.odds_details import odds_details
        from fitcheck.outputs.size_details import size_details

        said, feel = [size_details(found)], feel_of(found)
        if feel is not None:
            said.append(feel_details(feel, None if odds is None else odds.feel))
        if odds is not None:
            said.append(odds_details(odds))
        sys.stdout.write("".join(said))


def _json(found: Check, odds: Odds | None) -> str | bytes:
    """What was found, as JSON."""
    if odds is None:
        from fitcheck.outputs.check_json import check_json

        return check_json(found)
    from fitcheck.outputs.odds_json import check_odds_json

    return check_odds_json(found, odds)


def _shown(
    found: Check, odds: Odds | None, report: Path | None, picture: Path | None
) -> list[dict[Path, str | bytes]]:
    """The page and the pictures that were asked for."""
    from fitcheck.cli.progress_bar import Bar

    if report is None and picture is None:
        return []
    sets: list[dict[Path, str | bytes]] = []
    with Bar() as bar:
        if report is not None:
            from fitcheck.outputs.report.model import report_of
            from fitcheck.outputs.report.render import report_page

            sets.append({report: report_page(report_of(found, odds, bar))})
        if picture is not None:
            from fitcheck.outputs.pictures import picture_files

            sets.append(picture_files(found, picture, bar))
    return sets
