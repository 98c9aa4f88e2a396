"""The figures on the page: each under the key that it has in the JSON, so that the two agree.

What is cut is told as a hand cuts it, as everywhere else; the JSON has it as it is drawn.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Any

from fitcheck.findings import show_press
from fitcheck.fit.assembly import Part
from fitcheck.fit.check import Check
from fitcheck.fit.content_fit import ContentFit
from fitcheck.fit.sheets import by_hand_mm, cut_pattern
from fitcheck.fit.taken_out import taking_out
from fitcheck.outputs.arranged_words import arranged_words
from fitcheck.outputs.bench_words import Sizes
from fitcheck.outputs.check_json import check_data
from fitcheck.outputs.inside import insides_of
from fitcheck.pattern.counted import hole_by_hand_mm
from fitcheck.pattern.panes import window_mm
from fitcheck.units import Unit, show_number
from fitcheck.workspace.size_texts import size_words

COMPARTMENTS = "com\u00adpart\u00adments"
"""With soft hyphens: the longest word of a narrow column, on a phone."""


@dataclass(frozen=True)
class Figure:
    """One length."""

    key: str
    """Dotted path to it in the JSON."""
    value: float | None
    """In mm, as in the JSON; None when there is no limit."""
    text: str


@dataclass(frozen=True)
class Row:
    """A row of a table: what it is, and its figures."""

    label: str
    figures: tuple[Figure, ...]


@dataclass(frozen=True)
class ContentRow:
    """A line of contents in the table."""

    number: int
    name: str
    count: int
    verdict: str
    lies: str
    slack: tuple[Figure, ...]
    """Width, length, height; empty when nothing was placed."""
    finger: Figure
    out: str
    """What to make so that it comes out again; nothing where it does as it is."""
    reason: str


@dataclass(frozen=True)
class Figures:
    """All figures of a check."""

    plays: tuple[Row, ...]
    lid: tuple[Row, ...]
    parts: tuple[tuple[str, str, tuple[Row, ...]], ...]
    """(name, style, rows) of each part."""
    contents: tuple[ContentRow, ...]


def figures_of(check: Check) -> Figures:
    """Gather the figures from the same data that the JSON is written from."""
    data = check_data(check)
    unit = check.design.unit
    lid = data.get("lid")
    return Figures(
        plays=_plays(lid) if lid else (),
        lid=_lid(lid, unit) if lid else (),
        parts=tuple(_part(check, part, data["parts"]) for part in check.assembly.parts),
        contents=tuple(
            _content(i, one, check.contents[i], taking_out(check, check.contents[i]))
            for i, one in enumerate(data["contents"])
        ),
    )


def _length(key: str, value: float | None, unit: Unit) -> Figure:
    return Figure(key, value, "no limit" if value is None else Sizes(unit)(value))


def _room(key: str, value: float, unit: Unit) -> Figure:
    """What is between walls: no more than there is."""
    return Figure(key, value, Sizes(unit).inside(value))


def _round(key: str, value: float, unit: Unit) -> Figure:
    """What something takes up: no less than it does."""
    return Figure(key, value, Sizes(unit).outside(value))


def _given(key: str, value: float, unit: Unit) -> Figure:
    """What was typed, or hangs on it alone: as it is."""
    return Figure(key, value, size_words([value], unit))


SAID = {
    "outside_mm": _round,
    "closed_height_mm": _round,
    "inside_mm": _room,
    "opening_mm": _room,
    "floor_mm": _given,
    "window_mm": _given,
}
"""How sizes are told by their keys; others are told as a rule shows them."""


def _small(key: str, value: float | None) -> Figure:
    """A small signed length in mm; a press is said in words, since a minus is easily missed."""
    if value is None:
        return Figure(key, None, "no limit")
    said = f"{value:.2f} mm" if value >= 0.0 else f"too large by {show_press(-value)}"
    return Figure(key, value, said)


def _plays(lid: dict[str, Any]) -> tuple[Row, ...]:
    rows = []
    for axis, value in lid["play_mm"].items():
        figure = _small(f"lid.play_mm.{axis}", value)
        if value is not None and value < 0.0:
            figure = Figure(figure.key, value, f"presses by {show_press(-value)}")
        rows.append(Row(f"play along the {axis}", (figure,)))
    return tuple(rows)


def _lid(lid: dict[str, Any], unit: Unit) -> tuple[Row, ...]:
    names = {
        "overlap_mm": "overlap over the base's walls",
        "reveal_mm": "base showing below the rim",
        "gap_mm": "line between lid and base",
        "closed_height_mm": "height with the lid on",
    }
    return tuple(
        Row(name, (SAID.get(key, _length)(f"lid.{key}", lid[key], unit),))
        for key, name in names.items()
        if lid.get(key) is not None
    )


def _part(check: Check, part: Part, data: dict[str, Any]) -> tuple[str, str, tuple[Row, ...]]:
    """A part's name, its style and its rows."""
    name = part.recipe.part
    return name, data[name]["style"], _part_rows(check, part, data[name])


