"""What a maker adds round a box, cut to its sizes: ribbon, band, mats, label, liners."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from fitcheck.fit.assembly import Assembly, Part
from fitcheck.fit.neck import fit_lid_of
from fitcheck.pattern.panes import window_mm
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.units import MM_PER, Unit, hand_step_mm, hand_unit, show_hands

INCH = MM_PER[Unit.IN]
MARGIN_MM = INCH / 8
"""What a label keeps from each edge (common practice, no source)."""
MAT_MM = INCH / 16
"""What a mat under a label keeps from each edge (common practice, no source)."""
LINER_MM = INCH / 32
"""What a liner keeps from each wall (common practice, no source)."""
LINED = (
    "room: no check counts liners; each takes its paper and tape, even a thin one about 0.26 mm, "
    "so that two walls lined take 0.52 mm: leave them out where the contents have less to spare"
)
"""A text paper of 0.16 mm and tape of 0.10 mm (common practice, no source)."""
SIDES = 4
KNOT_MM = 8 * INCH
"""The ribbon's two ends and a knot (common practice, no source)."""
BOW_MM = 24 * INCH
"""Two loops, two tails and the knot of a bow that is as wide as a hand (common practice, no
source)."""
OVERLAP_MM = INCH / 2
"""Where a paper band is glued upon itself (common practice, no source)."""
BAND_SHARE = 1 / 3
"""Of the box's longest side: how wide a band looks right (common practice, no source)."""


def around_words(assembly: Assembly) -> tuple[str, ...]:
    """Sizes of what a maker adds, a line each: ribbon, band, mats, label, liners."""
    unit = hand_unit(assembly.design.unit)
    width, length, height = closed_mm(assembly)
    small, middle, large = sorted((width, length, height))
    around = 2.0 * (width + length) + 4.0 * height
    lines = [
        f"ribbon once round both ways: {_up(around + KNOT_MM, unit)} with a knot, "
        f"{_up(around + BOW_MM, unit)} with a bow",
        f"band round the middle: {_down(BAND_SHARE * large, unit)} wide, "
        f"{_up(2.0 * (small + middle) + OVERLAP_MM, unit)} long with its overlap",
    ]
    lid = assembly.lid
    if lid is not None:
        lines += _labels(lid, unit)
    liners = tuple(_liner(assembly.base, assembly.ring or assembly.base, unit))
    return (*lines, *liners, *((LINED,) if liners else ()))


def closed_mm(assembly: Assembly) -> tuple[float, float, float]:
    """Width, length and height of the closed box, outside, mm."""
    parts = [part.sizes for part in assembly.parts if not part.pattern.row]
    width, length = (max(sizes.outside_mm[k] for sizes in parts) for k in (0, 1))
    height = max(sizes.height_mm for sizes in parts)
    lid = fit_lid_of(assembly, assembly.design.bands)
    if lid is not None and lid.slide.blocked_by is None:
        height = max(height, lid.closed_height_mm)
    return width, length, height


def _labels(lid: Part, unit: Unit) -> Iterator[str]:
    """Mats of another paper, a margin inside the edges, and what is smaller and lies on them."""
    if len(lid.pattern.panels[0].corners) != SIDES:
        return
    width, length = lid.sizes.floor_outside_mm
    depth = lid.sizes.height_mm
    fine = 2.0 * hand_step_mm(unit)
    if window_mm(lid.pattern) is None:
        mat = _paper((width, length), 2 * MAT_MM, unit, fine)
        yield f"mat for the lid's top: {mat}, {show_hands([MAT_MM], unit)} from each edge"
        yield f"label on it: {_paper((width, length), 2 * MARGIN_MM, unit)}"
    if depth > 3.0 * MARGIN_MM and _level(lid.pattern):
        sides = (_paper((across, depth), 2 * MAT_MM, unit, fine) for across in (width, length))
        yield f"mats for the lid's sides: {_sides(sides)}"
        sides = (_paper((across, depth), 2 * MARGIN_MM, unit) for across in (width, length))
        yield f"strips on them: {_sides(sides)}"


def _liner(base: Part, walls: Part, unit: Unit) -> Iterator[str]:
    """Paper that lies inside walls on a base's floor; one without walls all round has none."""
    roles = [panel.role for panel in base.pattern.panels]
    if base.pattern.on_end or roles.count(Role.WALL) != SIDES or base.pattern.tucks:
        return
    width, length = map(min, base.sizes.inside_mm, walls.sizes.inside_mm)
    yield f"liner for the floor: {_paper((width, length), 2 * LINER_MM, unit)}"
    if not (walls.pattern.on_end or _level(walls.pattern)):
        return
    deep = walls.sizes.depth_mm
    fine = 2.0 * hand_step_mm(unit)
    sides = (_paper((across, deep), 2 * LINER_MM, unit, fine) for across in (width, length))
    yield f"liners for the walls inside: {_sides(sides)}"


def _level(pattern: Pattern) -> bool:
    """Whether all its walls end level at one height, so that one strip fits each side."""
    heights = []
    for panel in pattern.panels[1:]:
        if panel.role is Role.WALL:
            (x, y), stop = pattern.score(pattern.crease_to(panel.name), {}).tolist()
            along = stop[0] - x, stop[1] - y
            over = [
                abs((at[1] - y) * along[0] - (at[0] - x) * along[1]) / math.hypot(*along)
                for at in pattern.outline(panel, {}).tolist()
            ]
            heights += sorted(over)[-2:]
    return not heights or max(heights) - min(heights) < LINER_MM


def _sides(sizes: Iterable[str]) -> str:
    """Pieces for the four sides of a box, those of opposite sides alike."""
    first, second = sizes
    return f"four {first}" if first == second else f"two {first} and two {second}"


def _paper(size: Sequence[float], less_mm: float, unit: Unit, step_mm: float | None = None) -> str:
    """A piece of paper that is smaller by so much both ways, in sizes that a hand cuts, rounded
    down to a step: to 1/8 in or a millimetre unless another is given."""
    step = step_mm or (4.0 if unit is Unit.IN else 2.0) * hand_step_mm(unit)
    return show_hands([math.floor((mm - less_mm) / step + 1e-9) * step for mm in size], unit, " x ")


def _up(mm: float, unit: Unit) -> str:
    """A length of ribbon or band, rounded up to the half inch and to the half centimetre."""
    step = INCH / 2 if unit is Unit.IN else 5.0
    return show_hands([math.ceil(mm / step - 1e-9) * step], unit)


def _down(mm: float, unit: Unit) -> str:
    step = INCH / 8 if unit is Unit.IN else 1.0
    return show_hands([math.floor(mm / step + 1e-9) * step], unit)
