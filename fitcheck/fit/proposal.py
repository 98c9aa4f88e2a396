"""A whole recipe from what a maker knows: what goes in, which box, which papers and board.

Sizes are rounded up to the board's grooves, so that every score lies in one; what goes over or
round is sized by what a hand can set. A proposal is checked and grown until it fits as drawn.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from fitcheck.design.model import Design, Lay
from fitcheck.design.read import design_from
from fitcheck.errors import InputError
from fitcheck.fit.assembly import base_recipe
from fitcheck.fit.check import Check, check
from fitcheck.fit.contents import ContentVerdict
from fitcheck.kinds.kind import lays
from fitcheck.stock.profile_files import find_stock
from fitcheck.styles.style import FEW_CALIPERS
from fitcheck.units import FRACTION, HAND_MM, MM_PER, Unit, show_inches

STYLES = ("tray", "shadow-box", "hinged-tray", "tuck-end", "sleeve")
"""What can be proposed; a sleeve goes round a tray."""
LIDDED = ("tray", "shadow-box")
LEAST_DEPTH_MM = 15.0
"""A lower base is hard to fold, and its lid to hold (common practice, no source)."""
LID_SHARE = 0.7
"""Of the base's depth: how deep a lid is."""
LIP_SHARE = 0.6
"""Of the base's depth: how deep a hinged lid's lip is."""
FRAME_MM = 9.5
"""A frame is about three eighths of an inch wide (common practice, no source)."""
ROUNDS = 12
"""A proposal is grown so often at the most."""
ROOM_ABOVE_MM = 0.5
"""What is left over the contents at the least."""
NUDGE = 1e-9


class Sits(enum.StrEnum):
    """How the contents and the lid are to sit."""

    SNUG = "snug"
    SLIDES = "slides"

    @property
    def slack_mm(self) -> float:
        """What is left round the contents, both sides together."""
        return 1.0 if self is Sits.SNUG else 2.5

    @property
    def play_mm(self) -> float:
        """Of a lid or a drawer, at the least."""
        return 0.3 if self is Sits.SNUG else 0.8


@dataclass(frozen=True)
class Wish:
    """What a maker says of a box that is to be proposed."""

    name: str
    style: str
    unit: Unit
    tools: str
    stocks: Mapping[str, str]
    """A paper's name for each part; that of the base where another part has none."""
    items: tuple[tuple[str, int], ...]
    """Each item and how many of it."""
    sits: Sits

    @property
    def title(self) -> str:
        """What the box is called, from its name."""
        return self.name.replace("-", " ").replace("_", " ").capitalize()

    @property
    def parts(self) -> tuple[str, ...]:
        """The tables of its parts."""
        if self.style == "sleeve":
            return "base", "sleeve"
        return ("base", "lid") if self.style in LIDDED else ("base",)


@dataclass(frozen=True)
class Proposal:
    """A proposed design and how it comes out as drawn."""

    data: Mapping[str, Any]
    """As a design file says it, lengths as texts in its unit."""
    check: Check


def proposed(wish: Wish, roots: Sequence[Path]) -> Proposal:
    """The recipe for a wish. Raises InputError where names are unknown or nothing holds it all."""
    draft = _Draft(wish, roots)
    sizes = draft.first()
    for _ in range(ROUNDS):
        data = draft.data(sizes)
        try:
            found = check(draft.design(data))
        except InputError:  # names are sound by now: it is too small to be folded
            sizes = draft.larger(sizes)
            continue
        better = draft.grown(sizes, found)
        if better == sizes:
            return Proposal(data, found)
        sizes = better
    raise InputError(
        f"{wish.name}: no recipe was found that holds it all; allowed: what fits into a box of a "
        "sheet; take fewer, or begin with a design of your own"
    )


@dataclass(frozen=True)
class _Sizes:
    """All that is sized, mm."""

    floor: tuple[float, float]
    depth: float
    ease: tuple[float, float] = (0.0, 0.0)
    """How much a lid's floor exceeds the base's, or a sleeve's sizes its tray's."""


