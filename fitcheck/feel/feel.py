"""What a lid does when it is let go: two forces decide, friction and the air below it.

A lid that presses is held by its corners; one that has play sinks on its air, unless walls that
bow hold it up. One box or many are worked out by the same arrays.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from fitcheck.design.model import LidVerdict
from fitcheck.feel.driving import Driving, Giving
from fitcheck.feel.measured import Measured, measured
from fitcheck.feel.press import CORNER_CONTACTS, PRESS_FACTOR, SPLITS_N_MM, corner_of, slip_force
from fitcheck.feel.shell import Papers
from fitcheck.feel.sink import Sinking, sink
from fitcheck.feel.touch import HOLDS_TIMES, Touch, touches
from fitcheck.fit.check import Check
from fitcheck.folding.pose import Array, Flags
from fitcheck.stock.gives import GRAM_N

MIDDLE_AND_CORNER: Array = np.array([[0.0, 0.0], [1.0, 1.0]])
"""Where a lid may float, at the slowest and at the fastest."""
LEAK_PER_PERMEANCE = 1e-3
"""mm3/s for each Pa and each mm2 of a paper of 1 um/(Pa s)."""


@dataclass(frozen=True, eq=False)
class Boxes:
    """Many boxes like a measured one, (b, ...) each."""

    plays_mm: Array
    """(b, 2) across the width and the length."""
    places: Array
    """(b, 2) where each lid floats: 0 in the middle of its play, 1 or -1 against a side."""
    base: Papers
    lid: Papers
    on_lid_g: float = 0.0
    """What lies on the lid, as a coin."""
    lean_rad: float = 0.0
    """How far the box leans, so that its lid lies in a corner and rubs there."""

    @property
    def friction(self) -> Array:
        """(b,) between lid and base."""
        found: Array = np.sqrt(self.base.friction * self.lid.friction)
        return found


@dataclass(frozen=True, eq=False)
class Outcomes:
    """What the lids of many boxes do, (b,) each."""

    slip_n: Array
    """The force that moves a lid that presses."""
    rubbing_n: Array
    """What walls hold up that bow by themselves, where on its way they do most."""
    sinking: Sinking
    lid_n: float
    """The lid's weight."""
    rest_n: float
    """The weight of all else that is lifted by it, as far as it is known."""
    splits: Flags
    """Whether corners may open."""
    base_bows_mm: Array
    """(b, 4)"""
    lid_bows_mm: Array

    @cached_property
    def force_n(self) -> Array:
        """That moves each lid."""
        return self.slip_n + self.rubbing_n

    @cached_property
    def seconds(self) -> Array:
        """In which each sinks; inf where it does not."""
        return self.sinking.seconds


def outcomes(own: Measured, boxes: Boxes) -> Outcomes:
    """What the lids of boxes like a measured one do."""
    base_k, lid_k = own.base.springs(boxes.base), own.lid.springs(boxes.lid)
    giving = Giving(
        base_k,
        lid_k,
        own.base.bows_mm(boxes.base),
        own.lid.bows_mm(boxes.lid),
        own.base.height_mm,
        own.lid.height_mm,
    )
    corner = corner_of(
        own.lid.caliper_mm,
        None if own.base.stiff else own.base.caliper_mm,
        own.base.buckling_n(boxes.base),
    )
    slip = slip_force(corner, boxes.plays_mm, own.overlap_mm, boxes.friction)
    weight = (own.lid_g + boxes.on_lid_g) * GRAM_N
    down = weight * (np.cos(boxes.lean_rad) - boxes.friction * np.sin(boxes.lean_rad))
    driving = Driving(
        weight_n=down - slip,
        plan_mm2=np.full(len(slip), own.plan_mm2),
        leak_mm3_pa_s=LEAK_PER_PERMEANCE
        * (own.base.leak_mm2 * boxes.base.permeance + own.lid.leak_mm2 * boxes.lid.permeance),
        friction=boxes.friction,
    )
    line = slip / boxes.friction / (CORNER_CONTACTS * own.overlap_mm)
    sinking = sink(own.gap, _shifts(own, boxes), giving, driving)
    return Outcomes(
        slip_n=slip,
        rubbing_n=sinking.rubbing_n.max(axis=-1),
        sinking=sinking,
        lid_n=weight,
        rest_n=(own.rest_g + (own.contents_g or 0.0)) * GRAM_N,
        splits=line > SPLITS_N_MM,
        base_bows_mm=giving.base_bows_mm,
        lid_bows_mm=giving.lid_bows_mm,
    )


