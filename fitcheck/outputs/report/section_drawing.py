"""The section through the narrowest place drawn larger than life, its middle left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.findings import show_press
from fitcheck.outputs.report import svg
from fitcheck.outputs.report.cutting import CutFace
from fitcheck.outputs.report.section import Section, Side
from fitcheck.outputs.report.svg import Drawing
from fitcheck.pattern.sheet import Axis

WIDTH = 180.0
WINDOW = 78.0
TOP = 17.0
MARGIN_MM = 1.1
TALLEST = 104.0
ROW = 5.4
"""From one label below a chain to the next."""
SCALES = (20.0, 10.0, 5.0, 2.0, 1.0)
"""Enlargement scales of technical drawing (ISO 5455)."""


@dataclass(frozen=True)
class _Frame:
    """Where one side's window is, and how millimetres of the box become millimetres on paper."""

    left: float
    height: float
    scale: float
    edge_mm: float
    """The place along the axis at the window's outer edge."""
    top_mm: float
    sign: int

    def x(self, along_mm: float) -> float:
        inward = -self.sign * (along_mm - self.edge_mm) * self.scale
        return self.left + inward if self.sign < 0 else self.left + WINDOW - inward

    def y(self, height_mm: float) -> float:
        return TOP + (self.top_mm - height_mm) * self.scale

    @property
    def bottom(self) -> float:
        return TOP + self.height

    def shows(self, xs: Sequence[float]) -> bool:
        """True when a shape that spans these reaches into the window."""
        return min(xs) < self.left + WINDOW and max(xs) > self.left


def section_drawing(section: Section) -> Drawing:
    """The section as a drawing 180 mm wide."""
    scale = _scale(section)
    tall = min(TALLEST, (section.top_mm - section.base_mm + 2.0 * MARGIN_MM) * scale)
    lefts = {-1: 4.0, 1: WIDTH - 4.0 - WINDOW}
    marks = [svg.hatching("hatch-lid", -1), svg.hatching("hatch-base", 1, 2.4)]
    for side in (section.low, section.high):
        frame = _Frame(
            lefts[side.sign], tall, scale, _edge(side), section.top_mm + MARGIN_MM, side.sign
        )
        marks += _side_marks(section, side, frame)
    marks += _heading(section, scale)
    return Drawing(
        name="section",
        title=f"Section through {section.called}, {scale:g} times life size",
        words=_words(section),
        width=WIDTH,
        height=TOP + tall + 33.0 + ROW,
        marks=tuple(marks),
    )


def _scale(section: Section) -> float:
    """The largest scale at which both walls and some of the floor's corner stay in sight."""
    need = 4.0 * max(*section.calipers_mm, abs(section.play_mm)) + MARGIN_MM + 3.0
    return next((s for s in SCALES if need * s <= WINDOW), SCALES[-1])


def _edge(side: Side) -> float:
    reach = [float((f.outline[:, 0] * side.sign).max()) for f in (*side.outer, *side.inner)]
    return side.sign * (max(reach) + MARGIN_MM)


def _side_marks(section: Section, side: Side, frame: _Frame) -> list[str]:
    clip = f"window-{'low' if side.sign < 0 else 'high'}"
    window = svg.rect("", frame.left, TOP, WINDOW, frame.height)
    drawn = [
        *_faces(side.inner, frame, "base", side.limits[1]),
        *_faces(side.outer, frame, "lid", side.limits[0]),
    ]
    return [
        svg.tag("clipPath", "", window, id=clip),
        svg.tag("g", "", "".join(drawn), clip_path=f"url(#{clip})"),
        *_break_lines(frame),
        *_chain(section, side, frame),
    ]


def _faces(faces: Sequence[CutFace], frame: _Frame, part: str, limit: str) -> list[str]:
    """Outlines first and fills over them, so that the facets of a round show no seams."""
    shapes: dict[str, str] = {}
    for face in faces:
        corners = [(frame.x(x), frame.y(z)) for x, z in face.outline]
        if not frame.shows([x for x, _ in corners]):
            continue
        shapes[face.name] = shapes.get(face.name, "") + svg.closed(corners)
    name_of = {piece: f"cut-{part}-{frame.sign + 1}-{i}" for i, piece in enumerate(shapes)}
    kept = [
        svg.tag(
            "path",
            "",
            id=name_of[piece],
            d=shape,
            data_part=part,
            data_piece=piece,
            data_side="low" if frame.sign < 0 else "high",
            data_limits="yes" if piece == limit else "no",
        )
        for piece, shape in shapes.items()
    ]
    drawn = [
        svg.tag("use", kind, href=f"#{name}")
        for kind in ("cut", "plain", f"{part}-cut")
        for name in name_of.values()
    ]
    return [svg.tag("defs", "", "".join(kept)), *drawn]


def _break_lines(frame: _Frame) -> list[str]:
    """The inner edge and the foot, where the rest is left out: a thin line with a zigzag."""
    inner = frame.left + (WINDOW if frame.sign < 0 else 0.0)
    marks = [_zigzag((inner, TOP - 2.0), (inner, frame.bottom + 2.0))]
    if frame.y(0.0) > frame.bottom + 1e-6:
        marks.append(
            _zigzag((frame.left - 2.0, frame.bottom), (frame.left + WINDOW + 2.0, frame.bottom))
        )
    return marks


