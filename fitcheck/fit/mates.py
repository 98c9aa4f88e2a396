"""Parts that move into or along each other: what play each has on the whole of its way.

The lid is a mate too, but sits turned over on a rim and is judged by more than its play (`lid`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from fitcheck.design.model import Bands, Design, LidVerdict
from fitcheck.fit.assembly import Assembly
from fitcheck.fit.placed import Both, Judged, Placed, parts_of, placed, straight_mates
from fitcheck.fit.remembered import MEMORY
from fitcheck.fit.right import verdict_of_play
from fitcheck.fit.slide import Slide
from fitcheck.fit.travel import Travel
from fitcheck.fit.turn_fit import TurnFit
from fitcheck.folding.measure import measure
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import Array
from fitcheck.styles.mates import Along, Tucked, Turned

CLEARLY_MM = 0.5
"""So much more play is told (common practice, no source)."""


@dataclass(frozen=True, eq=False)
class MateFit:
    """How a mover goes with its holder."""

    mate: Judged
    verdict: LidVerdict
    """By the smaller of its two plays."""
    slide: Slide
    stands_out_mm: float
    """How much longer the mover is than its holder along the way; negative where it is shorter. Of
    one that rests on the holder's floor: how far it stands above the holder's rim. Of strips: how
    much higher those are that come from above."""
    closed_pose: Array
    """(4, 4) carries the mover's own place to that in its holder when it is in and lies on its
    floor; of strips, which have several, the place of what they are put together to."""
    way_mm: Array
    """(3,) by which it leaves, until it is clear."""
    lies: Slide | None = None
    """Of what rests on the holder's floor: its play there, which may be more than on its way."""

    @property
    def freed(self) -> tuple[Travel, ...]:
        """The travels where it lies, of what has clearly more play there than on its way in."""
        if self.lies is None or not self.slide.free:
            return ()
        on_way = {travel.axis: travel.play_mm for travel in self.slide.travels}
        own = [travel for travel in self.lies.travels if self.mate.held(travel.axis)]
        more = any(one.play_mm > on_way[one.axis] + CLEARLY_MM for one in own)
        return tuple(own) if more else ()

    @property
    def closed_mm(self) -> Array:
        """(3,) where the mover's own place lies then."""
        found: Array = self.closed_pose[:3, 3]
        return found

    @property
    def blocked(self) -> bool:
        """Whether it cannot go in at all, whatever the errors."""
        return self.slide.blocked_by is not None

    @property
    def plays(self) -> Mapping[str, float]:
        """By the directions across its way."""
        return {travel.axis: travel.play_mm for travel in self.slide.travels}

    @property
    def play_mm(self) -> float:
        """The smaller play; minus infinity where its way is blocked."""
        return -math.inf if self.blocked else self.slide.play_mm


AnyFit = MateFit | TurnFit
"""How a mate goes, whatever its motion."""


Cover = Along | Turned
"""A mate that closes a base."""


def cover_of(design: Design) -> Cover | None:
    """The mate that closes the base beside a lid; None where nothing slides or turns over it."""
    own = (mate for mate in design.mates if isinstance(mate, Along | Turned))
    return next((mate for mate in own if mate.mover == design.base.name), None)


def cover_name(cover: Cover) -> str:
    """What lies over what is in the base."""
    return cover.panel if isinstance(cover, Turned) else cover.holder


def height_below(cover: Cover, part: Callable[[str], FoldedPart | None]) -> float:
    """How high what closes a base is over its floor, inside, mm; `part` gives parts by name."""
    mover, holder = part(cover.mover), part(cover.holder)
    assert mover is not None and holder is not None, "a mate's parts are in the design"
    if isinstance(cover, Turned):
        from fitcheck.fit.hinged import room_under

        return room_under(cover, holder)
    return room_over((mover, holder))


def room_over(both: Both) -> float:
    """How high a holder is inside over the floor of a mover that lies in it, mm."""
    mover, holder = both
    return measure(holder).depth_mm - mover.caliper_mm


def fit_mates(assembly: Assembly, bands: Bands, *, ways: bool = True) -> tuple[AnyFit, ...]:
    """How the parts of a design go together, a lid by itself left out.

    `ways` looks for the way in of what is tucked in, too, which takes longest.
    """
    found: list[AnyFit] = [
        _fit_straight(mate, parts_of(mate, assembly), bands)
        for mate in straight_mates(assembly.design)
    ]
    found += [
        _fit_turned(mate, parts_of(mate, assembly)[1], ways)
        for mate in assembly.design.mates
        if isinstance(mate, Turned | Tucked)
    ]
    return tuple(found)


def _fit_straight(mate: Judged, both: Both, bands: Bands) -> MateFit:
    def fit() -> MateFit:
        own = placed(mate, both)
        (found,) = fit_placed(own, [both], bands)
        lies = own.lying([found.slide], [both])
        return found if lies is None else replace(found, lies=lies[0])

    return MEMORY.of((fit_placed, mate, both, bands), fit)


def _fit_turned(mate: Turned | Tucked, part: FoldedPart, ways: bool) -> TurnFit:
    def fit() -> TurnFit:
        if isinstance(mate, Tucked):
            from fitcheck.fit.tucked import tuck_fits

            return tuck_fits(mate, [part], way_in=ways)[0]
        from fitcheck.fit.hinged import turn_fits

        return turn_fits(mate, [part])[0]

    return MEMORY.of((_fit_turned, mate, part, ways), fit)


def fit_placed(mate: Placed, boxes: Sequence[Both], bands: Bands) -> list[MateFit]:
    """The fit of one mate in each of many boxes."""
    slides = mate.slides(boxes)
    told = zip(slides, mate.stands_out(boxes), mate.closed(slides, boxes), strict=True)
    return [
        MateFit(
            mate.mate,
            LidVerdict.BINDS if found.blocked_by else verdict_of_play(found.play_mm, bands),
            found,
            out,
            *closed,
        )
        for found, out, closed in told
    ]
