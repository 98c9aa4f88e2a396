"""Cut-outs and round corners in a maker's words."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from fitcheck.pattern.counted import hole_by_hand_mm, is_narrow, slot_digits, told_slot_mm
from fitcheck.pattern.sheet import Fence
from fitcheck.plain import joined
from fitcheck.sheet.actions import CutToSize
from fitcheck.sheet.board import OPPOSITE
from fitcheck.sheet.cutting_out import (
    CutOut,
    CuttingOut,
    Place,
    RoundCorners,
    RoundEdge,
    Shape,
)
from fitcheck.units import (
    Unit,
    hand_step_mm,
    hand_unit,
    rounding_mm,
    show_hands,
    show_inches,
    show_number,
)

ON_MM = 0.005
SAME_MM = 0.05
"""What lies no further off than this lies where it is said to, for a hand."""
FEW = 3
"""Fewer places are a line each."""
Length = Callable[[float], str]


def cutting_words(
    steps: Sequence[CuttingOut], unit: Unit, cut: CutToSize
) -> tuple[str, tuple[str, ...]]:
    """One instruction for all that is cut alike, and the lines that belong under it.

    `cut` is the step that cut the sheet.
    """

    def length(mm: float) -> str:
        return show_hands([mm], unit)

    first = steps[0]
    if isinstance(first, RoundCorners):
        own = [one for one in steps if isinstance(one, RoundCorners)]
        middles = [at for one in own for at in one.middles]
        what = "the corner" if len(middles) == 1 else f"{len(middles)} corners"
        panels = joined(f"the {one.panel}" for one in own)
        return (
            f"Round {what} of {panels} to a radius of {length(first.radius_mm)}. The middle of "
            "each round lies:",
            places_words(middles, unit),
        )
    if isinstance(first, RoundEdge):
        return (
            f"Cut the round edge of the {first.panel}: a radius of {length(first.radius_mm)} about "
            f"a middle {place_words(first.middle, length)}, between its two ends:",
            tuple(place_words(at, length) for at in first.places),
        )
    cuts = [one for one in steps if isinstance(one, CutOut)]
    if first.shape is Shape.SLOT:
        return _slots(cuts, unit, cut)
    return _cut_out(first, unit, cut) if len(cuts) == 1 else _half_rounds(cuts, length)


def places_words(places: Sequence[Place], unit: Unit) -> tuple[str, ...]:
    """Places in one line where each distance across the sheet goes with each along it."""
    across = sorted({(at.upright, round(at.across_mm, 3)) for at in places})
    along = sorted({(at.level, round(at.along_mm, 3)) for at in places})
    if len(places) < FEW or len(across) * len(along) != len(places):
        return tuple(place_words(at, lambda mm: show_hands([mm], unit)) for at in places)
    return (f"{_all_from(across, unit)}, and {_all_from(along, unit)}",)


def _all_from(distances: Sequence[tuple[Fence, float]], unit: Unit) -> str:
    """Distances from the edges that they are measured from, those that are alike once."""
    edges: dict[tuple[float, ...], list[Fence]] = {}
    for fence in dict.fromkeys(fence for fence, _ in distances):
        edges.setdefault(tuple(mm for own, mm in distances if own is fence), []).append(fence)
    return joined(
        f"{show_hands(own, unit)} from the {joined(map(str, fences))} edge"
        for own, fences in edges.items()
    )


def _slots(steps: Sequence[CutOut], unit: Unit, cut: CutToSize) -> tuple[str, tuple[str, ...]]:
    """Slots of a strip: how wide and deep, and how far their middles lie from its end."""
    first, middles = steps[0], slot_middles(steps, unit)
    wide, deep = slot_size(first, unit)
    many = len(steps) > 1
    name = called(first)
    one = f"Cut {name}" if name.startswith("a ") else f"Cut {name},"
    wider = _wider_end(steps, unit, cut)
    uneven = "".join(
        f", where the strip has {show_hands([mm], unit)} more at its {end} end"
        for end, mm in wider.items()
    )
    head = f"Cut {len(steps)} slots, each" if many else one
    lie = "Their middles lie:" if many else "Its middle lies:"
    return (
        f"{head} {wide} wide and {deep} deep, square into the {first.panel}'s {first.edge}"
        f"{uneven}. {lie}",
        (middles,),
    )


def called(cut: CutOut) -> str:
    """A cut-out with its article; a number is on no drawing, and would run into its width."""
    kind, _, number = cut.name.rpartition(" ")
    return f"a {kind}" if number.isdigit() else f"the {cut.name}"


def slot_middles(steps: Sequence[CutOut], unit: Unit) -> str:
    """How far the middles of slots lie from an edge, in words."""
    along, edge = slots_along(steps)
    return f"{show_hands(along, unit)} from the {edge} edge"


def slots_along(steps: Sequence[CutOut]) -> tuple[list[float], Fence]:
    """How far the middles of slots lie from an edge, mm, and from which one."""
    places = [one.places[0] for one in steps]
    along = [at.across_mm for at in places]
    edge: Fence = places[0].upright
    if max(along) < ON_MM:  # it opens at an upright edge
        along, edge = [at.along_mm for at in places], places[0].level
    return sorted(along), edge


def slot_size(slot: CutOut, unit: Unit) -> tuple[str, str]:
    """A slot's width and depth; a narrow one's width beside the nearest that a rule shows."""
    wide, deep = slot.size_mm
    return _slot_width(wide, unit), show_hands([deep], unit)


def _slot_width(mm: float, unit: Unit) -> str:
    if not is_narrow(mm, unit):
        return show_hands([mm], unit)
    told = f"{show_number(told_slot_mm(mm, unit), slot_digits(mm, unit))} mm"
    near = mm + rounding_mm(mm, unit)
    if hand_unit(unit) is not Unit.IN or mm < hand_step_mm(unit):
        return told
    return f"a hair {'over' if mm > near else 'under'} {show_inches(near)} ({told})"


def _half_rounds(steps: Sequence[CutOut], length: Length) -> tuple[str, tuple[str, ...]]:
    first = steps[0]
    panels = joined(f"the {one.panel}" for one in steps)
    return (
        f"Cut the {first.name} in {panels}: a half round of {length(first.size_mm[0])} radius in "
        f"the middle of the {first.edge} of each. Their middles lie:",
        tuple(place_words(at, length) for one in steps for at in one.places),
    )


def _cut_out(step: CutOut, unit: Unit, cut: CutToSize) -> tuple[str, tuple[str, ...]]:
    def length(mm: float) -> str:
        return show_hands([mm], unit)

    head, where = f"Cut the {step.name}", f"in {_where(step)}"
    places = tuple(place_words(at, length) for at in step.places)
    sizes = [length(size) for size in step.size_mm]
    match step.shape:
        case Shape.HALF_ROUND:
            return f"{head}: a half round of {sizes[0]} radius {where}. Its middle lies:", places
        case Shape.ROUND:
            return f"{head}: a round hole of {sizes[0]} radius {where}. Its middle lies:", places
        case Shape.RECTANGLE:
            sides, lines = window_sides(step, unit)
            size = f"{length(sides[0])} wide and {length(sides[1])} long"
            wider = _wider_margins(step, unit, cut) if step.centred else {}
            if wider:
                where = f"about {_where(step)}, its margin {_wider_words(wider, unit)}"
            text = f"{head}: a rectangle {size} {where}. Its sides lie:"
            return text, lines
        case Shape.SLIT:
            return f"{head}, a slit {where}: nothing falls off. It runs through:", places
        case _:
            text = f"{head} {where}. Its outline runs through these points:"
            return text, outline_words(step, length)


def _where(step: CutOut) -> str:
    middle = "the middle of " if step.centred else ""
    return middle + (f"the {step.panel}'s {step.edge}" if step.edge else f"the {step.panel}")


def place_words(at: Place, length: Length) -> str:
    """How far a place lies from the two edges nearest to it."""
    return f"{_from(at.across_mm, at.upright, length)} and {_from(at.along_mm, at.level, length)}"


def _from(mm: float, fence: Fence, length: Length) -> str:
    return f"on the {fence} edge" if mm < ON_MM else f"{length(mm)} from the {fence} edge"


def window_sides(step: CutOut, unit: Unit) -> tuple[tuple[float, float], tuple[str, str]]:
    """The width and length of a window, mm, and where its sides lie.

    They are what lies between its sides as a hand sets those.
    """
    sizes, lines = [], []
    for edge, both in _ways(step):
        start, size = _set_by_hand(both, unit)
        sizes.append(size)
        lines.append(f"{show_hands([start, start + size], unit)} from the {edge} edge")
    return (sizes[0], sizes[1]), (lines[0], lines[1])


def _ways(step: CutOut) -> tuple[tuple[Fence, tuple[float, float]], ...]:
    """Across and along: from which edge a window's two sides are told, and how far they lie, mm."""
    one, other = step.places
    return (
        (one.upright, (one.across_mm, other.across_mm)),
        (one.level, (one.along_mm, other.along_mm)),
    )


