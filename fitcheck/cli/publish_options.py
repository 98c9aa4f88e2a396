"""How the options and keys of `fitcheck publish` are read; each error says what is allowed."""

from __future__ import annotations

import io
from collections.abc import Mapping
from pathlib import Path

from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.errors import InputError
from fitcheck.fit.check import check
from fitcheck.odds.retarget import retargeted
from fitcheck.outputs.publish.recipe import Sheets
from fitcheck.plain import shown
from fitcheck.sheet.job import sheet_job
from fitcheck.units import Unit, hand_unit
from fitcheck.workspace.paths import as_spelt
from fitcheck.workspace.progress import SILENT, Progress

MOST_PHOTO_BYTES = 30_000_000
MOST_PIXELS = 100_000_000
PHOTO_PIXELS = 1600
"""The longer side of a photograph as it is published."""
READ_AS = ("PNG", "JPEG")


def published_paper(name: str | None, unit: Unit) -> Paper:
    """The paper to lay out on. Raises InputError for one that is no page."""
    if name is None:
        return Paper.LETTER if unit is Unit.IN else Paper.A4
    if name.lower() not in (Paper.LETTER, Paper.A4):
        raise InputError(f"--paper: read {shown(name)}; allowed: letter or a4")
    return Paper(name.lower())


def sheets_of(design: Design, paper: Paper) -> Sheets:
    """A design checked, with its sheets."""
    return Sheets(check(design), sheet_job(design, paper, (), 1))


def readers_design(
    path: Path, stocks: Mapping[str, str], tools: str | None, progress: Progress = SILENT
) -> Design:
    """The same design in another reader's paper and board.

    Where those who use that board measure in another unit its sizes are brought to whole steps of
    their rule, together, as far as a box of such sizes goes together.
    """
    from fitcheck.odds.whole_steps import in_whole_steps

    other = retargeted(path, stocks, tools)
    if hand_unit(other.unit) is hand_unit(read_design(path).unit):
        return other
    return in_whole_steps(other, progress=progress) or other


def photo_of(design: Design) -> bytes | None:
    """The photograph beside a design as a JPEG of moderate size, without what a camera adds.

    Raises InputError for one that is missing, too large or no picture.
    """
    if design.said.photo is None or design.path is None:
        return None
    path = as_spelt(design.path.parent / design.said.photo)
    where = f"{design.path}: photo: read {shown(design.said.photo)}"
    allowed = (
        f"allowed: a PNG or JPEG file up to {MOST_PHOTO_BYTES // 1_000_000} MB beside the design"
    )
    try:
        with path.open("rb") as file:
            data = file.read(MOST_PHOTO_BYTES + 1)
    except OSError as error:
        raise InputError(f"{where}: {error.strerror}; {allowed}; correct the name") from None
    if len(data) > MOST_PHOTO_BYTES:
        raise InputError(f"{where}, which is larger; {allowed}; make it smaller")
    return _jpeg(data, f"{where}, which is no picture; {allowed}; save it again")


def _jpeg(data: bytes, problem: str) -> bytes:
    from PIL import Image, ImageOps

    try:
        with Image.open(io.BytesIO(data), formats=READ_AS) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise InputError(problem)
            upright = ImageOps.exif_transpose(picture).convert("RGB")
    except (OSError, ValueError, Image.DecompressionBombError):
        raise InputError(problem) from None
    upright.thumbnail((PHOTO_PIXELS, PHOTO_PIXELS))
    stream = io.BytesIO()
    upright.save(stream, "JPEG", quality=88)
    return stream.getvalue()
