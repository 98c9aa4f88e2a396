"""The measurement table as Markdown and as CSV, both units in either."""

from __future__ import annotations

from collections.abc import Sequence

from fitcheck.design.model import Design
from fitcheck.outputs.markdown import escaped, markdown_table
from fitcheck.plain import joined
from fitcheck.sheet.left_folded import from_flat
from fitcheck.sheet.mark_text import score_value
from fitcheck.sheet.table import PartTable, ScoreRow, SlantRow
from fitcheck.units import (
    MM_PER,
    ROUNDED_MM,
    Unit,
    hand_unit,
    rounding_mm,
    show_hand,
    show_number,
)
from fitcheck.workspace.spreadsheet import csv_text

LENGTHS = ("at", "from", "to", "width", "length")
BESIDE = (
    "what follows a + or a - lies so many millimetres further from the edge or nearer to it than "
    "what a rule shows, a hair"
)
CSV_HEAD = (
    *("part", "style", "stock", "what", "name", "fence"),
    *(f"{length}_{unit}" for length in LENGTHS for unit in ("mm", "in")),
    "face_up",
    "copies",
)


def show_drawn(mm: float, unit: Unit, told_mm: float | None = None) -> str:
    """A length as a hand sets it, or as it is told, and in brackets as drawn where that differs.

    >>> show_drawn(209.55, Unit.IN), show_drawn(62.85, Unit.IN), show_drawn(80.69, Unit.MM)
    ('8 1/4 in', '2 15/32 in (drawn 62.85 mm)', '80.5 mm (drawn 80.69)')
    """
    own = hand_unit(unit)
    told = mm + rounding_mm(mm, unit) if told_mm is None else told_mm
    drawn = f" (drawn {show_number(mm, 2)}{' mm' if own is Unit.IN else ''})"
    return f"{show_hand(told, unit)} {own}{drawn if abs(told - mm) > ROUNDED_MM else ''}"


def table_markdown(design: Design, tables: Sequence[PartTable]) -> str:
    """A heading for each part, its sheet, its scores and its pieces."""
    unit = design.unit
    lines = [f"# {escaped(design.title)}: measurements", ""]
    for table in tables:
        lines += [f"## {escaped(table.part)}", ""]
        sides = zip(table.sheet.sides_mm, table.told_mm, strict=True)
        width, length = (show_drawn(drawn, unit, told) for drawn, told in sides)
        lines += markdown_table(
            ("part", "style", "stock", "sheet width", "sheet length", "how many"),
            [(table.part, table.style, table.stock, width, length, str(table.copies))],
        )
        lines += [
            "",
            f"Scores, measured from the sheet's edges as it lies with the face up that will be "
            f"the {table.up}; along the left and right edge from the bottom, along the top and "
            "bottom edge from the left; they start and stop where the crease does, and the steps "
            "score straight on through what is cut away or hidden"
            + (f"; {BESIDE}:" if any(s.beside_mm for s in table.scores) else ":"),
            "",
        ]
        lines += markdown_table(
            ("from the edge", "at", "starts at", "stops at", "made"),
            [
                (
                    s.fence,
                    _score_at(s, design),
                    *(
                        show_drawn(mm, design.tools.told_in(mm, unit))
                        for mm in (s.start_mm, s.stop_mm)
                    ),
                    _made(s, table.up),
                )
                for s in table.scores
            ],
        )
        if table.slants:
            lines += ["", "Slanted scores, from point to point, from the left and bottom edge:", ""]
            lines += markdown_table(
                ("from left", "from bottom", "to left", "to bottom", "made"),
                [
                    (
                        *(show_drawn(v, unit) for v in (*s.start_mm, *s.stop_mm)),
                        _made(s, table.up),
                    )
                    for s in table.slants
                ],
            )
        lines += ["", "Pieces of the sheet, score to score or score to cut:", ""]
        lines += markdown_table(
            ("piece", "width", "length"),
            [
                (p.name, show_drawn(p.width_mm, unit), show_drawn(p.length_mm, unit))
                for p in table.pieces
            ],
        )
        if table.cutouts:
            lines += ["", "Cut-outs, their greatest width and length on the sheet:", ""]
            lines += markdown_table(
                ("cut-out", "width", "length"),
                [
                    (c.name, show_drawn(c.width_mm, unit), show_drawn(c.length_mm, unit))
                    for c in table.cutouts
                ],
            )
        lines.append("")
    return "\n".join(lines)


def _score_at(score: ScoreRow, design: Design) -> str:
    """A score's distance as it is told, and as drawn where that differs."""
    unit = design.tools.told_in(score.at_mm - score.beside_mm, design.unit)
    if not score.beside_mm:
        return show_drawn(score.at_mm, unit)
    told = score_value(score.at_mm, score.beside_mm, unit)
    drawn = show_number(score.at_mm, 2) + (" mm" if hand_unit(unit) is Unit.IN else "")
    return f"{told} (drawn {drawn})"


def _made(score: ScoreRow | SlantRow, up: str) -> str:
    """How a score is made, on which face, and how far it is folded where that is unusual."""
    how = "cut half through" if score.half_cut else "pressed"
    face = "" if score.face in ("", up) else ", on the other face"
    return ", ".join([f"{how}{face}", *_folded(score)])


def _folded(score: ScoreRow | SlantRow) -> list[str]:
    """How far a score is folded in the end, where that is neither a right angle nor half a turn."""
    if isinstance(score, SlantRow) or not score.oblique_deg:
        return []
    return [f"folded {joined(map(from_flat, score.oblique_deg))}"]


def table_csv(tables: Sequence[PartTable]) -> str:
    """One row for each sheet, score and piece; lengths as plain numbers in mm and in inches.

    How many are cut of the part stands in each of its rows, last.
    """
    rows = [list(CSV_HEAD)]
    for table in tables:
        start = [table.part, table.style, table.stock]
        own = [[*start, "sheet", table.part, *[""] * 7, *_both(*table.sheet.sides_mm)]]
        for s in table.scores:
            lengths = _both(s.at_mm, s.start_mm, s.stop_mm)
            what = "half cut" if s.half_cut else "score"
            own.append(
                [
                    *start,
                    what,
                    *(_folded(s) or [""]),
                    s.fence,
                    *lengths,
                    *[""] * 4,
                    s.face or table.up,
                ]
            )
        for slant in table.slants:
            for end, place in (("from", slant.start_mm), ("to", slant.stop_mm)):
                kind = f"slanted {'half cut' if slant.half_cut else 'score'} {end}"
                face = slant.face or table.up
                own.append([*start, kind, slant.of, *[""] * 7, *_both(*place), face])
        for p in table.pieces:
            lengths = _both(p.width_mm, p.length_mm)
            own.append([*start, "piece", p.name, *[""] * 7, *lengths])
        for c in table.cutouts:
            lengths = _both(c.width_mm, c.length_mm)
            own.append([*start, "cut-out", c.name, *[""] * 7, *lengths])
        up = CSV_HEAD.index("face_up")
        rows += [[*row[:up], *(row[up:] or [table.up]), str(table.copies)] for row in own]
    return csv_text(rows)


def _both(*lengths_mm: float) -> list[str]:
    """Each length in mm and in inches."""
    inch = MM_PER[Unit.IN]
    return [text for mm in lengths_mm for text in (show_number(mm, 3), show_number(mm / inch, 4))]