def _set_by_hand(both_mm: tuple[float, float], unit: Unit) -> tuple[float, float]:
    """Where a window begins and how large it is, mm: no smaller than drawn, its middle as near to
    the drawn one as steps of a rule allow."""
    near, far = sorted(both_mm)
    size, step = hole_by_hand_mm(far - near, unit), hand_step_mm(unit)
    return round(0.5 * (near + far - size) / step) * step, size


def _wider_margins(step: CutOut, unit: Unit, cut: CutToSize) -> dict[Fence, float]:
    """On which sides of a window in the middle a hand leaves more of the sheet that it cut, and how
    much more, mm."""
    found = {}
    for (edge, both), *sides in zip(_ways(step), cut.sheet.sides_mm, cut.told_mm, strict=True):
        start, size = _set_by_hand(both, unit)
        uneven = start - (_other_end(sum(both), *sides) - start - size)
        if abs(uneven) > SAME_MM:
            found[edge if uneven > 0.0 else OPPOSITE[edge]] = abs(uneven)
    return found


def _wider_end(slots: Sequence[CutOut], unit: Unit, cut: CutToSize) -> dict[Fence, float]:
    """At which end a hand leaves more beyond slots that lie alike from both, and how much, mm."""
    along, edge = slots_along(slots)
    way = 0 if edge in (Fence.LEFT, Fence.RIGHT) else 1
    drawn, told = cut.sheet.sides_mm[way], cut.told_mm[way]
    first, last = (mm + rounding_mm(mm, unit) for mm in (along[0], along[-1]))
    uneven = first - (told - last)
    if abs(along[0] + along[-1] - drawn) > SAME_MM or abs(uneven) <= SAME_MM:
        return {}
    return {edge if uneven > 0.0 else OPPOSITE[edge]: abs(uneven)}


def _other_end(sum_mm: float, drawn_mm: float, told_mm: float) -> float:
    """Where the far margin of what lies in the middle ends: at the edge of the sheet as cut, or of
    a panel that does not reach there."""
    return told_mm if abs(sum_mm - drawn_mm) <= SAME_MM else sum_mm


def _wider_words(wider: dict[Fence, float], unit: Unit) -> str:
    return f"{show_hands([max(wider.values())], unit)} wider at the {joined(map(str, wider))}"


def outline_words(step: CutOut, length: Length) -> tuple[str, ...]:
    """The corners of an outline, one after the other, and the rounds between them."""
    lines = []
    for k, at in enumerate(step.places):
        radius = step.radii_mm[k - 1] if k and len(step.radii_mm) >= k else 0.0
        to = f"round, with a radius of {length(radius)}, to " if radius else ""
        lines.append(f"{to}{place_words(at, length)}")
    if step.radii_mm and len(step.radii_mm) == len(step.places) and step.radii_mm[-1]:
        lines.append(f"round, with a radius of {length(step.radii_mm[-1])}, to the first point")
    return tuple(lines)
