"""Cut-outs and round corners as a card of sizes tells them: what it is, how large and where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitcheck.pattern.counted import is_narrow
from fitcheck.plain import joined
from fitcheck.sheet.cutout_text import (
    outline_words,
    place_words,
    places_words,
    slot_middles,
    slot_size,
    slots_along,
    window_sides,
)
from fitcheck.sheet.cutting_out import (
    CutOut,
    CuttingOut,
    Place,
    RoundCorners,
    RoundEdge,
    Shape,
)
from fitcheck.units import Unit, is_set_by_hand, show_hands


def cutout_card(steps: Sequence[CuttingOut], unit: Unit) -> tuple[str, str]:
    """What is cut in one go, and its size and place, as a card shows them."""
    first = steps[0]
    panels = joined(f"the {panel}" for panel in dict.fromkeys(own.panel for own in steps))
    if isinstance(first, RoundEdge):
        ends = (place_words(at, lambda mm: show_hands([mm], unit)) for at in first.places)
        about = f"about a middle {places_words([first.middle], unit)[0]}"
        radius = _radius(first.radius_mm, unit)
        return f"round edge of {panels}", f"{radius} {about}, between {'; and '.join(ends)}"
    if isinstance(first, RoundCorners):
        own = [one for one in steps if isinstance(one, RoundCorners)]
        middles = [at for one in own for at in one.middles]
        what = "round corner" if len(middles) == 1 else f"{len(middles)} round corners"
        lie = "; ".join(places_words(middles, unit))
        return f"{what} of {panels}", f"{_radius(first.radius_mm, unit)}, the middle of each {lie}"
    cuts = [one for one in steps if isinstance(one, CutOut)]
    if first.shape is Shape.SLOT:
        wide, deep = slot_size(first, unit)
        return "slots", f"{wide} wide, {deep} deep, in the middle at {slot_middles(cuts, unit)}"
    return f"{first.name} in {panels}", _sizes(cuts, unit)


def cutout_name(step: CuttingOut) -> str:
    """What a maker calls what is cut out, in a word or two."""
    if isinstance(step, RoundCorners):
        return "round corners"
    if isinstance(step, RoundEdge):
        return "round edge"
    return "slots" if step.shape is Shape.SLOT else step.name


def is_rounded(steps: Sequence[CuttingOut], unit: Unit) -> bool:
    """Whether a length of what is cut in one go is told otherwise than it is drawn."""
    return not all(is_set_by_hand(mm, unit) for mm in _told_mm(steps, unit))


def _radius(mm: float, unit: Unit) -> str:
    return f"a radius of {show_hands([mm], unit)}"


def _sizes(steps: Sequence[CutOut], unit: Unit) -> str:
    """The size and the places of cut-outs of one shape."""

    def length(mm: float) -> str:
        return show_hands([mm], unit)

    first = steps[0]
    lie = "; ".join(place_words(at, length) for one in steps for at in one.places)
    each = "their middles" if len(steps) > 1 else "its middle"
    match first.shape:
        case Shape.HALF_ROUND:
            return f"a half round, {_radius(first.size_mm[0], unit)}, {each} {lie}"
        case Shape.ROUND:
            return f"a round hole, {_radius(first.size_mm[0], unit)}, {each} {lie}"
        case Shape.RECTANGLE:
            sides, lines = window_sides(first, unit)
            return (
                f"{length(sides[0])} wide, {length(sides[1])} long, its sides at "
                f"{' and at '.join(lines)}"
            )
        case Shape.SLIT:
            return f"a slit through {lie}"
        case _:
            return f"an outline through {'; '.join(outline_words(first, length))}"


def _told_mm(steps: Sequence[CuttingOut], unit: Unit) -> Iterator[float]:
    """The lengths that are told of what is cut in one go, mm."""
    cuts = [one for one in steps if isinstance(one, CutOut)]
    if cuts and cuts[0].shape is Shape.SLOT:
        wide, deep = cuts[0].size_mm
        yield from ((deep,) if is_narrow(wide, unit) else (wide, deep))
        yield from slots_along(cuts)[0]
        return
    for step in steps:
        places: tuple[Place, ...]
        if isinstance(step, CutOut):
            yield from (*step.size_mm, *step.radii_mm)
            places = step.places[:1] if step.shape is Shape.RECTANGLE else step.places
        else:
            yield step.radius_mm
            places = step.middles if isinstance(step, RoundCorners) else (step.middle, *step.places)
        for at in places:
            yield from (at.across_mm, at.along_mm)
