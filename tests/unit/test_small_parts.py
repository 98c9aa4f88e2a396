"""The small-parts cylinder (16 CFR 1501.4) by linear programming, at sizes about its limits.

The cylinder is 1.25 in across and 1 to 2.25 in deep over a floor slanted at 45 degrees. Whether
a body in a given attitude goes in is a linear program: each of its points has to be within the
chord of the bore at its own y, above the slanted floor and below the rim.
"""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.spatial.transform import Rotation

from fitcheck import kinds
from fitcheck.cautions import ball_fits_cylinder, fits_small_parts_cylinder, swallowing_cautions
from fitcheck.design.model import Item
from fitcheck.kinds.kind import Kind

INCH = 25.4
BORE, SHALLOW, DEEP = 1.25 * INCH, 1.0 * INCH, 2.25 * INCH


def item(kind: Kind, *size: float) -> Item:
    return Item(
        name="thing",
        kind=kind,
        size_mm=size,
        corner_radius_mm=0.0,
        mesh_path=Path("thing.stl") if kind is kinds.MESH else None,
        size_u_mm=(0.0,) * len(size),
        size_range_mm=None,
        source="invented for tests",
        hazards=frozenset(),
    )


def longest_along(points: np.ndarray, ends: np.ndarray, way: np.ndarray) -> float:
    """The most c for which some shift (x, z) puts all points + c ends way in, by one program.

    The floor rises from 0 at -R to DEEP - SHALLOW at R. `way` has no part along y.
    """
    radius = BORE / 2
    x, y, z = points.T
    if np.abs(y).max() > radius:
        return 0.0
    chord = np.sqrt(radius**2 - y**2)
    slope = (DEEP - SHALLOW) / BORE
    one, none = np.ones_like(x), np.zeros_like(x)
    more_x, more_z = ends * way[0], ends * way[2]
    rows = [
        (np.column_stack([one, none, more_x]), chord - x),
        (np.column_stack([-one, none, -more_x]), chord + x),
        (np.column_stack([none, one, more_z]), DEEP - z),
        (np.column_stack([slope * one, -one, slope * more_x - more_z]), z - slope * (x + radius)),
    ]
    return solved(rows, 2)


def longest_across(points: np.ndarray) -> float:
    """The longest prism along y over points in the plane of x and z: the least chord decides."""
    radius = BORE / 2
    x, _, z = points.T
    slope = (DEEP - SHALLOW) / BORE
    one, none = np.ones_like(x), np.zeros_like(x)
    rows = [
        (np.column_stack([one, none, one]), -x),
        (np.column_stack([-one, none, one]), x),
        (np.column_stack([none, one, none]), DEEP - z),
        (np.column_stack([slope * one, -one, none]), z - slope * (x + radius)),
    ]
    chord = -solved(rows, 2)
    return 2.0 * math.sqrt(radius**2 - chord**2) if 0.0 < chord <= radius else 0.0


def solved(rows: list[tuple[np.ndarray, np.ndarray]], wanted: int) -> float:
    matrix, limits = (np.concatenate([row[k] for row in rows]) for k in (0, 1))
    aim = np.zeros(3)
    aim[wanted] = -1.0
    found = linprog(aim, matrix, limits, bounds=[(None, None)] * 3)
    return float(found.x[wanted]) if found.status == 0 else 0.0


TURNS = [Rotation.from_euler("y", tilt, degrees=True) for tilt in range(180)]
SIGNS = np.array(list(itertools.product((-0.5, 0.5), repeat=3)))


def longest_block(a: float, b: float) -> float:
    """The longest third edge of a block, its edges along the axes and tilted by whole degrees."""
    lengths = []
    for turn in TURNS:
        for p, q in ((a, b), (b, a)):
            # p across the tilt, q and the third edge in its plane
            points = turn.apply(SIGNS * np.array([q, p, 0.0]))
            lengths.append(longest_along(points, SIGNS[:, 2], turn.apply([0.0, 0.0, 1.0])))
        lengths.append(longest_across(turn.apply(SIGNS * np.array([a, 0.0, b]))))
    return max(lengths)


