"""`fitcheck gauge`: what to print and read to know a printer."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from fitcheck.cli import completion
from fitcheck.cli.common_options import FolderOption, ForceOption


def gauge_command(
    printer: Annotated[str, typer.Argument(metavar="PRINTER", help="The printer, known or new.")],
    *,
    out: FolderOption,
    size: Annotated[
        list[str] | None,
        typer.Option(
            "--size",
            metavar="LENGTH",
            help="Middle of a stepped plug and gap; repeatable. Without it, a coupon's channel.",
        ),
    ] = None,
    design: Annotated[
        Path | None,
        typer.Option(
            "--design",
            metavar="DESIGN",
            help="Stepped gauges for this box and lid.",
            autocompletion=completion.designs,
        ),
    ] = None,
    want: Annotated[
        str,
        typer.Option("--want", metavar="U", help="Standard uncertainty wanted from the steps."),
    ] = "0.03 mm",
    force: ForceOption = False,
) -> None:
    """Write a printable gauge with its empty readings, and stepped go / no-go gauges."""
    from fitcheck.cautions import printing_cautions
    from fitcheck.cli.coupon_options import gauge_order
    from fitcheck.cli.progress_bar import Bar
    from fitcheck.outputs.gauge_files import gauge_files
    from fitcheck.outputs.gauge_text import gauge_text
    from fitcheck.workspace.outputs import Outputs

    outputs = Outputs({}, {"-o": out}, force, command="gauge")
    outputs.check()
    order = gauge_order(printer, size, design, want)
    with Bar() as progress:
        made = gauge_files(order, out, progress)
    outputs.write(made.files)
    sys.stdout.write(gauge_text(order, made, printing_cautions()))
