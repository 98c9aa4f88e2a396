"""The odds of a design as arrays: every drawn box with its lengths, its errors and its verdict."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from fitcheck.errors import InputError
from fitcheck.face.frozen import Booleans, Floats, frozen, frozen_flags
from fitcheck.fit.check import Check
from fitcheck.frozen_map import FrozenMap
from fitcheck.odds.forms import Forms
from fitcheck.odds.inputs import Humidity
from fitcheck.odds.odds import FOLDED_AGAIN, LEAST_BOXES, MOST_BOXES, odds_from, prospect_of
from fitcheck.odds.propagate import Samples, drawn_together, streams_of
from fitcheck.odds.prospect import Prospect, good_flags
from fitcheck.odds.result import Odds as Told
from fitcheck.plain import shown

BOXES = 20_000
MOST_SEED = 2**63 - 1


@dataclass(frozen=True, eq=False)
class Odds:
    """So many virtual boxes made by hand of one design; n of them, k errors in each."""

    boxes: int
    seed: int
    _prospect: Prospect = field(repr=False)
    _asked: Prospect = field(repr=False)
    _forms: Forms = field(repr=False)
    _samples: Samples = field(repr=False)

    @cached_property
    def good(self) -> Booleans:
        """(n,) which boxes are right: the verdict that `Checked.fits` is of the drawing."""
        return frozen_flags(good_flags(self._asked, self._samples))

    @property
    def share(self) -> float:
        """How many of the boxes are right, 0 to 1."""
        return float(np.mean(self.good))

    @cached_property
    def lengths(self) -> Mapping[str, Floats]:
        """The lengths that decide, by their names, each (n,) mm: plays, and what is left to spare.

        One that no box can miss is left out.
        """
        rows = zip(self._asked.outlook.names, self._samples.outcomes, strict=True)
        return FrozenMap({name: frozen(row) for name, row in rows})

    @property
    def inputs(self) -> tuple[str, ...]:
        """The k things that come out differently from box to box, by name."""
        return tuple(one.name for one in self._forms.inputs)

    @property
    def u(self) -> Floats:
        """(k,) standard uncertainty of each, in its own unit (see `errors`)."""
        return frozen([one.variate.u for one in self._forms.inputs])

    @cached_property
    def errors(self) -> Floats:
        """(k, n) how far each was off in each box: mm; humidity in % relative humidity, the
        board's scale as a share. The same seed draws the same errors."""
        variates = [one.variate for one in self._forms.inputs]
        return frozen(drawn_together(variates, self.boxes, streams_of(self.seed)[0]))

    @cached_property
    def result(self) -> Told:
        """The odds summed up as the command line tells them: chances, intervals and shares.

        Folds up to 200 boxes anew to prove them. Its fields may change between versions.
        """
        return odds_from(self._prospect, self.boxes, self.seed, folded_again=FOLDED_AGAIN)

    def data(self) -> dict[str, Any]:
        """The same as plain data: what `check --json` writes under `odds`."""
        from fitcheck.outputs.odds_json import odds_data

        return odds_data(self.result)

    def __repr__(self) -> str:
        return f"Odds(boxes={self.boxes}, seed={self.seed}, share={self.share:.4f})"


def odds_for(
    check: Check,
    boxes: int = BOXES,
    seed: int = 0,
    humidity: tuple[float, float] | None = None,
) -> Odds:
    """Draw the boxes. Raises InputError for numbers that are out of range."""
    boxes = _whole("boxes", boxes, LEAST_BOXES, MOST_BOXES)
    seed = _whole("seed", seed, 0, MOST_SEED)
    whole = prospect_of(check, boxes, seed, _air(humidity))
    asked, forms = whole.asked()
    return Odds(boxes, seed, whole, asked, forms, asked.draw(forms, boxes, seed))


def _whole(name: str, value: Any, least: int, most: int) -> int:
    whole = isinstance(value, int | np.integer) and not isinstance(value, bool)
    if not whole or not least <= value <= most:
        raise InputError(
            f"{name}: read {shown(value)}; allowed: a whole number from {least} to {most}; "
            "correct it"
        )
    return int(value)


def _air(humidity: tuple[float, float] | None) -> Humidity | None:
    if humidity is None:
        return None
    try:
        low, high = (float(end) for end in humidity)
    except (TypeError, ValueError):
        low = high = np.nan
    if not 0.0 <= low < high <= 100.0:
        raise InputError(
            f"humidity: read {shown(humidity)}; allowed: (low, high) in % relative humidity, from "
            "0 to 100 and low below high; give a pair such as (30, 70)"
        )
    if high <= 1.0:
        raise InputError(
            f"humidity: read {shown(humidity)}, and no air is as dry as {high:g} %; allowed: (low, "
            f"high) in % relative humidity; for shares of one give ({100.0 * low:g}, "
            f"{100.0 * high:g})"
        )
    return Humidity(low, high)
