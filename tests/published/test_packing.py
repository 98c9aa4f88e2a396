"""How many go in, and at which angle: values of the packing literature.

Rectangle in rectangle: W. B. Carver, American Mathematical Monthly 64 (1957) 114, value from
memory, recomputed. Pallets: classical pallet-loading instances, provenance from memory, optima
recomputed. Boxes: Slothouwer-Graatsma and de Bruijn 1969, from memory. Circles in a square:
E. Friedman's survey of packings; OEIS A084616.
"""

import math
from itertools import combinations, permutations

import numpy as np
import pytest

import fitcheck
from fitcheck.kinds.poses import Disc, Pose
from fitcheck.packing.arrange import arrange
from fitcheck.packing.placing import Arrangement, Demand, Outcome
from fitcheck.packing.room import Room
from fitcheck.packing.turning import best_turn
from tests.face_designs import lidded_tray
from tests.published.rows import Row

CARVER = "Carver 1957 (value from memory, recomputed)"
PINWHEEL = "arithmetic: the pinwheel, optimum by an exact solver"
PALLET = "classical pallet-loading instance (provenance from memory), optimum by an exact solver"
GRAATSMA = "Slothouwer-Graatsma (value from memory)"


def bricks(
    room: tuple[float, float, float],
    size: tuple[float, float, float],
    count: int,
    *,
    on_floor: bool = False,
) -> Arrangement:
    """Ask for `count` bricks; `on_floor` keeps their third size upright, as on a pallet."""
    orders = {o for o in permutations(size) if not on_floor or o[2] == size[2]}
    poses = tuple(Pose("x".join(f"{p:g}" for p in o), *o) for o in sorted(orders))
    return arrange(Room(*room), [Demand("brick", poses, count)])


def pallet(length: float, width: float, long: float, short: float, count: int) -> Arrangement:
    # bricks one high in a room one high lie flat only
    return bricks((length, width, 1.0), (long, short, 1.0), count, on_floor=True)


def most_found(first: int, ask) -> int:  # type: ignore[no-untyped-def]
    """The largest count found, counting up from `first` until one is not."""
    count = first
    while ask(count).outcome is Outcome.FOUND:
        count += 1
    return count - 1


def least_room(p: float, q: float, a: float) -> float:
    """The least b so that p x q goes into a x b at some angle, by halving."""
    low, high = q, a
    for _ in range(80):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if best_turn(p, q, a, middle).least_mm >= 0 else (middle, high)
    return high


CARVERS = [
    (120.0, 10.0, 100.0, 82.708494),
    (90.0, 3.0, 85.0, 35.326517),
    (88.9, 2.0, 80.0, 42.381253),
]

ROWS: list[Row] = [
    *(
        Row(
            CARVER,
            f"least side beside {a:g} for {p:g} x {q:g} turned, mm",
            b,
            least_room(p, q, a),
            6,
        )
        for p, q, a, b in CARVERS
    ),
    Row(PINWHEEL, "3 x 2 in 5 x 5", 4, most_found(4, lambda n: pallet(5, 5, 3, 2, n)), 0),
    Row(PALLET, "5 x 3 in 13 x 11", 9, most_found(9, lambda n: pallet(13, 11, 5, 3, n)), 0),
    Row(
        GRAATSMA,
        "1 x 2 x 2 in 3 x 3 x 3",
        6,
        most_found(6, lambda n: bricks((3, 3, 3), (1, 2, 2), n)),
        0,
    ),
]


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_row(row: Row) -> None:
    assert row.agrees


