"""Which files a coupon becomes: sheet, how-to page, empty readings, for a paper a folding block."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from fitcheck.drawing.page_sizes import Paper
from fitcheck.drawing.pages import Page, lay_on_pages
from fitcheck.learn.coupon_drawing import coupon_drawing
from fitcheck.learn.feel_how_to import feel_how_to
from fitcheck.learn.hand_coupon import HandCoupon, hand_rows
from fitcheck.learn.hand_drawing import hand_drawing
from fitcheck.learn.hand_how_to import hand_how_to
from fitcheck.learn.how_to import how_to_drawing
from fitcheck.learn.paper_coupon import Coupon, coupon_rows, empty_sheet, rim_rows
from fitcheck.outputs.write_dxf import dxf_file
from fitcheck.outputs.write_pdf import pdf_file
from fitcheck.outputs.write_svg import svg_page
from fitcheck.solids import write_3mf, write_stl
from fitcheck.solids.correction import Correction
from fitcheck.solids.dummies import Dummy, InsideBlock, make_dummy
from fitcheck.solids.finishing import Bed
from fitcheck.stock.paper import Stock
from fitcheck.workspace.filenames import safe_stem

Files = dict[Path, str | bytes]
BLOCK_MM = (60.0, 14.0)
"""Length and most height of the folding block: longer than a strip is wide."""
LOOSE_MM = 1.0
"""The block is that much narrower than the narrowest channel, so that it goes into all, and lower
than the walls."""


def coupon_files(
    coupon: Coupon, stock: Stock, folder: Path, paper: Paper, correction: Correction
) -> tuple[Files, Dummy]:
    """Every file of a coupon, and the block as it was made."""
    stem = safe_stem(coupon.stock)
    drawing = coupon_drawing(coupon, stock)
    readings = f"{stem}-readings.csv"
    name, tools, face = coupon.stock, coupon.tools, coupon.score_face
    how_to = how_to_drawing(
        name, tools, readings, face, in_grooves=coupon.in_grooves, half_cut=coupon.half_cut
    )
    pages = lay_on_pages(drawing, paper)
    guide = lay_on_pages(how_to, paper)
    timing = lay_on_pages(feel_how_to(name, tools, readings), paper)
    block = folding_block(coupon, correction)
    meshes = {block.name: block.mesh}
    files: Files = {
        folder / f"{stem}-coupon.pdf": pdf_file(drawing.title, [*pages, *guide, *timing]),
        folder / f"{stem}-coupon.dxf": dxf_file(drawing),
        folder / readings: empty_sheet((*coupon_rows(coupon), *rim_rows(coupon))),
        folder / "folding-block.stl": write_stl.encode(meshes),
        folder / "folding-block.3mf": write_3mf.encode(meshes),
    }
    files |= _page_files(folder, stem, {"coupon": pages, "how-to": guide, "lid-how-to": timing})
    return files, block


def hand_files(coupon: HandCoupon, folder: Path, paper: Paper) -> Files:
    """Every file of a hand's coupon."""
    stem = safe_stem(coupon.tools)
    readings = f"{stem}-readings.csv"
    drawing, how_to = hand_drawing(coupon), hand_how_to(coupon.tools, readings, coupon.like)
    pages, guide = lay_on_pages(drawing, paper), lay_on_pages(how_to, paper)
    files: Files = {
        folder / f"{stem}-coupon.pdf": pdf_file(drawing.title, [*pages, *guide]),
        folder / readings: empty_sheet(hand_rows(coupon)),
    }
    return files | _page_files(folder, stem, {"coupon": pages, "how-to": guide})


def folding_block(coupon: Coupon, correction: Correction) -> Dummy:
    """The printed block to fold walls against."""
    narrowest = min(strip.floor_mm for strip in coupon.strips)
    long, tall = BLOCK_MM
    tall = min(tall, coupon.wall_mm - LOOSE_MM)
    request = InsideBlock(narrowest - LOOSE_MM, long, tall, name="fold here")
    return make_dummy(request, correction, Bed())


def _page_files(folder: Path, stem: str, pages: Mapping[str, Sequence[Page]]) -> Files:
    """The pages of a coupon, and the guides that tell how to read it, by their words."""
    return {
        folder / f"{stem}-{word}{_number(page.number, own)}.svg": svg_page(page)
        for word, own in pages.items()
        for page in own
    }


def _number(number: int, pages: Sequence[Page]) -> str:
    return f"-{number}of{len(pages)}" if len(pages) > 1 else ""
