"""`fitcheck learn`: readings in, profile out."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from fitcheck.errors import InputError


def learn_command(
    name: Annotated[str, typer.Argument(metavar="NAME", help="A stock or a printer.")],
    readings: Annotated[
        Path | None, typer.Argument(metavar="READINGS.csv", help="The readings that were taken.")
    ] = None,
    rebuild: Annotated[
        bool, typer.Option("--rebuild", help="Make the profile again from its records.")
    ] = False,
    tools: Annotated[
        str | None,
        typer.Option("--tools", metavar="NAME", help="The tools a coupon was made with."),
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
        typer.Option("--design", metavar="DESIGN", help="Show what it does to this design's lid."),
    ] = None,
) -> None:
    """Fit a stock's or a printer's profile from readings, and say what changed."""
    from fitcheck.cli.learning import learn_now, lid_of, wanted_of
    from fitcheck.learn.compare import lid_change
    from fitcheck.outputs.learn_text import learn_text

    if (readings is None) != rebuild:
        raise InputError("learn: give READINGS.csv or --rebuild, one of the two")
    wanted = wanted_of(want)
    path = None if design is None else lid_of(design, name)
    outcome = learn_now(name, readings, tools=tools, joint=joint, setback=setback)
    lid = None if path is None else lid_change(outcome, path)
    sys.stdout.write(learn_text(outcome, wanted, lid))
