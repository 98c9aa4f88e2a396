"""`fitcheck sheet`: 1:1 sheets to cut and score, the steps and the measurement table."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from fitcheck.cli.options import DesignArgument, FolderOption, StockOption, stock_overrides


def sheet_command(
    design: DesignArgument,
    *,
    out: FolderOption,
    formats: Annotated[
        list[str] | None,
        typer.Option("--format", metavar="FORMAT", help="svg, pdf or dxf; may be repeated."),
    ] = None,
    paper: Annotated[
        str | None,
        typer.Option(
            "--paper", metavar="PAPER", help="letter (inch designs), a4 (others), 12x12 or a3."
        ),
    ] = None,
    stock: StockOption = None,
    kits: Annotated[
        int, typer.Option("--class", metavar="N", help="Count the sheets to buy for N kits.")
    ] = 1,
    bought: Annotated[
        list[str] | None,
        typer.Option(
            "--bought",
            metavar="WIDTHxLENGTH",
            help="A sheet as bought, in the design's unit, or a paper's name; may be repeated.",
        ),
    ] = None,
    json: Annotated[
        Path | None, typer.Option("--json", metavar="FILE", help="Write the sheets as JSON too.")
    ] = None,
) -> None:
    """Draw the parts at 1:1, tell the steps, and count what bought sheets give."""
    from fitcheck.cli.sheet_options import bought_sheets, chosen_formats, chosen_paper, kit_count
    from fitcheck.design.read import read_design
    from fitcheck.fit.check import check
    from fitcheck.outputs.check_text import faults_text
    from fitcheck.outputs.sheet_files import PAGED, sheet_files
    from fitcheck.outputs.sheet_json import sheet_json
    from fitcheck.sheet.job import sheet_job
    from fitcheck.units import Unit
    from fitcheck.workspace.atomic import write_many
    from fitcheck.workspace.designs import find_design

    found = read_design(find_design(design), stocks=stock_overrides(stock))
    paper = paper or ("letter" if found.unit is Unit.IN else "a4")
    sheets = bought_sheets(bought, found.unit, found.tools.papers)
    chosen = chosen_formats(formats)
    paged = any(kind in PAGED for kind in chosen)
    job = sheet_job(found, chosen_paper(paper), sheets, kit_count(kits), paged=paged)
    files = sheet_files(job, out, chosen)
    if json is not None:
        files[json] = sheet_json(job)
    write_many(files)
    sys.stdout.writelines(f"{path}\n" for path in files)
    sys.stdout.write(faults_text(check(found)))
