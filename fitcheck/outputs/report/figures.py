"""The figures on the page: each under the key that it has in the JSON, so that the two agree."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fitcheck.findings import show_press
from fitcheck.fit.check import Check
from fitcheck.outputs.bench_words import Sizes
from fitcheck.outputs.check_json import check_data
from fitcheck.units import Unit, show_number

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
    notch_mm: float | None
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
    parts = {part.recipe.part: part.pattern.flat for part in check.assembly.parts}
    return Figures(
        plays=_plays(lid) if lid else (),
        lid=_lid(lid, unit) if lid else (),
        parts=tuple(
            (name, data["parts"][name]["style"], _part(name, data["parts"][name], unit, flat=flat))
            for name, flat in parts.items()
        ),
        contents=tuple(_content(i, one) for i, one in enumerate(data["contents"])),
    )


def _length(key: str, value: float | None, unit: Unit) -> Figure:
    return Figure(key, value, "no limit" if value is None else Sizes(unit)(value))


def _room(key: str, value: float, unit: Unit) -> Figure:
    """What is between walls: no more than there is."""
    return Figure(key, value, Sizes(unit).inside(value))


def _round(key: str, value: float, unit: Unit) -> Figure:
    """What something takes up: no less than it does."""
    return Figure(key, value, Sizes(unit).outside(value))


SAID = {"outside_mm": _round, "closed_height_mm": _round, "inside_mm": _room}
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


def _part(name: str, part: dict[str, Any], unit: Unit, *, flat: bool) -> tuple[Row, ...]:
    framed = part["style"] == "shadow-box"
    inside = "opening" if framed else "inside"

    def row(label: str, key: str, *axes: str) -> Row:
        place, figure = f"parts.{name}.{key}", SAID.get(key, _length)
        return Row(label, tuple(figure(f"{place}.{axis}", part[key][axis], unit) for axis in axes))

    window = [row("window", "window_mm", "width", "length")] if part.get("window_mm") else []
    if flat:
        caliper = part["caliper_mm"]
        thick = Figure(f"parts.{name}.caliper_mm", caliper, f"{show_number(caliper, 3)} mm")
        if "runs" in part:
            count = Figure(f"parts.{name}.copies", part["copies"], str(part["copies"]))
            cut = [Row("cut", (count,))]
            cut += [row("length", "sheet_mm", "width"), row("height", "sheet_mm", "length")]
        else:
            cut = [row("outside, as cut", "sheet_mm", "width", "length")]
        return (*cut, *window, Row("thickness", (thick,)))
    rows = [
        *(_strips(name, part["cut_as"], unit) if "cut_as" in part else ()),
        *(() if "cut_as" in part else (row("sheet to cut", "sheet_mm", "width", "length"),)),
        row("floor, score to score", "floor_mm", "width", "length"),
        row("outside, at the rim", "outside_mm", "width", "length"),
        row(inside, "inside_mm", "width", "length"),
        row("depth inside", "inside_mm", "depth"),
        row("height outside", "outside_mm", "height"),
        *window,
    ]
    if part["corner_rise_mm"]:
        key = f"parts.{name}.corner_rise_mm"
        rows.append(Row("rise at lapped corners", (_length(key, part["corner_rise_mm"], unit),)))
    return tuple(rows)


def _strips(name: str, cut: dict[str, Any], unit: Unit) -> tuple[Row, ...]:
    """What a ring is cut as where no sheet holds it in one piece."""
    place = f"parts.{name}.cut_as"
    sides = (_length(f"{place}.sheet_mm.{k}", mm, unit) for k, mm in cut["sheet_mm"].items())
    count = Figure(f"{place}.copies", cut["copies"], str(cut["copies"]))
    return Row("strips to cut", (count,)), Row("each strip", tuple(sides))


def _content(index: int, content: dict[str, Any]) -> ContentRow:
    place = f"contents.{index}"
    slack = content["slack_mm"] or {}
    turn = content["turn_deg"]
    lies = content["orientation"] + (f", turned {turn:.1f} deg" if turn else "")
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
        notch_mm=content["notch_radius_mm"],
        reason=content["reason"],
    )
