"""What keeps a pattern from being folded as it is laid out on its sheet, found beforehand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING

from fitcheck.errors import ModelError
from fitcheck.pattern.boundary import BRIDGE_MM
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.joints import joint_of
from fitcheck.pattern.pattern import Panel, Pattern

if TYPE_CHECKING:
    from shapely import Polygon

ALONG_MM = 4 * BRIDGE_MM
"""What runs along an edge no further than this only meets it."""
OVERLAP_MM2 = 0.1
"""Two panels may share so much of the sheet: what rounding leaves along a long score."""


def fault_of(pattern: Pattern) -> str:
    """The first fault of a pattern's names, creases and panels and what is allowed; else empty."""
    return next(_faults(pattern), "")


def _faults(pattern: Pattern) -> Iterator[str]:
    """Names first: places are only looked at where every name is known."""
    yield from _of_names(pattern)
    yield from _of_tree(pattern)
    yield from _of_bonds(pattern)
    wide, long = pattern.sheet.width_mm, pattern.sheet.length_mm
    if not (0.0 < wide < float("inf") and 0.0 < long < float("inf")):
        yield f"read a sheet of {wide:g} x {long:g} mm; allowed: sides above 0"
    papers = {}
    for panel in pattern.panels:
        paper = _paper(pattern, panel)
        if isinstance(paper, str):
            yield paper
            return
        papers[panel.name] = paper
        left, bottom, right, top = paper.bounds
        over = max(-left, -bottom, right - wide, top - long)
        if over > BRIDGE_MM:
            yield (
                f"the {panel.name} ends {over:.2f} mm outside the sheet; allowed: every panel on "
                "its sheet"
            )
    for one, other in combinations(papers, 2):
        shared = papers[one].intersection(papers[other]).area
        if shared > OVERLAP_MM2:
            yield (
                f"the {one} and the {other} share {shared:.1f} mm2 of the sheet; allowed: panels "
                "side by side"
            )
    for crease in pattern.lines:
        yield from _of_crease(pattern, crease, papers)


def _of_names(pattern: Pattern) -> Iterator[str]:
    if not pattern.panels:
        yield "read no panel; allowed: a root and what hangs on it"
    names = [panel.name for panel in pattern.panels]
    for name, count in Counter(names).items():
        if count > 1:
            yield f"{count} panels are called {name}; allowed: each name once"
    known = {
        "crease": [one for line in pattern.lines for one in (line.parent, line.child)],
        "bond": [one for bond in pattern.bonds for one in (bond.panel, bond.onto)],
        "lap": [one for lap in pattern.laps for one in (lap.over, lap.under)],
        "tuck": [
            one
            for tuck in pattern.tucks
            for one in (tuck.lid, tuck.flap, tuck.behind, *tuck.beside, *tuck.under)
        ],
    }
    for what, panels in known.items():
        for strange in panels:
            if strange not in names:
                yield f"a {what} names the panel {strange}; allowed: {', '.join(names)}"


def _of_tree(pattern: Pattern) -> Iterator[str]:
    """Every panel hangs on one that is there before it, the first one on none."""
    root, *others = [panel.name for panel in pattern.panels]
    reached = {root}
    for crease in pattern.creases:
        if crease.child in reached:
            yield (
                f"the {crease.child} hangs on more than one crease; allowed: one, the others "
                "among the webs"
            )
        if crease.parent not in reached:
            yield (
                f"the {crease.child} hangs on the {crease.parent} that no crease before it "
                f"carries; allowed: creases from the first panel, the {root}, outwards"
            )
        reached.add(crease.child)
    for name in others:
        if name not in reached:
            yield f"no crease carries the {name}; allowed: one for each panel but the first"


def _of_bonds(pattern: Pattern) -> Iterator[str]:
    """A bond lays one panel on another, the creases between them turned so that it comes there."""
    for bond in pattern.bonds:
        if bond.panel == bond.onto:
            yield f"a bond lays the {bond.panel} on itself; allowed: two panels"
            continue
        try:
            joint_of(pattern, bond)
        except ValueError as error:
            yield f"{error}; allowed: faces that the creases between them lay on each other"


def _paper(pattern: Pattern, panel: Panel) -> Polygon | str:
    """A panel's paper as drawn, or what keeps it from being any."""
    import numpy as np
    import shapely

    if len(panel.corners) < 3:
        return f"the {panel.name} has {len(panel.corners)} corners; allowed: three or more"
    outline = pattern.outline(panel, {})
    if not np.isfinite(outline).all():
        return f"a corner of the {panel.name} is no place on the sheet; allowed: finite lengths"
    ring = shapely.LinearRing(outline)
    if not panel.bulges and not (ring.is_simple and ring.is_ccw):
        return (
            f"the corners of the {panel.name} do not run once round it; allowed: in order, "
            "counter-clockwise"
        )
    if panel.plain:
        return shapely.Polygon(ring)
    try:
        outer, *holes = pattern.boundary(panel).polygons(pattern.sheet)
    except ModelError as error:
        return f"{error}"
    return shapely.Polygon(outer, holes)


def _of_crease(pattern: Pattern, crease: CreaseLine, papers: dict[str, Polygon]) -> Iterator[str]:
    """A score runs along an edge of both its panels, and no further than one of them."""
    import numpy as np
    import shapely

    ends = pattern.score(crease, {})
    if not np.isfinite(ends).all() or np.ptp(ends, axis=0).max() <= BRIDGE_MM:
        yield f"the score {crease.name} has no length; allowed: two ends on the sheet"
        return
    score = shapely.LineString(ends)
    beyond = score
    for name in (crease.parent, crease.child):
        edge = papers[name].boundary.buffer(BRIDGE_MM)
        if score.intersection(edge).length <= ALONG_MM:
            yield (
                f"the score {crease.name} runs along no edge of the {name}; allowed: one along an "
                "edge of both its panels"
            )
        beyond = beyond.difference(edge)
    if beyond.length > ALONG_MM:
        yield (
            f"the score {crease.name} runs on for {beyond.length:.2f} mm where neither panel ends; "
            "allowed: one along an edge of both its panels"
        )