def _shifts(own: Measured, boxes: Boxes) -> Array:
    """By how much the gap at each side differs from the measured one, (b, 4) mm."""
    wider = 0.5 * (boxes.plays_mm - np.asarray(own.plays_mm))
    aside = boxes.places * 0.5 * np.maximum(boxes.plays_mm, 0.0)
    both = np.stack([wider - aside, wider + aside], axis=-1)
    found: Array = both.reshape(len(boxes.plays_mm), 4)
    return found


@dataclass(frozen=True)
class Band:
    """From the least that is likely to the most."""

    low: float
    high: float


@dataclass(frozen=True, eq=False)
class Feel:
    """How a lid feels as drawn."""

    touch: Touch
    """With papers as they are known."""
    measured: Measured
    sink_s: Band | None
    """From a lid that rests in a corner to one in the middle; None where it does not sink."""
    slip_n: Band | None
    """The force that moves it; None where its own weight does."""
    holds: bool | None
    """Whether the box is lifted by its lid; None where that cannot be told."""
    holds_g: float | None
    """How heavy a box it holds for certain, with all in it; None where its own weight moves it."""
    held_up: bool
    """Whether bowed walls alone carry it."""
    splits: bool
    """Whether corners may open."""
    sinking: Sinking
    """Of the lid in the middle of its play, and of one in a corner."""
    bows_mm: tuple[float, float]
    """How far the walls of base and lid that bow most do: outwards, or negative."""
    binds: bool = False
    """Whether it presses by more than the design lets a tight lid press."""

    @property
    def guessed(self) -> tuple[str, ...]:
        """What no file says of the papers, in words."""
        both = (self.measured.base.gives, self.measured.lid.gives)
        return tuple(dict.fromkeys(word for gives in both for word in gives.guessed))


@lru_cache(maxsize=8)
def feel_of(check: Check) -> Feel | None:
    """How the lid of a checked box feels; None without one that goes on."""
    own = measured(check)
    if own is None or check.lid is None:
        return None
    return replace(felt(own), binds=check.lid.verdict is LidVerdict.BINDS)


def as_known(own: Measured, places: Array) -> Boxes:
    """Boxes as drawn, of papers as they are known, whose lids float at places (b, 2)."""
    return Boxes(
        np.tile(own.plays_mm, (len(places), 1)),
        places,
        Papers.known(own.base.gives, len(places)),
        Papers.known(own.lid.gives, len(places)),
    )


def drawn_boxes(own: Measured, plays_mm: Array, rng: np.random.Generator) -> Boxes:
    """Boxes of plays (b, 2) mm, of papers as they may be, whose lids float anywhere.

    Nobody knows where: from the middle of its play to a corner.
    """
    count = len(plays_mm)
    return Boxes(
        plays_mm,
        rng.uniform(0.0, 1.0, (count, 2)),
        Papers.drawn(own.base.gives, count, rng),
        Papers.drawn(own.lid.gives, count, rng),
    )


def felt(own: Measured) -> Feel:
    """How a measured lid feels."""
    found = outcomes(own, as_known(own, MIDDLE_AND_CORNER))
    force, lid = float(found.force_n[0]), found.lid_n
    moved = force < lid
    # splayed walls push it aside, so that it floats somewhere between middle and corner
    between = np.sqrt(found.seconds.prod(keepdims=True))
    touch = touches(found.force_n[:1], between, lid, found.rest_n, found.splits[:1])
    sinks = Band(float(found.seconds.min()), float(found.seconds.max())) if moved else None
    slips = None if moved else Band(force / PRESS_FACTOR, force * PRESS_FACTOR)
    return Feel(
        touch=tuple(Touch)[int(touch[0])],
        measured=own,
        sink_s=sinks,
        slip_n=slips,
        holds=None if slips is None else _holds(slips, own),
        holds_g=None if slips is None else slips.low / GRAM_N / HOLDS_TIMES,
        held_up=not moved and float(found.slip_n[0]) < lid,
        splits=bool(found.splits[0]),
        sinking=found.sinking,
        bows_mm=(_most(found.base_bows_mm[0]), _most(found.lid_bows_mm[0])),
    )


def _holds(slips: Band, own: Measured) -> bool | None:
    """Whether a box is lifted by its lid: for certain, not, or it cannot be told."""
    known = own.rest_g * GRAM_N
    if slips.high < known:
        return False
    if own.contents_g is None:
        return None
    whole = known + own.contents_g * GRAM_N
    if slips.low > HOLDS_TIMES * whole:
        return True
    return False if slips.high < whole else None


def _most(bows: Array) -> float:
    return float(bows[int(np.argmax(np.abs(bows)))])
