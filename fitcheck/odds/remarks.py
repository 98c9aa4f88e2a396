"""What has to be said beside the odds: what they leave out, and when to trust them less."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.findings import Finding, Severity
from fitcheck.fit.check import Check
from fitcheck.fit.mates import MateFit
from fitcheck.fit.right import enough
from fitcheck.fit.turn_fit import TurnFit
from fitcheck.folding.pose import Array, Flags
from fitcheck.odds.agreement import Agreement
from fitcheck.odds.grid import SAME_MM
from fitcheck.odds.outlook import judged_contents, known_contents
from fitcheck.odds.result import ContentOdds
from fitcheck.styles.mates import Along
from fitcheck.styles.part import SizeBy

NEARLY_ALL = 0.98
"""Contents that go in so often need no word."""


def blocked(check: Check) -> bool:
    """Whether the lid cannot come down at all, whatever the errors."""
    return check.lid is not None and check.lid.slide.blocked_by is not None


def goes_over(found: Check) -> bool:
    """Whether the lid ends up over the base's rim, be it by pressing, and no mate is blocked.

    A lid that is blocked or drops into the base says nothing about one that goes over it.
    """
    if any(fit.blocked for fit in found.mates):
        return False
    return found.lid is None or not (blocked(found) or found.lid.falls_in)


def slides_over(found: Check) -> bool:
    """Whether the lid goes over the base and what slides in it goes, neither being forced.

    Of a lid that presses by more than its paper is thick, and of any other mate that presses, other
    pieces are in the way than of those that slide.
    """
    if found.lid is not None and found.assembly.lid is not None:
        forced = found.lid.slide.play_mm <= -found.assembly.lid.folded.caliper_mm
        if forced or not goes_over(found):
            return False
    return closes(found) and all(fit.slide.free for fit in mates_of(found))


def closes(found: Check) -> bool:
    """Whether what turns or is tucked in goes there without being forced."""
    turned = [fit for fit in found.mates if isinstance(fit, TurnFit)]
    return all(not fit.blocked and bool(enough(fit.play_mm)) for fit in turned)


def mates_of(found: Check, part: str | None = None) -> list[MateFit]:
    """How what slides into or along a base goes, or those of one part."""
    straight = [fit for fit in found.mates if isinstance(fit, MateFit)]
    return [fit for fit in straight if part in (None, fit.mate.mover, fit.mate.holder)]


@dataclass(frozen=True)
class Eased:
    """What a drawer goes along, with the play that the drawer has in it, across and up."""

    ease_mm: tuple[float, float]
    plays_mm: tuple[float, float]
    loose_mm: float
    step_mm: float
    """Of sizes that a hand sets."""

    def rattles(self, eases_mm: Array) -> Flags:
        """Whether the drawer rattles with such eases (n, 2), more than it does already, (n,).

        Neither play is to be a loose one; but steps may be so coarse that one step makes it that
        of a drawer that had too little, and then the smaller play of both says what it is.
        """
        now = np.array(self.plays_mm)
        plays = now + eases_mm - np.array(self.ease_mm)
        most = np.maximum(self.loose_mm, now + self.step_mm + SAME_MM)
        least = max(self.loose_mm, float(now.min()) + SAME_MM)
        found: Flags = (plays >= most).any(axis=1) | (plays.min(axis=1) >= least)
        return found


def eased(found: Check, step_mm: float) -> dict[str, Eased]:
    """What drawers go along, by name, where sizes are set by such steps."""
    every: dict[str, Eased] = {}
    loose = found.design.bands.loose_mm
    for fit in mates_of(found):
        spec = found.design.part(fit.mate.holder)
        if isinstance(fit.mate, Along) and spec is not None and spec.size_by is SizeBy.EASE:
            across, up = fit.plays.values()
            every[spec.name] = Eased(spec.size_mm, (across, up), loose, step_mm)
    return every


def missing_odds(check: Check) -> list[Finding]:
    """What there are no odds for, and why."""
    found = []
    if blocked(check):
        found.append(
            Finding(
                "no-lid-odds",
                "no odds for the lid: it is blocked on its way down whatever the errors",
                Severity.NOTE,
                "lid",
            )
        )
    found += [
        Finding(
            "no-mate-odds",
            f"no odds for the {fit.mate.called}: its way is blocked whatever the errors",
            Severity.NOTE,
            fit.mate.mover,
        )
        for fit in check.mates
        if fit.blocked
    ]
    if check.contents and not judged_contents(check):
        found.append(
            Finding(
                "no-content-odds",
                "no odds for the contents: no arrangement of them was found to follow"
                + ("" if known_contents(check) else ", and nothing proves that there is none"),
                Severity.NOTE,
            )
        )
    return found


def one_arrangement(check: Check, contents: Sequence[ContentOdds]) -> list[Finding]:
    """That only one arrangement of several pieces is followed, where that leaves boxes out."""
    places = [place for fit in check.contents for place in fit.placements]
    several = len({(place.x_mm, place.y_mm) for place in places}) > 1
    if not several or all(one.fits.share >= NEARLY_ALL for one in contents):
        return []
    return [
        Finding(
            "one-arrangement",
            "the odds of the contents are those of the one arrangement that is drawn: pieces that "
            "are put in another way may go in oftener",
            Severity.NOTE,
        )
    ]


def distrust(agreement: Agreement) -> list[Finding]:
    """What the comparison of the three answers says against the odds."""
    found = []
    bad = [one for one in agreement.refolded if not one.trusted]
    found += [
        Finding(
            "odds-not-confirmed",
            f"{one.name}: in boxes that were folded one by one it came out {one.rms_mm:.2f} mm "
            "otherwise than in the boxes counted here: trust these numbers less",
            Severity.CAUTION,
            None,
            {"rms_mm": one.rms_mm, "u_mm": one.u_mm},
        )
        for one in bad
        if one.u_mm > 0.0
    ]
    if not agreement.contents_trusted and agreement.contents_alike is not None:
        found.append(
            Finding(
                "contents-not-confirmed",
                f"contents put into {agreement.boxes} boxes folded anew fitted as the odds say in "
                f"{agreement.contents_alike} of them only: trust the odds of contents less",
                Severity.CAUTION,
            )
        )
    if not agreement.close.trusted:
        found.append(
            Finding(
                "close-calls-not-confirmed",
                f"of {agreement.close.boxes} boxes folded anew that were nearest to another "
                f"verdict {agreement.close.strays} got it by more than a hair: trust the odds "
                "less where it is close",
                Severity.CAUTION,
            )
        )
    if agreement.unfoldable:
        found.append(
            Finding(
                "boxes-not-foldable",
                f"{agreement.unfoldable} of {agreement.tried} boxes drawn could not be folded at "
                f"all, with the errors of hands and papers: {agreement.problem}",
                Severity.CAUTION,
            )
        )
    return found
