"""A rolled side closes in one of three ways, a tube tilts one way or the other: limits turn there.

Its inner wall is upright; or the roll is so short that the wall leans back and the frame tilts; or
the flap is so long that its tip meets the outer wall and keeps the foot further in. How far a box
is from each change is nearly linear in the inputs, so its weights are taken from the boxes with
one input off that are folded anyway. A tube's top tilts either way from level, and what stands
under it meets it on one side or the other. An inner wall stands off the floor or on it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import Array
from fitcheck.odds.inputs import u_of
from fitcheck.odds.making import Made, Workshop
from fitcheck.odds.turns import TURN_REACH, Foot, Level, Roll, Turn, crease_turns
from fitcheck.pattern.bonds import JointKind
from fitcheck.pattern.pattern import Role

UPRIGHT_RAD = 1e-9
STANDS_MM = 1e-6
"""An inner wall this near to the floor stands on it."""


def closing_turns(
    workshop: Workshop, moved: Sequence[int], boxes: Sequence[Made]
) -> tuple[Turn, ...]:
    """The turns of all that closes: rolled sides, tops of tubes, feet of inner walls.

    `boxes` are the box with each of the `moved` inputs off by its standard uncertainty upwards,
    and downwards, in turn.
    """
    return (
        *roll_turns(workshop, moved, boxes),
        *level_turns(workshop, moved, boxes),
        *foot_turns(workshop, moved, boxes),
    )


def level_turns(
    workshop: Workshop, moved: Sequence[int], boxes: Sequence[Made]
) -> tuple[Turn, ...]:
    """Where the tops of tubes lie level."""
    u = u_of(workshop.inputs)
    found: list[Turn] = []
    for part in workshop.as_designed.parts:
        if _top_of(part) is None:
            continue
        rises = np.array([_rise(box, part.name) for box in boxes])
        weights = np.zeros(len(u))
        weights[list(moved)] = 0.5 * (rises[::2] - rises[1::2]) / u[list(moved)]
        column = int(np.argmax(np.abs(weights) * u))
        at = -_rise(workshop.as_designed, part.name)
        turn = Turn(weights, at, column, float(u[column]), Level(part.name))
        if np.isfinite(weights).all() and turn.step > 0.0 and in_reach(turn, u):
            found.append(turn)
    return tuple(found)


def _rise(made: Made, name: str) -> float:
    """By how much more a tube's top rises across it than level, mm; signed."""
    part = made.part(name)
    assert part is not None, "a box has the parts of its design"
    top = _top_of(part)
    assert top is not None, "a turn is of a tube"
    plate = part.plate(top)
    tilt = plate.pose[:2, 2]
    return float(tilt @ np.ptp(plate.outline, axis=0))


def _top_of(part: FoldedPart) -> str | None:
    """What lies over the root of a tube as it was folded; None where it is none."""
    pattern = part.pattern
    tops = [panel.name for panel in pattern.panels if panel.role is Role.TOP]
    if pattern.on_end:
        tops = [joint.path[1].line.child for joint in pattern.joints]
    return tops[0] if tops else None


def foot_turns(workshop: Workshop, moved: Sequence[int], boxes: Sequence[Made]) -> tuple[Turn, ...]:
    """Where inner walls that are folded down come to stand on the floor."""
    u = u_of(workshop.inputs)
    found: list[Turn] = []
    for part in workshop.as_designed.parts:
        spare = _spare(part)
        off = np.array([_spare(made) for box in boxes if (made := box.part(part.name))])
        for wall, at in enumerate(spare):
            weights = np.zeros(len(u))
            own = off[:, wall]
            weights[list(moved)] = 0.5 * (own[1::2] - own[::2]) / u[list(moved)]
            column = int(np.argmax(np.abs(weights) * u))
            turn = Turn(weights, at, column, float(u[column]), Foot(part.name, wall))
            if np.isfinite(weights).all() and turn.step > 0.0 and in_reach(turn, u):
                found.append(turn)
    return tuple(found)


