"""Frozen forecasts with a law that is known in closed form, and boxes that come out by another."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from scipy.stats import norm

from fitcheck.learn.forecast import (
    Bands,
    BandShares,
    Chances,
    FrozenForecast,
    InputRow,
    PlayTable,
    VersionRow,
)
from fitcheck.learn.made import BoxOutcome, BoxRecord, Forecast, Frozen
from fitcheck.learn.play_law import LEVELS
from fitcheck.learn.scored_boxes import ScoredBox

TIGHT, SNUG, LOOSE = 0.15, 0.20, 1.50
DIGEST = "0" * 64


def frozen_forecast(
    mean_mm: float,
    u_mm: float,
    *,
    fits: float | None = None,
    inputs: Sequence[InputRow] = (),
    design: str = "box",
    stocks: dict[str, str] | None = None,
) -> FrozenForecast:
    """A forecast whose play is normal and whose lid is right from 0 mm to LOOSE."""
    below = norm(mean_mm, u_mm).cdf
    ends = [0.0, *map(float, map(below, (-TIGHT, 0.0, SNUG, LOOSE))), 1.0]
    bands = dict(zip(("binds", "tight", "snug", "slides", "loose"), np.diff(ends), strict=True))
    lid = bands["snug"] + bands["slides"]
    return FrozenForecast(
        design=design,
        title="A box",
        unit="mm",
        frozen="2026-11-02",
        program="0",
        boxes=20_000,
        seed=0,
        versions=[VersionRow(what="design", name=design, sha256=DIGEST)],
        stocks=stocks or {"base": "card", "lid": "card"},
        tools="board",
        bands=Bands(tight_mm=TIGHT, snug_mm=SNUG, loose_mm=LOOSE),
        want=["snug", "slides"],
        verdict="slides",
        nominal_play_mm=mean_mm,
        chances=Chances(
            right=lid * (1.0 if fits is None else fits),
            lid_right=lid,
            fits=fits,
            bands=BandShares(**bands),
        ),
        contents=[],
        play_mm=PlayTable(
            mean=mean_mm, u=u_mm, levels=LEVELS, values=tuple(mean_mm + u_mm * norm.ppf(LEVELS))
        ),
        inputs=list(inputs),
    )


def made(
    forecast: FrozenForecast,
    play_mm: float,
    *,
    measured: bool = True,
    fitted: bool | None = None,
    date: str = "2026-11-20",
) -> ScoredBox:
    """A box that came out with a play, as its maker would record it."""
    outcome = (
        BoxOutcome.BOUND
        if play_mm <= -TIGHT
        else BoxOutcome.TIGHT
        if play_mm < 0.0
        else BoxOutcome.SLID
        if play_mm < LOOSE
        else BoxOutcome.LOOSE
    )
    read = round(play_mm, 3) if measured and play_mm >= 0.0 else None
    box = BoxRecord(
        date, "me", forecast.design, forecast.title, outcome, read, read, "",
        Forecast("slides", 0.4, None), fitted=fitted, 
        frozen=Frozen("forecast-box-0001.json", DIGEST),
    )  # fmt: skip
    return ScoredBox(box, forecast)


def mean_for(right: float, u_mm: float = 0.3) -> float:
    """The mean of a play that is at least 0 in so large a share of boxes."""
    return u_mm * float(norm.ppf(right))


def row(
    source: str, of: str, u: float, play_mm: float, *, name: str = "", in_groove: bool = False
) -> InputRow:
    """An input of a forecast."""
    return InputRow(
        name=name or f"{source} of {of}", source=source, of=of, in_groove=in_groove, u=u,
        play_mm=play_mm, fits=0.0, fits_spread=0.0,
    )  # fmt: skip


@lru_cache(maxsize=256)
def said_and_true(said: float, true: float, u_mm: float = 0.3) -> tuple[FrozenForecast, float]:
    """A forecast that says so many right, and the mean play by which so many really are."""
    return frozen_forecast(mean_for(said, u_mm), u_mm), mean_for(true, u_mm)
