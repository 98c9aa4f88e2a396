"""The plan says how far each score and cut lies from which fence; everything is made from it."""

from __future__ import annotations

import functools
import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fitcheck.pattern.bonds import Face
from fitcheck.pattern.pattern import CreaseLine, Panel, Pattern
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
    cut_face: Face | None = None
    """Of a score: the face that is cut half through; None where it is pressed."""

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
    cut_face: Face | None = None
    """Of a score: the face that is cut half through; None where it is pressed."""


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


@functools.lru_cache(maxsize=64)
def plan_of(pattern: Pattern) -> Plan:
    """The plan of a pattern: stretches on one rule are joined where they meet."""
    sheet = pattern.sheet
    scores = [
        (crease.start, crease.stop, crease.name, crease.cut_face)
        for crease in pattern.lines
        if _shared(crease.start, crease.stop) is not None
    ]
    ruled: list[_Stretch] = []
    slanted: set[SlantLine] = set()
    for panel in pattern.panels:
        for start, stop in _cut_edges(pattern, panel):
            if _shared(start, stop) is not None:
                ruled.append((start, stop, panel.name, None))
            else:
                slanted.add(_slant(sheet, start, stop, panel.name))
    return Plan(
        part=pattern.part,
        sheet=sheet,
        scores=_joined(sheet, scores),
        cuts=tuple(line for line in _joined(sheet, ruled) if not _on_edge(sheet, line)),
        slant_cuts=_sorted(slanted),
        slant_scores=_sorted(
            _slant(sheet, crease.start, crease.stop, crease.name, crease.cut_face)
            for crease in pattern.lines
            if _shared(crease.start, crease.stop) is None
        ),
    )


def _slant(
    sheet: Sheet, start: Corner, stop: Corner, of: str, cut_face: Face | None = None
) -> SlantLine:
    ends = sorted((sheet.place(start, {}), sheet.place(stop, {})))
    return SlantLine(ends[0], ends[1], of, cut_face)


def _sorted(lines: Iterable[SlantLine]) -> tuple[SlantLine, ...]:
    return tuple(sorted(lines, key=lambda line: (line.start_mm, line.stop_mm)))


def scored_rules(pattern: Pattern) -> tuple[Rule, ...]:
    """The rules that a pattern is scored along, each once, by fence and distance.

    A slanted score is along none: it lies wherever its ends' rules lie.
    """
    shared = {_shared(crease.start, crease.stop) for crease in pattern.lines}
    rules = [rule for rule in shared if rule is not None]
    return tuple(sorted(rules, key=lambda rule: (list(Fence).index(rule.fence), rule.at_mm)))


def knives_of(pattern: Pattern) -> tuple[Knife, ...]:
    """The cuts inside a sheet that a knife makes, each once, in the order of the panels."""
    corners = [corner for panel in pattern.panels for corner in panel.corners]
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


def _cut_edges(pattern: Pattern, panel: Panel) -> list[tuple[Corner, Corner]]:
    """Stretches of a panel's edge that no crease runs along."""
    edges: list[tuple[Corner, Corner]] = []
    corners = panel.corners
    for start, stop in zip(corners, corners[1:] + corners[:1], strict=True):
        edges += _without_creases(pattern, panel, start, stop)
    return edges


def _without_creases(
    pattern: Pattern, panel: Panel, start: Corner, stop: Corner
) -> list[tuple[Corner, Corner]]:
    """An edge less the creases on it: at most the bits before and after one crease."""
    sheet = pattern.sheet
    a, b = sheet.place(start, {}), sheet.place(stop, {})
    for crease in pattern.lines:
        if panel.name not in (crease.parent, crease.child):
            continue
        ends = [crease.start, crease.stop]
        if all(_between(sheet.place(end, {}), a, b) for end in ends):
            ends.sort(key=lambda end: _distance(sheet.place(end, {}), a))
            bits = [(start, ends[0]), (ends[1], stop)]
            return [bit for bit in bits if _length(sheet, bit) > SAME_MM]
    return [(start, stop)]


Point = tuple[float, float]
_Stretch = tuple[Corner, Corner, str, Face | None]
"""From, to, what lies on it and how it is made."""
Span = tuple[float, float, tuple[str, ...]]
"""From, to, and what lies on it."""


def _distance(a: Point, b: Point) -> float:
    return math.dist(a, b)


def _between(point: Point, a: Point, b: Point) -> bool:
    return abs(_distance(point, a) + _distance(point, b) - _distance(a, b)) < SAME_MM


def _length(sheet: Sheet, edge: tuple[Corner, Corner]) -> float:
    return _distance(sheet.place(edge[0], {}), sheet.place(edge[1], {}))


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


def _joined(sheet: Sheet, edges: Sequence[_Stretch]) -> tuple[RuledLine, ...]:
    """Stretches by rule, those that meet or overlap and are made alike made one."""
    spans: dict[tuple[Rule, Face | None], list[Span]] = defaultdict(list)
    for start, stop, name, face in edges:
        rule = _shared(start, stop)
        assert rule is not None, "slanted stretches lie on no rule"
        along = 1 if rule.fence.upright else 0
        low, high = sorted((sheet.place(start, {})[along], sheet.place(stop, {})[along]))
        spans[rule, face].append((low, high, (name,)))
    faces = [None, *Face]
    return tuple(
        RuledLine(rule, low, high, names, face)
        for rule, face in sorted(
            spans, key=lambda x: (list(Fence).index(x[0].fence), x[0].at_mm, faces.index(x[1]))
        )
        for low, high, names in _merged(sorted(spans[rule, face]))
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