def _spare(part: FoldedPart) -> list[float]:
    """By how much each wall folded down over a rim could be higher, mm; negative where it lifts.

    Both walls upright it is a length of the sheet, H - h - (t - a); a wall that leans out over its
    tabs leaves a hair more, which its folded section says where it stands off the floor.
    """
    layout, found = part.layout, []
    for joint in part.pattern.bonds_of(JointKind.LINING):
        along = layout.outward(joint.onto)[0]
        high, low = (
            float(np.ptp(layout.outline(name)[0] @ along)) for name in (joint.onto, joint.panel)
        )
        foot = layout.tree.crease[joint.onto]
        flat = float(layout.creases.flat_mm_per_rad[0, foot])
        inward = 0.25 * np.pi * flat - float(layout.creases.radius_mm[0, foot])
        found.append(high - low - inward)
    sections = [one.stands_off_mm for one in part.linings]
    return [
        max(own, off) if off > STANDS_MM else own for own, off in zip(found, sections, strict=False)
    ]


def roll_turns(workshop: Workshop, moved: Sequence[int], boxes: Sequence[Made]) -> tuple[Turn, ...]:
    """The turns of rolled sides, be it a base's or a lid's; of each those about an upright wall
    first.

    `boxes` are the box with each of the `moved` inputs off by its standard uncertainty upwards,
    and downwards, in turn.
    """
    u = u_of(workshop.inputs)
    found: list[Turn] = []
    for part in workshop.as_designed.parts:
        if part.pattern.roll_joints:
            made = [own for box in boxes if (own := box.part(part.name)) is not None]
            found += _turns_of(part, made, u, list(moved))
    return tuple(found)


def _turns_of(
    designed: FoldedPart, made: Sequence[FoldedPart], u: Array, moved: list[int]
) -> Iterator[Turn]:
    """Those of one part that matter, `made` with each of the `moved` inputs off."""
    lean, trim = _state(designed)
    states = [_state(own) for own in made]
    up, down = states[::2], states[1::2]
    for tip in (False, True):
        for roll in range(len(lean)):
            if not tip and trim[roll] > 0.0:
                continue
            at = float(-trim[roll] if tip else max(0.0, -lean[roll]))
            above, below = (np.array([one[tip][roll] for one in side]) for side in (up, down))
            weights = np.zeros(len(u))
            weights[moved] = _slopes(above, below, -at, one_sided=not tip) / u[moved]
            column = int(np.argmax(np.abs(weights) * u))
            turn = Turn(weights, at, column, float(u[column]), Roll(designed.name, roll, tip))
            if np.isfinite(weights).all() and turn.step > 0.0 and in_reach(turn, u):
                yield turn


def in_reach(turn: Turn, u: Array) -> bool:
    """Whether some box may come to a turn."""
    return abs(turn.at) <= TURN_REACH * float(np.linalg.norm(turn.weights * u))


def turns_at(turns: Sequence[Turn], workshop: Workshop) -> tuple[Turn, ...]:
    """The same turns for a design of other sizes or papers."""
    creases = {turn.column: turn for turn in crease_turns(workshop)}
    rolled = {turn.roll.part for turn in turns if isinstance(turn.roll, Roll)}
    states = {one.name: _state(one) for one in workshop.as_designed.parts if one.name in rolled}
    u = [one.variate.u for one in workshop.inputs]
    found = []
    for turn in turns:
        if turn.roll is None:
            found.append(creases.get(turn.column, turn))
            continue
        if isinstance(turn.roll, Foot):
            part = workshop.as_designed.part(turn.roll.part)
            assert part is not None, "a box has the parts of its design"
            found.append(replace(turn, at=_spare(part)[turn.roll.at], u=u[turn.column]))
            continue
        if isinstance(turn.roll, Level):
            rise = _rise(workshop.as_designed, turn.roll.part)
            found.append(replace(turn, at=-rise, u=u[turn.column]))
            continue
        lean, trim = states[turn.roll.part]
        at = float(-trim[turn.roll.at] if turn.roll.tip else max(0.0, -lean[turn.roll.at]))
        found.append(replace(turn, at=at, u=u[turn.column]))
    return tuple(found)


def _state(part: FoldedPart) -> tuple[Array, Array]:
    """How far back each inner wall leans, rad (negative), and what its flap has too much, mm."""
    states = part.among.rolls
    lean = np.minimum(states.leans_rad[part.box], 0.0)
    return np.where(lean > -UPRIGHT_RAD, 0.0, lean), states.trims_mm[part.box]


def _slopes(up: Array, down: Array, nominal: float, *, one_sided: bool) -> Array:
    """What each input changes over its standard uncertainty.

    A wall that stands upright hides on one side by how much it is pressed: the other side tells.
    """
    middle = 0.5 * (up - down)
    if not one_sided or nominal < 0.0:
        return middle
    found: Array = np.where((up < 0.0) & (down < 0.0), middle, up - down)
    return found