@pytest.mark.parametrize(("a", "b"), [(8.0, 5.0), (25.0, 12.0), (3.0, 30.0), (22.0, 21.0)])
def test_the_longest_block_that_goes_in_by_linear_programming(a: float, b: float) -> None:
    """Blocks of a plan a x b: just shorter than the limit goes in, just longer does not."""
    longest = longest_block(a, b)
    assert longest > 5.0
    for sizes in itertools.permutations((a, b, longest - 0.001)):
        assert fits_small_parts_cylinder(item(kinds.BLOCK, *sizes)) is True
    for sizes in itertools.permutations((a, b, longest + 0.001)):
        assert fits_small_parts_cylinder(item(kinds.BLOCK, *sizes)) is False


def test_a_thin_card_stands_on_the_slanted_floor_below_the_rim() -> None:
    """A thin strip upright at the deep side reaches the rim at 2.25 in: arithmetic.

    A strip w wide and t thick stands with its broad side along the level line of the floor: its
    corners are on the bore at y = w/2, where the floor is deeper by the sagitta of that chord.
    """
    w, t = 10.0, 0.2
    sagitta = BORE / 2 - math.sqrt((BORE / 2) ** 2 - (w / 2) ** 2)
    straight = DEEP - sagitta - t
    assert fits_small_parts_cylinder(item(kinds.CARD, w, straight, t)) is True
    # tilted in the widest plane it gets no more than the rim's slant: the far corner of the bore
    diagonal = math.hypot(DEEP, BORE)
    assert fits_small_parts_cylinder(item(kinds.CARD, w, diagonal + 0.1, t)) is False


@pytest.mark.parametrize("diameter", [6.0, 18.0, 30.0])
def test_the_longest_rod_that_goes_in_by_linear_programming(diameter: float) -> None:
    around = np.linspace(0.0, 2.0 * math.pi, 72, endpoint=False)
    rim = 0.5 * diameter * np.column_stack([np.cos(around), np.sin(around), np.zeros(72)])
    ends = np.repeat([-0.5, 0.5], 72)
    upright = np.concatenate([rim, rim])
    along = (longest_along(turn.apply(upright), ends, turn.apply([0, 0, 1.0])) for turn in TURNS)
    longest = max(*along, longest_across(rim[:, [0, 2, 1]]))
    assert longest > 5.0
    assert fits_small_parts_cylinder(item(kinds.CYLINDER, diameter, longest - 0.01)) is True
    assert fits_small_parts_cylinder(item(kinds.CYLINDER, diameter, longest + 0.01)) is False


def test_a_ball_by_its_touching_points() -> None:
    """Touching the deep side and the floor at 45 degrees its middle is R(1 + sqrt 2) up."""
    assert ball_fits_cylinder(BORE)
    assert not ball_fits_cylinder(BORE + 0.01)
    assert BORE / 2 * (2 + math.sqrt(2)) < DEEP, "the bore decides, not the rim"


def test_what_is_said_about_balls_and_about_boxes_of_meshes() -> None:
    """16 CFR 1500.18(a)(17): a ball of 1.75 in or less is a small ball."""
    gauge = 1.75 * INCH
    (small,) = swallowing_cautions(item(kinds.SPHERE, gauge), "it")
    assert small.code == "small-ball" and small.numbers["gauge_mm"] == pytest.approx(44.45)
    assert swallowing_cautions(item(kinds.SPHERE, gauge + 0.01), "it") == []
    (part,) = swallowing_cautions(item(kinds.BLOCK, 20.0, 15.0, 10.0), "it")
    assert part.code == "small-parts" and part.numbers["bore_mm"] == pytest.approx(31.75)
    assert swallowing_cautions(item(kinds.BLOCK, 60.0, 45.0, 35.0), "it") == []
    (unknown,) = swallowing_cautions(item(kinds.MESH, 60.0, 45.0, 35.0), "it")
    assert unknown.code == "small-parts-unknown"
    (known,) = swallowing_cautions(item(kinds.MESH, 20.0, 15.0, 10.0), "it")
    assert known.code == "small-parts"
