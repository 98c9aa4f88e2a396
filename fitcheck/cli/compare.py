"""`fitcheck compare`: two designs, or one in two papers, side by side."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli import completion
from fitcheck.cli.check import DOES_NOT_FIT
from fitcheck.cli.common_options import DesignArgument, ForceOption, stock_overrides, stock_words
from fitcheck.cli.odds_options import (
    ByOption,
    HumidityOption,
    MadeAtOption,
    NoOddsOption,
    OddsOption,
    SeedOption,
    boxes_asked,
    in_hands_of,
    read_humidity,
)
from fitcheck.errors import InputError

if TYPE_CHECKING:
    from fitcheck.design.model import Design
    from fitcheck.fit.check import Check
    from fitcheck.odds.inputs import Humidity
    from fitcheck.odds.result import Odds


def compare_command(
    design: DesignArgument,
    other: Annotated[
        Path | None,
        typer.Argument(
            metavar="OTHER",
            help="Another design; left out: the same, with --stock.",
            autocompletion=completion.designs,
        ),
    ] = None,
    stock: Annotated[
        list[str] | None,
        typer.Option(
            "--stock",
            metavar="[PART=]NAME",
            help="Use another stock in the second one; NAME alone is that of every part.",
            autocompletion=completion.papers_of_parts,
        ),
    ] = None,
    json: Annotated[
        Path | None, typer.Option("--json", metavar="FILE", help="Write it as JSON too.")
    ] = None,
    odds: OddsOption = None,
    no_odds: NoOddsOption = False,
    seed: SeedOption = 0,
    humidity: HumidityOption = None,
    made_at: MadeAtOption = None,
    by: ByOption = None,
    force: ForceOption = False,
) -> None:
    """Show two designs side by side: what changed, and what it did."""
    from fitcheck.design.read import read_design
    from fitcheck.outputs.compare_text import compare_json, compare_text
    from fitcheck.outputs.compared import compared
    from fitcheck.workspace.designs import find_design
    from fitcheck.workspace.outputs import Outputs

    boxes, air = boxes_asked(odds, no_odds, humidity), read_humidity(humidity, made_at)
    stocks = stock_overrides(stock)
    if other is None and not stocks:
        raise InputError(
            "OTHER: one design is given and no --stock; allowed: two designs, or one with --stock "
            "PART=NAME or NAME for the paper to compare with; add either"
        )
    outputs = Outputs({"--json": json}, {}, force, command="compare")
    first = find_design(design)
    second = first if other is None else find_design(other)
    outputs.check([first, second])
    drawn = [
        in_hands_of(read_design(first), by),
        in_hands_of(read_design(second, stocks=stocks), by),
    ]
    outputs.check()
    checks = _checked(drawn[0]), _checked(drawn[1])
    counted = None
    if boxes is not None:
        counted = _counted(checks[0], boxes, seed, air), _counted(checks[1], boxes, seed, air)
    found = compared(checks, counted)
    changed = ", ".join(stock_words(stocks))
    names = first.stem, f"{second.stem}, {changed}" if changed else second.stem
    data: dict[Path, str | bytes] = {} if json is None else {json: compare_json(found, names)}
    outputs.check((), data)
    sys.stdout.write(compare_text(found, names))
    outputs.write(data)
    if not found.fit:
        raise typer.Exit(DOES_NOT_FIT)


def _checked(design: Design) -> Check:
    from fitcheck.cli.progress_bar import Bar
    from fitcheck.fit.check import check

    with Bar() as bar:
        return check(design, bar)


def _counted(found: Check, boxes: int, seed: int, air: Humidity | None) -> Odds:
    from fitcheck.cli.progress_bar import Bar
    from fitcheck.odds.odds import odds_from, prospect_of

    with Bar() as bar:
        prospect = prospect_of(found, boxes, seed, air, progress=bar)
        return odds_from(prospect, boxes, seed, progress=bar)
