"""Rules between the keys of a part: what is said too often or too little, and what cannot be.

Each rule gives ``(key, words...)`` for every problem it sees, ready for ``explain.line``.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from fitcheck.design.files import MOST_PIECES
from fitcheck.design.model import Content, Design
from fitcheck.errors import InputError
from fitcheck.plain import shown
from fitcheck.styles import AnyStyle, style_of, styles_at
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.styles.places import PLACES, Place
from fitcheck.styles.style import Problem
from fitcheck.units import Unit, show_length
from fitcheck.workspace.nearest import nearest_names

KEYS = {by: by.value for by in SizeBy} | {SizeBy.CONTENTS: "slack"}
"""How a size is written in a file."""


def key_problems(
    place: Place, style: AnyStyle, table: Mapping[str, Any], *, has_content: bool
) -> Iterator[Problem]:
    """What a part's table says that does not go together; values are not looked at."""
    part = place.name
    sizes = [KEYS[by] for by in (*style.sizes, *place.sizes)]
    given = [key for key in sizes if key in table]
    unknown = [key for key in table if key not in {**style.file.model_fields, **_keys_of(place)}]
    misspelt = not given and any(nearest_names(key, sizes) for key in unknown)
    # a size that the style's own file has to say is told as any other key that is missing
    own = style.file.model_fields.get(sizes[0]) if len(sizes) == 1 else None
    told = not given and own is not None and own.is_required()
    if sizes and len(given) != 1 and not misspelt and not told:
        wrong = f"{' and '.join(given)} are given together" if given else "its size is missing"
        allowed = f"allowed: exactly one of {', '.join(sizes)}"
        cure = f"add {sizes[0]} = [width, length]"
        yield part, wrong, allowed, "keep one of them" if given else cure
    if "slack" in given and not has_content:
        yield (
            f"{part}.slack",
            "there is nothing to leave free around",
            f"read {shown(table['slack'])}",
            "allowed: slack beside at least one [[content]]",
            "add a [[content]] or give floor",
        )
    if SizeBy.SAME_SHEET in place.sizes:
        yield from _depth_problems(part, table)


def of_other_styles(place: Place, style: AnyStyle, table: Mapping[str, Any]) -> dict[str, Problem]:
    """What is wrong with the keys that other styles have at its place but not its own, by key."""
    found: dict[str, Problem] = {}
    for key in table:
        if key in style.file.model_fields or key in _keys_of(place):
            continue
        names = [own.name for own in styles_at(place.name) if key in own.file.model_fields]
        if names:
            found[key] = (
                f"{place.name}.{key}",
                f"belongs to a {' or a '.join(names)} only",
                f"read {shown(table[key])} in a part of the style {shown(style.name)}",
                f"allowed: {key} with style = {' or '.join(repr(name) for name in names)}",
                "remove it or change the style",
            )
    return found


def _keys_of(place: Place) -> Mapping[str, object]:
    return {} if place.keys is None else place.keys.model_fields


def _depth_problems(part: str, table: Mapping[str, Any]) -> Iterator[Problem]:
    """A lid has a depth of its own, or takes it from the base's sheet."""
    if "same_sheet" not in table:
        if "depth" not in table:
            allowed = "allowed: depth, or same_sheet over a tray"
            yield f"{part}.depth", "missing", allowed, "add depth = ..."
        return
    if "depth" in table:
        yield (
            f"{part}.depth",
            "is settled by same_sheet",
            f"read {shown(table['depth'])}",
            "allowed: same_sheet, or depth with oversize",
            "remove one of them",
        )
    style = table.get("style")
    if isinstance(style, str) and not style_of(style).sheet_is_walls:
        read = f"read same_sheet in a part of the style {shown(style)}"
        allowed = "allowed: same_sheet with style = 'tray'"
        yield f"{part}.same_sheet", "belongs to a tray", read, allowed, "give oversize and depth"


def same_sheet_problem(shift_mm: float, base: PartSpec, unit: Unit) -> Problem | None:
    """What keeps a lid from being cut from the base's sheet size."""
    if not style_of(base.style).sheet_is_walls:
        return (
            "lid.same_sheet",
            "needs a base whose sheet is its floor and walls alone",
            f"read a base of the style {shown(base.style)}",
            "allowed: over a base with style = 'tray'",
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


def together_problems(data: Mapping[str, Any]) -> Iterator[Problem]:
    """Parts that cannot be in one box."""
    for place in PLACES:
        for other in place.not_beside:
            if place.name in data and other in data:
                read = f"read [{other}] beside [{place.name}]"
                allowed = f"allowed: [{other}] or [{place.name}]"
                yield place.name, "goes with an open base", read, allowed, "remove one of them"
    base = data.get("base")
    named = base.get("style") if isinstance(base, dict) else None
    if not isinstance(named, str) or not _closes_itself(named):
        return
    for place in PLACES[1:]:
        if place.name in data:
            read = f"read [{place.name}] beside a base of the style {shown(named)}"
            allowed = "allowed: nothing beside a base that brings its lid by itself"
            cure = "remove it, or give another style"
            yield place.name, "goes with an open base", read, allowed, cure


def _closes_itself(named: str) -> bool:
    """Whether a base of a style brings its lid; one that cannot be used is told elsewhere."""
    try:
        return style_of(named).closes_itself
    except (KeyError, InputError):
        return False


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
    """What cannot be folded from this part's sizes; ``base`` is given for what goes with it."""
    return style_of(spec.style).problems(spec, floor_of(spec, base), joint_mm, unit)


def design_problems(design: Design) -> Iterator[Problem]:
    """What cannot be folded of any part of a design."""
    for spec in design.parts:
        yield from geometry_problems(spec, design.joint_mm, design.unit, design.base)


def floor_of(spec: PartSpec, base: PartSpec | None = None) -> tuple[float, float] | None:
    """The floor in mm, score to score, without any packing; None where the contents decide it."""
    if spec.size_by is SizeBy.CONTENTS:
        return None
    if spec.follows_base:
        under = None if base is None else floor_of(base)
        return None if under is None else spec.over(*under)
    width, length = spec.size_mm
    return width + spec.growth_mm, length + spec.growth_mm
