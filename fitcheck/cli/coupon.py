"""`fitcheck coupon`: what to cut, fold and read to know a paper, or a hand and its tools."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from fitcheck.cli import completion
from fitcheck.cli.common_options import FolderOption, ForceOption
from fitcheck.stock.tools import USUAL_TOOLS


def coupon_command(
    stock: Annotated[
        str,
        typer.Argument(
            metavar="STOCK",
            help="The paper, known or new; or a tool profile.",
            autocompletion=completion.profiles,
        ),
    ],
    *,
    out: FolderOption,
    tools: Annotated[
        str | None,
        typer.Option(
            "--tools",
            metavar="NAME",
            autocompletion=completion.tools,
            help=f"The tools it is made with, {USUAL_TOOLS} if left out; for new tools, those "
            "they are like.",
        ),
    ] = None,
    hand: Annotated[
        bool,
        typer.Option("--hand", help="STOCK is the name of new tools: measure hand and board."),
    ] = False,
    paper: Annotated[
        str, typer.Option("--paper", metavar="PAPER", help="letter, a4, 12x12 or a3.")
    ] = "a4",
    printer: Annotated[
        str | None,
        typer.Option(
            "--printer",
            metavar="NAME",
            help="Correct the block for this printer.",
            autocompletion=completion.printers,
        ),
    ] = None,
    force: ForceOption = False,
) -> None:
    """Write a coupon to cut, how to read it, the empty readings and a block to fold against."""
    from fitcheck.cautions import cutting_cautions, printing_cautions
    from fitcheck.cli.coupon_options import coupon_order, hand_order
    from fitcheck.cli.sheet_options import chosen_paper
    from fitcheck.outputs.coupon_files import coupon_files, hand_files
    from fitcheck.workspace.outputs import Outputs

    page = chosen_paper(paper)
    outputs = Outputs({}, {"-o": out}, force, command="coupon")
    outputs.check()
    measured = hand_order(stock, tools, printer, hand=hand)
    if measured is not None:
        made = hand_files(measured, out, page)
        outputs.write(made)
        sys.stdout.writelines(f"{path}\n" for path in sorted(made))
        for finding in cutting_cautions():
            sys.stdout.write(f"  {finding.severity}: {finding.message}\n")
        return
    coupon, known, correction = coupon_order(stock, tools or USUAL_TOOLS, printer)
    files, block = coupon_files(coupon, known, out, page, correction)
    outputs.write(files)
    sys.stdout.writelines(f"{path}\n" for path in sorted(files))
    if not correction.is_identity:
        sys.stdout.write(f"the block is corrected by the profile of {correction.name}\n")
    for finding in (*block.findings, *cutting_cautions(), *printing_cautions()):
        sys.stdout.write(f"  {finding.severity}: {finding.message}\n")
