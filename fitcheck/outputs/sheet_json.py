"""The sheets as JSON: all lengths in mm, keys stable within a format number."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

from fitcheck.pattern.plan import ArcCut, Plan, RuledLine, SlantLine
from fitcheck.sheet.job import PartSheet, SheetJob
from fitcheck.sheet.scoring import pressed
from fitcheck.sheet.yields import Yields

FORMAT = 1
DIGITS = 6


def sheet_json(job: SheetJob) -> str:
    """All sheets as indented JSON text."""
    data = {
        "format": FORMAT,
        "title": job.design.title,
        "parts": {sheet.name: _part(sheet, job.design.tools.score_face) for sheet in job.sheets},
        "together": [step.text for step in job.together],
        "around": list(job.around),
        "yields": _yields(job.yields),
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _mm(value: float) -> float:
    return round(value, DIGITS) + 0.0


def _part(sheet: PartSheet, score_face: str) -> dict[str, Any]:
    size = sheet.plan.sheet
    return {
        "stock": sheet.stock,
        "grain": None if sheet.grain is None else str(sheet.grain),
        "face_up": str(sheet.pattern.seen),
        "sheet_mm": {"width": _mm(size.width_mm), "length": _mm(size.length_mm)},
        **({"copies": sheet.pattern.copies} if sheet.pattern.copies > 1 else {}),
        "scores": [_line(line) | _made(line, score_face) for line in sheet.plan.scores],
        "cuts": [_line(line) for line in sheet.plan.cuts],
        "slanted_cuts": [_slant(cut) for cut in sheet.plan.slant_cuts],
        **_slanted_scores(sheet.plan, score_face),
        **_arcs(sheet.plan.arc_cuts),
        "turns": sheet.turns,
        "steps": [
            {"text": step.text, "details": list(step.details)} for step in sheet.instructions
        ],
    }


def _slanted_scores(plan: Plan, score_face: str) -> dict[str, Any]:
    """Scores parallel to no fence, where there are any."""
    found = [_slant(line) | _made(line, score_face) for line in plan.slant_scores]
    return {"slanted_scores": found} if found else {}


def _made(line: RuledLine | SlantLine, score_face: str) -> dict[str, Any]:
    """The face that a score is made on, and whether it is cut half through instead of pressed."""
    half_cut = {"half_cut": True} if line.half_cut else {}
    return {"face": str(pressed(line, score_face)), **half_cut}


def _line(line: RuledLine) -> dict[str, Any]:
    return {
        "fence": str(line.fence),
        "at_mm": _mm(line.at_mm),
        "from_mm": _mm(line.start_mm),
        "to_mm": _mm(line.stop_mm),
        "of": list(line.of),
        **_cutout(line.cutout),
    }


def _slant(line: SlantLine) -> dict[str, Any]:
    """Places from the sheet's bottom left."""
    return {
        "from_mm": [_mm(value) for value in line.start_mm],
        "to_mm": [_mm(value) for value in line.stop_mm],
        "of": line.of,
        **_cutout(line.cutout),
    }


def _arcs(cuts: Sequence[ArcCut]) -> dict[str, Any]:
    """Arcs anticlockwise from one angle to another, the angles from the sheet's width; if any."""
    found = [
        {
            "centre_mm": [_mm(value) for value in cut.arc.centre_mm],
            "radius_mm": _mm(cut.arc.radius_mm),
            "from_deg": _mm(math.degrees(cut.arc.start_rad)),
            "to_deg": _mm(math.degrees(cut.arc.start_rad + cut.arc.sweep_rad)),
            "of": cut.of,
            **_cutout(cut.cutout),
        }
        for cut in cuts
    ]
    return {"arc_cuts": found} if found else {}


def _cutout(name: str) -> dict[str, str]:
    """The cut-out that a cut is a side of, if it is of one."""
    return {"cutout": name} if name else {}


def _yields(yields: Yields) -> dict[str, Any]:
    return {
        "kits": yields.kits,
        "parts": [
            {
                "part": found.piece.part,
                "bought": found.bought.name,
                "bought_mm": [_mm(found.bought.width_mm), _mm(found.bought.length_mm)],
                "grain_ignored": found.any_way,
                "grain_honoured": found.with_grain,
                "exact": found.exact,
            }
            for found in yields.parts
        ],
        "purchases": [
            {
                "stock": buy.stock,
                "bought": buy.bought.name,
                "parts": list(buy.parts),
                "kits_per_sheet": buy.kits_per_sheet,
                "sheets": buy.sheets,
                "mixed": buy.mixed,
                "exact": buy.exact,
            }
            for buy in yields.purchases
        ],
    }
