"""The plan says how far each score and cut lies from which fence; everything is made from it."""

from __future__ import annotations

import functools
import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from fitcheck.arcs import Arc, arc_of
from fitcheck.pattern.bonds import Face
from fitcheck.pattern.boundary import Stretch
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.pattern import Panel, Pattern
from fitcheck.pattern.sheet import Corner, Fence, Knife, Rule, Sheet

SAME_MM = 1e-6


@dataclass(frozen=True)
class RuledLine:
    """A straight stretch parallel to a fence.

    Start and stop are measured along the fence, from the sheet's bottom for the left and right
    fences and from its left for the top and bottom ones.
    """

    rule: Rule
    start_mm: float
    stop_mm: float
    of: tuple[str, ...] = ()
    """Of a score: the creases on it, in words; of a cut: the panels that it gives an edge."""
    outer: Face | None = None
    """Of a score: the face that comes to lie outside its fold."""
    half_cut: bool = False
    """Of a score: whether it is cut half through, on that face, instead of pressed."""
    cutout: str = ""
    """Of a cut: the name of the cut-out that it is a side of."""

    @property
    def fence(self) -> Fence:
        """The fence it is measured from."""
        return self.rule.fence

    @property
    def at_mm(self) -> float:
        """Its distance from the fence."""
        return self.rule.at_mm


@dataclass(frozen=True)
class SlantLine:
    """A score or cut that is parallel to no fence, point to point, mm from the sheet's bottom left.

    Its points lie where rules cross, so a hand finds them by the board and joins them.
    """

    start_mm: tuple[float, float]
    stop_mm: tuple[float, float]
    of: str = ""
    """The crease on it, in words, or the panel that it gives its end."""
    outer: Face | None = None
    """Of a score: the face that comes to lie outside its fold."""
    half_cut: bool = False
    """Of a score: whether it is cut half through, on that face, instead of pressed."""
    cutout: str = ""
    """Of a cut: the name of the cut-out that it is a side of."""

    @property
    def run_mm(self) -> tuple[float, float]:
        """How far it goes across and along the sheet."""
        return self.stop_mm[0] - self.start_mm[0], self.stop_mm[1] - self.start_mm[1]


@dataclass(frozen=True)
class ArcCut:
    """A cut along a true arc, mm from the sheet's bottom left."""

    arc: Arc
    """Anticlockwise."""
    of: str
    """The panel that it gives an edge."""
    cutout: str = ""
    """The name of the cut-out that it is a side of; empty for a panel's rounded edge."""


@dataclass(frozen=True)
class Plan:
    """All lines of one part's sheet."""

    part: str
    sheet: Sheet
    scores: tuple[RuledLine, ...]
    cuts: tuple[RuledLine, ...]
    """Cuts inside the sheet; the sheet's own edges are its size."""
    slant_cuts: tuple[SlantLine, ...]
    slant_scores: tuple[SlantLine, ...] = ()
    arc_cuts: tuple[ArcCut, ...] = ()


@functools.lru_cache(maxsize=64)
def plan_of(pattern: Pattern) -> Plan:
    """The plan of a pattern: stretches on one rule are joined where they meet."""
    sheet = pattern.sheet
    scores = [
        _Run(line.start, line.stop, line.name, line.outer, line.cut_face is not None)
        for line in pattern.lines
    ]
    cuts: list[_Run] = []
    arcs: set[ArcCut] = set()
    for panel in pattern.panels:
        for edge in _cut_edges(pattern, panel):
            if edge.bulge:
                arcs.add(_arc_cut(sheet, edge, panel.name))
            else:
                cuts.append(_Run(edge.start, edge.stop, panel.name, cutout=edge.cutout))
    return Plan(
        part=pattern.part,
        sheet=sheet,
        scores=_joined(sheet, scores),
        cuts=tuple(line for line in _joined(sheet, cuts) if not _on_edge(sheet, line)),
        slant_cuts=_slanted(sheet, cuts),
        slant_scores=_slanted(sheet, scores),
        arc_cuts=tuple(sorted(arcs, key=lambda cut: (cut.of, cut.cutout, cut.arc.centre_mm))),
    )


def _slanted(sheet: Sheet, runs: Iterable[_Run]) -> tuple[SlantLine, ...]:
    """The stretches that lie on no rule, each once."""
    found = {_slant(sheet, run) for run in runs if run.rule is None}
    return tuple(sorted(found, key=lambda x: (x.start_mm, x.stop_mm, x.of, x.cutout)))


def _slant(sheet: Sheet, run: _Run) -> SlantLine:
    low, high = sorted((sheet.place(run.start, {}), sheet.place(run.stop, {})))
    return SlantLine(low, high, run.of, run.outer, run.half_cut, run.cutout)


def _arc_cut(sheet: Sheet, edge: Stretch, panel: str) -> ArcCut:
    first, last = sheet.place(edge.start, {}), sheet.place(edge.stop, {})
    ends = (first, last, edge.bulge) if edge.bulge > 0.0 else (last, first, -edge.bulge)
    return ArcCut(arc_of(*ends), panel, edge.cutout)


def scored_rules(pattern: Pattern) -> tuple[Rule, ...]:
    """The rules that a pattern is scored along, each once, by fence and distance.

    A slanted score is along none: it lies wherever its ends' rules lie.
    """
    shared = {_shared(crease.start, crease.stop) for crease in pattern.lines}
    rules = [rule for rule in shared if rule is not None]
    return tuple(sorted(rules, key=lambda rule: (list(Fence).index(rule.fence), rule.at_mm)))


