"""`fitcheck dummy`: printable stand-ins for a design."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli import completion
from fitcheck.cli.common_options import (
    DesignArgument,
    FolderOption,
    ForceOption,
    StockOption,
    length_given,
    stock_overrides,
)
from fitcheck.errors import InputError
from fitcheck.outputs.dummy_kinds import DummyKind
from fitcheck.plain import shown
from fitcheck.solids.blocks import LEAST_WALL_MM, Side

if TYPE_CHECKING:
    from fitcheck.errors import MissingLibraryError
    from fitcheck.fit.check import Check
    from fitcheck.outputs.dummy_files import DummyOrder
    from fitcheck.solids.finishing import Bed
    from fitcheck.workspace.outputs import Outputs

BED = "180x180x180"
MOST_WALL_MM = 50.0
MOST_BED_MM = 5000.0


def dummy_command(
    design: DesignArgument,
    out: FolderOption,
    only: Annotated[
        list[DummyKind] | None,
        typer.Option("--only", metavar="KIND", help=f"One of {', '.join(DummyKind)}; repeatable."),
    ] = None,
    true_side: Annotated[
        Side, typer.Option("--true", metavar="SIDE", help="Side of the box that is to size.")
    ] = Side.OUTSIDE,
    wall: Annotated[
        str, typer.Option(metavar="LENGTH", help="Wall of the box, at least 1.2 mm.")
    ] = "2 mm",
    bed: Annotated[str, typer.Option(metavar="WxLxH", help="What your printer holds, mm.")] = BED,
    step: Annotated[bool, typer.Option("--step", help="Write STEP files of the dummies.")] = False,
    printer: Annotated[
        str | None,
        typer.Option(
            "--printer",
            metavar="NAME",
            help="Correct the sizes for this printer.",
            autocompletion=completion.printers,
        ),
    ] = None,
    stock: StockOption = None,
    force: ForceOption = False,
) -> None:
    """Write printable stand-ins: contents, a block for the lid, the room, a box, folded parts."""
    from fitcheck.cli.coupon_options import correction_named
    from fitcheck.design.read import read_design
    from fitcheck.fit.check import check
    from fitcheck.outputs.dummy_files import DummyOrder
    from fitcheck.workspace.designs import find_design
    from fitcheck.workspace.outputs import Outputs

    stocks = stock_overrides(stock)
    wall_mm, holds = read_wall(wall), read_bed(bed)
    outputs = Outputs({}, {"-o": out}, force, command="dummy")
    outputs.check()
    profile, correction = correction_named(printer)
    order = DummyOrder(
        kinds=frozenset(only or DummyKind),
        true=true_side,
        wall_mm=wall_mm,
        bed=holds,
        correction=correction,
        step=step,
        printer=profile,
    )
    found = check(read_design(find_design(design), stocks=stocks))
    tell_left_out(write_dummies(found, order, out, outputs), asked_for=step)


def write_dummies(
    found: Check, order: DummyOrder, out: Path, outputs: Outputs
) -> MissingLibraryError | None:
    """Make the stand-ins of a checked design, write them all or none, and say what they are.

    Returns why STEP files were left out; raises MissingLibraryError when nothing can be made.
    """
    from fitcheck.cautions import printing_cautions
    from fitcheck.cli.progress_bar import Bar
    from fitcheck.design.versions import job_of
    from fitcheck.outputs.dummy_files import dummy_files
    from fitcheck.outputs.dummy_text import dummy_text
    from fitcheck.outputs.older_text import older_text

    with Bar() as progress:
        result = dummy_files(found, order, progress)
    files = {out / name: data for name, data in result.files.items()}
    past = outputs.write(files, job=job_of("dummy", found.design))
    sys.stdout.write(dummy_text(result.made, out, printing_cautions()))
    sys.stdout.write(older_text(past))
    sys.stdout.flush()
    return result.left_out


def tell_left_out(missing: MissingLibraryError | None, *, asked_for: bool) -> None:
    """The last line: what was not made and what helps; an error where it was asked for by name."""
    if missing is None:
        return
    if asked_for:
        raise missing
    sys.stderr.write(f"fitcheck: left out: {missing}\n")


def read_wall(text: str) -> float:
    """The wall of the walled box, mm. Raises InputError for one that does not print."""
    wall_mm = length_given("--wall", text)
    if not LEAST_WALL_MM <= wall_mm <= MOST_WALL_MM:
        raise InputError(
            f"--wall: read {shown(text)}; allowed: {LEAST_WALL_MM:g} to {MOST_WALL_MM:g} mm; 2 mm "
            "will do"
        )
    return wall_mm


def read_bed(text: str) -> Bed:
    """What a printer holds, WxLxH in mm. Raises InputError."""
    from fitcheck.solids.finishing import Bed

    allowed = f"allowed: three lengths up to {MOST_BED_MM:g} mm, such as {BED}"
    parts = text.lower().split("x")
    if len(parts) != 3:
        raise InputError(f"--bed: read {shown(text)}; {allowed}")
    sides = [length_given("--bed", side) for side in parts]
    if not 0.0 < min(sides) <= max(sides) <= MOST_BED_MM:
        raise InputError(f"--bed: read {shown(text)}; {allowed}")
    return Bed(*sides)
