"""Contents go in through the opening, stand in the room under the lid, and come out by a finger."""

from __future__ import annotations

import enum
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import Content
from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.fingers import FingerRoom, finger_room
from fitcheck.fit.outline import content_piece
from fitcheck.fit.way_in import clear_sides, way_in
from fitcheck.folding.fold import FoldedPart
from fitcheck.packing.arrange import arrange
from fitcheck.packing.bodies import Pose, lays
from fitcheck.packing.placing import Arrangement, Demand, Outcome, Placement, extents
from fitcheck.packing.room import Room
from fitcheck.packing.turning import Turn, best_pose_turn
from fitcheck.workspace.progress import SILENT, Progress


class ContentVerdict(enum.StrEnum):
    """What is known about a content."""

    FITS = "fits"
    DOES_NOT_FIT = "does not fit"
    NONE_FOUND = "none found"
    """No arrangement was found, and nothing proves that there is none."""


@dataclass(frozen=True)
class Slack:
    """Free travel of a content, mm; negative where it is too large by that much."""

    width_mm: float
    length_mm: float
    height_mm: float
    """Under the lid; without a lid, below the rim."""


@dataclass(frozen=True)
class ContentFit:
    """How one line of contents fits."""

    content: Content
    verdict: ContentVerdict
    slack: Slack | None
    """None when no arrangement was found."""
    orientation: str
    turn_deg: float
    protrudes_mm: float
    """How far it stands out above the rim."""
    fingers: FingerRoom
    reason: str
    """Why it does not fit, or how several were arranged."""
    placements: tuple[Placement, ...]


@dataclass(frozen=True, eq=False)
class Cavity:
    """The inside of a base as contents meet it."""

    base: FoldedPart
    room: Room
    rim_mm: float
    """Height of the rim above the floor's inside face."""
    lidded: bool


def cavity_of(
    base: FoldedPart, inside_mm: tuple[float, float], depth_mm: float, lid_mm: float | None
) -> Cavity:
    """The cavity of a base; `lid_mm` is the height of the lid above the floor's inside face."""
    clear = clear_sides(base, inside_mm)
    room = Room(
        max(clear[0], TOUCH_MM), max(clear[1], TOUCH_MM), math.inf if lid_mm is None else lid_mm
    )
    return Cavity(base, room, depth_mm, lid_mm is not None)


def fit_contents(
    cavity: Cavity, contents: Sequence[Content], progress: Progress = SILENT
) -> tuple[ContentFit, ...]:
    """Judge all contents of a design together, one result for each line."""
    if sum(content.count for content in contents) == 1:
        return (_fit_one(cavity, contents[0]),)
    arrangement = _arranged(cavity, contents, progress)
    return tuple(_fit_of_several(cavity, content, arrangement) for content in contents)


def _arranged(cavity: Cavity, contents: Sequence[Content], progress: Progress) -> Arrangement:
    """All contents in the room; without a lid, below the rim if that can be."""
    demands = [Demand(c.item.name, lays(c.item, c.lay), c.count) for c in contents]

    def told(message: str) -> None:
        progress.step(0, 1, message)

    if not cavity.lidded:
        below = arrange(replace(cavity.room, height_mm=cavity.rim_mm), demands, progress=told)
        if below.outcome is Outcome.FOUND:
            return below
    return arrange(cavity.room, demands, progress=told)


def _fit_one(cavity: Cavity, content: Content) -> ContentFit:
    """Try every lay, straight and turned in plane, by the exact slide; keep the best."""
    tried = [
        (pose, turn, _slack_of(cavity, pose, turn))
        for pose in lays(content.item, content.lay)
        for turn in _turns(cavity, pose)
    ]
    pose, turn, slack = max(tried, key=lambda one: _merit(one[2], cavity.lidded))
    fits = _goes_in(slack, cavity.lidded)
    place = Placement(
        content.item.name,
        pose,
        0.5 * cavity.room.width_mm,
        0.5 * cavity.room.length_mm,
        0.0,
        turn.angle_deg,
    )
    return ContentFit(
        content=content,
        verdict=ContentVerdict.FITS if fits else ContentVerdict.DOES_NOT_FIT,
        slack=slack,
        orientation=pose.name,
        turn_deg=turn.angle_deg,
        protrudes_mm=max(0.0, pose.height_mm - cavity.rim_mm),
        fingers=finger_room([slack.width_mm, slack.length_mm]),
        reason="" if fits else _why_not(slack),
        placements=(place,) if fits else (),
    )


