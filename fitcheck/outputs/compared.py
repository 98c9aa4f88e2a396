"""Two designs side by side: what differs in what was drawn, and what that does to the box."""

from __future__ import annotations

import dataclasses
import enum
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from fitcheck.design.model import Design
from fitcheck.feel.feel import feel_of
from fitcheck.fit.check import Check
from fitcheck.odds.result import Odds
from fitcheck.outputs.bench_words import SMALL_MM, of_100, out_of_100
from fitcheck.outputs.mate_text import signed
from fitcheck.pattern.counted import sheet_by_hand_mm
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.paper import Stock
from fitcheck.styles.part import PartSpec
from fitcheck.units import Unit, hand_unit, is_set_by_hand, show_hand, show_number, show_room

NOTHING = "-"
"""What stands where one of two has nothing of the kind."""
Values: TypeAlias = dict[tuple[str, str], "Shown"]
"""By what it is of, and what it is."""


@dataclass(frozen=True)
class Shown:
    """A value as it is shown, and as it is."""

    text: str
    value: float | str | None
    """Lengths in mm, chances from 0 to 1."""
    exact: str | None = None
    """As it is shown where a rule does not tell it from the other."""

    def finer(self) -> Shown:
        """Shown as exactly as it is known."""
        return self if self.exact is None else dataclasses.replace(self, text=self.exact)


@dataclass(frozen=True)
class Row:
    """One thing of both."""

    of: str
    """A part by its name, or what else it is of."""
    what: str
    both: tuple[Shown, Shown]

    @property
    def same(self) -> bool:
        """Whether both are shown alike."""
        return self.both[0].text == self.both[1].text


@dataclass(frozen=True)
class Compared:
    """Two designs side by side."""

    checks: tuple[Check, Check]
    odds: tuple[Odds, Odds] | None
    drawn: tuple[Row, ...]
    """What differs in what they say."""
    found: tuple[Row, ...]
    """What differs in how they come out."""

    @property
    def fit(self) -> bool:
        """Whether everything fits in both, as drawn."""
        return all(check.fits for check in self.checks)


def compared(checks: tuple[Check, Check], odds: tuple[Odds, Odds] | None) -> Compared:
    """Two checked designs side by side, with their odds where they were counted.

    Lengths are shown in the first one's unit.
    """
    unit = checks[0].design.unit
    drawn = _beside(*(_said(check.design, unit) for check in checks))
    ours = odds or (None, None)
    found = _beside(*(_came_out(*own, unit) for own in zip(checks, ours, strict=True)))
    return Compared(checks, odds, drawn, found)


def _beside(one: Values, other: Values) -> tuple[Row, ...]:
    """What is not alike, in the first one's order."""
    nothing = Shown(NOTHING, None)
    keys = dict.fromkeys([*one, *other])
    # what only the second has stands with the rest of what it is of
    order = list(dict.fromkeys(of for of, _ in keys))
    rows = []
    for key in sorted(keys, key=lambda key: order.index(key[0])):
        both = one.get(key, nothing), other.get(key, nothing)
        row = Row(*key, both)
        rows.append(Row(*key, (both[0].finer(), both[1].finer())) if row.same else row)
    return tuple(row for row in rows if not row.same)


def _said(design: Design, unit: Unit) -> Values:
    """What a design says: tools, adhesive, parts, contents."""
    found: Values = {
        ("box", "board and trimmer"): _word(design.tools.name),
        ("box", "adhesive"): _length(design.joint_mm, unit),
        ("box", "lid wanted"): _word(", ".join(sorted(design.want))),
    }
    if design.want_sink is not None:
        low, high = design.want_sink
        found["box", "sink wanted"] = _word(f"{low:g} to {high:g} s")
    for part in design.parts:
        found |= {(part.name, what): own for what, own in _part(part, unit).items()}
    for content in design.contents:
        found["contents", content.item.name] = _word(f"{content.count}, {content.lay}")
    return found


def _part(part: PartSpec, unit: Unit) -> dict[str, Shown]:
    """What a part says, by the keys of a design file as near as may be."""
    found = {"style": _word(part.style), **_stock(part.stock)}
    found[part.size_by.value.replace("_", " ")] = _value(part.size_mm, unit)
    known = {"name", "style", "stock", "size_by", "size_mm", "decoration_g"}
    if part.decoration_g:
        found["stuck on"] = Shown(f"{part.decoration_g:g} g", part.decoration_g)
    for field in dataclasses.fields(part):
        value = getattr(part, field.name)
        if field.name not in known and value is not None and _plain(value):
            found[field.name.removesuffix("_mm").replace("_", " ")] = _value(value, unit)
    return found


def _stock(stock: Stock) -> dict[str, Shown]:
    return {
        "stock": _word(stock.name),
        "caliper": Shown(f"{stock.caliper_mm:.3f} mm", stock.caliper_mm),
        "crease allows": Shown(f"{stock.crease_allowance_mm:.2f} mm", stock.crease_allowance_mm),
    }


def _plain(value: object) -> bool:
    """Whether a value is a length, some of them, a word or a yes."""
    if isinstance(value, tuple):
        return all(isinstance(one, float) for one in value)
    return isinstance(value, float | int | str | enum.Enum)