@pytest.mark.parametrize(("p", "q", "a", "b"), CARVERS)
def test_carver_by_turning_step_by_step(p: float, q: float, a: float, b: float) -> None:
    angles = np.linspace(0.0, math.pi / 2.0, 4_000_001)
    cos, sin = np.cos(angles), np.sin(angles)
    narrow = p * cos + q * sin <= a
    # steps of 4e-7 rad leave the trial up to 5e-5 mm above the true least side
    assert (p * sin + q * cos)[narrow].min() == pytest.approx(least_room(p, q, a), abs=5e-5)
    assert (p * sin + q * cos)[narrow].min() == pytest.approx(b, abs=5e-5)
    assert best_turn(p, q, a, b + 1e-3).least_mm > 0.0
    assert best_turn(p, q, a, b - 1e-3).least_mm < 0.0
    # Carver's own form: b >= (2pqa + (p2 - q2) sqrt(p2 + q2 - a2)) / (p2 + q2)
    form = 2 * p * q * a + (p * p - q * q) * math.sqrt(p * p + q * q - a * a)
    assert least_room(p, q, a) == pytest.approx(form / (p * p + q * q), abs=1e-9)


def test_the_pinwheel_is_found_and_a_fifth_is_impossible_by_area() -> None:
    assert pallet(5, 5, 3, 2, 4).outcome is Outcome.FOUND
    fifth = pallet(5, 5, 3, 2, 5)
    assert fifth.outcome is Outcome.IMPOSSIBLE
    assert fifth.reason.startswith("area")


@pytest.mark.parametrize(
    ("size", "optimum"),
    [((13, 11, 5, 3), 9), ((14, 10, 3, 2), 23), ((22, 16, 5, 3), 23), ((30, 22, 7, 4), 23)],
)
def test_pallets(size: tuple[int, int, int, int], optimum: int) -> None:
    """Where cutting right through gives 22, 23 are found; the optimum equals the area bound."""
    assert pallet(*size, optimum).outcome is Outcome.FOUND
    assert pallet(*size, optimum + 1).outcome is Outcome.IMPOSSIBLE


@pytest.mark.parametrize(
    ("room", "size", "optimum", "volume_bound"),
    [
        ((3, 3, 3), (1, 2, 2), 6, 6),  # Slothouwer-Graatsma
        ((5, 5, 5), (1, 2, 2), 30, 31),  # exact solver
        ((5, 5, 5), (1, 1, 3), 41, 41),  # exact solver
        ((6, 6, 6), (1, 2, 4), 26, 27),  # de Bruijn 1969 (27 cannot); 26 by construction
    ],
)
def test_bricks_in_cubes(
    room: tuple[int, int, int], size: tuple[int, int, int], optimum: int, volume_bound: int
) -> None:
    assert bricks(room, size, optimum).outcome is Outcome.FOUND
    # more than the optimum, up to the volume bound: not found, and not called impossible
    for count in range(optimum + 1, volume_bound + 1):
        more = bricks(room, size, count)
        assert more.outcome is Outcome.NONE_FOUND
        assert "right-angled" in more.reason
    assert bricks(room, size, volume_bound + 1).outcome is Outcome.IMPOSSIBLE


# smallest square for n circles of diameter 1, proved optima (Friedman's survey)
SQUARES = [1, 1.707107, 1.965926, 2, 2.414214, 2.664101, 2.866025, 2.931852, 3]


@pytest.mark.parametrize(("count", "side"), list(enumerate(SQUARES, start=1)))
def test_circles_in_the_smallest_square(count: int, side: float) -> None:
    def ask(across: float) -> Outcome:
        room = Room(across, across, 1.0)
        return arrange(room, [Demand("tin", (Pose("flat", 1, 1, 1, Disc()),), count)]).outcome

    # half of the last printed digit, and the 1e-6 by which the check lets bodies touch
    assert ask(side + 2e-6) is Outcome.FOUND
    if count <= 6:  # an unsuccessful search for more takes seconds
        assert ask(side - 1e-3) is not Outcome.FOUND


# diameters of shipped coins, and a depth in which none lies on another; of the euro coin:
# Regulation (EC) 975/98
COINS = {"coin-euro-2": (25.75, 3.5), "chocolate-coin": (38.0, 8.0)}


