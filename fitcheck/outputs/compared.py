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
from fitcheck.outputs.inside import insides_of
from fitcheck.outputs.mate_text import signed
from fitcheck.pattern.counted import sheet_by_hand_mm
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.paper import Stock
from fitcheck.styles.part import PartSpec
from fitcheck.units import TIMES, Unit, hand_unit, is_set_by_hand, show_number, show_one
from fitcheck.workspace.size_texts import show_room

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
    """As it is shown where it does not look other than the other one: in mm, to a hundredth."""

    def finer(self) -> Shown:
        """Shown as exactly as it is known."""
        return self if self.exact is None else dataclasses.replace(self, text=self.exact)


@dataclass(frozen=True)
class Ruler:
    """In what lengths of one of the two are told."""

    unit: Unit
    """Its own."""
    beside_mm: bool
    """Whether the other is in millimetres: then they stand behind inches."""

    def reads(self, lengths_mm: Sequence[float]) -> str:
        """Lengths across each other as they are drawn; two that are alike are said once.

        >>> Ruler(Unit.IN, beside_mm=True).reads([82.55, 114.3])
        '3 1/4 x 4 1/2 in (82.55 x 114.3 mm)'
        """
        end = f" {hand_unit(self.unit)}"
        told = (show_one(mm, self.unit).removesuffix(end) for mm in lengths_mm)
        mine = TIMES.join(dict.fromkeys(told)) + end
        if self.unit is Unit.IN and self.beside_mm:
            return f"{mine} ({Ruler(Unit.MM, beside_mm=True).reads(lengths_mm)})"
        return mine


@dataclass(frozen=True)
class Row:
    """One thing of both."""

    of: str
    """A part by its name, or what else it is of."""
    what: str
    both: tuple[Shown, Shown]

    @property
    def same(self) -> bool:
        """Whether both are alike, in whatever unit they are shown."""
        one, other = (own.finer().text for own in self.both)
        return one == other

    def apart(self) -> Row:
        """Shown so that one is seen to differ from the other."""
        if self.both[0].text != self.both[1].text:
            return self
        return dataclasses.replace(self, both=(self.both[0].finer(), self.both[1].finer()))


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

    Lengths are shown in each one's own unit: what is 75 mm is no fraction of an inch.
    """
    units = [check.design.unit for check in checks]
    rulers = [Ruler(unit, beside_mm=set(units) != {Unit.IN}) for unit in units]
    drawn = _beside(*map(_said, (check.design for check in checks), rulers))
    found = _beside(*map(_came_out, checks, odds or (None, None), rulers))
    return Compared(checks, odds, drawn, found)


def _beside(one: Values, other: Values) -> tuple[Row, ...]:
    """What is not alike, in the first one's order."""
    nothing = Shown(NOTHING, None)
    keys = dict.fromkeys([*one, *other])
    # what only the second has stands with the rest of what it is of
    order = list(dict.fromkeys(of for of, _ in keys))
    rows = []
    for key in sorted(keys, key=lambda key: order.index(key[0])):
        rows.append(Row(*key, (one.get(key, nothing), other.get(key, nothing))))
    return tuple(row.apart() for row in rows if not row.same)


def _said(design: Design, ruler: Ruler) -> Values:
    """What a design says: tools, adhesive, parts, contents."""
    found: Values = {
        ("box", "board and trimmer"): _word(design.tools.name),
        ("box", "adhesive"): _length(design.joint_mm, ruler),
        ("box", "lid wanted"): _word(", ".join(sorted(design.want))),
    }
    if design.want_sink is not None:
        low, high = design.want_sink
        found["box", "sink wanted"] = _word(f"{low:g} to {high:g} s")
    for part in design.parts:
        found |= {(part.name, what): own for what, own in _part(part, ruler).items()}
    for content in design.contents:
        found["contents", content.item.name] = _word(f"{content.count}, {content.lay}")
    return found


