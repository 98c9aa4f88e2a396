"""What differs between a design and a changed one, said as what to cut instead."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.design.model import Design
from fitcheck.pattern.plan import scored_rules
from fitcheck.styles import draw, style_of
from fitcheck.styles.dividers import DividersSpec
from fitcheck.styles.insert_spec import InsertSpec
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.units import (
    FRACTION,
    MM_PER,
    ZERO_MM,
    Unit,
    hand_unit,
    is_set_by_hand,
    show_hand,
    show_inches,
    show_number,
)

SAME_MM, SHOWN_MM = 1e-6, 5e-3
"""Lengths that differ by less are the same, and are shown as the same."""
SIZES = {
    SizeBy.FLOOR: "floor",
    SizeBy.INSIDE: "inside",
    SizeBy.OPENING: "opening",
}
TYPED = 3
"""So many decimals of an inch a file may say of its lengths."""
SAME_INCHES = 1e-7
"""Numbers of inches that differ by less are the same."""
LIKE_ANY_MM = (500.0, 500.0)
"""Where scores lie from their fences does not depend on the floor between them."""
GROOVED = ", so that its scores lie in the board's grooves"


def change_words(old: Design, new: Design) -> str:
    """One sentence without its full stop, in an imperative; empty where no length differs."""
    both = zip(old.parts, new.parts, strict=True)
    said = list(dict.fromkeys(words for one in both for words in _part_words(*one, old)))
    # a purpose that is given stands between two changes: a semicolon keeps them apart
    plain = len(said) < 3 and not any(one.endswith(GROOVED) for one in said[:-1])
    return (" and " if plain else "; ").join(said)


def _part_words(old: PartSpec, new: PartSpec, design: Design) -> Iterator[str]:
    if old.size_by is not new.size_by:
        yield _own_sheet_words(new, design.unit)
        return
    if not _same(old.size_mm, new.size_mm, SHOWN_MM):
        say = {
            SizeBy.OVERSIZE: _over_words,
            SizeBy.SAME_SHEET: _shift_words,
            SizeBy.EASE: _ease_words,
            SizeBy.CUT: _cut_words,
        }
        yield say.get(old.size_by, _size_words)(old, new, design.unit)
    for gap in new.gaps:
        was, now = getattr(old, gap.attribute), getattr(new, gap.attribute)
        if now is not None and (was is None or not _same((was,), (now,))):
            before = "" if was is None else f" instead of {settable(was, design.unit)}"
            yield f"make {gap.words} {settable(now, design.unit)}{before}"
    if isinstance(old, DividersSpec) and isinstance(new, DividersSpec):
        yield from _slot_words(old, new, design.unit)
    if isinstance(old, InsertSpec) and isinstance(new, InsertSpec):
        yield from _window_words(old, new, design.unit)
    if old.own_depth or new.own_depth:
        yield from _length_words(old, new, design)


def _slot_words(old: DividersSpec, new: DividersSpec, unit: Unit) -> Iterator[str]:
    """What a slot is wider than a strip is thick."""
    if not _same((old.slot_mm,), (new.slot_mm,)):
        now, was = settable(new.slot_mm, unit), settable(old.slot_mm, unit)
        yield f"cut the slots {now} wider than a strip is thick instead of {was}"


def _window_words(old: InsertSpec, new: InsertSpec, unit: Unit) -> Iterator[str]:
    """The window, or the play of what it holds."""
    if old.window_mm is None or new.window_mm is None or _same(old.window_mm, new.window_mm):
        return
    if new.hold is not None:
        play, was = _shown((new.play_mm, old.play_mm), unit)
        yield f"give what the {new.place}'s window holds {play} of play instead of {was}"
        return
    window, before = (" x ".join(_shown(one, unit)) for one in (new.window_mm, old.window_mm))
    yield f"make the {new.place}'s window {window} instead of {before}"


def _own_sheet_words(new: PartSpec, unit: Unit) -> str:
    """Of a lid that no longer follows its base's sheet size."""
    ways = zip(("wider", "longer"), new.size_mm, strict=True)
    over = " and ".join(_over(mm, way, unit) for way, mm in ways)
    (deep,) = _shown((new.depth_mm,), unit)
    return f"cut the lid's own sheet for a lid {over} than the base and {deep} deep"


def _shift_words(old: PartSpec, new: PartSpec, unit: Unit) -> str:
    """Of a lid from the base's sheet size, whose depth follows."""
    now, was = _shown((new.size_mm[0], old.size_mm[0]), unit)
    return f"move the lid's scores {now} nearer the edge than the base's instead of {was}"


def _ease_words(old: PartSpec, new: PartSpec, unit: Unit) -> str:
    """The way that its ease changes, or both."""
    ways = zip(new.ease_ways, new.size_mm, old.size_mm, strict=True)
    changed = [(way, *_shown((a, b), unit)) for way, a, b in ways if not _same((a,), (b,))]
    (way, now, was), *other = changed
    eases = f"{now} of ease {way} instead of {was}"
    for also, more, before in other:
        eases = f"{now} of ease {way} and {more} {also} instead of {was} and {before}"
    return f"give the {old.place} {eases}"


def _cut_words(old: PartSpec, new: PartSpec, unit: Unit) -> str:
    """The way that it is cut otherwise, or both."""
    ways = zip(new.ease_ways, new.size_mm, old.size_mm, strict=True)
    changed = [(way, *_shown((a, b), unit)) for way, a, b in ways if not _same((a,), (b,))]
    now = " and ".join(f"{mm} {way}" for way, mm, _ in changed)
    return f"make the {old.place} {now} instead of {' and '.join(was for *_, was in changed)}"


