"""What closes a box, as whoever records it meets it: its lid, its drawer, or a lid in one piece."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import NEVER_LOOSE_MM, Bands, Design, LidVerdict
from fitcheck.errors import InputError
from fitcheck.fit.check import Check
from fitcheck.fit.mates import cover_of
from fitcheck.fit.right import band_of, verdict_of_play
from fitcheck.folding.pose import Array
from fitcheck.odds.quantities import LID_PLAY, mate_play
from fitcheck.styles.mates import Turned


@dataclass(frozen=True)
class Closing:
    """What closes a design's box, and what it is judged by."""

    called: str
    play: str
    """The name of the quantity that is its smaller play."""
    bands: Bands
    want: frozenset[LidVerdict]
    """The bands in which it is right."""
    turned: bool = False
    """Whether it turns about a crease of its own, so that no plug measures its play."""

    def shares(self, play_mm: Array) -> dict[LidVerdict, float]:
        """The share of boxes in each band by their plays (n,)."""
        counts = np.bincount(band_of(play_mm, self.bands), minlength=len(LidVerdict))
        return dict(zip(LidVerdict, (counts / len(play_mm)).tolist(), strict=True))


def closing_of(design: Design) -> Closing:
    """What closes a design's box. Raises InputError where it stays open."""
    if design.lid is not None:
        return Closing("lid", LID_PLAY, design.bands, design.want)
    cover = cover_of(design)
    if cover is None:
        raise InputError(
            f"{design.path or design.name}: has nothing that closes it; allowed: a design with a "
            "[lid] or a [sleeve], or whose lid is in one piece with it, since the record says what "
            "that did"
        )
    own = {LidVerdict.SNUG, LidVerdict.SLIDES} | (design.want & {LidVerdict.TIGHT})
    if isinstance(cover, Turned):
        # it is never loose, however clear of the walls it goes
        bands = replace(design.bands, loose_mm=NEVER_LOOSE_MM)
        return Closing(cover.called, mate_play(cover), bands, frozenset(own), turned=True)
    # a drawer that rattles is right
    loose = frozenset(own | {LidVerdict.LOOSE})
    return Closing(cover.called, mate_play(cover), design.bands, loose)


def as_drawn(check: Check, closing: Closing) -> tuple[LidVerdict, float] | None:
    """The verdict and the smaller play, mm, of what closes it; None where that is blocked."""
    if check.lid is not None:
        return check.lid.verdict, check.lid.slide.play_mm
    cover = cover_of(check.design)
    (fit,) = (one for one in check.mates if one.mate == cover)
    if fit.blocked:
        return None
    return verdict_of_play(fit.play_mm, closing.bands), fit.play_mm
