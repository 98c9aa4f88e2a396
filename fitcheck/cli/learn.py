"""`fitcheck learn`: readings in, profile out."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from fitcheck.cli import completion
from fitcheck.errors import InputError


def learn_command(
    name: Annotated[
        str,
        typer.Argument(
            metavar="NAME",
            help="A stock, a printer or tools.",
            autocompletion=completion.profiles,
        ),
    ],
    readings: Annotated[
        Path | None, typer.Argument(metavar="READINGS.csv", help="The readings that were taken.")
    ] = None,
    rebuild: Annotated[
        bool, typer.Option("--rebuild", help="Make the profile again from its records.")
    ] = False,
    set_aside: Annotated[
        list[str] | None,
        typer.Option(
            "--set-aside", metavar="RECORD", help="This record is kept and no longer counts."
        ),
    ] = None,
    take_back: Annotated[
        list[str] | None,
        typer.Option("--take-back", metavar="RECORD", help="This record counts again."),
    ] = None,
    confirm: Annotated[
        list[str] | None,
        typer.Option(
            "--confirm", metavar="WORD", help="What was asked about these readings is so."
        ),
    ] = None,
    new: Annotated[
        bool, typer.Option("--new", help="NAME is a new one, however like a known one it is.")
    ] = False,
    tools: Annotated[
        str | None,
        typer.Option(
            "--tools",
            metavar="NAME",
            autocompletion=completion.tools,
            help="The tools a coupon was made with; for new tools, those they are like.",
        ),
    ] = None,
    joint: Annotated[
        str | None,
        typer.Option("--joint", metavar="LENGTH", help="Adhesive thickness in the coupon's tray."),
    ] = None,
    setback: Annotated[
        str | None,
        typer.Option("--setback", metavar="LENGTH", help="Setback of the coupon's tabs."),
    ] = None,
    want: Annotated[
        list[str] | None,
        typer.Option(
            "--want", metavar="PROPERTY=U", help="Wanted uncertainty, such as caliper=2e-3."
        ),
    ] = None,
    design: Annotated[
        Path | None,
        typer.Option(
            "--design",
            metavar="DESIGN",
            help="Show what it does to this design's lid.",
            autocompletion=completion.designs,
        ),
    ] = None,
) -> None:
    """Fit the profile of a stock, a printer or tools from readings, and say what changed."""
    from fitcheck.cli.learn_options import (
        check_of_tools,
        learn_now,
        lid_of,
        lid_shown,
        said_of,
        turn_of,
        wanted_of,
    )
    from fitcheck.learn.hand_profile import HandOutcome
    from fitcheck.learn.session_results import Emptied
    from fitcheck.outputs.hand_text import hand_text
    from fitcheck.outputs.learn_text import emptied_text, learn_text

    turn = turn_of(set_aside, take_back)
    if (rebuild and (readings is not None or turn)) or not (rebuild or readings or turn):
        raise InputError(
            "learn: give READINGS.csv or --rebuild, one of the two; --set-aside and --take-back "
            "go with READINGS.csv or by themselves"
        )
    check_of_tools(
        name, {"--joint": joint, "--setback": setback, "--want": want, "--design": design}
    )
    wanted, said = wanted_of(want), said_of(confirm, new)
    shown = None if design is None else lid_of(design, name)
    outcome = learn_now(name, readings, turn, said, tools=tools, joint=joint, setback=setback)
    if isinstance(outcome, Emptied):
        sys.stdout.write(emptied_text(outcome))
        return
    if isinstance(outcome, HandOutcome):
        sys.stdout.write(hand_text(outcome))
        return
    sys.stdout.write(learn_text(outcome, wanted))
    if shown is not None:
        sys.stdout.write(lid_shown(outcome, shown))
