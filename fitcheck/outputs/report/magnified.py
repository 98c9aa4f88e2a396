"""The gap at the narrowest place, magnified: true section geometry seen in a circle."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from fitcheck.findings import show_press
from fitcheck.folding.pose import Array
from fitcheck.outputs.report import svg
from fitcheck.outputs.report.cutting import CutFace
from fitcheck.outputs.report.section import Section, Side
from fitcheck.outputs.report.svg import Drawing
from fitcheck.pattern.sheet import Axis

SCALES = (20.0, 10.0, 5.0, 2.0, 1.0)
"""Enlargement scales of technical drawing (ISO 5455)."""
FILLED = 1.3
"""Lid's paper, gap and base's paper take so much of the radius at the most."""
LOW = 0.3
"""No further from the middle than this share of the radius is the place where they come nearest."""
RIM = 0.45
"""How far above the circle's foot the lid's rim is, as a share of the radius."""
ABOVE_RIM_MM = 0.5
SAME_MM = 1e-3
JOINED_MM = 1e-6
ROUND = 24
LABEL_MM = 12.0
"""Height of the label below the circle; it covers the circle's foot by `OVER_MM`."""
OVER_MM = 3.5


@dataclass(frozen=True, eq=False)
class Magnified:
    """What a magnifier over one side's gap shows."""

    lid: shapely.Geometry
    """Cut faces in mm of the box: across the gap from its middle, outwards positive; and height."""
    base: shapely.Geometry
    tints: tuple[str, str]
    """Colours of the lid's paper and of the base's, `#rrggbb`."""
    gap_mm: float
    """On this side, the parts centred; negative when they press."""
    play_mm: float
    calipers_mm: tuple[float, float]
    axis: Axis
    foot_mm: float
    """The height of the lid's rim."""
    level_mm: float
    """The height at which the two come nearest, closed."""
    parts: tuple[str, str] = ("lid", "base")
    """What they are called."""
    way: str = ""
    """Behind the play: nothing at the narrowest place."""
    called: str = "the narrowest place"

    def scale(self, radius: float) -> float:
        """How many times life size a circle of this radius, mm, shows it."""
        need = sum(self.calipers_mm) + abs(self.gap_mm)
        return next((s for s in SCALES if need * s <= FILLED * radius), SCALES[-1])

    def label(self, radius: float) -> tuple[str, str]:
        """The two lines below the circle."""
        play, gap = self.play_mm, self.gap_mm
        said = f"play {play:.2f} mm" if play >= 0.0 else f"presses {show_press(-play)}"
        return said + self.way, f"{abs(gap):.2f} a side, {self.scale(radius):g} : 1"

    def marks(self, centre: tuple[float, float], radius: float, outward: float) -> list[str]:
        """The circle with its label, mm on paper; `outward` is 1 when outwards is to the right."""
        x, y = centre
        scale = self.scale(radius)
        glass = shapely.Point(centre).buffer(radius, quad_segs=ROUND)
        # the rim in sight where that leaves the nearest place well inside
        level = min(
            self.foot_mm + (1.0 - RIM) * radius / scale, self.level_mm + LOW * radius / scale
        )
        level = max(level, self.level_mm - LOW * radius / scale)

        def paper(points: Array) -> Array:
            across = x + outward * scale * points[:, 0]
            return np.column_stack([across, y - scale * (points[:, 1] - level)])

        found = [svg.tag("circle", "wash", cx=x, cy=y, r=radius)]
        for part, shape, tint in (
            ("base", self.base, self.tints[1]),
            ("lid", self.lid, self.tints[0]),
        ):
            shown = shapely.intersection(shapely.transform(shape, paper), glass)
            data = " ".join(_rings(shown))
            if data:
                found.append(svg.tag("path", "tinted", d=data, fill=tint, data_glass=part))
        found += self._arrows((x, y), radius, outward * scale, scale * (self.level_mm - level))
        found.append(svg.tag("circle", "mark", cx=x, cy=y, r=radius))
        return found + self._label(centre, radius)

    def _arrows(
        self, at: tuple[float, float], radius: float, scale: float, above: float
    ) -> list[str]:
        """How far the two reach, and two arrows towards each other where they come nearest."""
        x, y = at
        marks = []
        for side in (1.0, -1.0):
            tip = x + side * 0.5 * self.gap_mm * scale
            tall = math.sqrt(radius**2 - (tip - x) ** 2)
            marks.append(svg.line("chain", (tip, y - tall), (tip, y + tall)))
            way = -side if scale > 0.0 else side
            marks.append(
                svg.line("mark", (tip - 6.5 * way, y - above), (tip - 2.0 * way, y - above))
            )
            marks.append(svg.arrow("mark-tip", (tip, y - above), (way, 0.0), 4.0))
        return marks

    def _label(self, centre: tuple[float, float], radius: float) -> list[str]:
        x, top = centre[0], centre[1] + radius - OVER_MM
        lines = self.label(radius)
        wide = label_width(lines)
        return [
            svg.rect("label", x - 0.5 * wide, top, wide, LABEL_MM),
            svg.text(lines[0], x, top + 4.9, "mark-text middle"),
            svg.text(lines[1], x, top + 10.0, "middle"),
        ]