def _value(value: object, unit: Unit) -> Shown:
    if isinstance(value, tuple):
        plain = " x ".join(f"{one:g}" for one in value)
        return _lengths([float(one) for one in value], plain, unit)
    if isinstance(value, bool):
        return _word("yes" if value else "no")
    if isinstance(value, float):
        return _length(value, unit)
    return _word(str(value))


def _came_out(check: Check, odds: Odds | None, unit: Unit) -> Values:
    """How a design comes out."""
    found: Values = {}
    if odds is not None:
        share = odds.good.share if odds.good.known else None
        found["right", "made by hand"] = Shown(out_of_100(odds.good), share)
    found["right", "as drawn"] = _word("everything fits" if check.fits else "does not fit")
    for part in check.assembly.parts:
        sizes, of = part.sizes, part.recipe.part
        sheet = sheet_by_hand_mm(plan_of(part.pattern), unit, check.design.tools)
        found[of, "sheet"] = _value(sheet, unit)
        if part.pattern.flat:
            continue
        found[of, "outside"] = _room(sizes.outside_mm, unit, up=True)
        found[of, part.recipe.inside_words] = _room(sizes.inside_mm, unit)
        found[of, "depth inside"] = _room((sizes.depth_mm,), unit)
    if check.lid is not None:
        lid = check.lid
        found["lid fit", "verdict"] = _word(lid.verdict)
        plays = {travel.axis: travel.play_mm for travel in lid.slide.travels}
        found |= _plays("lid fit", "play", plays)
        feel = feel_of(check)
        if feel is not None:
            found["lid fit", "feel"] = _word(feel.touch)
        found["lid fit", "overlap"] = _length(lid.overlap_mm, unit)
        found["lid fit", "closed height"] = _room((lid.closed_height_mm,), unit, up=True)
    for fit in check.mates:
        found[fit.mate.called, "verdict"] = _word(fit.verdict)
        held = {way: play for way, play in fit.plays.items() if fit.mate.held(way)}
        found |= _plays(fit.mate.called, "play", held)
    found |= _contents(check)
    if odds is not None:
        found |= _chances(odds)
    return found


def _contents(check: Check) -> Values:
    found: Values = {}
    for fit in check.contents:
        of = fit.content.item.name
        found[of, "verdict"] = _word(fit.verdict)
        if fit.own is not None:
            slack = {Axis.WIDTH: fit.own.width_mm, Axis.LENGTH: fit.own.length_mm}
            high = fit.own.height_mm
            room: dict[str, float] = {str(axis): mm for axis, mm in slack.items()}
            found |= _plays(of, "room", room | ({"height": high} if math.isfinite(high) else {}))
    return found


def _chances(odds: Odds) -> Values:
    """How often each thing goes, by hand."""
    found: Values = {}
    if odds.lid is not None:
        for verdict, chance in odds.lid.chances.items():
            found["by hand", f"lid {verdict}"] = Shown(f"{of_100(chance)} of 100", chance.share)
    for mate in odds.mates:
        goes = Shown(f"{of_100(mate.goes)} of 100", mate.goes.share)
        found["by hand", f"{mate.mate.called} goes"] = goes
    for one in odds.contents:
        fits = Shown(f"{of_100(one.fits)} of 100", one.fits.share)
        found["by hand", f"{one.content.item.name} fits"] = fits
    return found


def _plays(of: str, what: str, plays: Mapping[str, float]) -> Values:
    return {
        (of, f"{what}, {way}"): Shown(signed(mm), mm if math.isfinite(mm) else None)
        for way, mm in plays.items()
    }


def _length(mm: float, unit: Unit) -> Shown:
    return _lengths([mm], mm, unit)


def _lengths(lengths_mm: Sequence[float], value: float | str, unit: Unit) -> Shown:
    """As a rule shows them, or to a hundredth where it does not and they are small."""
    # two that are alike are said once
    exact = f"{' x '.join(dict.fromkeys(show_number(mm, 2) for mm in lengths_mm))} mm"
    if min(lengths_mm) < SMALL_MM and not all(is_set_by_hand(mm, unit) for mm in lengths_mm):
        return Shown(exact, value)
    shown = " x ".join(dict.fromkeys(show_hand(mm, unit) for mm in lengths_mm))
    return Shown(f"{shown} {hand_unit(unit)}", value, exact)


def _room(lengths_mm: tuple[float, ...], unit: Unit, *, up: bool = False) -> Shown:
    """What is between walls, no more than there is; or round them, `up`, no less."""
    like = _value(lengths_mm if len(lengths_mm) > 1 else lengths_mm[0], unit)
    shown = show_room(lengths_mm, unit, up=up).partition(" (")[0]
    return Shown(shown, like.value, like.exact or like.text)


def _word(text: str) -> Shown:
    return Shown(str(text), str(text))


def rows_of(rows: Iterable[Row]) -> list[dict[str, object]]:
    """Rows as plain data."""
    return [
        {"of": row.of, "what": row.what, "values": [own.value for own in row.both]} for row in rows
    ]
