"""Gaps in closed form, and the Reynolds equation on an unrolled gap: to hold sinking against."""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import spsolve

from fitcheck.feel.driving import AIR_PA_S, Driving, Giving
from fitcheck.feel.gap import Gap, Way
from fitcheck.feel.sink import Sinking, sink
from fitcheck.folding.pose import Array

PA = 1e6
"""Pa in 1 N/mm2."""


def plain_gap(
    width: float,
    length: float,
    halves: tuple[float, float],
    way: Way,
    *,
    stations: int = 15,
    radius: float | None = None,
    taper: float = 0.0,
) -> Gap:
    """A lid in the middle of its play: half plays across and along, mm; wider by so much a mm up.

    Its walls are flat; `taper` widens the base's side of the gap downwards from the base's rim.
    """
    sizes = [(length, halves[0])] * 2 + [(width, halves[1])] * 2
    inn = np.stack([np.full((stations, way.cells), half) for _, half in sizes])
    out = np.broadcast_to(-taper * way.base_depths_mm, inn.shape).copy()
    return Gap(way, out, inn, np.array([side / stations for side, _ in sizes]), radius)


def stiff(boxes: int, heights: tuple[float, float] = (22.0, 15.5)) -> Giving:
    """Walls that do not give."""
    none, still = np.full((boxes, 4), np.inf), np.zeros((boxes, 4))
    return Giving(none, none, still, still, *heights)


def let_go(
    gap: Gap,
    shifts: Array,
    weight_n: float,
    plan_mm2: float,
    *,
    giving: Giving | None = None,
    leak: float = 0.0,
    heads: float = 0.0,
    viscosity: float = AIR_PA_S,
) -> Sinking:
    """Lids of one weight at several places (b, 4)."""
    count = len(shifts)
    driving = Driving(
        np.full(count, weight_n),
        np.full(count, plan_mm2),
        np.full(count, leak),
        viscosity,
        heads,
    )
    return sink(gap, shifts, giving or stiff(count), driving)


def aside(halves: tuple[float, float], ex: float, ey: float) -> Array:
    """By how much the gap at each side changes where a lid lies aside, (1, 4) mm."""
    gx, gy = halves
    return np.array([[-ex * gx, ex * gx, -ey * gy, ey * gy]])


def conductance(gap_mm: Array, along_mm: float, down_mm: float, fine: int = 3) -> float:
    """What a wall's gap (n, c) lets through, as `width * gap**3 / length`, by finite volumes.

    div(g^3 grad p) = 0 on the unrolled wall, p = 1 at the top, 0 at the bottom, nothing through its
    ends; cells of a station and a step, each cut into so many both ways, harmonic means between.
    """
    cells = np.repeat(np.repeat(gap_mm, fine, axis=0), fine, axis=1) ** 3
    ds, dz = along_mm / fine, down_mm / fine
    n, m = cells.shape
    number = np.arange(n * m).reshape(n, m)
    across = 2.0 * cells[:-1] * cells[1:] / (cells[:-1] + cells[1:]) * dz / ds
    down = 2.0 * cells[:, :-1] * cells[:, 1:] / (cells[:, :-1] + cells[:, 1:]) * ds / dz
    first = np.concatenate([number[:-1].ravel(), number[:, :-1].ravel()])
    second = np.concatenate([number[1:].ravel(), number[:, 1:].ravel()])
    links = np.concatenate([across.ravel(), down.ravel()])
    diagonal = np.zeros(n * m)
    np.add.at(diagonal, first, links)
    np.add.at(diagonal, second, links)
    top, bottom = 2.0 * cells[:, 0] * ds / dz, 2.0 * cells[:, -1] * ds / dz
    diagonal[number[:, 0]] += top
    diagonal[number[:, -1]] += bottom
    right = np.zeros(n * m)
    right[number[:, 0]] = top
    every = np.arange(n * m)
    matrix = sp.coo_matrix(
        (
            np.concatenate([-links, -links, diagonal]),
            (np.concatenate([first, second, every]), np.concatenate([second, first, every])),
        ),
        shape=(n * m, n * m),
    ).tocsc()
    pressure = spsolve(matrix, right).reshape(n, m)
    return float((top * (1.0 - pressure[:, 0])).sum())
