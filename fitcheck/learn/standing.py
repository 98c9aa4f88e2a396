"""How frozen forecasts stand beside all boxes that were made: counts, scores, test and causes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.design.versions import changed_since
from fitcheck.learn.causes import Cause, causes_of
from fitcheck.learn.held_plays import FAR_CHANCE
from fitcheck.learn.looks import yes_steps
from fitcheck.learn.scored_boxes import Apart, ScoredBox, Seen
from fitcheck.learn.scores import (
    PlayScore,
    Score,
    Splits,
    Tally,
    both_ways,
    play_score,
    score_of,
    splits_of,
    tallies_of,
)
from fitcheck.learn.watch import RUN, SLIP_RIGHT, Watch, alarm_when_shared, watch

MOST_BOXES = 4000
MOST_EXPLAINED = 200
"""Boxes from which causes are taken, the last ones."""


@dataclass(frozen=True)
class Fits:
    """How often contents went in."""

    boxes: int
    fitted: int
    said: float
    """The mean chance that had been given to it."""
    by_chance: float
    """How often right odds let so few go in, or so many, whichever is the rarer."""

    @property
    def far(self) -> bool:
        """Whether that is more than luck explains."""
        return self.by_chance < 0.5 * FAR_CHANCE


@dataclass(frozen=True)
class Standing:
    """What the records say about the odds."""

    scored: tuple[ScoredBox, ...]
    apart: tuple[Apart, ...]
    older: int
    """Boxes from before these that count no more."""
    tallies: tuple[Tally, ...]
    fits: Fits | None
    """None where nobody said whether contents went in."""
    plays: PlayScore | None
    """None where nobody measured a play."""
    splits: Splits | None
    """None where nobody looked at the corners."""
    scores: Mapping[str, Score]
    """Of what was scored: ``right``, ``lid``, ``contents``, ``split``."""
    watch: Watch
    causes: tuple[Cause, ...]
    """What would explain it, where the odds are off."""
    renewed: frozenset[str]
    """Papers, tools and items that have been learnt or changed since the odds were off: forecasts
    that were frozen later say so."""
    shared_alarm: float | None
    """How often right odds raise an alarm over boxes like these, which share their papers; None
    where nobody asked."""


def standing_of(
    boxes: Sequence[ScoredBox], apart: Sequence[Apart], *, details: bool = False
) -> Standing:
    """How the forecasts of some boxes stand, of very many the last MOST_BOXES."""
    scored = boxes[-MOST_BOXES:]
    found = watch(scored)
    fits = [one for box in scored if (one := box.fits) is not None]
    least = min((0.5 / box.forecast.boxes for box in scored), default=0.5)
    by_name = {
        "right": score_of([both_ways(box.right) for box in scored], least),
        "lid": score_of([box.lid for box in scored], least),
        "contents": score_of([both_ways(one) for one in fits], least),
        "split": score_of(
            [both_ways(one) for box in scored if (one := box.split) is not None], least
        ),
    }
    return Standing(
        scored=tuple(scored),
        apart=tuple(apart),
        older=len(boxes) - len(scored),
        tallies=tallies_of(scored),
        fits=_fits(fits) if fits else None,
        plays=play_score(scored),
        splits=splits_of(scored),
        scores={name: score for name, score in by_name.items() if score is not None},
        watch=found,
        causes=causes_of(scored[found.since :][-MOST_EXPLAINED:]) if found.last is not None else (),
        renewed=_renewed(scored, found),
        shared_alarm=alarm_when_shared(scored[-RUN:]) if scored and details else None,
    )


def _fits(seen: Sequence[Seen]) -> Fits:
    """How often contents went in beside what was said, by the law of boxes that share nothing."""
    went, law = sum(one.happened for one in seen), np.ones(1)
    for one in seen:
        # now and then somebody notes the wrong thing, whatever was said
        chance = min(max(one.chance, SLIP_RIGHT), 1.0 - SLIP_RIGHT)
        law = np.convolve(law, yes_steps(chance).chances)
    few, many = float(law[: went + 1].sum()), float(law[went:].sum())
    said = math.fsum(one.chance for one in seen) / len(seen)
    return Fits(len(seen), went, said, min(few, many))


def _renewed(scored: Sequence[ScoredBox], found: Watch) -> frozenset[str]:
    """The names of what is another one in the last forecast than in that which raised the alarm."""
    if found.last is None:
        return frozenset()
    then, now = (scored[k].forecast.made_of for k in (found.last.stop - 1, -1))
    return frozenset(version.name for version in changed_since(then, now))
