"""Cut-outs and round corners in a maker's words."""

from __future__ import annotations

from collections.abc import Callable

from fitcheck.pattern.sheet import Fence
from fitcheck.sheet.cutting_out import (
    CutOut,
    CuttingOut,
    Place,
    RoundCorners,
    RoundEdge,
    Shape,
)
from fitcheck.units import Unit, show_hands, show_number

ON_MM = 0.005
Length = Callable[[float], str]


def cutting_words(step: CuttingOut, unit: Unit) -> tuple[str, tuple[str, ...]]:
    """One instruction, and the lines that belong under it."""

    def length(mm: float) -> str:
        return show_hands([mm], unit)

    if isinstance(step, RoundCorners):
        what = "the corner" if len(step.middles) == 1 else f"{len(step.middles)} corners"
        return (
            f"Round {what} of the {step.panel} to a radius of {length(step.radius_mm)}. The middle "
            "of each round lies:",
            tuple(_place(at, length) for at in step.middles),
        )
    if isinstance(step, RoundEdge):
        return (
            f"Cut the round edge of the {step.panel}: a radius of {length(step.radius_mm)} about a "
            f"middle {_place(step.middle, length)}, between its two ends:",
            tuple(_place(at, length) for at in step.places),
        )
    return _cut_out(step, length)


def _cut_out(step: CutOut, length: Length) -> tuple[str, tuple[str, ...]]:
    head, where = f"Cut the {step.name}", _where(step)
    places = tuple(_place(at, length) for at in step.places)
    sizes = [length(size) for size in step.size_mm]
    match step.shape:
        case Shape.HALF_ROUND:
            return f"{head}: a half round of {sizes[0]} radius in {where}. Its middle lies:", places
        case Shape.ROUND:
            return f"{head}: a round hole of {sizes[0]} radius in {where}. Its middle lies:", places
        case Shape.RECTANGLE:
            size = f"{sizes[0]} wide and {sizes[1]} long"
            text = f"{head}: a rectangle {size} in {where}. Its sides lie:"
            return text, _sides(step, length)
        case Shape.SLOT:
            size = f"{show_number(step.size_mm[0], 1)} mm wide and {sizes[1]} deep"
            text = f"{head}: {size}, square into {where}. Its mouth lies between:"
            return text, tuple(_place(at, _tenths) for at in step.places)
        case Shape.SLIT:
            return f"{head}, a slit in {where}: nothing falls off. It runs through:", places
        case _:
            text = f"{head} in {where}. Its outline runs through these points:"
            return text, _outline(step, length)


def _tenths(mm: float) -> str:
    """What another part goes into is told to a tenth of a millimetre, whatever the unit."""
    return f"{show_number(mm, 1)} mm"


def _where(step: CutOut) -> str:
    middle = "the middle of " if step.centred else ""
    return middle + (f"the {step.panel}'s {step.edge}" if step.edge else f"the {step.panel}")


def _place(at: Place, length: Length) -> str:
    return f"{_from(at.across_mm, at.upright, length)} and {_from(at.along_mm, at.level, length)}"


def _from(mm: float, fence: Fence, length: Length) -> str:
    return f"on the {fence} edge" if mm < ON_MM else f"{length(mm)} from the {fence} edge"


def _sides(step: CutOut, length: Length) -> tuple[str, str]:
    one, other = step.places
    across = sorted((one.across_mm, other.across_mm))
    along = sorted((one.along_mm, other.along_mm))
    return (
        f"{length(across[0])} and {length(across[1])} from the {one.upright} edge",
        f"{length(along[0])} and {length(along[1])} from the {one.level} edge",
    )


def _outline(step: CutOut, length: Length) -> tuple[str, ...]:
    lines = []
    for k, at in enumerate(step.places):
        radius = step.radii_mm[k - 1] if k and len(step.radii_mm) >= k else 0.0
        to = f"round, with a radius of {length(radius)}, to " if radius else ""
        lines.append(f"{to}{_place(at, length)}")
    if step.radii_mm and len(step.radii_mm) == len(step.places) and step.radii_mm[-1]:
        lines.append(f"round, with a radius of {length(step.radii_mm[-1])}, to the first point")
    return tuple(lines)
