"""Still pictures for a post or a page: each view as SVG and as PNG, made without a display."""

from __future__ import annotations

from pathlib import Path

from fitcheck.drawing.metrics import FONT_FAMILY, font_path
from fitcheck.fit.check import Check
from fitcheck.outputs.report.places import places_of
from fitcheck.outputs.report.section import section_of
from fitcheck.outputs.report.section_drawing import section_drawing
from fitcheck.outputs.report.views.scenes import exploded_view, folded_view
from fitcheck.workspace.filenames import safe_stem
from fitcheck.workspace.progress import SILENT, Progress

PIXELS = 1600
"""Width of a PNG."""
SCREEN_DPI = 96


def picture_files(
    check: Check, folder: Path, progress: Progress = SILENT
) -> dict[Path, str | bytes]:
    """The folded view, the section where there is one, and the parts taken apart."""
    stem = safe_stem(check.design.name)
    section = section_of(check)
    drawings = [folded_view(check, places_of(check), section), exploded_view(check)]
    if section is not None:
        drawings.insert(1, section_drawing(section))
    files: dict[Path, str | bytes] = {}
    for done, drawing in enumerate(drawings):
        progress.step(done, len(drawings), f"drawing the {drawing.name} picture")
        text = drawing.alone()
        files[folder / f"{stem}-{drawing.name}.svg"] = text
        files[folder / f"{stem}-{drawing.name}.png"] = png(text)
    return files


def png(text: str) -> bytes:
    """An SVG text as PNG, in the shipped font whatever fonts there are."""
    from resvg_py import svg_to_bytes

    found = svg_to_bytes(
        svg_string=text,
        width=PIXELS,
        dpi=SCREEN_DPI,
        skip_system_fonts=True,
        font_files=[str(font_path())],
        font_family=FONT_FAMILY,
        sans_serif_family=FONT_FAMILY,
    )
    return bytes(found)