def _part(part: PartSpec, ruler: Ruler) -> dict[str, Shown]:
    """What a part says, by the keys of a design file as near as may be."""
    found = {"style": _word(part.style), **_stock(part.stock)}
    found[part.size_by.value.replace("_", " ")] = _value(part.size_mm, ruler)
    known = {"name", "style", "stock", "size_by", "size_mm", "decoration_g"}
    if part.decoration_g:
        found["stuck on"] = Shown(f"{part.decoration_g:g} g", part.decoration_g)
    for field in dataclasses.fields(part):
        value = getattr(part, field.name)
        if field.name not in known and value is not None and _plain(value):
            found[field.name.removesuffix("_mm").replace("_", " ")] = _value(value, ruler)
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


def _value(value: object, ruler: Ruler) -> Shown:
    if isinstance(value, tuple):
        plain = " x ".join(f"{one:g}" for one in value)
        return _lengths([float(one) for one in value], plain, ruler)
    if isinstance(value, bool):
        return _word("yes" if value else "no")
    if isinstance(value, float):
        return _length(value, ruler)
    return _word(str(value))


def _came_out(check: Check, odds: Odds | None, ruler: Ruler) -> Values:
    """How a design comes out."""
    found: Values = {}
    if odds is not None:
        share = odds.good.share if odds.good.known else None
        found["right", "made by hand"] = Shown(out_of_100(odds.good), share)
    found["right", "as drawn"] = _word("everything fits" if check.fits else "does not fit")
    for part in check.assembly.parts:
        sizes, of = part.sizes, part.recipe.part
        sheet = sheet_by_hand_mm(plan_of(part.pattern), ruler.unit, check.design.tools)
        found[of, "sheet"] = _value(sheet, ruler)
        if part.pattern.flat:
            continue
        found[of, "outside"] = _room(sizes.outside_mm, ruler, up=True)
        for inside in insides_of(part):
            found[of, f"{inside.words} {inside.where}".rstrip()] = _room(inside.size_mm, ruler)
        found[of, "depth inside"] = _room((sizes.depth_mm,), ruler)
    if check.lid is not None:
        lid = check.lid
        found["lid fit", "verdict"] = _word(lid.verdict)
        plays = {travel.axis: travel.play_mm for travel in lid.slide.travels}
        found |= _plays("lid fit", "play", plays)
        feel = feel_of(check)
        if feel is not None:
            found["lid fit", "feel"] = _word(feel.touch)
        found["lid fit", "overlap"] = _length(lid.overlap_mm, ruler)
        found["lid fit", "closed height"] = _room((lid.closed_height_mm,), ruler, up=True)
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


def _length(mm: float, ruler: Ruler) -> Shown:
    return _lengths([mm], mm, ruler)


def _lengths(lengths_mm: Sequence[float], value: float | str, ruler: Ruler) -> Shown:
    """As they are drawn, or to a hundredth where no rule shows them and they are small."""
    exact = f"{TIMES.join(dict.fromkeys(show_number(mm, 2) for mm in lengths_mm))} mm"
    set_by_hand = all(is_set_by_hand(mm, ruler.unit) for mm in lengths_mm)
    small = min(lengths_mm) < SMALL_MM and not set_by_hand
    return Shown(exact if small else ruler.reads(lengths_mm), value, exact)


def _room(lengths_mm: tuple[float, ...], ruler: Ruler, *, up: bool = False) -> Shown:
    """What is between walls, no more than there is; or round them, `up`, no less."""
    like = _value(lengths_mm if len(lengths_mm) > 1 else lengths_mm[0], ruler)
    shown = show_room(lengths_mm, ruler.unit, up=up)
    # a fraction of an inch is rounded: the millimetres behind it say what it is
    text = shown if ruler.unit is Unit.IN else shown.partition(" (")[0]
    return Shown(text, like.value, like.exact)


def _word(text: str) -> Shown:
    return Shown(str(text), str(text))


def rows_of(rows: Iterable[Row]) -> list[dict[str, object]]:
    """Rows as plain data."""
    return [
        {"of": row.of, "what": row.what, "values": [own.value for own in row.both]} for row in rows
    ]
