"""Rules between the keys of a part: what is said too often or too little, and what cannot be.

Each rule gives ``(key, words...)`` for every problem it sees, ready for ``strict.line``.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from fitcheck.design.files import MOST_PIECES, SHADOW_BOX, TRAY
from fitcheck.design.model import Content, PartSpec, SizeBy
from fitcheck.plain import shown
from fitcheck.units import Unit, show_length

Problem = tuple[str, ...]

FEW_CALIPERS = 3
"""A wall or a floor that is not larger than this many calipers cannot be folded."""
SHADOW_BOX_KEYS = ("opening", "frame", "inner_wall", "flap")
SHADOW_BOX_NEEDS = ("frame", "flap")
SIZE_KEYS = {
    "base": ("floor", "inside", "opening", "slack"),
    "lid": ("floor", "inside", "opening", "oversize", "same_sheet"),
}


def key_problems(part: str, table: Mapping[str, Any], *, has_content: bool) -> Iterator[Problem]:
    """What a part's table says that does not go together; values are not looked at."""
    sizes = SIZE_KEYS[part]
    given = [key for key in sizes if key in table]
    if len(given) != 1:
        wrong = f"{' and '.join(given)} are given together" if given else "its size is missing"
        allowed = f"allowed: exactly one of {', '.join(sizes)}"
        yield part, wrong, allowed, "keep one of them" if given else "add floor = [width, length]"
    if "slack" in given and not has_content:
        yield (
            f"{part}.slack",
            "there is nothing to leave free around",
            f"read {shown(table['slack'])}",
            "allowed: slack beside at least one [[content]]",
            "add a [[content]] or give floor",
        )
    if part == "lid":
        yield from _lid_key_problems(table)
    if table.get("style") == SHADOW_BOX:
        for key in SHADOW_BOX_NEEDS:
            if key not in table:
                yield f"{part}.{key}", "missing", f"a {SHADOW_BOX} needs it", f"add {key} = ..."
    elif table.get("style") == TRAY:
        for key in SHADOW_BOX_KEYS:
            if key in table:
                yield (
                    f"{part}.{key}",
                    f"belongs to a {SHADOW_BOX} only",
                    f"read {shown(table[key])} in a part of the style {shown(table['style'])}",
                    f"allowed: {key} with style = '{SHADOW_BOX}'",
                    "remove it or change the style",
                )


def _lid_key_problems(table: Mapping[str, Any]) -> Iterator[Problem]:
    """A lid has a depth of its own, or takes it from the base's sheet."""
    if "same_sheet" not in table:
        if "depth" not in table:
            allowed = "allowed: depth, or same_sheet over a tray"
            yield "lid.depth", "missing", allowed, "add depth = ..."
        return
    if "depth" in table:
        yield (
            "lid.depth",
            "is settled by same_sheet",
            f"read {shown(table['depth'])}",
            "allowed: same_sheet, or depth with oversize",
            "remove one of them",
        )
    if table.get("style") == SHADOW_BOX:
        read = f"read same_sheet in a part of the style {shown(SHADOW_BOX)}"
        allowed = f"allowed: same_sheet with style = '{TRAY}'"
        yield "lid.same_sheet", "belongs to a tray", read, allowed, "give oversize and depth"


def same_sheet_problem(shift_mm: float, base: PartSpec, unit: Unit) -> Problem | None:
    """What keeps a lid from being cut from the base's sheet size."""
    if base.style != TRAY:
        return (
            "lid.same_sheet",
            "needs a base whose sheet is its floor and walls alone",
            f"read a base of the style {shown(base.style)}",
            f"allowed: over a base with style = '{TRAY}'",
            "give oversize and depth",
        )
    if shift_mm >= base.depth_mm:
        return (
            "lid.same_sheet",
            "leaves the lid no walls",
            f"read {show_length(shift_mm, unit)}",
            f"allowed: below the base's depth, {show_length(base.depth_mm, unit)}",
            "make it smaller",
        )
    return None


def pieces_problem(contents: Sequence[Content]) -> Problem | None:
    """What keeps so many things from being arranged in a time that one would wait."""
    pieces = sum(content.count for content in contents)
    if pieces <= MOST_PIECES:
        return None
    return (
        "content",
        "too many pieces together",
        f"read {pieces} in {len(contents)} tables [[content]]",
        f"allowed: up to {MOST_PIECES} pieces in a box",
        "leave some out, or give what is packed together as one block",
    )


