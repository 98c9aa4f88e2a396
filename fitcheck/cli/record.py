"""`fitcheck record`: what is forecast of a box, and what happened when it was made."""

from __future__ import annotations

import enum
import sys
from typing import Annotated

import typer

from fitcheck.cli import completion
from fitcheck.cli.common_options import DesignArgument, StockOption
from fitcheck.cli.numbers import whole
from fitcheck.cli.odds_options import LARGEST_SEED, HumidityOption, OddsOption


class YesNo(enum.StrEnum):
    """An answer that may be left out."""

    YES = "yes"
    NO = "no"


def record_command(
    design: DesignArgument,
    forecast: Annotated[
        bool, typer.Option("--forecast", help="Freeze what is forecast, before the box is made.")
    ] = False,
    outcome: Annotated[
        str | None,
        typer.Option(
            "--outcome",
            metavar="WHAT",
            help="What the lid, or the drawer, did: bound, tight (it went on with a press), slid "
            "or loose.",
            autocompletion=completion.outcomes,
        ),
    ] = None,
    play: Annotated[
        str | None,
        typer.Option(
            metavar="LENGTH|GO:NOGO",
            help="Play measured along the side that has less of it, or the largest plug that went "
            "in and the smallest that did not; decimals in mm, fractions in inches.",
        ),
    ] = None,
    sink: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TIMES",
            help='How long the lid took to sink by itself, such as "6.2 5.9 6.4 s", "leaning 1.6 '
            's", "coin 7.5 g 2.1 s", "upper 1.9 s", "lower 4.2 s"; give it for each.',
        ),
    ] = None,
    before: Annotated[
        list[str] | None,
        typer.Option(
            metavar="TIMES",
            help="The same of this very box before something was changed on it.",
        ),
    ] = None,
    contents: Annotated[str, typer.Option(metavar="TEXT", help="What was in it.")] = "",
    fitted: Annotated[
        YesNo | None, typer.Option(metavar="yes|no", help="Whether the contents went in.")
    ] = None,
    split: Annotated[
        list[str] | None,
        typer.Option(
            metavar="CORNER|none",
            help="A glued corner that split, by the fences of its sheet, such as left-top; none "
            "where none did.",
        ),
    ] = None,
    right: Annotated[
        YesNo | None,
        typer.Option(metavar="yes|no", help="Whether it came out right, if that is not plain."),
    ] = None,
    against: Annotated[
        str | None,
        typer.Option(
            metavar="FORECAST|none",
            help="The frozen forecast that it is scored against, the newest if left out; none "
            "keeps it apart.",
        ),
    ] = None,
    by: Annotated[
        str,
        typer.Option(
            metavar="NAME", help="Who made it; beside --forecast, in whose hands it is forecast."
        ),
    ] = "",
    date: Annotated[
        str | None, typer.Option(metavar="YYYY-MM-DD", help="The day, today if left out.")
    ] = None,
    note: Annotated[str, typer.Option(metavar="TEXT", help="Anything else.")] = "",
    set_aside: Annotated[
        str | None,
        typer.Option(
            "--set-aside",
            metavar="BOX",
            help="This box was recorded by mistake and no longer counts: its number in 'fitcheck "
            "list records', or last.",
        ),
    ] = None,
    take_back: Annotated[
        str | None,
        typer.Option("--take-back", metavar="BOX", help="This box counts again."),
    ] = None,
    stock: StockOption = None,
    odds: OddsOption = None,
    seed: Annotated[
        int | None,
        typer.Option(
            "--seed",
            metavar="S",
            parser=whole("--seed", 0, LARGEST_SEED),
            help="Seed of the boxes.",
        ),
    ] = None,
    humidity: HumidityOption = None,
) -> None:
    """Freeze what is forecast of a box, or keep what happened when it was made, beside that."""
    from fitcheck.cli import box_keeping
    from fitcheck.cli.record_options import outcome_of, refuse_beside

    of_forecasts = {"--odds": odds, "--seed": seed, "--humidity": humidity}
    of_boxes = {
        "--outcome": outcome,
        "--play": play,
        "--sink": sink or None,
        "--before": before or None,
        "--contents": contents or None,
        "--fitted": fitted,
        "--split": split or None,
        "--right": right,
        "--against": against,
        "--by": by or None,
        "--date": date,
        "--note": note or None,
        "--set-aside": set_aside,
        "--take-back": take_back,
    }
    refuse_beside(forecast, of_forecasts, of_boxes)
    if set_aside is not None or take_back is not None:
        text = box_keeping.turned_now(design, set_aside, take_back)
    elif forecast:
        text = box_keeping.frozen_now(design, stock, odds, seed, humidity, by or None)
    else:
        assert outcome is not None, "it is refused without"
        answers = box_keeping.BoxAnswers(
            outcome=outcome_of(outcome),
            play=play,
            contents=contents,
            fitted=fitted,
            split=split,
            right=right,
            by=by,
            date=date,
            note=note,
            sink=sink,
            before=before,
        )
        text = box_keeping.recorded_now(design, stock, against, answers)
    sys.stdout.write(text)