def label_width(lines: Sequence[str]) -> float:
    """The width of a label's box, mm on paper."""
    return 2.1 * max(map(len, lines)) + 4.0


def magnified(section: Section, tints: tuple[str, str]) -> Magnified:
    """The low side of a section, which faces the usual view; tints of the two papers."""
    side = section.low
    near = side.nearest
    middle = 0.5 * (near.outer_mm + near.inner_mm)
    reaches = [
        _reach(faces, name, side.sign * way)
        for faces, name, way in ((side.outer, side.limits[0], -1), (side.inner, side.limits[1], 1))
    ]
    rims = [f.outline[:, 1].min() for f in side.outer if f.name == side.limits[0]]
    foot = float(min(rims, default=section.base_mm))
    return Magnified(
        lid=_joined(side, side.outer, middle),
        base=_joined(side, side.inner, middle),
        tints=tints,
        gap_mm=near.gap_mm,
        play_mm=section.play_mm,
        calipers_mm=section.calipers_mm,
        axis=section.axis,
        foot_mm=foot,
        level_mm=_level(reaches, foot),
        parts=(section.over, section.under),
        way=section.way,
        called=section.called,
    )


def _reach(faces: Sequence[CutFace], name: str, way: int) -> tuple[float, float]:
    """From what height to what height a piece's faces reach furthest along a way."""
    corners = np.vstack([face.outline for face in faces if face.name == name])
    furthest = corners[way * corners[:, 0] > (way * corners[:, 0]).max() - SAME_MM, 1]
    return float(furthest.min()), float(furthest.max())


def _level(reaches: Sequence[tuple[float, float]], foot: float) -> float:
    """The lowest height above the lid's rim at which both reach furthest, or else the base does."""
    low = max(reach[0] for reach in reaches)
    high = min(reach[1] for reach in reaches)
    if low > high:
        low, high = reaches[1]
    return min(max(foot + ABOVE_RIM_MM, low), high)


def _joined(side: Side, faces: Sequence[CutFace], middle: float) -> shapely.Geometry:
    """One part's cut faces, those that touch made one."""
    shapes = [
        shapely.Polygon(np.column_stack([side.sign * (f.outline[:, 0] - middle), f.outline[:, 1]]))
        for f in faces
    ]
    grown = shapely.buffer(shapes, JOINED_MM, join_style="mitre")
    return shapely.buffer(shapely.union_all(grown), -JOINED_MM, join_style="mitre")


def _rings(shape: shapely.Geometry) -> Iterator[str]:
    for part in shapely.get_parts(shape):
        if isinstance(part, shapely.Polygon):
            for ring in shapely.get_rings(part):
                yield svg.closed(shapely.get_coordinates(ring)[:-1])


def inset_drawing(shown: Magnified, outward: float) -> Drawing:
    """The magnifier alone, for the corner of the turning view."""
    radius, edge = 20.0, 1.0
    wide = max(2.0 * radius, label_width(shown.label(radius))) + 2.0 * edge
    tall = 2.0 * radius + LABEL_MM - OVER_MM + 2.0 * edge
    said, how = shown.label(radius)
    return Drawing(
        name="inset",
        title=f"{shown.called.capitalize()}, magnified: {said}",
        words=(
            f"{shown.parts[0].capitalize()} and {shown.parts[1]} cut across the {shown.axis}, the "
            f"parts centred: {how}."
        ),
        width=wide,
        height=tall,
        marks=tuple(shown.marks((0.5 * wide, edge + radius), radius, outward)),
    )
