"""A drawing as DXF: a layer for each kind of line, mm, the same bytes every time."""

from __future__ import annotations

import contextlib
import io
import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from fitcheck.drawing.metrics import CAP, FONT_NAME
from fitcheck.drawing.pens import PENS
from fitcheck.drawing.shapes import Anchor, Drawing, Label, LineKind, Stroke
from fitcheck.plain import printable

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.layout import Modelspace

VERSION = "R2010"
TEXT_LAYER = "TEXT"
LAYERS = {
    LineKind.CUT: "CUT",
    LineKind.SCORE: "SCORE",
    LineKind.SCORE_OVER: "SCORE_OTHER_FACE",
    LineKind.HALF_CUT: "HALF_CUT",
    LineKind.HALF_CUT_OVER: "HALF_CUT_OTHER_FACE",
    LineKind.GLUE: "GLUE",
    LineKind.GLUE_HERE: "GLUE",
    LineKind.THIN: TEXT_LAYER,
    LineKind.HATCH: "HATCH",
}
"""Dimensions go with the texts, so that CUT and SCORE hold nothing else."""
STYLE = "FITCHECK"


def dxf_file(drawing: Drawing) -> str:
    """The drawing in model space, its bottom left at the origin."""
    import ezdxf
    from ezdxf import units

    with _fixed_dates(ezdxf.options):
        return _written(drawing, ezdxf.new(VERSION, setup=False), units.MM)


@contextlib.contextmanager
def _fixed_dates(options: Any) -> Iterator[None]:
    """Dates and random names in the header are the same every time; the option is put back."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _written(drawing: Drawing, document: Document, millimetres: int) -> str:
    document.units = millimetres
    document.header["$MEASUREMENT"] = 1
    document.header["$LTSCALE"] = 1.0
    _prepare(document)
    space = document.modelspace()
    for stroke in drawing.strokes:
        _add_stroke(space, stroke)
    for label in drawing.labels:
        if label.text.strip():
            _add_label(space, label)
    document.header["$EXTMIN"] = (0.0, 0.0, 0.0)
    document.header["$EXTMAX"] = (drawing.width_mm, drawing.length_mm, 0.0)
    # left to itself the library lists the classes in an order that changes from run to run
    for name in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(name)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue()


def _prepare(document: Document) -> None:
    """Line types from the pens, layers, and a text style in the shipped font."""
    document.styles.add(STYLE, font=f"{FONT_NAME}.ttf")
    for kind, layer in LAYERS.items():
        if layer in document.layers:
            continue
        pen = PENS[kind]
        line_type = "CONTINUOUS"
        if pen.dashes_mm:
            line_type = f"FITCHECK_{layer}"
            pattern = [d if n % 2 == 0 else -d for n, d in enumerate(pen.dashes_mm)]
            document.linetypes.add(
                line_type, pattern=[sum(pen.dashes_mm), *pattern], description=pen.meaning
            )
        # colour 7 is black on white and white on black
        document.layers.add(
            layer, color=7, linetype=line_type, lineweight=round(100 * pen.width_mm)
        )


def _add_stroke(space: Modelspace, stroke: Stroke) -> None:
    layer = {"layer": LAYERS[stroke.kind]}
    if stroke.arc is not None:
        arc = stroke.arc
        turn = sorted((arc.start_rad, arc.start_rad + arc.sweep_rad))
        space.add_arc(arc.centre_mm, arc.radius_mm, *map(math.degrees, turn), dxfattribs=layer)
    elif len(stroke.points) == 2 and not stroke.closed:
        space.add_line(*stroke.points, dxfattribs=layer)
    else:
        space.add_lwpolyline(stroke.points, close=stroke.closed, dxfattribs=layer)


def _add_label(space: Modelspace, label: Label) -> None:
    from ezdxf.enums import TextEntityAlignment

    anchors = {
        Anchor.START: TextEntityAlignment.LEFT,
        Anchor.MIDDLE: TextEntityAlignment.CENTER,
        Anchor.END: TextEntityAlignment.RIGHT,
    }
    text = space.add_text(
        _literal(label.text),
        height=CAP * label.height_mm,
        rotation=90.0 if label.upright else 0.0,
        dxfattribs={"layer": TEXT_LAYER, "style": STYLE},
    )
    text.set_placement(label.at, align=anchors[label.anchor])


def _literal(text: str) -> str:
    """Control signs become blanks; what a DXF reader would take for a code is set off."""
    shown = printable(text)
    return shown.replace("%%", "%%%%%%").replace("^", "^ ")