def _part_rows(check: Check, part: Part, data: dict[str, Any]) -> tuple[Row, ...]:
    name, unit, flat = part.recipe.part, check.design.unit, part.pattern.flat
    cut = _cut(check, part, data)
    window = _window(name, part, data, unit)

    def row(label: str, key: str, *axes: str) -> Row:
        place, figure = f"parts.{name}.{key}", SAID.get(key.partition(".")[0], _length)
        values = functools.reduce(dict.__getitem__, key.split("."), data)
        return Row(label, tuple(figure(f"{place}.{axis}", values[axis], unit) for axis in axes))

    if flat:
        caliper = data["caliper_mm"]
        thick = Figure(f"parts.{name}.caliper_mm", caliper, f"{show_number(caliper, 3)} mm")
        return (*cut, *window, Row("thickness", (thick,)))
    rows = [
        *cut,
        row("floor, score to score", "floor_mm", "width", "length"),
        row("outside, at the rim", "outside_mm", "width", "length"),
        *(
            row(f"{own.words} {own.where}".rstrip(), own.key, "width", "length")
            for own in insides_of(part)
        ),
        row("depth inside", "inside_mm", "depth"),
        row("height outside", "outside_mm", "height"),
        *window,
    ]
    if data["corner_rise_mm"]:
        key = f"parts.{name}.corner_rise_mm"
        rows.append(Row("rise at lapped corners", (_length(key, data["corner_rise_mm"], unit),)))
    return tuple(rows)


def _cut(check: Check, part: Part, data: dict[str, Any]) -> tuple[Row, ...]:
    """What is cut for a part, a ring's strips where no sheet holds it in one piece."""
    name, unit, halved = part.recipe.part, check.design.unit, "cut_as" in data
    place, found = f"parts.{name}", data
    if halved:
        place, found = f"{place}.cut_as", data["cut_as"]
    by_hand = by_hand_mm(cut_pattern(part, check.design), check.design)
    sides = tuple(
        Figure(f"{place}.sheet_mm.{axis}", drawn, Sizes(unit)(mm))
        for (axis, drawn), mm in zip(found["sheet_mm"].items(), by_hand, strict=True)
    )
    if halved:
        count = Figure(f"{place}.copies", found["copies"], str(found["copies"]))
        return Row("strips to cut", (count,)), Row("each strip", sides)
    if "runs" in data:
        count = Figure(f"{place}.copies", data["copies"], str(data["copies"]))
        return Row("cut", (count,)), Row("length", sides[:1]), Row("height", sides[1:])
    return (Row("outside, as cut" if part.pattern.flat else "sheet to cut", sides),)


def _window(name: str, part: Part, data: dict[str, Any], unit: Unit) -> tuple[Row, ...]:
    """An insert's hole, no narrower than what goes into it asks for."""
    window = window_mm(part.pattern) if data.get("window_mm") else None
    if window is None:
        return ()
    sides = (
        Figure(f"parts.{name}.window_mm.{axis}", drawn, Sizes(unit)(hole_by_hand_mm(mm, unit)))
        for (axis, drawn), mm in zip(data["window_mm"].items(), window, strict=True)
    )
    return (Row("window", tuple(sides)),)


def _content(index: int, content: dict[str, Any], fit: ContentFit, out: str) -> ContentRow:
    place = f"contents.{index}"
    slack = content["slack_mm"] or {}
    turn = content["turn_deg"]
    lies = content["lies"] + (f", turned {turn:.1f} deg" if turn else "")
    arranged = arranged_words(fit.placements, fit.content.count)
    lies += f", {arranged}" if arranged else ""
    if lies and "in_each_of" in content:
        lies += f", in each of {content['in_each_of']} {COMPARTMENTS}"
    return ContentRow(
        number=index + 1,
        name=content["item"],
        count=content["count"],
        verdict=content["verdict"],
        lies=lies,
        slack=tuple(_small(f"{place}.slack_mm.{axis}", value) for axis, value in slack.items()),
        finger=_small(f"{place}.finger_gap_mm", content["finger_gap_mm"]),
        out=out,
        reason="" if arranged else content["reason"],
    )