def knives_of(pattern: Pattern) -> tuple[Knife, ...]:
    """The cuts inside a sheet that a knife makes, each once, in the order of the panels."""
    corners = [corner for panel in pattern.panels for corner in panel.every_corner]
    cuts = dict.fromkeys(cut for corner in corners for cut in (corner.cut_x, corner.cut_y))
    return tuple(cut for cut in cuts if cut is not None)


def level_share(pattern: Pattern, line: CreaseLine) -> float:
    """How much a score runs along the sheet's width: 1 along it, 0 along the length, else between.

    At a slant it is the square of the cosine of the angle to the width.
    """
    rule = _shared(line.start, line.stop)
    if rule is not None:
        return 0.0 if rule.fence.upright else 1.0
    (x0, y0), (x1, y1) = (pattern.sheet.place(end, {}) for end in (line.start, line.stop))
    return (x1 - x0) ** 2 / ((x1 - x0) ** 2 + (y1 - y0) ** 2)


def _cut_edges(pattern: Pattern, panel: Panel) -> list[Stretch]:
    """Stretches of a panel's edge and of its cut-outs that no crease runs along."""
    boundary = pattern.boundary(panel)
    edges = [bit for edge in boundary.outer for bit in _without_creases(pattern, panel, edge)]
    return edges + [edge for ring in (*boundary.holes, *boundary.slits) for edge in ring]


def _without_creases(pattern: Pattern, panel: Panel, edge: Stretch) -> list[Stretch]:
    """An edge less the creases on it: at most the bits before and after one crease."""
    if edge.bulge:
        return [edge]
    sheet = pattern.sheet
    a, b = sheet.place(edge.start, {}), sheet.place(edge.stop, {})
    for crease in pattern.lines:
        if panel.name not in (crease.parent, crease.child):
            continue
        ends = [crease.start, crease.stop]
        if all(_between(sheet.place(end, {}), a, b) for end in ends):
            ends.sort(key=lambda end: math.dist(sheet.place(end, {}), a))
            bits = [edge._replace(stop=ends[0]), edge._replace(start=ends[1])]
            return [bit for bit in bits if _length(sheet, bit) > SAME_MM]
    return [edge]


Point = tuple[float, float]
Span = tuple[float, float, tuple[str, ...]]
"""From, to, and what lies on it."""


class _Run(NamedTuple):
    """A straight stretch that is scored or cut."""

    start: Corner
    stop: Corner
    of: str
    """The crease on it, in words, or the panel that it gives an edge."""
    outer: Face | None = None
    half_cut: bool = False
    cutout: str = ""

    @property
    def rule(self) -> Rule | None:
        """What it lies on; None at a slant."""
        return _shared(self.start, self.stop)


class _Line(NamedTuple):
    """What stretches share that are drawn as one where they meet."""

    rule: Rule
    outer: Face | None
    half_cut: bool
    owner: str
    """The panel whose cut-out it bounds: a cut-out's sides stay by themselves."""
    cutout: str

    @property
    def order(self) -> tuple[int, float, bool, int, str, str]:
        """By fence and distance."""
        fence, face = list(Fence).index(self.rule.fence), [None, *Face].index(self.outer)
        return fence, self.rule.at_mm, self.half_cut, face, self.owner, self.cutout


def _between(point: Point, a: Point, b: Point) -> bool:
    return abs(math.dist(point, a) + math.dist(point, b) - math.dist(a, b)) < SAME_MM


def _length(sheet: Sheet, edge: Stretch) -> float:
    return math.dist(sheet.place(edge.start, {}), sheet.place(edge.stop, {}))


def _shared(start: Corner, stop: Corner) -> Rule | None:
    """The line through two corners if it is parallel to a fence, as a rule."""
    for mine, other, offset, also in (
        (start.x, stop.x, start.dx, stop.dx),
        (start.y, stop.y, start.dy, stop.dy),
    ):
        if mine == other and abs(offset - also) < SAME_MM:
            inward = -offset if mine.fence.far else offset
            return Rule(mine.fence, round(mine.at_mm + inward, 9)) if offset else mine
    return None


def _joined(sheet: Sheet, runs: Iterable[_Run]) -> tuple[RuledLine, ...]:
    """Stretches by rule, those that meet or overlap and are made alike made one."""
    spans: dict[_Line, list[Span]] = defaultdict(list)
    for run in runs:
        if run.rule is None:
            continue
        along = 1 if run.rule.fence.upright else 0
        low, high = sorted((sheet.place(run.start, {})[along], sheet.place(run.stop, {})[along]))
        owner = run.of if run.cutout else ""
        line = _Line(run.rule, run.outer, run.half_cut, owner, run.cutout)
        spans[line].append((low, high, (run.of,)))
    return tuple(
        RuledLine(line.rule, low, high, names, line.outer, line.half_cut, line.cutout)
        for line in sorted(spans, key=lambda line: line.order)
        for low, high, names in _merged(sorted(spans[line]))
    )


def _merged(spans: list[Span]) -> list[Span]:
    merged: list[Span] = []
    for low, high, names in spans:
        if merged and low <= merged[-1][1] + SAME_MM:
            first, last, before = merged[-1]
            kept = before + tuple(name for name in names if name not in before)
            merged[-1] = (first, max(last, high), kept)
        else:
            merged.append((low, high, names))
    return merged


def _on_edge(sheet: Sheet, line: RuledLine) -> bool:
    size = sheet.width_mm if line.fence.upright else sheet.length_mm
    return line.at_mm < SAME_MM or line.at_mm > size - SAME_MM
