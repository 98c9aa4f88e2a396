"""`fitcheck sheet`: 1:1 sheets to cut and score, the steps and the measurement table."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from fitcheck.cli.check import DOES_NOT_FIT
from fitcheck.cli.common_options import (
    DesignArgument,
    FolderOption,
    ForceOption,
    StockOption,
    stock_overrides,
)
from fitcheck.cli.numbers import whole


def sheet_command(
    design: DesignArgument,
    *,
    out: FolderOption,
    formats: Annotated[
        list[str] | None,
        typer.Option(
            "--format",
            metavar="FORMAT",
            help="svg, pdf, dxf, machine (lines alone, for a laser or a cutting machine) or fold "
            "(the FOLD format of folding research); may be repeated. Left out: svg, pdf and dxf.",
        ),
    ] = None,
    paper: Annotated[
        str | None,
        typer.Option(
            "--paper", metavar="PAPER", help="letter (inch designs), a4 (others), 12x12 or a3."
        ),
    ] = None,
    stock: StockOption = None,
    kits: Annotated[
        int,
        typer.Option(
            "--class",
            metavar="N",
            parser=whole("--class"),
            help="Count the sheets to buy for N kits.",
        ),
    ] = 1,
    bought: Annotated[
        list[str] | None,
        typer.Option(
            "--bought",
            metavar="WIDTHxLENGTH",
            help="A sheet as bought, in the design's unit, or a paper's name; its grain is taken "
            "along the side named second; may be repeated.",
        ),
    ] = None,
    json: Annotated[
        Path | None, typer.Option("--json", metavar="FILE", help="Write the sheets as JSON too.")
    ] = None,
    force: ForceOption = False,
) -> None:
    """Draw the parts at 1:1, tell the steps, and count what bought sheets give.

    Where the box does not fit it says so first, and ends with status 1.
    """
    from fitcheck.cli.sheet_options import bought_sheets, chosen_formats, chosen_paper, kit_count
    from fitcheck.design.read import read_design
    from fitcheck.design.versions import job_of
    from fitcheck.drawing.page_sizes import Paper
    from fitcheck.fit.assembly import assemble
    from fitcheck.fit.check import check
    from fitcheck.fit.sheets import TOO_LARGE, counted_sheets
    from fitcheck.outputs.bench_words import spelled_note
    from fitcheck.outputs.check_text import faults_text
    from fitcheck.outputs.older_text import older_text
    from fitcheck.outputs.sheet_files import PAGED, not_printed, sheet_files
    from fitcheck.outputs.sheet_json import sheet_json
    from fitcheck.outputs.steps_text import ROUNDED
    from fitcheck.sheet.job import sheet_job
    from fitcheck.units import Unit
    from fitcheck.workspace.designs import find_design
    from fitcheck.workspace.outputs import Outputs

    kinds, count, stocks = chosen_formats(formats), kit_count(kits), stock_overrides(stock)
    page = None if paper is None else chosen_paper(paper)
    outputs = Outputs({"--json": json}, {"-o": out}, force, command="sheet")
    path = find_design(design)
    outputs.check([path])
    found = read_design(path, stocks=stocks)
    outputs.check()
    sheets = bought_sheets(bought, found.unit)
    found = replace(found, tools=replace(found.tools, bought=sheets))
    page = page or (Paper.LETTER if found.unit is Unit.IN else Paper.A4)
    paged = any(kind in PAGED for kind in kinds)
    job = sheet_job(found, page, sheets or counted_sheets(assemble(found)), count, paged=paged)
    files = sheet_files(job, out, kinds)
    also = {} if json is None else {json: sheet_json(job)}
    checked = check(found)
    in_two = (sheet.name for sheet in job.sheets if sheet.in_two)
    past = outputs.write(files, also, job=job_of("sheet", found, page, *in_two))
    sys.stdout.write(faults_text(checked))
    too_large = (one for one in checked.findings if one.code == TOO_LARGE)
    sys.stdout.writelines(f"{one.message}\n" for one in too_large)
    sys.stdout.write(f"{ROUNDED}\n" if job.rounded else "")
    sys.stdout.writelines(f"{path}\n" for path in (*files, *also))
    sys.stdout.write(spelled_note(not_printed(job) if paged else ()))
    sys.stdout.write(older_text(past))
    if not checked.fits:
        raise typer.Exit(DOES_NOT_FIT)