def _why_not(slack: Slack) -> str:
    """What keeps a content out in the lay that comes nearest."""
    if min(slack.width_mm, slack.length_mm) >= -TOUCH_MM:
        return f"too high under the lid by {-slack.height_mm:.2f} mm in every lay that goes in"
    return "too large in every lay that is allowed, turned in plane too"


def _turns(cavity: Cavity, pose: Pose) -> list[Turn]:
    """Straight, and the turn in plane that leaves most room if that is another."""
    straight = Turn(0.0, 0.0, 0.0)
    best = best_pose_turn(pose, cavity.room.width_mm, cavity.room.length_mm)
    return [straight] if best.angle_deg in (0.0, 90.0) else [straight, best]


def _slack_of(cavity: Cavity, pose: Pose, turn: Turn) -> Slack:
    floor = cavity.base.caliper_mm
    piece = content_piece("content", pose, turn.angle_deg, floor)
    found = way_in(cavity.base, piece)
    return Slack(
        found.width.play_mm,
        found.length.play_mm,
        (cavity.room.height_mm if cavity.lidded else cavity.rim_mm) - pose.height_mm,
    )


def _goes_in(slack: Slack, lidded: bool) -> bool:
    sideways = min(slack.width_mm, slack.length_mm) >= -TOUCH_MM
    return sideways and (not lidded or slack.height_mm >= -TOUCH_MM)


def _merit(slack: Slack, lidded: bool) -> tuple[bool, bool, float]:
    """Fitting ones first, then those that do not stand out, then the most of the least slack."""
    sizes = [slack.width_mm, slack.length_mm] + ([slack.height_mm] if lidded else [])
    return _goes_in(slack, lidded), slack.height_mm >= -TOUCH_MM, min(sizes)


def _fit_of_several(cavity: Cavity, content: Content, arrangement: Arrangement) -> ContentFit:
    own = tuple(p for p in arrangement.placements if p.item == content.item.name)
    if arrangement.outcome is not Outcome.FOUND:
        proved = arrangement.outcome is Outcome.IMPOSSIBLE
        return ContentFit(
            content=content,
            verdict=ContentVerdict.DOES_NOT_FIT if proved else ContentVerdict.NONE_FOUND,
            slack=None,
            orientation="",
            turn_deg=0.0,
            protrudes_mm=0.0,
            fingers=finger_room([]),
            reason=arrangement.reason,
            placements=(),
        )
    slack = _shared_slack(cavity, arrangement, own)
    return ContentFit(
        content=content,
        verdict=ContentVerdict.FITS,
        slack=slack,
        orientation=", ".join(dict.fromkeys(p.pose.name for p in own)),
        turn_deg=own[0].turn_deg,
        protrudes_mm=max(0.0, max(p.top_mm for p in own) - cavity.rim_mm),
        fingers=finger_room([slack.width_mm, slack.length_mm]),
        reason=f"arranged: {arrangement.reason}",
        placements=own,
    )


def _shared_slack(cavity: Cavity, arrangement: Arrangement, own: tuple[Placement, ...]) -> Slack:
    """What the whole arrangement leaves sideways, and what these contents leave above them."""
    boxes = np.array([extents(p) for p in arrangement.placements])
    used = boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)
    ceiling = cavity.room.height_mm if cavity.lidded else cavity.rim_mm
    return Slack(
        cavity.room.width_mm - float(used[0]),
        cavity.room.length_mm - float(used[1]),
        ceiling - max(p.top_mm for p in own),
    )
