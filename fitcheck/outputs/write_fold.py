"""A part as a FOLD file, the open JSON format of folding research, flat and folded.

Its keys are those of the format's published specification, version 1.2: a crease pattern as the key
frame, the folded form as a frame that inherits from it.
"""

from __future__ import annotations

import json
import math
from typing import Any

from fitcheck import __version__
from fitcheck.sheet.fold_form import FoldForm

SPEC = 1.2
DIGITS = 6


def fold_file(title: str, form: FoldForm) -> str:
    """The text of a FOLD file; lengths in mm, seen on the inside, so that a valley folds up."""
    data = {
        "file_spec": SPEC,
        "file_creator": f"fitcheck {__version__}",
        "file_title": title,
        "file_classes": ["singleModel"],
        "frame_title": "the sheet, its inside up",
        "frame_classes": ["creasePattern"],
        "frame_attributes": ["2D", *(("cuts",) if any(form.slits) else ("noCuts",))],
        "frame_unit": "mm",
        "vertices_coords": _points(form.flat_mm.tolist()),
        "edges_vertices": [list(edge) for edge in form.edges],
        "edges_assignment": [
            _assignment(angle, slit)
            for angle, slit in zip(form.angles_rad, form.slits, strict=True)
        ],
        "edges_foldAngle": [
            None if angle is None else round(math.degrees(angle), DIGITS) + 0.0
            for angle in form.angles_rad
        ],
        "faces_vertices": [list(face) for face in form.faces],
        "faces_fitcheck:panel": list(form.panels),
        "file_frames": [
            {
                "frame_title": "folded, as paper without thickness",
                "frame_classes": ["foldedForm"],
                "frame_attributes": ["3D"],
                "frame_unit": "mm",
                "frame_parent": 0,
                "frame_inherit": True,
                "vertices_coords": _points(form.folded_mm.tolist()),
            }
        ],
    }
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _points(points: list[list[float]]) -> list[Any]:
    return [[round(value, DIGITS) + 0.0 for value in point] for point in points]


def _assignment(angle: float | None, slit: bool) -> str:
    """Border, cut, flat, valley or mountain."""
    if angle is None:
        return "C" if slit else "B"
    if angle == 0.0:
        return "F"
    return "V" if angle > 0.0 else "M"