def _zigzag(start: tuple[float, float], stop: tuple[float, float]) -> str:
    a, b = np.array(start), np.array(stop)
    along = (b - a) / np.linalg.norm(b - a)
    beside = np.array([-along[1], along[0]])
    middle = 0.5 * (a + b)
    points = [a, middle - 2 * along, middle - along + 2.2 * beside]
    points += [middle + along - 2.2 * beside, middle + 2 * along, b]
    path = " L ".join(f"{svg.number(x)},{svg.number(y)}" for x, y in points)
    return svg.tag("path", "thin", d=f"M {path}")


def _chain(section: Section, side: Side, frame: _Frame) -> list[str]:
    """A chain of dimensions below the window: one part's paper, the gap, the other's paper."""
    sign, near = side.sign, side.nearest
    lid_t, base_t = section.calipers_mm
    places = [
        near.outer_mm + sign * lid_t,
        near.outer_mm,
        near.inner_mm,
        near.inner_mm - sign * base_t,
    ]
    xs = [frame.x(place) for place in places]
    level = frame.bottom + 7.0
    marks = [svg.line("thin", (x, frame.bottom + 1.0), (x, level + 1.8)) for x in xs]
    ends = sorted(xs)
    marks.append(svg.line("thin", (ends[0] - 4.0, level), (ends[-1] + 4.0, level)))
    marks += [svg.line("wide", (x - 1.0, level + 1.0), (x + 1.0, level - 1.0)) for x in xs]
    foot = frame.y(section.top_mm - lid_t - 1.0)
    for x in xs[1:3]:
        marks.append(svg.line("chain", (x, foot), (x, frame.bottom)))
    gap = near.gap_mm
    said = f"gap {gap:.3f} mm" if gap >= 0.0 else f"presses {-gap:.3f} mm"
    papers = (
        ((xs[0] + xs[1]) / 2, f"{section.over}'s paper {lid_t:.3f} mm", "", "lid-paper"),
        ((xs[2] + xs[3]) / 2, f"{section.under}'s paper {base_t:.3f} mm", "", "base-paper"),
    )
    between = ((xs[1] + xs[2]) / 2, said, "mark-text ", "gap")
    if sign > 0:  # the papers are those on the left
        return marks + _labels([between], level + 3 * ROW, sign, level)
    return marks + _labels([papers[0], between, papers[1]], level, sign, level)


def _labels(
    rows: Sequence[tuple[float, str, str, str]], first: float, sign: int, level: float
) -> list[str]:
    """Texts below a chain of dimensions, each on its leader, towards where there is more room.

    Those of the two sides stand in rows of their own, so that none meets another however large its
    letters are. The outermost space comes first.
    """
    from_edge = min(x if sign < 0 else WIDTH - x for x, *_ in rows)
    way = -sign if from_edge < WIDTH / 3.0 else sign
    marks = []
    # the leader that the texts lead away from goes down least, so that none crosses a text
    for row, (x, words, kind, meant) in enumerate(rows if way == sign else reversed(rows)):
        y = first + 6.5 + ROW * row
        elbow = x + way * 3.0
        marks.append(
            svg.tag(
                "path",
                "thin",
                d=f"M {svg.number(x)},{svg.number(level)} L {svg.number(x)},{svg.number(y - 1.4)} "
                f"L {svg.number(elbow)},{svg.number(y - 1.4)}",
            )
        )
        anchor = "start" if way > 0 else "end"
        marks.append(svg.text(words, elbow + way * 1.0, y, kind + anchor, data_length=meant))
    return marks


def _heading(section: Section, scale: float) -> list[str]:
    play = section.play_mm
    total = f"{_said(play)}{section.way} in all"
    low, high = (_place(side.nearest.at_mm) for side in (section.low, section.high))
    other = "length" if section.axis is Axis.WIDTH else "width"
    where = low if low == high else f"{low} on the left, {high} on the right"
    place = f"cut {where} of the {other}"
    return [
        svg.text(f"Across the {section.axis}, {scale:g} : 1", 4.0, 5.5, "strong start"),
        svg.text(f"{total}, parts centred", WIDTH - 4.0, 5.5, "mark-text end"),
        svg.text(place, 4.0, 11.0, "quiet-text start"),
    ]


def _place(at_mm: float) -> str:
    return "in the middle" if abs(at_mm) < 0.05 else f"{at_mm:+.1f} mm from the middle"


def _words(section: Section) -> str:
    outer, inner = section.limits
    each = 0.5 * section.play_mm
    gap = f"a gap of {each:.3f} mm" if each >= 0.0 else f"a press of {-each:.3f} mm"
    less = section.less_mm
    upwards = "" if less is None else f" Upwards there is less: {_said(less)} in all."
    return (
        f"The {section.over}'s {outer} beside the {section.under}'s {inner}, cut across the "
        f"{section.axis}. "
        f"With the parts centred each side has {gap}. The {section.over}'s paper is "
        f"{section.calipers_mm[0]:.3f} mm and the {section.under}'s "
        f"{section.calipers_mm[1]:.3f} mm thick.{upwards}"
    )


def _said(play: float) -> str:
    return f"play {play:.2f} mm" if play >= 0.0 else f"presses by {show_press(-play)}"
