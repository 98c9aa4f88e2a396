"""Which files a coupon of a hand becomes: sheet, how-to page and empty readings."""

from __future__ import annotations

from pathlib import Path

from fitcheck.drawing.page_sizes import Paper
from fitcheck.drawing.pages import lay_on_pages
from fitcheck.learn.hand_coupon import HandCoupon, hand_rows
from fitcheck.learn.hand_drawing import hand_drawing
from fitcheck.learn.hand_how_to import hand_how_to
from fitcheck.learn.paper_coupon import empty_sheet
from fitcheck.outputs.coupon_files import Files, page_files
from fitcheck.outputs.write_pdf import pdf_file
from fitcheck.workspace.filenames import safe_stem


def hand_files(coupon: HandCoupon, folder: Path, paper: Paper) -> Files:
    """Every file of a hand's coupon."""
    stem = safe_stem(coupon.tools)
    readings = f"{stem}-readings.csv"
    drawing, how_to = hand_drawing(coupon), hand_how_to(coupon.tools, readings)
    pages, told = lay_on_pages(drawing, paper), lay_on_pages(how_to, paper)
    files: Files = {
        folder / f"{stem}-coupon.pdf": pdf_file(drawing.title, [*pages, *told]),
        folder / readings: empty_sheet(hand_rows(coupon)),
    }
    return files | page_files(folder, stem, pages, told)
