"""Boxes that were folded anew are judged beside what the samples say of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fitcheck.fit.check import Check
from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.lid import LidFit
from fitcheck.fit.right import goes, verdict_of_play
from fitcheck.folding.pose import Array
from fitcheck.odds.agreement import TRUSTED_SHARE
from fitcheck.odds.close_calls import Edges
from fitcheck.odds.landing import PASSES
from fitcheck.odds.propagate import Spreads
from fitcheck.odds.quantities import LID_PLAY, Outlook, is_slack, mate_play
from fitcheck.styles.mates import Mate


@dataclass(frozen=True, eq=False)
class Truth:
    """What a folded box is like by itself."""

    lid: LidFit | None
    contents_fit: bool | None
    """None without contents that are followed."""
    lands: bool | None
    """Whether the lid lands on its base's rim; None where that is not in question."""
    lengths: dict[str, float]
    """By the names of the quantities that are asked about."""


class Judged:
    """Counts how folded boxes were judged beside what the samples say of them."""

    def __init__(self, check: Check, outlook: Outlook, spreads: Spreads, edges: Edges) -> None:
        self.check, self.outlook, self.spreads, self.edges = check, outlook, spreads, edges
        self.boxes = self.alike = self.contents_alike = 0
        self.close = self.close_alike = self.strays = 0

    def add(self, truth: Truth, expected: Array, *, close: bool) -> None:
        """One more box; `expected` (q,) are its lengths as sampled."""
        contents = truth.contents_fit in (None, _contents_fit(self.outlook, expected))
        lid = _same_lid(self.check, self.outlook, truth.lid, expected)
        mates = _same_mates(self.check, self.outlook, truth.lengths, expected)
        if not close:
            self.boxes += 1
            self.contents_alike += contents
            self.alike += contents and lid and mates
            return
        self.close += 1
        self.close_alike += contents and lid and mates
        names = [name for name, _ in self.edges]
        same = {LID_PLAY: lid, PASSES: lid} | {
            mate_play(mate): mates for mate in _mates(self.check)
        }
        wrong = [name for name in names if not same.get(name, contents)]
        self.strays += bool(wrong) and not any(self._beside(name, expected) for name in wrong)

    def _beside(self, name: str, expected: Array) -> bool:
        """Whether a length lies right beside an edge of what is judged by it."""
        row = self.outlook.row(name)
        away = [abs(float(expected[row]) - at) for own, at in self.edges if own == name]
        return min(away) <= TRUSTED_SHARE * float(self.spreads.deviations[row]) + TOUCH_MM


def _mates(check: Check) -> list[Mate]:
    return [fit.mate for fit in check.mates]


def _same_mates(
    check: Check, outlook: Outlook, lengths: Mapping[str, float], expected: Array
) -> bool:
    """Whether each mate goes in a folded box as the samples say."""
    bands, want = check.design.bands, check.design.want
    names = [name for name in map(mate_play, _mates(check)) if name in lengths]
    return all(
        bool(goes(lengths[name], bands, want))
        == bool(goes(float(expected[outlook.row(name)]), bands, want))
        for name in names
    )


def _contents_fit(outlook: Outlook, expected: Array) -> bool:
    names = [one.name for one in outlook.smallest if is_slack(one.name)]
    return all(float(expected[outlook.row(name)]) >= -TOUCH_MM for name in names)


def lands_by_samples(outlook: Outlook, expected: Array) -> bool:
    """Whether the samples say that a lid lands on its base's rim."""
    return float(expected[outlook.row(PASSES)]) < -TOUCH_MM


def _same_lid(check: Check, outlook: Outlook, lid: LidFit | None, expected: Array) -> bool:
    if lid is None:
        return True
    play = float(expected[outlook.row(LID_PLAY)])
    return lid.verdict is verdict_of_play(play, check.design.bands)
