"""How what fits in a box is taken out of it again, under the lid that this box has."""

from __future__ import annotations

from collections.abc import Collection

from fitcheck.fit.check import Check
from fitcheck.fit.content_fit import ContentFit, ContentVerdict
from fitcheck.fit.fingers import over_rim
from fitcheck.pattern.sheet import Axis


def taking_out(check: Check, fit: ContentFit) -> str:
    """What to make so that a content comes out, in words; empty where it does not go in, or comes
    out as it is."""
    if fit.verdict is not ContentVerdict.FITS:
        return ""
    return fit.fingers.advice(check.design.unit, _over(check))


def _over(check: Check) -> Collection[Axis]:
    """The ways that a ribbon may run over the rim: not from between strips, nor under what hangs,
    is tucked in or slides over the box."""
    if check.compartments is not None:
        return ()
    if check.lid is None:
        return () if check.cover else tuple(Axis)
    first, second = check.lid.slide.travels
    return over_rim((first.play_mm, second.play_mm))
