"""Which files a sheet job becomes, under which names."""

from __future__ import annotations

import enum
from collections.abc import Callable, Collection
from pathlib import Path

from fitcheck.drawing.legible import unshown
from fitcheck.drawing.text_pages import text_pages
from fitcheck.outputs.steps_text import plain_lines, steps_markdown, steps_text
from fitcheck.outputs.table_text import table_csv, table_markdown
from fitcheck.outputs.write_dxf import dxf_file
from fitcheck.outputs.write_fold import fold_file
from fitcheck.outputs.write_pdf import pdf_file
from fitcheck.outputs.write_svg import svg_lines, svg_page
from fitcheck.sheet.fold_form import fold_form
from fitcheck.sheet.job import PartSheet, SheetJob, lines_of
from fitcheck.sheet.table import measurement_tables
from fitcheck.workspace.filenames import safe_stem

Files = dict[Path, str | bytes]


class Format(enum.StrEnum):
    """A format that the sheets are drawn in."""

    SVG = "svg"
    PDF = "pdf"
    DXF = "dxf"
    MACHINE = "machine"
    """Lines alone, for a laser or a cutting machine, as SVG and as DXF."""
    FOLD = "fold"
    """The crease pattern and its folded form, for programs of folding research."""


USUAL = (Format.SVG, Format.PDF, Format.DXF)
"""What is written where no format is asked for."""
PAGED = (Format.SVG, Format.PDF)
"""What is laid on pages of a paper."""


def sheet_files(job: SheetJob, folder: Path, formats: Collection[Format]) -> Files:
    """Every file of a job: the drawings in the formats asked for, the steps and the table."""
    stem = safe_stem(job.design.name)
    files: Files = {}
    for chosen in Format:
        if chosen in formats:
            files |= {folder / name: data for name, data in DRAWN[chosen](job, stem).items()}
    tables = measurement_tables(job)
    files[folder / f"{stem}-steps.txt"] = steps_text(job)
    files[folder / f"{stem}-steps.md"] = steps_markdown(job)
    files[folder / f"{stem}-measurements.md"] = table_markdown(job.design, tables)
    files[folder / f"{stem}-measurements.csv"] = table_csv(tables)
    return files


def not_printed(job: SheetJob) -> tuple[str, ...]:
    """The signs that the drawings and the PDF have no shape for and say by their names."""
    return unshown(plain_lines(job))


Named = dict[str, str | bytes]


def _svg(job: SheetJob, stem: str) -> Named:
    """One file for each page, and one that shows how they lie where they are several."""
    found: Named = {}
    for sheet in job.sheets:
        name = f"{stem}-{safe_stem(sheet.name)}"
        if sheet.overview is not None:
            found[f"{name}-overview.svg"] = svg_page(sheet.overview)
        found |= {f"{name}{_number(sheet, p.number)}.svg": svg_page(p) for p in sheet.pages}
    return found


def _number(sheet: PartSheet, number: int) -> str:
    return f"-{number}of{len(sheet.pages)}" if len(sheet.pages) > 1 else ""


def _pdf(job: SheetJob, stem: str) -> Named:
    """One file for everything: the drawings, then the steps."""
    step_pages = text_pages(f"{job.design.title}: steps", plain_lines(job), job.paper)
    pages = [
        page
        for sheet in job.sheets
        for page in ((sheet.overview,) if sheet.overview else ()) + sheet.pages
    ]
    return {f"{stem}.pdf": pdf_file(job.design.title, [*pages, *step_pages])}


def _dxf(job: SheetJob, stem: str) -> Named:
    """One file for each part, whole."""
    return {f"{stem}-{safe_stem(sheet.name)}.dxf": dxf_file(sheet.drawing) for sheet in job.sheets}


def _machine(job: SheetJob, stem: str) -> Named:
    """Two files for each part."""
    found: Named = {}
    for sheet in job.sheets:
        drawing = lines_of(job.design, sheet)
        name = f"{stem}-{safe_stem(sheet.name)}-lines"
        found |= {f"{name}.svg": svg_lines(drawing), f"{name}.dxf": dxf_file(drawing)}
    return found


def _fold(job: SheetJob, stem: str) -> Named:
    """One file for each part."""
    return {
        f"{stem}-{safe_stem(sheet.name)}.fold": fold_file(
            f"{job.design.title}: {sheet.name}", fold_form(sheet.part)
        )
        for sheet in job.sheets
    }


DRAWN: dict[Format, Callable[[SheetJob, str], Named]] = {
    Format.SVG: _svg,
    Format.PDF: _pdf,
    Format.DXF: _dxf,
    Format.MACHINE: _machine,
    Format.FOLD: _fold,
}
