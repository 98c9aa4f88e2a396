"""What each reading of a printed gauge should be, given the printer.

outside-x, -y   (1 + s) n + 2 o       o: outside offset, s: scale error of that axis
inside-x, -y    (1 + s) n - 2 h       h: hole offset
height          (1 + s) n + c         c: height offset
first-layer     (1 + s) n + 2 o + 2 f measured along x, at the bed; f: first-layer spread
"""

from collections.abc import Sequence

import numpy as np

from fitcheck.learn.bench_readings import Feature
from fitcheck.learn.entries import Entry
from fitcheck.learn.solving import Model
from fitcheck.stock.printer import Printer

Array = np.ndarray
NAMES = (
    "scale_x",
    "scale_y",
    "scale_z",
    "outside_offset_mm",
    "hole_offset_mm",
    "first_layer_mm",
    "height_offset_mm",
)
SX, SY, SZ, OUT, HOLE, FIRST, HIGH = range(7)
SCALE_U = 0.005
"""Earlier belief of a printer's scale error: plastics shrink by some tenths of a per cent."""
OFFSET_U_MM = 0.1
"""Earlier belief of any offset: a quarter of the usual 0.4 mm line (common practice, no source)."""
NOISE_MM = 0.03
"""Scatter from one printed feature to the next where the readings are too few to tell."""
_ROWS = {
    Feature.OUTSIDE_X: (SX, {OUT: 2.0}),
    Feature.OUTSIDE_Y: (SY, {OUT: 2.0}),
    Feature.INSIDE_X: (SX, {HOLE: -2.0}),
    Feature.INSIDE_Y: (SY, {HOLE: -2.0}),
    Feature.HEIGHT: (SZ, {HIGH: 1.0}),
    Feature.FIRST_LAYER: (SX, {OUT: 2.0, FIRST: 2.0}),
}


def printer_model(
    entries: Sequence[Entry], before: Printer | None
) -> tuple[Model, tuple[tuple[str, float, float], ...]]:
    """The model of the entries (scales as errors), and the beliefs to keep where they cannot tell.

    Where scale and offset cannot be told apart, it is the scale that keeps its belief.
    """
    slopes = np.zeros((len(entries), len(NAMES)))
    for row, entry in zip(slopes, entries, strict=True):
        axis, offsets = _ROWS[entry.feature]
        row[axis] = entry.nominal_mm
        for place, factor in offsets.items():
            row[place] = factor
    nominal = np.array([e.nominal_mm for e in entries])
    nothing = np.zeros(len(NAMES))
    model = Model(
        NAMES,
        lambda x: nominal + slopes @ x,
        lambda x: slopes,
        nothing,
        nothing,
        np.full(len(NAMES), np.inf),
    )
    # Of what is read a profile that was learnt says what the same readings said: not twice.
    origin, read = None if before is None or before.records else before, read_of(model)
    return model, tuple((n, *_belief(n, origin if n in read else before)) for n in NAMES)


def read_of(model: Model) -> frozenset[str]:
    """The names of what a model's readings are about."""
    seen = np.abs(model.slopes(model.start)).sum(axis=0)
    return frozenset(name for name, own in zip(model.names, seen, strict=True) if own > 0)


def _belief(name: str, before: Printer | None) -> tuple[float, float]:
    scale = name.startswith("scale")
    if before is None:
        return 0.0, SCALE_U if scale else OFFSET_U_MM
    if scale:
        return getattr(before, name) - 1.0, max(getattr(before, f"{name}_u"), 1e-9)
    return getattr(before, name), max(getattr(before, f"{name.removesuffix('_mm')}_u_mm"), 1e-9)