def _over_words(old: PartSpec, new: PartSpec, unit: Unit) -> str:
    """Of a lid given over the base: one way that it changes, or both."""
    sizes = list(zip(("wider", "longer"), new.size_mm, old.size_mm, strict=True))
    changed = [
        (_over(a, way, unit), settable(b, unit)) for way, a, b in sizes if abs(a - b) > SAME_MM
    ]
    if len(changed) == 1:
        ((now, was),) = changed
        return f"make the lid {now} than the base instead of {was}"
    over = " and ".join(now for now, _ in changed) + " than the base"
    if not _uneven(new):
        both, (shown,) = new.size_mm[0], _shown((abs(new.size_mm[0]),), unit)
        over = (
            f"{shown} {'wider and longer' if both > 0.0 else 'narrower and shorter'} than the base"
        )
        if abs(both) <= SAME_MM:
            over = "as wide and as long as the base"
    before = [was for _, was in changed]
    was = " and ".join(before) if _uneven(old) else before[0]
    return f"make the lid {over} instead of {was}"


def _over(mm: float, way: str, unit: Unit) -> str:
    """By how much something is wider or longer; what is less than nothing is said so.

    >>> _over(1.5, "longer", Unit.MM), _over(-0.5, "longer", Unit.MM), _over(0.0, "wider", Unit.MM)
    ('1.5 mm longer', '0.5 mm shorter', 'no wider')
    """
    if abs(mm) <= SAME_MM:
        return f"no {way}"
    less = {"wider": "narrower", "longer": "shorter"}
    return f"{settable(abs(mm), unit)} {way if mm > 0.0 else less[way]}"


def _size_words(old: PartSpec, new: PartSpec, unit: Unit) -> str:
    sizes = " x ".join(_shown(new.size_mm, unit))
    before = " x ".join(_shown(old.size_mm, unit))
    if old.size_by is SizeBy.CONTENTS:
        return f"leave {sizes} round the contents instead of {before}"
    what = SIZES.get(old.size_by, old.size_by.value.replace("_", " "))
    return f"make the {old.name}'s {what} {sizes} instead of {before}"


def _length_words(old: PartSpec, new: PartSpec, design: Design) -> Iterator[str]:
    unit, tools = design.unit, design.tools
    known = {"depth_mm": "outer wall"} | {one.attribute: one.words for one in new.own_lengths}
    changed = [
        key
        for key in known
        if getattr(new, key) is not None
        and (getattr(old, key) is None or not _same((getattr(old, key),), (getattr(new, key),)))
    ]
    before, after = (
        all(tools.on_grid(at) for at in _scores(spec, design.joint_mm)) for spec in (old, new)
    )
    why = GROOVED if after and not before else ""
    if changed == ["depth_mm"]:
        deep, was = _shown((new.depth_mm, old.depth_mm), unit)
        high = "high" if new.depth_key == "height" else "deep"
        yield f"make the {old.place} {deep} {high} instead of {was}{why}"
    elif changed:
        lengths = [f"{known[key]} {_shown((getattr(new, key),), unit)[0]}" for key in changed]
        yield f"make the {old.name}'s {_listed(lengths)}{why}"


def _scores(spec: PartSpec, joint_mm: float) -> set[float]:
    """How far a part's scores lie from the fences, mm."""
    recipe = style_of(spec.style).recipe(spec, LIKE_ANY_MM, joint_mm, None)
    return {rule.at_mm for rule in scored_rules(draw(recipe))}


def _listed(parts: list[str]) -> str:
    return " and its ".join([", its ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)


def _shown(lengths_mm: tuple[float, ...], unit: Unit) -> list[str]:
    """As a hand sets them: what is no plain fraction of an inch is given in millimetres."""
    return [settable(mm, unit) for mm in lengths_mm]


def settable(mm: float, unit: Unit) -> str:
    """A length as it is cut, in the unit in which a rule or a board has it.

    >>> settable(2.38125, Unit.IN), settable(2.5, Unit.IN), settable(18.31, Unit.IN)
    ('3/32 in', '2.5 mm', '18.31 mm (about 23/32 in)')
    >>> settable(83.82, Unit.IN)
    '3.3 in (83.82 mm)'
    >>> settable(22.5, Unit.MM), settable(7 * 3.175, Unit.MM), settable(18.31, Unit.MM)
    ('22.5 mm', '7/8 in (22.23 mm)', '18.31 mm')
    """
    plain, inches = f"{float(show_number(mm, 2)):g} mm", hand_unit(unit) is Unit.IN
    parts = mm / MM_PER[Unit.IN] * FRACTION
    in_inches = abs(parts - round(parts)) * MM_PER[Unit.IN] < FRACTION * ZERO_MM
    if inches and in_inches:
        return show_inches(mm)
    typed = mm / MM_PER[Unit.IN]
    if inches and abs(typed - round(typed, TYPED)) < SAME_INCHES:
        return f"{round(typed, TYPED):g} in ({plain})"
    if is_set_by_hand(mm, Unit.MM):
        return plain
    if in_inches:
        return f"{show_inches(mm)} ({plain})"
    near = show_hand(mm, Unit.IN)
    return f"{plain} (about {near} in)" if inches and near != "0" else plain


def _uneven(spec: PartSpec) -> bool:
    return not _same(spec.size_mm[:1], spec.size_mm[1:])


def _same(one: tuple[float, ...], other: tuple[float, ...], within_mm: float = SAME_MM) -> bool:
    return all(abs(a - b) < within_mm for a, b in zip(one, other, strict=True))
