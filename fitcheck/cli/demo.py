"""`fitcheck demo`: the shipped example, copied and run."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli.odds_options import odds_with_advice

if TYPE_CHECKING:
    from fitcheck.outputs.dummy_files import DummyOrder

EXAMPLE = "harbour"
LOOK = """
What to look at
  {models}/harbour.toml        the design: change a number and check again
"""
PRINTED = """  {dummies}    the stand-ins, ready to print; open the STL or 3MF files
"""
NEXT = """
What to type next
  fitcheck check {models}/harbour.toml
  fitcheck check {models}/lantern.toml
  fitcheck check {models}/harbour.toml --stock lid=index-110     thicker paper for the lid
  fitcheck list items
"""


def demo_command(
    folder: Annotated[
        Path, typer.Argument(metavar="DIR", help="Where to put the example; new or empty.")
    ] = Path("fitcheck-demo"),
) -> None:
    """Copy the example workspace, check its first design and make its stand-ins."""
    from fitcheck.cli.dummy import tell_left_out, write_dummies
    from fitcheck.design.read import read_design
    from fitcheck.errors import MissingLibraryError
    from fitcheck.fit.check import check
    from fitcheck.outputs.check_text import check_text
    from fitcheck.outputs.odds_text import odds_text
    from fitcheck.workspace.example import copy_example, finish_example
    from fitcheck.workspace.outputs import Outputs

    dummies = folder / "dummies"
    outputs = Outputs({}, {"DIR": folder}, command="dummy")
    outputs.check()
    copy_example(folder)
    found = check(read_design(folder / "models" / f"{EXAMPLE}.toml"))
    odds = odds_with_advice(found)
    sys.stdout.write(check_text(found, odds) + odds_text(odds) + "\n")
    sys.stdout.flush()
    closing = LOOK + PRINTED + NEXT
    try:
        missing, nothing = write_dummies(found, _order(), dummies, outputs), False
    except MissingLibraryError as error:
        missing, nothing, closing = error, True, LOOK + NEXT
    else:
        finish_example(folder)
    sys.stdout.write(closing.format(models=folder / "models", dummies=dummies))
    sys.stdout.flush()
    tell_left_out(missing, asked_for=nothing)


def _order() -> DummyOrder:
    from fitcheck.outputs.dummy_files import DummyOrder
    from fitcheck.outputs.dummy_kinds import DummyKind
    from fitcheck.solids.blocks import Side
    from fitcheck.solids.correction import IDENTITY
    from fitcheck.solids.finishing import Bed

    return DummyOrder(frozenset(DummyKind), Side.OUTSIDE, 2.0, Bed(), IDENTITY, step=False)
