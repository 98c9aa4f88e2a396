"""A rolled frame closes as a maker closes it: glued faces met, the roll's foot pressed home."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from fitcheck.folding.linkage import FLAP, Chains, flap_misses, tip_gaps
from fitcheck.folding.pose import Array, Flags
from fitcheck.pattern.bonds import JointKind
from fitcheck.pattern.creases import RIGHT_ANGLE
from fitcheck.pattern.joints import Joint

CLOSED_MM = 1e-10
STEP_RAD = 1e-5
SETTLED_RAD = 1e-8
FIRST_RAD = 0.02
ROUNDS = 60
LEFT_RAD = 1e-12
"""A departure has settled when what is left to come of it is less."""
SLOWEST = 0.99
LEAST_ROUNDS = 200


class Closed(NamedTuple):
    """Chains as they were closed."""

    angles: Array
    """(r, c) rad, of the wall first and the flap last."""
    ok: Flags
    """(r,) false where the lengths cannot close; the angles mean nothing there."""


def close_rolls(chains: Chains, angles: Array, held: Sequence[int]) -> Closed:
    """Angles (r, c) with which flaps lie flat on what they are glued to, the glue between.

    The creases in the columns `held` keep their angles; the others depart from the pattern's angles
    by the least total square. It is sought from the angles given, and is the same from wherever.
    Then the foot is pressed home, towards the outer wall, until the inner wall is upright or
    the flap's tip meets the wall, whichever comes first: contacts are inequalities, and a flap too
    long for an upright wall keeps its foot as far in as it needs.
    """
    free = _tip_free(chains, angles, held)
    standing_in = free.ok & (free.angles[:, FLAP] > RIGHT_ANGLE)
    if standing_in.any():
        free = _some(
            free,
            standing_in,
            lambda rows: close_upright(chains.take(rows), free.angles[rows], held),
        )
    pressed = free.ok & (tip_gaps(chains, free.angles) < -CLOSED_MM)
    if not pressed.any():
        return free
    return _some(free, pressed, lambda rows: _tip_met(chains.take(rows), free.angles[rows], held))


def close_upright(chains: Chains, angles: Array, held: Sequence[int]) -> Closed:
    """The same rolls with their inner walls upright, whatever the flaps' tips stand in."""
    return _closed_at(chains, angles, held, np.full(len(angles), RIGHT_ANGLE))


def _some(known: Closed, rows: Flags, close: Callable[[Flags], Closed]) -> Closed:
    """The same rolls, some rows closed otherwise."""
    angles, ok = known.angles.copy(), known.ok.copy()
    angles[rows], ok[rows] = close(rows)
    return Closed(angles, ok)


def _tip_met(chains: Chains, angles: Array, held: Sequence[int]) -> Closed:
    """Rolls whose flaps' tips touch the walls, by secants from where they stand in them."""
    gap = tip_gaps(chains, angles)
    last, foot = angles[:, FLAP], angles[:, FLAP] - gap / chains.foot_height
    found, ok = angles.copy(), np.ones(len(angles), dtype=bool)
    active = ok.copy()
    for _ in range(ROUNDS):
        again = _closed_at(chains, found, held, foot, active)
        ok &= again.ok | ~active
        active &= ok
        found[active] = again.angles[active]
        before, gap = gap, np.where(active, tip_gaps(chains, found), gap)
        active &= ~(np.abs(gap) < CLOSED_MM)
        if not active.any():
            return Closed(found, ok)
        with np.errstate(invalid="ignore", divide="ignore"):
            following = foot - gap * (foot - last) / (gap - before)
        last, foot = np.where(active, foot, last), np.where(active, following, foot)
    return Closed(found, ok & ~active)


def _closed_at(
    chains: Chains, angles: Array, held: Sequence[int], foot_rad: Array, rows: Flags | None = None
) -> Closed:
    """The closed rolls with given angles (r,) at the flaps' creases."""
    asked = angles.copy()
    asked[:, FLAP] = foot_rad
    return _closed(chains, asked, [*held, angles.shape[1] - 1], rows)


def _tip_free(chains: Chains, angles: Array, held: Sequence[int]) -> Closed:
    """The closed rolls of least departure, wherever their flaps' tips come to stand.

    A roll that tilts far is sought along the foot's angle, from upright, to where its total square
    no longer falls.
    """
    found = _closed(chains, angles, held)
    if found.ok.all():
        return found
    return _some(found, ~found.ok, lambda rows: _tilted(chains.take(rows), angles[rows], held))


def _tilted(chains: Chains, angles: Array, held: Sequence[int]) -> Closed:
    """Rolls of least departure, by secants along the foot's angle on the slope of the square."""
    ok = np.ones(len(angles), dtype=bool)

    def fall(foot: Array) -> Array:
        squares = []
        for step in (-STEP_RAD, STEP_RAD):
            end = _closed_at(chains, angles, held, foot + step, ok)
            ok[:] &= end.ok
            squares.append(((end.angles - chains.targets) ** 2).sum(axis=1))
        slope: Array = (squares[1] - squares[0]) / (2.0 * STEP_RAD)
        return slope

    last = np.full(len(angles), RIGHT_ANGLE)
    foot = last - FIRST_RAD
    before = fall(last)
    active = np.ones(len(angles), dtype=bool)
    for _ in range(ROUNDS):
        slope = fall(foot)
        active &= ok & ~((np.abs(foot - last) < SETTLED_RAD) | (slope == before))
        if not active.any():
            break
        with np.errstate(invalid="ignore", divide="ignore"):
            following = foot - slope * (foot - last) / (slope - before)
        last, before = np.where(active, foot, last), np.where(active, slope, before)
        foot = np.where(active, following, foot)
    found = _closed_at(chains, angles, held, foot, ok)
    return Closed(found.angles, found.ok & ok & ~active)


