"""Straight cuts as they are found on a scored sheet: along scores, from one score to another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fitcheck.pattern.bonds import JointKind
from fitcheck.pattern.counted import EXACT_MM
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.plan import Plan, RuledLine, SlantLine
from fitcheck.pattern.sheet import Fence
from fitcheck.sheet.marks import Mark, Scale

SLANTS = {Role.TAB: "the corner's edge", Role.FRAME: "the mitre"}
"""What a slanted cut is called at the bench."""


@dataclass(frozen=True)
class CutLine:
    """A cut parallel to an edge, from one mark to another."""

    at: Mark
    start: Mark
    stop: Mark

    @property
    def jog(self) -> bool:
        """Whether it only steps a hair aside, which a hand does without being told."""
        return self.start.same(self.stop)

    @property
    def marks(self) -> tuple[Mark, Mark, Mark]:
        """All that it is found by."""
        return self.at, self.start, self.stop


@dataclass(frozen=True)
class SlantedLine:
    """A cut or a score from point to point; a point by its marks across and along the sheet."""

    start: tuple[Mark, Mark]
    stop: tuple[Mark, Mark]
    what: str
    """What it makes, in words."""

    jog = False

    @property
    def marks(self) -> tuple[Mark, ...]:
        """All that it is found by."""
        return (*self.start, *self.stop)


@dataclass(frozen=True)
class MitreLine:
    """A cut at 45 degrees from a corner to a score, and from there square to an edge."""

    corner: tuple[Mark, Mark]
    """Where it begins, by its marks across and along the sheet."""
    away: Fence
    """The edge that it goes away from at 45 degrees."""
    to: Mark
    """The score that it ends at."""
    edge: Mark
    """What is cut square to from there."""

    jog = False

    @property
    def marks(self) -> tuple[Mark, ...]:
        """All that it is found by."""
        return (*self.corner, self.to, self.edge)


Found = CutLine | SlantedLine | MitreLine


@dataclass(frozen=True)
class TrimTab:
    """How a tab or a glued flap is cut: so long from its score, its ends slanting in to its tip."""

    tab: str
    length_mm: float
    to_edge: bool
    """Whether its tip is the sheet's edge, where nothing is cut."""
    marked: bool
    """Whether an x marks it, as it must not fall off with what is cut away."""
    trims_mm: tuple[float, float]
    """By how much either end is nearer to the middle at the tip than at the score, smaller first.
    """


@dataclass(frozen=True)
class CutOutline:
    """The straight cuts of a part's outline."""

    lines: tuple[Found, ...]
    tabs: tuple[TrimTab, ...] = ()
    """Tabs whose tips and ends are cut by their own sizes, not by scores."""
    knife: bool = False
    """Whether no scissors cut it."""


@dataclass(frozen=True)
class ScoreSlants:
    """Scores that run along no edge."""

    lines: tuple[SlantedLine, ...]
    half_cut: bool = False
    """Whether they are cut half through instead of pressed."""


def outline_cuts(pattern: Pattern, plan: Plan, *, knife: bool = False) -> Iterator[CutOutline]:
    """All straight cuts that bound the panels; those of cut-outs are told with them."""
    scale = Scale(plan)
    tabs = trims_of(pattern)
    own = {(name,) for name in tabs}
    lines: list[Found] = [
        found
        for cut in plan.cuts
        if not cut.cutout and not ((found := _line(scale, cut)).at.score is None and cut.of in own)
    ]
    for slant in plan.slant_cuts:
        if not slant.cutout and slant.of not in tabs:
            what = SLANTS.get(pattern.panel(slant.of).role, "the end")
            drawn = _slanted(scale, slant, what)
            half_square = abs(abs(slant.run_mm[0]) - abs(slant.run_mm[1])) < EXACT_MM
            lines = _mitred(lines, drawn) if half_square else [*lines, drawn]
    if lines or tabs:
        yield CutOutline(tuple(lines), tuple(tabs.values()), knife)


def trims_of(pattern: Pattern) -> dict[str, TrimTab]:
    """How tabs and glued flaps that are cut by their own sizes are trimmed, by their names."""
    return {trim.tab: trim for panel in pattern.panels if (trim := _trimmed(pattern, panel))}


def _trimmed(pattern: Pattern, panel: Panel) -> TrimTab | None:
    """How a tab, or a tube's glued flap, is trimmed whose tip runs along its score; None for
    others."""
    seams = [bond.panel for bond in pattern.bonds_of(JointKind.TUBE)]
    glued = panel.role is Role.TAB or (panel.role is Role.FLAP and panel.name in seams)
    if not glued or len(panel.corners) != 4 or not panel.plain:
        return None
    foot, stop = (complex(*end) for end in pattern.score(pattern.crease_to(panel.name), {}))
    along = (stop - foot) / abs(stop - foot)
    spots = [complex(*spot) for spot in pattern.outline(panel, {})]
    tip = [(spot - foot) / along for spot in spots if abs(((spot - foot) / along).imag) > EXACT_MM]
    if len(tip) != 2 or abs(tip[0].imag - tip[1].imag) > EXACT_MM:
        return None
    low, high = sorted(at.real for at in tip)
    sheet = pattern.sheet
    out = foot + along * tip[0]
    across = out.real if abs(along.real) < EXACT_MM else out.imag
    size = sheet.width_mm if abs(along.real) < EXACT_MM else sheet.length_mm
    at_edge = min(abs(across), abs(across - size)) < EXACT_MM
    one, other = sorted((low, abs(stop - foot) - high))
    marked = panel.role is Role.TAB
    trims = (one, other)
    return TrimTab(panel.name, abs(tip[0].imag), at_edge, marked, trims) if one >= 0.0 else None


def _mitred(lines: list[Found], slant: SlantedLine) -> list[Found]:
    """The lines with one at 45 degrees, told with that which goes on from it square to an edge."""
    for corner, far in ((slant.start, slant.stop), (slant.stop, slant.start)):
        for to, free in (far, far[::-1]):
            near = next(mark for mark in corner if mark.fence.upright is free.fence.upright)
            away = near.fence is free.fence and near.at_mm < free.at_mm
            if to.score is None or free.score is not None or near.score is None or not away:
                continue
            for line in lines:
                if isinstance(line, CutLine) and line.at == free and to in line.marks:
                    edge = line.stop if line.start == to else line.start
                    if edge.edge:
                        rest = [one for one in lines if one is not line]
                        return [*rest, MitreLine(corner, near.fence, to, edge)]
    return [*lines, slant]


def slanted_scores(scale: Scale, slants: Sequence[SlantLine]) -> Iterator[ScoreSlants]:
    """Scores that run along no edge: what is pressed, then what is cut half through."""
    for half_cut in (False, True):
        own = [slant for slant in slants if slant.half_cut is half_cut]
        if own:
            lines = (_slanted(scale, slant, "across the corner") for slant in own)
            yield ScoreSlants(tuple(lines), half_cut)


def _line(scale: Scale, cut: RuledLine) -> CutLine:
    along = Fence.BOTTOM if cut.fence.upright else Fence.LEFT
    return CutLine(
        scale.mark(cut.fence, cut.at_mm),
        scale.mark(along, cut.start_mm),
        scale.mark(along, cut.stop_mm),
    )


def _slanted(scale: Scale, slant: SlantLine, what: str) -> SlantedLine:
    start, stop = (
        (scale.mark(Fence.LEFT, x), scale.mark(Fence.BOTTOM, y))
        for x, y in (slant.start_mm, slant.stop_mm)
    )
    return SlantedLine(start, stop, what)
