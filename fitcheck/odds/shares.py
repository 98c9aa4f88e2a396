"""Each input's share of the variance, and what it would buy to be surer of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.right import Flags
from fitcheck.odds.inputs import Input, Source
from fitcheck.odds.intervals import Chance, chance_of, surely_more
from fitcheck.odds.propagate import Samples

WORTH_SHARE = 0.02
"""Sources with less than this share of the variance are not worth bettering."""
STACK_U_MM = 0.003
"""Caliper from a stack of ten sheets under a 0.1 mm caliper rule: 0.1 mm / sqrt(12) / 10."""
SAME_MM = 1e-9
"""What varies by less than this does not vary."""
MEASURE = "measure the {} itself, twice as exactly"
COUPON_U_MM = 0.02
"""Crease allowance from folded coupons; common practice, no source."""


@dataclass(frozen=True)
class Share:
    """One input's share of the variance of a quantity."""

    name: str
    share: float


@dataclass(frozen=True)
class Gain:
    """What the odds would become if some inputs were better known or better made."""

    what: str
    share: float
    """Of the variance, by all inputs meant together."""
    before: Chance
    after: Chance


def shares_of(samples: Samples, row: int, inputs: Sequence[Input]) -> tuple[Share, ...]:
    """Squared correlation of each input with a quantity, the largest first.

    For a linear quantity that is the linear law's share of the variance. Where pairs take turns
    in coming first the shares do not add up to one: the rest is in which of them does. Inputs of
    one label, such as the pieces of one item, have one share together.
    """
    variance = float(samples.outcomes[row].var())
    if variance < SAME_MM**2:
        return ()
    shares = samples.covariances[:, row] ** 2 / variance
    together: dict[str, list[float]] = {}
    for one, share in zip(inputs, shares.tolist(), strict=True):
        together.setdefault(one.label, []).append(share)
    # chance alone makes a squared correlation of 1/boxes, give or take as much again and a half
    found = [
        Share(label, sum(own))
        for label, own in together.items()
        if sum(own) > (len(own) + 3.0 * math.sqrt(len(own))) / samples.boxes
    ]
    return tuple(sorted(found, key=lambda one: -one.share))


@dataclass(frozen=True, eq=False)
class Cure:
    """A way to better some inputs: their new standard uncertainties by label."""

    what: str
    """What to do."""
    changed: dict[str, float]


def cures_for(inputs: Sequence[Input]) -> tuple[Cure, ...]:
    """What hands could do about each source of error, the design left as it is."""
    found: list[Cure] = []
    parts = dict.fromkeys(part for i in inputs if i.source is Source.CUT for part in i.parts)
    for part in parts:
        cuts = _own(inputs, Source.CUT, part)
        sheet = f"{part}'s sheet" if all(i.variate.largest_of == 1 for i in cuts) else part
        found.append(_halved(f"cut the {sheet} twice as exactly", cuts))
        for what, fits in (("mitres and tabs", False), ("slots", True)):
            knives = [
                one
                for one in _own(inputs, Source.KNIFE, part)
                if one.knife is not None and one.knife.fits is fits
            ]
            named = [one.knife.name for one in knives if one.knife is not None]
            cut = "window" if fits and any(name.startswith("window") for name in named) else what
            found.append(_halved(f"cut the {part}'s {cut} twice as exactly", knives))
    calipers = [i for i in inputs if i.source is Source.CALIPER and i.variate.u > STACK_U_MM]
    found += [
        Cure(f"measure the thickness of {i.item} on a stack of ten sheets", {i.label: STACK_U_MM})
        for i in calipers
    ]
    creases = [i for i in inputs if i.source is Source.CREASE and i.variate.u > COUPON_U_MM]
    found += [
        Cure(f"fold coupons of {i.item} and measure its crease", {i.label: COUPON_U_MM})
        for i in creases
    ]
    items = dict.fromkeys(i.item for i in inputs if i.source is Source.CONTENT)
    for item in items:
        own = [i for i in inputs if i.source is Source.CONTENT and i.item == item]
        each = any(i.shared_name for i in own)
        what = "pick pieces of {} that are twice as much alike" if each else MEASURE
        found.append(_halved(what.format(item), own))
    joints = [i for i in inputs if i.source is Source.JOINT]
    found.append(_halved("glue the joints twice as evenly", joints))
    return tuple(cure for cure in found if cure.changed)


def gains_of(
    cures: Iterable[Cure],
    shares: Sequence[Share],
    before: Flags,
    again: Callable[[Sequence[Cure]], Sequence[Flags]],
) -> tuple[Gain, ...]:
    """The odds with each cure that really helps, the most helpful first.

    `before` says which of the drawn boxes are right, `again` which of the same boxes, drawn with
    the same numbers, are right with each cure; what helps no more than chance does is left out.
    """
    share_of = {one.name: one.share for one in shares}
    worth = {cure: sum(share_of.get(name, 0.0) for name in cure.changed) for cure in cures}
    tried = [cure for cure, share in worth.items() if share >= WORTH_SHARE]
    found = [
        Gain(cure.what, worth[cure], chance_of(before), chance_of(after))
        for cure, after in zip(tried, again(tried), strict=True)
        if surely_more(before, after)
    ]
    return tuple(sorted(found, key=lambda gain: -gain.after.share))


def _own(inputs: Sequence[Input], source: Source, part: str) -> list[Input]:
    return [one for one in inputs if one.source is source and part in one.parts]


def _halved(what: str, inputs: Sequence[Input]) -> Cure:
    return Cure(what, {one.label: 0.5 * one.variate.u for one in inputs})


def remainder(shares: Sequence[Share]) -> float:
    """The share of the variance that no input has by itself."""
    return float(np.clip(1.0 - sum(one.share for one in shares), 0.0, 1.0))