@pytest.mark.parametrize("over", [0.02, 0.5, 2.0])
@pytest.mark.parametrize("count", [2, 3, 5, 7, 8])
@pytest.mark.parametrize("coin", COINS)
def test_circles_in_a_folded_box_a_little_over_the_smallest_square(
    coin: str, count: int, over: float
) -> None:
    """The sides of Friedman's survey; a tray's tabs stand outside of what is its inside."""
    across, depth = COINS[coin]
    side = SQUARES[count - 1] * across + over
    content = {"item": coin, "count": count, "lay": "flat"}
    box = lidded_tray({"inside": [side, side], "depth": depth}, 3, content)
    found = fitcheck.check(fitcheck.build(box))
    (coins,) = found.contents
    assert coins.verdict == "fits"
    middles = coins.poses[:, :2, 3]
    assert min(math.dist(a, b) for a, b in combinations(middles, 2)) >= across - 1e-5
    # half a millimetre is more than caliper and glue push a wall out
    assert np.abs(middles).max() <= 0.5 * (side - across) + 0.5


def test_circles_stand_as_they_have_most_room() -> None:
    """Seven of 38 in 114.1: in staggered rows of 2, 3 and 2 three lie beside each other, and 0.1 is
    left; Friedman's square of (2 + sqrt 3 / 2) 38 = 108.91 leaves 5.2."""
    coins = Demand("coin", (Pose("flat", 38, 38, 5, Disc()),), 7)
    placed = arrange(Room(114.1, 114.1, 5), [coins]).placements
    for axis in range(2):
        of = [(p.x_mm, p.y_mm)[axis] for p in placed]
        assert max(of) - min(of) + 38.0 <= 114.1 - 1.0


def test_room_to_spare_is_shared_between_circles_and_walls() -> None:
    """Three of 10 in a square of 19.8: their middles, driven apart in the 9.8 that is theirs, are
    sqrt 6 - sqrt 2 times that apart (Friedman's survey: 1.965926 is 1 + 1 / that)."""
    coins = Demand("coin", (Pose("flat", 10, 10, 5, Disc()),), 3)
    spots = [(p.x_mm, p.y_mm) for p in arrange(Room(19.8, 19.8, 5), [coins]).placements]
    between = min(math.dist(a, b) for a, b in combinations(spots, 2)) - 10.0
    # drawn in by f, gaps are 9.8 f (sqrt 6 - sqrt 2) - 10 and the walls leave 9.8 (1 - f)
    f = 19.8 / (9.8 * (1.0 + math.sqrt(6.0) - math.sqrt(2.0)))
    assert between == pytest.approx(9.8 * (1.0 - f), abs=1e-3)
    for axis in range(2):
        of = [spot[axis] for spot in spots]
        assert 9.8 - (max(of) - min(of)) == pytest.approx(between, abs=1e-3)
        assert min(of) - 5.0 == pytest.approx(between / 2.0, abs=1e-3)


# most circles of diameter 1 in a square of area n, n = 1 ... 20 (OEIS A084616)
IN_AREA = [1, 1, 2, 4, 4, 5, 5, 6, 9, 9, 9, 10, 12, 13, 14, 16, 16, 16, 18, 19]
# 19 in area 20 are not found: the search stops at 14 in a layer, and rows give 18
WE_FIND = [*IN_AREA[:19], 18]


@pytest.mark.parametrize("area", range(1, 21))
def test_circles_in_a_square_of_area(area: int) -> None:
    side = math.sqrt(area)
    tins = Demand("tin", (Pose("flat", 1, 1, 1, Disc()),), WE_FIND[area - 1])
    assert arrange(Room(side, side, 1.0), [tins]).outcome is Outcome.FOUND


def test_what_we_do_not_reach_is_not_called_impossible() -> None:
    side = math.sqrt(20)
    tins = Demand("tin", (Pose("flat", 1, 1, 1, Disc()),), IN_AREA[19])
    assert arrange(Room(side, side, 1.0), [tins]).outcome is Outcome.NONE_FOUND