class _Draft:
    """Makes and grows the data of one wish."""

    def __init__(self, wish: Wish, roots: Sequence[Path]) -> None:
        self.wish, self.roots = wish, roots
        self.grid_mm, self.hand_mm = 5.0, HAND_MM
        self.caliper_mm = find_stock(wish.stocks["base"], roots).caliper_mm
        probe = self.design(
            self._said({"slack": "1 mm", "depth": "300 mm"}, 0.0, (2.0, 2.0), 100.0)
        )
        tools = probe.tools
        inch = wish.unit is Unit.IN
        self.hand_mm = MM_PER[Unit.IN] / FRACTION if inch else HAND_MM
        self.grid_mm = tools.grid_mm or 4.0 * self.hand_mm
        self.contents = probe.contents

    def design(self, data: Mapping[str, Any]) -> Design:
        """The design that data says."""
        wish = self.wish
        return design_from(dict(data), wish.name, self.roots, {}, name=wish.name)

    def first(self) -> _Sizes:
        """The floor that the contents ask for at the depth that their highest asks for."""
        highest = max(
            min(pose.height_mm for pose in lays(one.item, one.lay)) for one in self.contents
        )
        depth = self._up(max(highest + 2.0 * self.caliper_mm, LEAST_DEPTH_MM))
        # one layer, so that nothing has to be taken out to see what lies below
        fold = 2.0 * FEW_CALIPERS * self.caliper_mm
        one_high = f"{max(highest + 2.0 * self.caliper_mm + ROOM_ABOVE_MM, fold)} mm"
        base = {"slack": f"{self.wish.sits.slack_mm} mm", "depth": one_high}
        data = self._said(base, 0.0, (2.0, 2.0), depth)
        recipe = base_recipe(self.design(data))
        floor = self._up(recipe.width_mm), self._up(recipe.length_mm)
        if self.wish.style == "tuck-end":
            floor = max(floor), min(floor)  # its lid hangs on a broad wall
        ease = self.wish.sits.play_mm + 4.0 * self.caliper_mm
        return _Sizes(floor, depth, (self._by_hand(ease), self._by_hand(ease)))

    def larger(self, sizes: _Sizes) -> _Sizes:
        """One groove more each way, and as much higher."""
        floor = self._wider(sizes.floor, (True, True))
        return replace(sizes, floor=floor, depth=sizes.depth + self.grid_mm)

    def data(self, sizes: _Sizes) -> dict[str, Any]:
        """What a design file says of those sizes."""
        floor = [self.text(side) for side in sizes.floor]
        base = {"floor": floor, "depth": self.text(sizes.depth)}
        return self._said(base, sizes.depth, sizes.ease, sizes.depth)

    def grown(self, sizes: _Sizes, found: Check) -> _Sizes:
        """Larger sizes where something does not fit or has too little to spare; else the same."""
        slack = self.wish.sits.slack_mm
        for fit in found.contents:
            if fit.slack is None:
                return replace(sizes, floor=self._wider(sizes.floor, (True, True)))
            if math.isfinite(fit.slack.height_mm) and fit.slack.height_mm < ROOM_ABOVE_MM:
                return replace(sizes, depth=sizes.depth + self.grid_mm)
            tight = fit.slack.width_mm < slack - 0.5, fit.slack.length_mm < slack - 0.5
            if fit.verdict is not ContentVerdict.FITS or any(tight):
                return replace(sizes, floor=self._wider(sizes.floor, tight))
        plays = self._plays(found)
        if plays is None:
            return sizes
        want = self.wish.sits.play_mm
        ease = tuple(
            max(own + self._by_hand(want - play), self.hand_mm)
            for own, play in zip(sizes.ease, plays, strict=True)
        )
        return replace(sizes, ease=(ease[0], ease[1]))

    def _plays(self, found: Check) -> tuple[float, float] | None:
        """Of the lid over the base, or of the drawer across and up."""
        if found.lid is not None:
            width, length = (travel.play_mm for travel in found.lid.slide.travels)
            return width, length
        if self.wish.style == "sleeve":
            across, up = found.mates[0].plays.values()
            return across, up
        return None

    def _wider(self, floor: tuple[float, float], tight: tuple[bool, bool]) -> tuple[float, float]:
        """One groove more each way that is tight, or both."""
        ways = tight if any(tight) else (True, True)
        wide, long = (side + self.grid_mm * way for side, way in zip(floor, ways, strict=True))
        return wide, long

    def _said(
        self,
        base: Mapping[str, Any],
        depth: float,
        ease: tuple[float, float],
        lid: float,
    ) -> dict[str, Any]:
        wish = self.wish
        style = "tray" if wish.style == "sleeve" else wish.style
        stock = wish.stocks["base"]
        known = {"style": style, "stock": stock, **base}
        if style == "shadow-box":
            frame = self.text(self._frame())
            known |= {"frame": frame, "inner_wall": known["depth"], "flap": frame}
        if style == "hinged-tray":
            # while the floor is looked for, any lip will do that can be folded
            few = (FEW_CALIPERS + 1.0) * self.caliper_mm
            known["lip"] = self.text(self._share(LIP_SHARE, depth) if depth else few)
        data: dict[str, Any] = {
            "format": 1,
            "title": wish.title,
            "unit": str(wish.unit),
            "tools": wish.tools,
            "base": known,
        }
        over = [self.text(own) for own in ease]
        if "lid" in wish.parts:
            data["lid"] = {
                "style": "tray",
                "stock": wish.stocks.get("lid", stock),
                "oversize": over,
                "depth": self.text(self._share(LID_SHARE, lid)),
            }
        if "sleeve" in wish.parts:
            own = wish.stocks.get("sleeve", stock)
            data["sleeve"] = {"style": "sleeve", "stock": own, "ease": over}
        lay = Lay.END if style == "tuck-end" else Lay.FLAT
        data["content"] = [
            {"item": item, "count": count, "lay": str(lay)} for item, count in wish.items
        ]
        return data

    def text(self, mm: float) -> str:
        """A length as a file says it, in the unit of the design."""
        if self.wish.unit is Unit.IN:
            return show_inches(mm).removesuffix(" in")
        return f"{mm:g} mm"

    def _frame(self) -> float:
        """About three eighths of an inch, on the grid."""
        return max(1, round(FRAME_MM / self.grid_mm)) * self.grid_mm

    def _share(self, share: float, depth: float) -> float:
        """A share of a depth, on the grid."""
        return max(1, math.floor(share * depth / self.grid_mm + NUDGE)) * self.grid_mm

    def _up(self, mm: float) -> float:
        return math.ceil(mm / self.grid_mm - NUDGE) * self.grid_mm

    def _by_hand(self, mm: float) -> float:
        return math.ceil(mm / self.hand_mm - NUDGE) * self.hand_mm
