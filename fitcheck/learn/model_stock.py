"""What each reading of a coupon should be, given the paper, the board and the joint.

    stack    count t
    channel  n (1 + b) + 2 a              outside of two walls folded up
    inside   n (1 + b) - 2 (t - a)
    corner   n (1 + b) + 2 a + 2 p        with the push-out p = give (t + g - s)
    hem      n (1 + b) + f + e            cut edge to fold, closed by hand

n is the nominal on the plan, b the board's scale error, f its fence offset. Scores of a floor come
from one fence, so that f drops out of their distance; a hem's score is measured from its edge. A
sharp fold closed flat stands e = (1 - pi/4) t out; a hand closes it less well than a formula, so e
is a belief with its own uncertainty, and a hem tells f, not a.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.bench_readings import Feature
from fitcheck.learn.entries import Entry
from fitcheck.learn.solving import Model
from fitcheck.stock.crease import uncalibrated_allowance
from fitcheck.stock.tools import BOARD_SCALE_U

Array = np.ndarray
HEM_SHARE = 1 - math.pi / 4
HEM_U_SHARE = 0.2
"""How well the extent of a closed hem is known, as a share of the caliper (common practice, no
source)."""
GIVE_U = 0.5
"""Earlier belief of the give where no corner was measured: 1, give or take this."""
SCORES = {Feature.CHANNEL: 2.0, Feature.INSIDE: 2.0, Feature.CORNER: 2.0, Feature.HEM: 1.0}
"""How many scores a reading rests on, each with its own error of placement."""


@dataclass(frozen=True)
class Given:
    """What a coupon's readings are fitted with; every ``..._u_mm`` is a standard uncertainty."""

    tools: str
    score_u_mm: float
    fence_u_mm: float
    joint_mm: float
    joint_u_mm: float
    setback_mm: float = 0.0
    tolerance_mm: float = 0.0
    """How far its maker allows the instrument to be off, either way."""
    score_face: str | None = None
    """The face of its folds that was pressed, in the words of a tools file; None if not known."""
    scale: float = 0.0
    """The board's scale error as it was known before, and its standard uncertainty."""
    scale_u: float = BOARD_SCALE_U
    allowance_mm: float | None = None
    """The crease allowance as a file without records says; None where none does."""
    allowance_u_mm: float | None = None
    give: float | None = None
    """The give as such a file says."""
    give_u: float | None = None


@dataclass(frozen=True)
class Before:
    """The stock as it was known before."""

    caliper_mm: float
    caliper_u_mm: float
    allowance_mm: float | None
    allowance_u_mm: float | None
    give: float | None = None
    give_u: float | None = None


T, GIVE, B, F, G = "caliper", "corner give", "board scale", "fence offset", "joint"
HEM = "hem extent"
A, ALONG, ACROSS = "crease allowance", "allowance along", "allowance across"


def _folded(entries: Sequence[Entry]) -> set[str | None]:
    """The directions of the grain in which straight folds were read."""
    straight = frozenset({Feature.CHANNEL, Feature.INSIDE})
    return {e.grain for e in entries if e.feature in straight}


def allowance_names(entries: Sequence[Entry]) -> tuple[str, ...]:
    """One allowance, or one for each direction of the grain where all folds say how they run.

    Where folds of either way say nothing both directions have to be there.
    """
    seen = _folded(entries)
    both = {"along", "across"} <= seen or (bool(seen) and None not in seen)
    return (ALONG, ACROSS) if both else (A,)


def not_folded(entries: Sequence[Entry]) -> str | None:
    """The allowance of the direction that nobody folded; None where there is no such one."""
    names = {ALONG: "along", ACROSS: "across"}
    own = [name for name in allowance_names(entries) if names.get(name, "") not in _folded(entries)]
    return own[0] if own and own[0] in names else None