def geometry_problems(
    spec: PartSpec, joint_mm: float, unit: Unit, base: PartSpec | None = None
) -> Iterator[Problem]:
    """What cannot be folded from this part's sizes; ``base`` is given for a lid."""
    stock = spec.stock
    floor = floor_of(spec, base)
    few = FEW_CALIPERS * stock.caliper_mm
    if floor is not None and min(floor) <= few:
        yield (
            f"{spec.name}.{spec.size_by}",
            "makes a floor too small to fold",
            f"read a smaller side of {show_length(min(floor), unit)}",
            f"allowed: above {FEW_CALIPERS} calipers of {stock.name}, {show_length(few, unit)}",
            "make it larger",
        )
        floor = None
    elif floor is not None and 2 * spec.tab_setback_mm >= min(floor):
        yield (
            f"{spec.name}.tab_setback",
            "leaves nothing of the wall",
            f"read {show_length(spec.tab_setback_mm, unit)}",
            f"allowed: below half the smaller floor side, {show_length(min(floor) / 2, unit)}",
            "make it smaller",
        )
    least = few + (joint_mm if spec.style == SHADOW_BOX else 0.0)
    if spec.depth_mm <= least:
        yield (
            f"{spec.name}.depth",
            "is too low a wall to fold",
            f"read {show_length(spec.depth_mm, unit)}",
            f"allowed: above {FEW_CALIPERS} calipers of {stock.name}"
            + (" and the joint" if least > few else "")
            + f", {show_length(least, unit)}",
            "make it deeper",
        )
    elif floor is None or 2 * spec.tab_setback_mm < min(floor):
        yield from _corner_problems(spec, joint_mm, unit)
    if spec.style == SHADOW_BOX:
        yield from _frame_problems(spec, floor, unit)


def _corner_problems(spec: PartSpec, joint_mm: float, unit: Unit) -> Iterator[Problem]:
    """Tabs that push the wall glued over them further than it is high would have to tear it off."""
    push = spec.stock.corner_give * (spec.stock.caliper_mm + joint_mm - spec.tab_setback_mm)
    if abs(push) >= spec.depth_mm:
        way = "out" if push > 0.0 else "in"
        yield (
            f"{spec.name}.depth",
            f"is lower than its glued corners push its walls {way}",
            f"read {show_length(spec.depth_mm, unit)}",
            "allowed: above the difference between a caliper with the joint and tab_setback, "
            f"{show_length(abs(push), unit)}",
            "make it deeper, or bring tab_setback nearer to the joint",
        )


def _frame_problems(
    spec: PartSpec, floor: tuple[float, float] | None, unit: Unit
) -> Iterator[Problem]:
    stock, frame = spec.stock, spec.frame_mm
    if frame is None:
        return
    growth = stock.crease_allowance_mm
    if floor is not None and 2 * frame + 2 * growth >= min(floor):
        yield (
            f"{spec.name}.frame",
            "leaves no opening: the frame is wider than half the floor",
            f"read {show_length(frame, unit)}",
            f"allowed: below {show_length(min(floor) / 2 - growth, unit)} "
            f"on a floor of {show_length(min(floor), unit)}",
            "make the frame narrower or the floor larger",
        )


def floor_of(spec: PartSpec, base: PartSpec | None = None) -> tuple[float, float] | None:
    """The floor in mm, score to score, without any packing; None where the contents decide it."""
    width, length = spec.size_mm
    stock = spec.stock
    grown = 0.0
    opens = spec.size_by is SizeBy.INSIDE and spec.style == SHADOW_BOX
    if spec.size_by is SizeBy.CONTENTS:
        return None
    if spec.size_by is SizeBy.OPENING or opens:
        grown = 2 * (spec.frame_mm or 0.0) + 2 * stock.crease_allowance_mm
    elif spec.size_by is SizeBy.INSIDE:
        grown = 2 * (stock.caliper_mm - stock.crease_allowance_mm)
    elif spec.size_by is SizeBy.OVERSIZE:
        under = None if base is None else floor_of(base)
        return None if under is None else (under[0] + width, under[1] + length)
    elif spec.size_by is SizeBy.SAME_SHEET:
        under = None if base is None else floor_of(base)
        return None if under is None else (under[0] + 2.0 * width, under[1] + 2.0 * length)
    return width + grown, length + grown
