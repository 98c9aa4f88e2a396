"""`fitcheck record`: what happened when the box was made."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from fitcheck.cli.options import DesignArgument, StockOption, free_text, stock_overrides
from fitcheck.learn.outcomes import BoxOutcome


def record_command(
    design: DesignArgument,
    outcome: Annotated[
        BoxOutcome, typer.Option("--outcome", metavar="WHAT", help="bound, slid or loose.")
    ],
    play: Annotated[
        str | None,
        typer.Option(
            metavar="LENGTH|GO:NOGO",
            help="Play measured, or the largest plug that went in and the smallest that did not; "
            "decimals in mm, fractions in inches.",
        ),
    ] = None,
    contents: Annotated[str, typer.Option(metavar="TEXT", help="What was in it.")] = "",
    by: Annotated[str, typer.Option(metavar="NAME", help="Who made it.")] = "",
    date: Annotated[
        str | None, typer.Option(metavar="YYYY-MM-DD", help="The day, today if left out.")
    ] = None,
    note: Annotated[str, typer.Option(metavar="TEXT", help="Anything else.")] = "",
    stock: StockOption = None,
) -> None:
    """Keep what happened when a box was made, beside what is predicted of it."""
    from fitcheck.cli.recording import day_of, forecast_of, play_of
    from fitcheck.cli.workplace import place_here
    from fitcheck.design.read import read_design
    from fitcheck.learn.outcomes import BoxRecord, add_box
    from fitcheck.outputs.record_text import recorded_text
    from fitcheck.workspace.designs import find_design

    day = day_of(date)
    texts = [
        free_text(option, text)
        for option, text in (("--contents", contents), ("--by", by), ("--note", note))
    ]
    contents, by, note = texts
    stocks = stock_overrides(stock)
    found = read_design(find_design(design), stocks=stocks)
    go, nogo = play_of(play, found.unit, outcome)
    box = BoxRecord(
        day, by, found.name, found.title, outcome, go, nogo, contents, forecast_of(found), note
    )
    sys.stdout.write(recorded_text(box, add_box(place_here().root, box)))