def stock_model(
    entries: Sequence[Entry], given: Given, before: Before
) -> tuple[Model, tuple[tuple[str, float, float], ...]]:
    """The model of the entries, and the beliefs to keep where they cannot tell."""
    allowances = allowance_names(entries)
    names = (T, *allowances, GIVE, B, F, G, HEM)
    place = {name: k for k, name in enumerate(names)}
    nominal = np.array([e.nominal_mm for e in entries])
    feature = np.array([e.feature for e in entries])
    stack, hem = feature == Feature.STACK, feature == Feature.HEM
    corner, inside = feature == Feature.CORNER, feature == Feature.INSIDE
    count = np.where(stack, np.array([e.count for e in entries], dtype=float), 0.0)
    shares = _shares(entries, allowances)
    fold = ~stack

    plain = np.where(fold, nominal, 0.0)
    linear = np.zeros((len(entries), len(names)))
    linear[:, 0] = count - 2 * inside
    linear[:, 1 : 1 + len(allowances)] = 2 * shares * (fold & ~hem)[:, None]
    linear[:, place[B]] = plain
    linear[:, place[F]] = linear[:, place[HEM]] = hem
    corners = np.flatnonzero(corner)

    def values(x: Array) -> Array:
        found: Array = plain + linear @ x
        found[corners] += 2 * x[place[GIVE]] * (x[0] + x[place[G]] - given.setback_mm)
        return found

    def slopes(x: Array) -> Array:
        if not len(corners):
            return linear
        give, room = x[place[GIVE]], x[0] + x[place[G]] - given.setback_mm
        found = linear.copy()
        found[corners, 0] += 2 * give
        found[corners, place[GIVE]] = 2 * room
        found[corners, place[G]] = 2 * give
        return found

    start, prior, prior_u = np.zeros(len(names)), np.zeros(len(names)), np.full(len(names), np.inf)
    start[0] = _first_caliper(entries, before)
    start[1 : 1 + len(allowances)] = uncalibrated_allowance(start[0])[0]
    start[place[GIVE]] = 1.0
    for name, belief, u in (
        (B, given.scale, given.scale_u),
        (F, 0.0, given.fence_u_mm),
        (G, given.joint_mm, given.joint_u_mm),
        (HEM, HEM_SHARE * start[0], HEM_U_SHARE * start[0]),
    ):
        start[place[name]] = prior[place[name]] = belief
        prior_u[place[name]] = max(u, 1e-6)
    model = Model(names, values, slopes, start, prior, prior_u)
    return model, _keep(allowances, before, start[0], given, not_folded(entries))


def _keep(
    allowances: Sequence[str],
    before: Before,
    caliper_mm: float,
    given: Given,
    unread: str | None,
) -> tuple[tuple[str, float, float], ...]:
    """Beliefs; of a direction that nobody folded what is usual of any paper.

    Two directions of one paper are taken to differ as two papers do (no source), so that a fold of
    one says nothing of the other.
    """
    allowance, allowance_u = before.allowance_mm, before.allowance_u_mm
    usual = uncalibrated_allowance(caliper_mm)
    if allowance is None or allowance_u is None:
        allowance, allowance_u = usual
    if given.allowance_mm is not None and given.allowance_u_mm is not None:
        usual = given.allowance_mm, given.allowance_u_mm
    folds = {name: usual if name == unread else (allowance, allowance_u) for name in allowances}
    give = (1.0, GIVE_U) if before.give is None else (before.give, before.give_u or GIVE_U)
    return (
        (T, before.caliper_mm, max(before.caliper_u_mm, 1e-6)),
        (GIVE, *give),
        *((name, value, max(u, 1e-6)) for name, (value, u) in folds.items()),
    )


def grain_doubt(entries: Sequence[Entry]) -> float:
    """Variance of a fold's width where nobody says which way its grain runs, mm2.

    It holds one of two allowances, and is taken to hold half of each.
    """
    if len(allowance_names(entries)) == 1:
        return 0.0
    grown: dict[str | None, list[float]] = {"along": [], "across": [], None: []}
    for entry in entries:
        if entry.feature is Feature.CHANNEL and entry.value_mm is not None:
            grown[entry.grain].append(entry.value_mm - entry.nominal_mm)
    if not (grown["along"] and grown["across"]):
        return 0.0
    along, across = (float(np.median(grown[way])) for way in ("along", "across"))
    return ((along - across) / 2) ** 2


def _first_caliper(entries: Sequence[Entry], before: Before) -> float:
    stack = Feature.STACK
    stacks = [e for e in entries if e.feature is stack and e.value_mm is not None]
    if not stacks:
        return before.caliper_mm
    return float(np.median([(e.value_mm or 0.0) / e.count for e in stacks]))


def _shares(entries: Sequence[Entry], allowances: Sequence[str]) -> Array:
    """How much of each allowance is in an entry, (n, 1 or 2): half of each if nobody says."""
    if len(allowances) == 1:
        return np.ones((len(entries), 1))
    of = {"along": (1.0, 0.0), "across": (0.0, 1.0), None: (0.5, 0.5)}
    return np.array([of[e.grain] for e in entries])
