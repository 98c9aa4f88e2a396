"""The check as JSON: all lengths in mm, keys stable within a format number."""

from __future__ import annotations

import json
from typing import Any

import numpy as np

from fitcheck.feel.feel import feel_of
from fitcheck.fit.assembly import Part
from fitcheck.fit.check import Check
from fitcheck.fit.contents import ContentFit, Slack
from fitcheck.fit.cures import cures_of
from fitcheck.fit.lid import LidFit
from fitcheck.fit.selffit import Press, glued_overlap
from fitcheck.fit.sheets import cut_pattern
from fitcheck.fit.slide import Slide
from fitcheck.fit.upright import Upright, advised
from fitcheck.folding.openings import opening_of
from fitcheck.folding.rolls import RollSection
from fitcheck.outputs.bench_words import lying_words
from fitcheck.outputs.cure_json import missing_data
from fitcheck.outputs.feel_json import feel_data
from fitcheck.outputs.json_lengths import DIGITS, pair_of, rounded
from fitcheck.outputs.mate_json import mates_data
from fitcheck.packing.placing import Placement
from fitcheck.pattern.panes import pane_mm, window_mm
from fitcheck.pattern.sheet import Axis

FORMAT = 1


def check_json(check: Check) -> str:
    """The whole check as indented JSON text."""
    return json.dumps(check_data(check), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def check_data(check: Check, uprights: tuple[Upright, ...] | None = None) -> dict[str, Any]:
    """The whole check as plain data; `uprights` cost no boxes, where that was counted."""
    data: dict[str, Any] = {
        "format": FORMAT,
        "title": check.design.title,
        "verdict": "fits" if check.fits else "does not fit",
        "parts": {
            part.recipe.part: _part(part, check.presses[part.recipe.part]) | _strips(check, part)
            for part in check.assembly.parts
        },
    }
    if check.lid is not None:
        data["lid"] = _lid(check, check.lid)
    data["mates"] = mates_data(check)
    data["contents"] = [
        _content(fit) | _in_each(check) | missing_data(cure)
        for fit, cure in zip(check.contents, cures_of(check), strict=True)
    ]
    data["findings"] = [
        {
            "code": finding.code,
            "severity": str(finding.severity),
            "piece": finding.piece,
            "message": finding.message,
            "numbers": {key: rounded(value) for key, value in finding.numbers.items()},
        }
        for finding in advised(check, uprights)
    ]
    return data


def _part(part: Part, presses: tuple[Press, ...]) -> dict[str, Any]:
    sizes, sheet = part.sizes, part.pattern.sheet
    rolls = {"rolls": _rolls(part), **_opening(part)} if part.folded.rolls else {}
    return rolls | {
        "style": part.recipe.style,
        "outside_mm": {**pair_of(sizes.outside_mm), "height": rounded(sizes.height_mm)},
        "floor_outside_mm": pair_of(sizes.floor_outside_mm),
        "inside_mm": {**pair_of(sizes.inside_mm), "depth": rounded(sizes.depth_mm)},
        "corner_rise_mm": rounded(sizes.corner_rise_mm),
        "floor_mm": pair_of((part.recipe.width_mm, part.recipe.length_mm)),
        "sheet_mm": pair_of((sheet.width_mm, sheet.length_mm)),
        "stock": part.recipe.stock.name,
        "caliper_mm": rounded(part.recipe.stock.caliper_mm),
        "crease_allowance_mm": rounded(part.recipe.stock.crease_allowance_mm),
        "glued_overlap_mm": rounded(glued_overlap(part.folded)),
        "self_fit": [
            {
                "pieces": list(press.pieces),
                "press_mm": rounded(press.press_mm),
                "trim": None
                if press.trim is None
                else {"panel": press.trim.panel, "by_mm": rounded(press.trim.by_mm)},
            }
            for press in presses
        ],
    }


def _half_strips(check: Check, part: Part) -> dict[str, Any]:
    """The strips that a ring is cut as where no sheet holds it in one piece."""
    cut = cut_pattern(part, check.design)
    if cut is part.pattern:
        return {}
    sides = pair_of((cut.sheet.width_mm, cut.sheet.length_mm))
    return {"cut_as": {"copies": cut.copies, "sheet_mm": sides}}


def _strips(check: Check, part: Part) -> dict[str, Any]:
    """How often a strip is cut, and the compartments that all of them leave; a window."""
    rooms, over = check.compartments, check.over_grid_mm
    spec = check.design.part(part.recipe.part)
    window, pane = window_mm(part.pattern), pane_mm(part.pattern)
    cut = {"window_mm": None if window is None else pair_of(window)}
    if rooms is None and spec is not None and spec.fills_base:
        return {"room_above_mm": None if over is None else rounded(over), **cut}
    if pane is not None:
        return {**cut, "pane_mm": pair_of(pane)}
    if part.pattern.row is None or rooms is None:
        return _half_strips(check, part)
    return {
        "copies": part.pattern.copies,
        "runs": str(part.pattern.row.runs),
        "compartments": {
            "columns": rooms.columns,
            "rows": rooms.rows,
            "inside_mm": pair_of(rooms.size_mm),
            "room_above_mm": None if over is None else rounded(over),
        },
    }


def _in_each(check: Check) -> dict[str, Any]:
    """In how many compartments each content stands so often; nothing without any."""
    rooms = check.assembly.rooms
    return {} if rooms == 1 else {"in_each_of": rooms}


def _rolls(part: Part) -> dict[str, dict[str, float | None]]:
    """The section of the two rolled walls that are met across each axis: that further in."""
    found: dict[str, RollSection] = {}
    for roll in part.folded.rolls:
        along = np.abs(part.folded.layout.outward(roll.wall)[0])
        axis = str(tuple(Axis)[int(np.argmax(along))])
        known = found.get(axis)
        if known is None or max(roll.top_mm, roll.foot_mm) > max(known.top_mm, known.foot_mm):
            found[axis] = roll
    return {
        str(axis): {
            "top_mm": rounded(found[axis].top_mm),
            "foot_mm": rounded(found[axis].foot_mm),
            "edge_height_mm": rounded(found[axis].edge_height_mm),
            "tip_gap_mm": rounded(found[axis].tip_gap_mm),
            "trim_mm": rounded(found[axis].trim_mm),
        }
        for axis in Axis
        if axis in found
    }


def _opening(part: Part) -> dict[str, Any]:
    """What is free between the inner walls of a frame, above and below."""
    found = opening_of(part.folded, part.sizes.inside_mm)
    if found is None:
        return {}
    ends = {"frame": pair_of(found.frame_mm), "floor": pair_of(found.floor_mm)}
    return {"opening_mm": ends}


def _lid(check: Check, lid: LidFit) -> dict[str, Any]:
    found = {
        "verdict": str(lid.verdict),
        "play_mm": pair_of((lid.slide.travels[0].play_mm, lid.slide.travels[1].play_mm)),
        "limiting": _limiting(check, lid.slide),
        "blocked_by": list(lid.slide.blocked_by) if lid.slide.blocked_by else None,
        "overlap_mm": rounded(lid.overlap_mm),
        "reveal_mm": rounded(lid.reveal_mm),
        "closed_height_mm": rounded(lid.closed_height_mm),
    }
    feel = feel_of(check)
    if feel is not None:
        found["feel"] = feel_data(feel)
    if check.neck is None:
        return found
    gap = None if lid.gap_mm is None else rounded(lid.gap_mm)
    return found | {"gap_mm": gap, "step_mm": pair_of(check.steps_mm)}


def _limiting(check: Check, slide: Slide) -> dict[str, Any] | None:
    stop = slide.tighter.limiting
    if stop is None:
        return None
    return {
        "axis": str(slide.tighter.axis),
        "pieces": [f"lid: {stop.outer}", f"{check.below_lid(stop.inner)}: {stop.inner}"],
        "at_mm": [rounded(value) for value in stop.at_mm],
    }


def _content(fit: ContentFit) -> dict[str, Any]:
    return {
        "item": fit.content.item.name,
        "count": fit.content.count,
        "verdict": str(fit.verdict),
        "slack_mm": _slack(fit.own),
        "orientation": fit.orientation,
        "lies": lying_words(pose.words for pose in fit.poses),
        "turn_deg": round(fit.turn_deg, DIGITS),
        "protrudes_mm": rounded(fit.protrudes_mm),
        "finger_gap_mm": rounded(fit.fingers.largest_gap_mm),
        "notch_radius_mm": fit.fingers.notch_radius_mm if fit.placements else None,
        "way_out": str(fit.fingers.way_out) if fit.placements else None,
        "reason": fit.reason,
        "placements": [_placement(place) for place in fit.placements],
    }


def _placement(place: Placement) -> dict[str, Any]:
    """Where a piece stands: the middle of its plan and its underside, from the corner of the room
    between the tabs and the floor.

    `orientation` names how it lies, `size_mm` is its size along the box's sides as it lies so, and
    `turn_deg` how far it is turned beyond that, counter-clockwise in plan about its middle.
    """
    pose = place.pose
    return {
        "orientation": pose.name,
        "size_mm": {
            "width": rounded(pose.width_mm),
            "length": rounded(pose.length_mm),
            "height": rounded(pose.height_mm),
        },
        "at_mm": [rounded(place.x_mm), rounded(place.y_mm), rounded(place.z_mm)],
        "turn_deg": round(place.turn_deg, DIGITS),
    }


def _slack(slack: Slack | None) -> dict[str, float | None] | None:
    if slack is None:
        return None
    return {
        "width": rounded(slack.width_mm),
        "length": rounded(slack.length_mm),
        "height": rounded(slack.height_mm),
    }
