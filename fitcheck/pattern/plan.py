"""The plan says how far each score and cut lies from which fence; everything is made from it."""

from __future__ import annotations

import functools
import math
from collections import defaultdict
from dataclasses import dataclass

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

    @property
    def fence(self) -> Fence:
        """The fence it is measured from."""
        return self.rule.fence

    @property
    def at_mm(self) -> float:
        """Its distance from the fence."""
        return self.rule.at_mm


@dataclass(frozen=True)
class SlantCut:
    """A cut that is parallel to no fence, from point to point, mm from the sheet's bottom left."""

    start_mm: tuple[float, float]
    stop_mm: tuple[float, float]
    of: str = ""
    """The panel that it gives its end."""


@dataclass(frozen=True)
class Plan:
    """All lines of one part's sheet."""

    part: str
    sheet: Sheet
    scores: tuple[RuledLine, ...]
    cuts: tuple[RuledLine, ...]
    """Cuts inside the sheet; the sheet's own edges are its size."""
    slant_cuts: tuple[SlantCut, ...]


@functools.lru_cache(maxsize=64)
def plan_of(pattern: Pattern) -> Plan:
    """The plan of a pattern: stretches on one rule are joined where they meet."""
    sheet = pattern.sheet
    scores = [(crease.start, crease.stop, crease.name) for crease in pattern.creases]
    ruled: list[tuple[Corner, Corner, str]] = []
    slanted: set[SlantCut] = set()
    for panel in pattern.panels:
        for start, stop in _cut_edges(pattern, panel):
            if _shared(start, stop) is not None:
                ruled.append((start, stop, panel.name))
            else:
                ends = sorted((sheet.place(start, {}), sheet.place(stop, {})))
                slanted.add(SlantCut(ends[0], ends[1], panel.name))
    return Plan(
        part=pattern.part,
        sheet=sheet,
        scores=_joined(sheet, scores),
        cuts=tuple(line for line in _joined(sheet, ruled) if not _on_edge(sheet, line)),
        slant_cuts=tuple(sorted(slanted, key=lambda cut: (cut.start_mm, cut.stop_mm))),
    )


def scored_rules(pattern: Pattern) -> tuple[Rule, ...]:
    """The rules that a pattern is scored along, each once, by fence and distance."""
    rules = {_of_score(crease.start, crease.stop, crease.name) for crease in pattern.creases}
    return tuple(sorted(rules, key=lambda rule: (list(Fence).index(rule.fence), rule.at_mm)))


def knives_of(pattern: Pattern) -> tuple[Knife, ...]:
    """The cuts inside a sheet that a knife makes, each once, in the order of the panels."""
    corners = [corner for panel in pattern.panels for corner in panel.corners]
    cuts = dict.fromkeys(cut for corner in corners for cut in (corner.cut_x, corner.cut_y))
    return tuple(cut for cut in cuts if cut is not None)


def upright(line: CreaseLine) -> bool:
    """Whether a score runs along the sheet's length."""
    return _of_score(line.start, line.stop, line.name).fence.upright


def _of_score(start: Corner, stop: Corner, name: str) -> Rule:
    rule = _shared(start, stop)
    if rule is None:
        raise ValueError(f"the score {name} runs parallel to no fence")
    return rule


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
    for crease in pattern.creases:
        if panel.name not in (crease.parent, crease.child):
            continue
        ends = [crease.start, crease.stop]
        if all(_between(sheet.place(end, {}), a, b) for end in ends):
            ends.sort(key=lambda end: _distance(sheet.place(end, {}), a))
            bits = [(start, ends[0]), (ends[1], stop)]
            return [bit for bit in bits if _length(sheet, bit) > SAME_MM]
    return [(start, stop)]


Point = tuple[float, float]
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


def _joined(sheet: Sheet, edges: list[tuple[Corner, Corner, str]]) -> tuple[RuledLine, ...]:
    """Stretches by rule, those that meet or overlap made one."""
    spans: dict[Rule, list[Span]] = defaultdict(list)
    for start, stop, name in edges:
        rule = _of_score(start, stop, name)
        along = 1 if rule.fence.upright else 0
        low, high = sorted((sheet.place(start, {})[along], sheet.place(stop, {})[along]))
        spans[rule].append((low, high, (name,)))
    return tuple(
        RuledLine(rule, low, high, names)
        for rule in sorted(spans, key=lambda r: (list(Fence).index(r.fence), r.at_mm))
        for low, high, names in _merged(sorted(spans[rule]))
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
