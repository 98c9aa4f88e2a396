"""What each input does to the play and to the chances of a design, for whoever explains outcomes.

The same boxes are drawn as for the odds. For inputs drawn from a normal law the covariance of an
input, in its standard uncertainties, with an outcome is the outcome's mean slope by that input,
and the covariance of its square is the slope by the logarithm of its spread (Stein 1981): so the
chances' gradients come from the draws themselves, and no box is folded again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fitcheck.fit.right import Flags, enough, right
from fitcheck.folding.pose import Array
from fitcheck.odds.inputs import Input
from fitcheck.odds.propagate import Samples, sample, streams_of
from fitcheck.odds.prospect import Prospect, deciding
from fitcheck.odds.quantities import LID_PLAY


@dataclass(frozen=True, eq=False)
class Effect:
    """What one input does to the boxes of a design."""

    cause: Input
    play_mm: float
    """How much the mean smaller play of what closes it rises with the input by its own spread."""
    fits: float
    """How much the share of boxes that take their contents rises with it."""
    fits_spread: float
    """How much that share rises with the logarithm of the input's spread."""


@dataclass(frozen=True, eq=False)
class Outcomes:
    """Drawn boxes as somebody meets them who makes them, and what each input does to that."""

    play_mm: Array
    """(n,) the smaller play of what closes it."""
    right: Flags
    """(n,) all that makes a box right."""
    lid_right: Flags
    """(n,) the same, whatever the contents do."""
    fits: Flags | None
    """(n,) all contents go in; None for a design without any."""
    effects: tuple[Effect, ...]


def outcomes_of(whole: Prospect, boxes: int, seed: int, closing: str = LID_PLAY) -> Outcomes:
    """The outcomes of the very boxes that the odds of that seed count.

    `closing` is the play of what closes it. Raises ValueError where that does not go at all.
    """
    prospect, forms = whole.asked()
    play_row = prospect.outlook.row(closing)
    variates = [one.variate for one in forms.inputs]
    means = np.array([one.expected for one in variates])[:, None]
    steps = np.array([one.deviation or 1.0 for one in variates])[:, None]
    squares, with_fits = np.zeros(len(variates)), np.zeros(len(variates))

    def boxes_of(offsets: Array) -> Array:
        found = prospect.outlook.evaluate(forms, offsets)
        good, lid, fits = _flags(prospect, found)
        square = ((offsets - means) / steps) ** 2
        squares[:] += square.sum(axis=1)
        with_fits[:] += square @ fits
        return np.stack([found[play_row], good, lid, fits])

    drawn = sample(variates, boxes_of, boxes, streams_of(seed)[0])
    play, good, lid, fits = drawn.outcomes
    spreads = (with_fits - squares * fits.mean()) / boxes
    return Outcomes(
        play,
        good > 0.5,
        lid > 0.5,
        fits > 0.5 if prospect.check.contents else None,
        tuple(
            Effect(one, float(slopes[0]), float(slopes[3]), float(spread))
            for one, slopes, spread in zip(forms.inputs, drawn.covariances, spreads, strict=True)
        ),
    )


def _flags(prospect: Prospect, outcomes: Array) -> tuple[Array, Array, Array]:
    """Which boxes (m,) are right, are right but for their contents, and take them; 0 or 1."""
    design, boxes = prospect.check.design, outcomes.shape[1]
    box = deciding(prospect, Samples(outcomes))
    good = right(box, design.bands, design.want)
    lid = right(replace(box, slacks_mm=()), design.bands, design.want)
    fits = np.asarray(True)
    for slack in box.slacks_mm:
        fits = fits & enough(slack)
    return tuple(np.broadcast_to(one, (boxes,)).astype(float) for one in (good, lid, fits))  # type: ignore[return-value]
