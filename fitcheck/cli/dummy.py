"""`fitcheck dummy`: printable stand-ins for a design."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli.options import DesignArgument, FolderOption, StockOption, stock_overrides
from fitcheck.outputs.dummy_kinds import DummyKind
from fitcheck.solids.blocks import Side

if TYPE_CHECKING:
    from fitcheck.errors import MissingLibraryError
    from fitcheck.fit.check import Check
    from fitcheck.outputs.dummy_files import DummyOrder
    from fitcheck.solids.finishing import Bed
    from fitcheck.units import Unit

BED = "180x180x180"


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
        typer.Option("--printer", metavar="NAME", help="Correct the sizes for this printer."),
    ] = None,
    stock: StockOption = None,
) -> None:
    """Write printable stand-ins: contents, blocks to try a lid on, a box, the folded parts."""
    from fitcheck.cli.calibrating import correction_named
    from fitcheck.design.read import read_design
    from fitcheck.fit.check import check
    from fitcheck.outputs.dummy_files import DummyOrder
    from fitcheck.units import Unit
    from fitcheck.workspace.designs import find_design

    profile, correction = correction_named(printer)
    order = DummyOrder(
        kinds=frozenset(only or DummyKind),
        true=true_side,
        wall_mm=read_length(wall, "--wall", Unit.MM),
        bed=read_bed(bed),
        correction=correction,
        step=step,
        printer=profile,
    )
    found = check(read_design(find_design(design), stocks=stock_overrides(stock)))
    tell_left_out(write_dummies(found, order, out), asked_for=step)


def write_dummies(found: Check, order: DummyOrder, out: Path) -> MissingLibraryError | None:
    """Make the stand-ins of a checked design, write them all or none, and say what they are.

    Returns why STEP files were left out; raises MissingLibraryError when nothing can be made.
    """
    from fitcheck.cli.progress import Bar
    from fitcheck.fit.cautions import printing_cautions
    from fitcheck.outputs.dummy_files import dummy_files
    from fitcheck.outputs.dummy_text import dummy_text
    from fitcheck.workspace.atomic import write_many

    with Bar() as progress:
        result = dummy_files(found, order, progress)
    write_many({out / name: data for name, data in result.files.items()})
    sys.stdout.write(dummy_text(result.made, out, found.design.unit, printing_cautions()))
    sys.stdout.flush()
    return result.left_out


def tell_left_out(missing: MissingLibraryError | None, *, asked_for: bool) -> None:
    """The last line: what was not made and what helps; an error where it was asked for by name."""
    if missing is None:
        return
    if asked_for:
        raise missing
    sys.stderr.write(f"fitcheck: left out: {missing}\n")


def read_length(text: str, option: str, unit: Unit) -> float:
    """A length given on the command line, mm. Raises InputError."""
    from fitcheck.errors import InputError
    from fitcheck.units import parse_length

    try:
        return parse_length(text, unit)
    except ValueError as error:
        raise InputError(f"{option}: read '{text}', which {error}") from error


def read_bed(text: str) -> Bed:
    """A bed as WIDTHxLENGTHxHEIGHT in mm. Raises InputError."""
    from fitcheck.errors import InputError
    from fitcheck.solids.finishing import Bed
    from fitcheck.units import Unit

    sides = [read_length(side, "--bed", Unit.MM) for side in text.lower().split("x")]
    if len(sides) != 3 or min(sides) <= 0.0:
        raise InputError(f"--bed: read '{text}'; allowed: three lengths in mm, such as {BED}")
    return Bed(*sides)
