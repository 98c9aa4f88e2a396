"""Contents go in through the opening, stand in the room under the lid, and come out by a finger.

One content and several go the same way: candidates are made for plain rooms, each is proved in
the base itself by the exact slide of what was placed (`cavity`), and `does not fit` is only said
where a bound holds in a room that contains all that the base can take.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fitcheck.design.model import Content, Lay
from fitcheck.findings import show_press
from fitcheck.fit.cavity import Cavity, cavity_of
from fitcheck.fit.content_fit import ContentFit, ContentVerdict, Slack
from fitcheck.fit.fingers import FingerRoom, Seat, finger_room
from fitcheck.fit.lying import Lying, best_turned, goes_in, lie_best
from fitcheck.fit.own_room import own_rooms
from fitcheck.fit.piled import pile_tops
from fitcheck.fit.remembered import MEMORY
from fitcheck.kinds.kind import Solid, lays
from fitcheck.kinds.poses import Pose, Shape
from fitcheck.packing.arrange import arrange_in, capped
from fitcheck.packing.bounds import why_impossible
from fitcheck.packing.placing import Arrangement, Demand, Outcome, Placement
from fitcheck.packing.room import Room
from fitcheck.workspace.progress import SILENT, Progress

__all__ = [
    "Cavity",
    "ContentFit",
    "ContentVerdict",
    "Slack",
    "cavity_of",
    "demand_of",
    "fit_contents",
]


def demand_of(content: Content) -> Demand:
    """What a line of contents asks of the packing. A ball that leans is the same ball."""
    may_lean = content.lay is Lay.ANY and content.item.kind.solid is not Solid.BALL
    return Demand(
        content.item.name, lays(content.item, content.lay), content.count, may_lean=may_lean
    )


def fit_contents(
    cavity: Cavity, contents: Sequence[Content], progress: Progress = SILENT
) -> tuple[ContentFit, ...]:
    """Judge all contents of a design together, one result for each line."""
    known = fit_contents, cavity, tuple(contents)
    return MEMORY.of(known, lambda: _fit_contents(cavity, contents, progress))


def _fit_contents(
    cavity: Cavity, contents: Sequence[Content], progress: Progress
) -> tuple[ContentFit, ...]:
    if sum(content.count for content in contents) == 1:
        return (_fit_one(cavity, contents[0]),)

    def told(message: str) -> None:
        progress.step(0, 1, message)

    demands = [demand_of(content) for content in contents]
    arrangement = arrange_in(cavity.rooms, demands, cavity.accept, progress=told)
    if arrangement.outcome is not Outcome.FOUND:
        return tuple(_not_arranged(content, arrangement) for content in contents)
    arrangement = replace(arrangement, placements=best_turned(cavity, arrangement.placements))
    sideways = cavity.passage(arrangement.placements).play_mm
    rooms = own_rooms(cavity, arrangement.placements, sideways)
    tops = pile_tops(arrangement.placements)
    own = {item: Slack(*room, cavity.ceiling_mm - tops[item]) for item, room in rooms.items()}
    return tuple(_arranged(cavity, content, arrangement, sideways, own) for content in contents)


def _fit_one(cavity: Cavity, content: Content) -> ContentFit:
    """A content by itself, in the lay and the turn in which it goes in best."""
    demand = demand_of(content)
    best = lie_best(cavity, demand)
    verdict, reason = ContentVerdict.FITS, ""
    if not goes_in(best, cavity):
        proof = why_impossible(capped(_proof_room(cavity, demand.poses), [demand]), [demand])
        verdict = ContentVerdict.NONE_FOUND if proof is None else ContentVerdict.DOES_NOT_FIT
        reason = _why_not(best, demand, proof)
    fits = verdict is ContentVerdict.FITS
    place = best.placement
    return ContentFit(
        content=content,
        verdict=verdict,
        slack=best.slack,
        orientation=place.pose.name,
        turn_deg=place.turn_deg,
        protrudes_mm=max(0.0, place.top_mm - cavity.rim_mm),
        fingers=_fingers(cavity, best.slack, [place]),
        reason=reason,
        placements=(place,) if fits else (),
        own=best.slack,
    )


def _proof_room(cavity: Cavity, poses: Sequence[Pose]) -> Room:
    """What a single content cannot be larger than: a prism that has to stand upright on the floor
    no larger than the room there, anything else no larger than the base is anywhere."""
    upright = all(pose.shape is Shape.PRISM for pose in poses)
    return cavity.between if upright else cavity.widest


def _why_not(best: Lying, demand: Demand, proof: str | None) -> str:
    """What keeps a content out in the lay that comes nearest, and how sure that is."""
    slack = best.slack
    sideways = min(slack.width_mm, slack.length_mm)
    if best.passage.free:
        why = f"too high under the lid by {show_press(-slack.height_mm)} in every lay that goes in"
    elif sideways < 0.0:
        by = show_press(-sideways)
        why = f"too large by {by} in the lay that comes nearest, turned in plan too"
    else:
        why = "something stands in its way in every lay that is allowed"
    if proof is not None:
        return f"{why}; leaning it is too large as well" if demand.may_lean else why
    untried = "leaning was not tried" if demand.may_lean else "nothing proves that there is no way"
    return f"no way in was found: {why}; {untried}"


def _not_arranged(content: Content, arrangement: Arrangement) -> ContentFit:
    proved = arrangement.outcome is Outcome.IMPOSSIBLE
    return ContentFit(
        content=content,
        verdict=ContentVerdict.DOES_NOT_FIT if proved else ContentVerdict.NONE_FOUND,
        slack=None,
        orientation="",
        turn_deg=0.0,
        protrudes_mm=0.0,
        fingers=finger_room(Seat(0.0, 0.0, 0.0, 0.0, 0.0, notched=False)),
        reason=arrangement.reason,
        placements=(),
        own=None,
    )


def _arranged(
    cavity: Cavity,
    content: Content,
    arrangement: Arrangement,
    sideways: tuple[float, float],
    rooms: dict[str, Slack],
) -> ContentFit:
    own = tuple(p for p in arrangement.placements if p.item == content.item.name)
    top = max(place.top_mm for place in own)
    slack = Slack(*sideways, cavity.ceiling_mm - top)
    room = rooms[content.item.name]
    return ContentFit(
        content=content,
        verdict=ContentVerdict.FITS,
        slack=slack,
        orientation=", ".join(dict.fromkeys(p.pose.name for p in own)),
        turn_deg=own[0].turn_deg,
        protrudes_mm=max(0.0, top - cavity.rim_mm),
        fingers=_fingers(cavity, room, own),
        reason=f"arranged: {arrangement.reason}",
        placements=own,
        own=room,
    )


def _fingers(cavity: Cavity, slack: Slack, own: Sequence[Placement]) -> FingerRoom:
    top, foot = max(place.top_mm for place in own), min(place.z_mm for place in own)
    return finger_room(
        Seat(
            gap_width_mm=slack.width_mm,
            gap_length_mm=slack.length_mm,
            top_below_rim_mm=cavity.rim_mm - top,
            height_mm=top - foot,
            rim_mm=cavity.rim_mm,
            notched=cavity.bare and not (cavity.hollow or cavity.base.doubled),
            tipped=cavity.tucked,
        )
    )
