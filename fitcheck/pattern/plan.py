"""The plan says how far each score and cut lies from which fence; everything is made from it."""

from __future__ import annotations

import functools
import math
from collections import defaultdict
from dataclasses import dataclass

from fitcheck.arcs import Arc, arc_of
from fitcheck.pattern.boundary import Stretch
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
class SlantCut:
    """A cut that is parallel to no fence, from point to point, mm from the sheet's bottom left."""

    start_mm: tuple[float, float]
    stop_mm: tuple[float, float]
    of: str = ""
    """The panel that it gives its end."""
    cutout: str = ""
    """The name of the cut-out that it is a side of."""


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
    slant_cuts: tuple[SlantCut, ...]
    arc_cuts: tuple[ArcCut, ...] = ()


@functools.lru_cache(maxsize=64)
def plan_of(pattern: Pattern) -> Plan:
    """The plan of a pattern: stretches on one rule are joined where they meet."""
    sheet = pattern.sheet
    scores = [(crease.start, crease.stop, (crease.name, "")) for crease in pattern.creases]
    ruled: list[tuple[Corner, Corner, Whose]] = []
    slanted: set[SlantCut] = set()
    arcs: set[ArcCut] = set()
    for panel in pattern.panels:
        for edge in _cut_edges(pattern, panel):
            start, stop, bulge, cutout = edge
            first, last = sheet.place(start, {}), sheet.place(stop, {})
            if bulge:
                ends = (first, last, bulge) if bulge > 0.0 else (last, first, -bulge)
                arcs.add(ArcCut(arc_of(*ends), panel.name, cutout))
            elif _shared(start, stop) is not None:
                ruled.append((start, stop, (panel.name, cutout)))
            else:
                low, high = sorted((first, last))
                slanted.add(SlantCut(low, high, panel.name, cutout))
    return Plan(
        part=pattern.part,
        sheet=sheet,
        scores=_joined(sheet, scores),
        cuts=tuple(line for line in _joined(sheet, ruled) if not _on_edge(sheet, line)),
        slant_cuts=tuple(sorted(slanted, key=lambda cut: (cut.start_mm, cut.stop_mm))),
        arc_cuts=tuple(sorted(arcs, key=lambda cut: (cut.of, cut.cutout, cut.arc.centre_mm))),
    )


def scored_rules(pattern: Pattern) -> tuple[Rule, ...]:
    """The rules that a pattern is scored along, each once, by fence and distance."""
    rules = {_of_score(crease.start, crease.stop, crease.name) for crease in pattern.creases}
    return tuple(sorted(rules, key=lambda rule: (list(Fence).index(rule.fence), rule.at_mm)))


def knives_of(pattern: Pattern) -> tuple[Knife, ...]:
    """The cuts inside a sheet that a knife makes, each once, in the order of the panels."""
    corners = [corner for panel in pattern.panels for corner in panel.every_corner]
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
    for crease in pattern.creases:
        if panel.name not in (crease.parent, crease.child):
            continue
        ends = [crease.start, crease.stop]
        if all(_between(sheet.place(end, {}), a, b) for end in ends):
            ends.sort(key=lambda end: _distance(sheet.place(end, {}), a))
            bits = [edge._replace(stop=ends[0]), edge._replace(start=ends[1])]
            return [bit for bit in bits if _length(sheet, bit) > SAME_MM]
    return [edge]


Point = tuple[float, float]
Whose = tuple[str, str]
"""A crease or a panel, and the cut-out that a cut is a side of."""
Span = tuple[float, float, tuple[str, ...], str]
"""From, to, what lies on it, and the cut-out."""


def _distance(a: Point, b: Point) -> float:
    return math.dist(a, b)


def _between(point: Point, a: Point, b: Point) -> bool:
    return abs(_distance(point, a) + _distance(point, b) - _distance(a, b)) < SAME_MM


def _length(sheet: Sheet, edge: Stretch) -> float:
    return _distance(sheet.place(edge.start, {}), sheet.place(edge.stop, {}))


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


def _joined(sheet: Sheet, edges: list[tuple[Corner, Corner, Whose]]) -> tuple[RuledLine, ...]:
    """Stretches by rule, those that meet or overlap made one; a cut-out's stay by themselves."""
    spans: dict[tuple[Rule, str], list[Span]] = defaultdict(list)
    for start, stop, (name, cutout) in edges:
        rule = _of_score(start, stop, name)
        along = 1 if rule.fence.upright else 0
        low, high = sorted((sheet.place(start, {})[along], sheet.place(stop, {})[along]))
        own = f"{name}, {cutout}" if cutout else ""
        spans[rule, own].append((low, high, (name,), cutout))
    order = sorted(spans, key=lambda key: (list(Fence).index(key[0].fence), key[0].at_mm, key[1]))
    return tuple(
        RuledLine(key[0], low, high, names, cutout)
        for key in order
        for low, high, names, cutout in _merged(sorted(spans[key]))
    )


def _merged(spans: list[Span]) -> list[Span]:
    merged: list[Span] = []
    for low, high, names, cutout in spans:
        if merged and low <= merged[-1][1] + SAME_MM:
            first, last, before, _ = merged[-1]
            kept = before + tuple(name for name in names if name not in before)
            merged[-1] = (first, max(last, high), kept, cutout)
        else:
            merged.append((low, high, names, cutout))
    return merged


def _on_edge(sheet: Sheet, line: RuledLine) -> bool:
    size = sheet.width_mm if line.fence.upright else sheet.length_mm
    return line.at_mm < SAME_MM or line.at_mm > size - SAME_MM
