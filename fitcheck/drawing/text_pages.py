"""Plain text set on pages of a paper, with the same strip at the foot as a drawing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fitcheck.drawing.legible import drawn_title, spelled
from fitcheck.drawing.metrics import text_width_mm
from fitcheck.drawing.page_sizes import PAPER_SIZES, Paper
from fitcheck.drawing.pages import FOOT_MM, MARGIN_MM, Page, page_furniture
from fitcheck.drawing.shapes import Box, Label

TEXT_MM = 3.4
SPACING = 1.4
SIDE_MM = 15.0
INDENT = "    "


def wrapped(text: str, height_mm: float, width_mm: float) -> list[str]:
    """A line broken between words; later lines are set in as far as the first one's words."""
    indent = text[: len(text) - len(text.lstrip(" "))]
    lines, current = [], indent
    hang = indent + INDENT
    for word in text.split():
        for bit in _fitting(word, height_mm, width_mm - text_width_mm(hang, height_mm)):
            longer = current + ("" if current.strip() == "" else " ") + bit
            if current.strip() and text_width_mm(longer, height_mm) > width_mm:
                lines.append(current)
                longer = hang + bit
            current = longer
    return [*lines, current]


def text_pages(title: str, lines: Iterable[str], paper: Paper) -> tuple[Page, ...]:
    """Lines of text on as many upright pages as they need; an empty line leaves a gap."""
    size = PAPER_SIZES[paper]
    width = size.width_mm - 2 * SIDE_MM
    top = size.height_mm - MARGIN_MM - 8.0
    step = SPACING * TEXT_MM
    per_page = int((top - MARGIN_MM - FOOT_MM) / step)
    title = drawn_title(title)
    broken = [line for text in lines for line in wrapped(spelled(text), TEXT_MM, width)]
    sheaves = list(_paged(broken, per_page))
    pages = []
    for number, sheaf in enumerate(sheaves, start=1):
        strokes, labels = page_furniture(title, size, (), (number, len(sheaves)))
        labels += [
            Label(line.lstrip(" "), (SIDE_MM + _indent_mm(line), top - step * row), TEXT_MM)
            for row, line in enumerate(sheaf)
            if line.strip()
        ]
        pages.append(
            Page(
                title=title,
                width_mm=size.width_mm,
                height_mm=size.height_mm,
                strokes=tuple(strokes),
                labels=tuple(labels),
                number=number,
                total=len(sheaves),
                window=Box(0.0, 0.0, size.width_mm, size.height_mm),
                offset=(0.0, 0.0),
            )
        )
    return tuple(pages)


def _indent_mm(line: str) -> float:
    return text_width_mm(" " * (len(line) - len(line.lstrip(" "))), TEXT_MM)


def _fitting(word: str, height_mm: float, width_mm: float) -> Iterator[str]:
    """A word in bits that each fit on a line of their own."""
    while text_width_mm(word, height_mm) > width_mm:
        count = len(word)
        while count > 1 and text_width_mm(word[:count], height_mm) > width_mm:
            count -= 1
        yield word[:count]
        word = word[count:]
    yield word


def _paged(lines: list[str], per_page: int) -> Iterator[list[str]]:
    while lines and not lines[-1].strip():
        lines = lines[:-1]
    for start in range(0, max(1, len(lines)), per_page):
        yield lines[start : start + per_page]
