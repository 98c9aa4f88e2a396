"""Contents in their places, seen from above, with what they leave on each side."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from fitcheck.fit.check import Check
from fitcheck.fit.content_fit import ContentFit
from fitcheck.fit.outline import plan_outline
from fitcheck.folding.pose import Array
from fitcheck.outputs.arranged_words import arranged_words
from fitcheck.outputs.bench_words import lying_words
from fitcheck.outputs.report import svg
from fitcheck.outputs.report.svg import Drawing
from fitcheck.packing.placing import Placement, extents
from fitcheck.packing.room import Room

WIDTH = 180.0
MOST_WIDE, MOST_TALL = 116.0, 96.0
TOP = 14.0
NEAR_MM = 0.005


def plan_drawing(check: Check) -> Drawing | None:
    """The plan of everything that was placed; None when nothing was."""
    placed = [
        (number, place)
        for number, fit in enumerate(check.contents, start=1)
        for place in fit.placements
    ]
    if not placed:
        return None
    room = _walls(check, [place for _, place in placed])
    # placements count from the corner of the clear room, which is centred like this one
    clear = check.cavity.room
    aside = 0.5 * np.array([room.width_mm - clear.width_mm, room.length_mm - clear.length_mm])
    scale = min(MOST_WIDE / room.width_mm, MOST_TALL / room.length_mm)
    left = 0.5 * (WIDTH - scale * room.width_mm) - 8.0
    foot = TOP + scale * room.length_mm

    def paper(points: Array) -> Array:
        return np.column_stack([left + scale * points[:, 0], foot - scale * points[:, 1]])

    corners = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    walls = paper(corners * [room.width_mm, room.length_mm])
    marks = [svg.outline("wide", walls)]
    # low ones first, so that what lies on top is drawn on top
    for number, place in sorted(placed, key=lambda one: one[1].z_mm):
        shape = paper(outline_of(place) + aside)
        marks.append(svg.outline("body", shape, data_item=place.item))
        middle = shape.mean(axis=0)
        marks.append(svg.text(str(number), middle[0], middle[1] + 1.4, "strong middle"))
    marks += _spare(room, [place for _, place in placed], aside, paper)
    return Drawing(
        name="plan",
        title="Contents in place, from above",
        words=_words(check, room),
        width=WIDTH,
        height=foot + 8.0,
        marks=tuple(marks),
    )


def _walls(check: Check, placements: list[Placement]) -> Room:
    """From wall to wall on the floor; where a round body bulges beyond its creases, above them."""
    cavity = check.cavity
    boxes = np.array([extents(place) for place in placements])
    used = boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)
    low = used - [cavity.between.width_mm, cavity.between.length_mm]
    return cavity.between if low.max() <= NEAR_MM else cavity.widest


def outline_of(place: Placement) -> Array:
    """A content in its place from above, from the corner of the clear room, mm."""
    turn = math.radians(place.turn_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    turned = plan_outline(place.pose) @ np.array([[cos, sin], [-sin, cos]])
    outline: Array = turned + np.array([place.x_mm, place.y_mm])
    return outline


def _spare(
    room: Room, placements: list[Placement], aside: Array, paper: Callable[[Array], Array]
) -> list[str]:
    """What is left beside all contents together: above the plan along the width, right of it."""
    boxes = np.array([extents(place) for place in placements])
    low, high = boxes[:, :2].min(axis=0) + aside, boxes[:, 2:].max(axis=0) + aside
    ends = np.array([room.width_mm, room.length_mm])
    marks = []
    for a, b in ((0.0, low[0]), (high[0], ends[0])):
        if b - a > NEAR_MM:
            x0, x1 = paper(np.array([[a, ends[1]], [b, ends[1]]]))[:, 0]
            marks += _dimension((x0, TOP), (x1, TOP), (0.0, -1.0), f"{b - a:.1f}")
    right = paper(ends[None])[0, 0]
    for a, b in ((0.0, low[1]), (high[1], ends[1])):
        if b - a > NEAR_MM:
            y0, y1 = paper(np.array([[ends[0], a], [ends[0], b]]))[:, 1]
            marks += _dimension((right, y0), (right, y1), (1.0, 0.0), f"{b - a:.1f}")
    return marks


def _dimension(
    start: tuple[float, float], stop: tuple[float, float], away: tuple[float, float], words: str
) -> list[str]:
    """A dimension line 6 mm off the wall, its ticks and its text."""
    dx, dy = away
    marks = []
    for x, y in (start, stop):
        marks.append(svg.line("thin", (x + 1.0 * dx, y + 1.0 * dy), (x + 7.5 * dx, y + 7.5 * dy)))
        mx, my = x + 6.0 * dx, y + 6.0 * dy
        marks.append(svg.line("wide", (mx - 0.9, my + 0.9), (mx + 0.9, my - 0.9)))
    a, b = [(x + 6.0 * dx, y + 6.0 * dy) for x, y in (start, stop)]
    marks.append(svg.line("thin", a, b))
    middle = (0.5 * (a[0] + b[0]) + 2.0 * dx, 0.5 * (a[1] + b[1]) + 2.0 * dy)
    kind = "middle" if dy else "start"
    return [*marks, svg.text(words, middle[0], middle[1] + (0.4 if dy else 1.4), kind)]


def _arranged(fit: ContentFit) -> str:
    words = arranged_words(fit.placements, fit.content.count)
    return f", {words}" if words else ""


def _words(check: Check, room: Room) -> str:
    lines = [
        f"{number}: {fit.content.count} x {fit.content.item.name}, "
        + lying_words(pose.words for pose in fit.poses)
        + _arranged(fit)
        for number, fit in enumerate(check.contents, start=1)
        if fit.placements
    ]
    return (
        f"A room of {room.width_mm:.2f} by {room.length_mm:.2f} mm between the walls with "
        f"{'; '.join(lines)}. "
        "The dimensions are what is left between the walls and all contents together, in mm."
    )