def _closed(
    chains: Chains, angles: Array, held: Sequence[int], rows: Flags | None = None
) -> Closed:
    """The closed rolls whose other creases depart least, their flaps' tips free.

    Sought from the angles given, and from the pattern's own where that leads nowhere; only `rows`
    are looked at, the others count as not closed.
    """
    free = [k for k in range(angles.shape[1]) if k not in held]
    asked = np.ones(len(angles), dtype=bool) if rows is None else rows
    found = _least_departure(chains, angles, free, asked)
    again = asked & ~found.ok & (angles[:, free] != chains.targets[:, free]).any(axis=1)
    if again.any():
        plain = angles.copy()
        plain[:, free] = chains.targets[:, free]
        other = _least_departure(chains, plain, free, again)
        found = Closed(
            np.where(again[:, None], other.angles, found.angles),
            np.where(again, other.ok, found.ok),
        )
    return found


def _least_departure(chains: Chains, angles: Array, free: list[int], rows: Flags) -> Closed:
    """The least departure of the free creases for which flaps lie flat.

    Repeats the least-norm solution of the linearised condition, measured from zero departure, so
    that where it settles the departure lies in the span of the condition's gradients: the
    first-order condition of the least total square.
    """
    trial, targets = angles.copy(), chains.targets[:, free]
    departure = trial[:, free] - targets
    ok = rows & _foldable(chains, trial)
    value, slope = flap_misses(chains, trial, free)
    done = ok & ~departure.any(axis=1) & (np.abs(value).max(axis=1) < CLOSED_MM)
    active, before = ok & ~done, np.zeros(len(angles))
    every, sought = Closed(trial, ok & ~active), np.arange(len(angles))
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for _ in range(LEAST_ROUNDS):
            left = np.flatnonzero(active)
            if not len(left):
                break
            if 2 * len(left) < len(active):
                # most are settled: the few that take long are gone on with by themselves
                every.angles[sought], every.ok[sought] = trial, ok & ~active
                sought, chains, angles = sought[left], chains.take(left), angles[left]
                trial, targets, departure = trial[left], targets[left], departure[left]
                value, slope, before = value[left], slope[left], before[left]
                ok, active = ok[left], active[left]
            following = _least_norm(slope, np.einsum("rmk,rk->rm", slope, departure) - value)
            change = np.abs(following - departure).max(axis=1)
            departure = np.where(active[:, None], following, departure)
            trial[:, free] = targets + departure
            lost = active & ~_foldable(chains, trial)
            if lost.any():
                ok &= ~lost
                active &= ~lost
                trial[lost] = angles[lost]
            value, slope = flap_misses(chains, trial, free)
            # each round shrinks the change by about the same share: so much is still to come
            rate = np.where(before > 0.0, np.minimum(change / before, SLOWEST), SLOWEST)
            settled = change * rate / (1.0 - rate) < LEFT_RAD
            active &= ~(settled & (np.abs(value).max(axis=1) < CLOSED_MM))
            before = np.where(active, change, before)
    every.angles[sought], every.ok[sought] = trial, ok & ~active
    return every


def _least_norm(slope: Array, wanted: Array) -> Array:
    """The least departures (r, k) for which slope (r, 2, k) times them is what is wanted (r, 2)."""
    # (S S') pull = what is wanted, two by two
    a, b = slope.transpose(1, 0, 2)
    aa, ab, bb = (a * a).sum(axis=1), (a * b).sum(axis=1), (b * b).sum(axis=1)
    scale = 1.0 / (aa * bb - ab * ab)
    pull_a = (bb * wanted[:, 0] - ab * wanted[:, 1]) * scale
    pull_b = (aa * wanted[:, 1] - ab * wanted[:, 0]) * scale
    both: Array = a * pull_a[:, None] + b * pull_b[:, None]
    return both


def _foldable(chains: Chains, angles: Array) -> Flags:
    """Which rows fold from 0 to half a turn at each crease, each towards its own side."""
    own = angles * chains.signs
    found: Flags = np.all((own > 0.0) & (own <= math.pi), axis=1)
    return found


def unclosed(joint: Joint) -> str:
    """What a maker is told of a chain whose lengths cannot close."""
    panel, onto = joint.bond.panel, joint.bond.onto
    if joint.kind is JointKind.LINING:
        rim = joint.path[0].into
        return (
            f"the {panel} has no room inside the {onto} and above what it stands on: make the "
            f"{rim} wider or the {panel} lower"
        )
    what = "roll" if joint.kind is JointKind.ROLL else "tube"
    return (
        f"the {what} that ends in the {panel} cannot be closed: its panels are too short or too "
        f"long to meet the {onto}"
    )
