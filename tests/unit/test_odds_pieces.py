"""Pieces of contents: how far they reach, in what order they stand, and whose size is whose."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import affinity

from fitcheck import kinds
from fitcheck.design.model import Content, Item, Lay, Vary
from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.fit.assembly import assemble
from fitcheck.fit.check import check
from fitcheck.fit.outline import plan_outline
from fitcheck.kinds.kind import lays
from fitcheck.kinds.poses import Disc, Polygon, Pose, Rectangle
from fitcheck.odds.bodies import Body, bodies_of, reached, resized, sides_of
from fitcheck.odds.found_inputs import inputs_of
from fitcheck.odds.inputs import Source, with_u
from fitcheck.odds.making import Workshop
from fitcheck.odds.odds import odds_of
from fitcheck.odds.orders import room_left, ways_of
from fitcheck.odds.prospect import take_prospect
from fitcheck.odds.quantities import content_slack
from fitcheck.odds.stands import piles_of
from fitcheck.packing.placing import Placement
from tests.agreement.test_odds_contents import SWEET, box, of, thing

KITE = Polygon(((-9.0, -4.0), (8.0, -6.0), (11.0, 1.0), (2.0, 7.0), (-6.0, 5.0)))
POSES = (
    Pose("flat", 31.0, 17.0, 6.0),
    Pose("flat", 31.0, 17.0, 6.0, Rectangle(3.5)),
    Pose("on end", 23.0, 23.0, 40.0, Disc()),
    Pose("flat", 20.0, 13.0, 5.0, KITE),
)


@pytest.mark.parametrize("pose", POSES)
@pytest.mark.parametrize("turn", [0.0, 31.0])
def test_a_body_reaches_as_far_as_its_outline(pose: Pose, turn: float) -> None:
    """Against the outline of the resized plan, turned by a geometry library, in many directions."""
    body = Body(0, 0, Placement("thing", pose, 3.0, -2.0, 0.0, turn), (0, 1, 2))
    rng = np.random.default_rng(4)
    for angle in rng.uniform(0.0, 2.0 * np.pi, 20):
        way = np.array([np.cos(angle), np.sin(angle)])
        grown = 1.0 + (0.02 if isinstance(pose.footprint, Disc) else rng.normal(0.0, 0.03, 2))
        sizes = np.array([pose.width_mm, pose.length_mm, pose.height_mm])
        sizes[:2] *= grown
        outline = shapely.Polygon(plan_outline(resized(pose, (0, 1, 2), sizes.tolist())))
        turned = affinity.rotate(outline, turn, origin=(0.0, 0.0))
        far = (np.array(turned.exterior.coords) @ way).max()
        assert reached(body.reach(way), sizes[:, None])[0] == pytest.approx(far, abs=1e-3)


@pytest.mark.parametrize(
    "item",
    [
        thing("slab", kinds.BLOCK, (40.0, 24.0, 9.0), (0, 0, 0)),
        thing("die", kinds.BLOCK, (16.0, 16.0, 16.0), (0, 0, 0)),
        thing("coin", kinds.CYLINDER, (25.0, 2.0), (0, 0)),
        thing("rod", kinds.CYLINDER, (8.0, 60.0), (0, 0)),
        thing("ball", kinds.SPHERE, (16.0,), (0,)),
    ],
)
def test_a_piece_that_came_out_otherwise_lies_as_it_was_meant_to(item: Item) -> None:
    sizes = tuple(1.01 * size + 0.03 * k for k, size in enumerate(item.size_mm))
    other = replace(item, size_mm=sizes)
    meant = {pose.name: pose for pose in lays(other, Lay.ANY, item)}
    for pose in lays(item, Lay.ANY):
        found = resized(pose, sides_of(item, pose), sizes)
        alike = (found.width_mm, found.length_mm, found.height_mm)
        one = meant[pose.name]
        if len(set(item.size_mm)) == len(item.size_mm):
            assert alike == (one.width_mm, one.length_mm, one.height_mm)
        assert sorted({*alike}) == sorted({one.width_mm, one.length_mm, one.height_mm})


def longest(clear: np.ndarray, sizes: np.ndarray) -> float:
    """The longest chain of bodies that each stand clear of the next: every chain is tried."""
    best = 0.0
    count = len(sizes)
    for length in range(1, count + 1):
        for chain in itertools.permutations(range(count), length):
            if all(clear[i, j] for i, j in itertools.pairwise(chain)):
                best = max(best, sizes[list(chain)].sum())
    return best


def test_what_an_order_takes_up_is_its_longest_chain() -> None:
    """Against every chain of six boxes strewn at random; pairs clear both ways go by rows."""
    rng = np.random.default_rng(8)
    for _ in range(20):
        low = rng.uniform(0.0, 60.0, (6, 3))
        spans = np.stack([low, low + rng.uniform(4.0, 30.0, (6, 3))], axis=2)
        by_rows = ways_of(spans, [False])[0]
        clear = [spans[:, None, a, 1] <= spans[None, :, a, 0] for a in range(3)]
        held = np.zeros((6, 6), dtype=bool)
        for axis in (0, 1):
            own = clear[axis] & ~held & ~held.T
            held |= own
            grown = rng.uniform(3.0, 35.0, (6, 1))
            order = by_rows.orders[axis]
            begins = order.begins(np.full((6, 1), 2.0), grown)
            left = room_left(order, begins, grown, np.full((6, 1), 100.0))
            assert left[0] == pytest.approx(98.0 - longest(own, grown[:, 0]))


DIE = thing("die", kinds.BLOCK, (10.0, 10.0, 6.0), (0.5, 0.5, 0.5))


def test_a_pinwheel_is_found() -> None:
    """Four pieces, 12 x 8 and 8 x 12 in turn, fill 20 x 20 as a pinwheel; rows and columns alone
    would need 20 x 24."""
    found = check(box((20.1, 20.1), 12.0, [of(DIE, 4)]))
    asked, forms = take_prospect(found).asked()
    (pinned,) = found.contents
    off = np.zeros((len(forms.inputs), 2))
    names = [one.name for one in forms.inputs]
    for piece, place in enumerate(pinned.placements, start=1):
        sign = 1.0 if (place.x_mm > 10.0) == (place.y_mm > 10.0) else -1.0
        off[names.index(f"the width of the die, piece {piece}"), 0] = 2.0 * sign
        off[names.index(f"the length of the die, piece {piece}"), 0] = -2.0 * sign
        off[names.index(f"the width of the die, piece {piece}"), 1] = 2.0
        off[names.index(f"the length of the die, piece {piece}"), 1] = -2.0
    pinwheel, too_wide = asked.outlook.evaluate(forms, off)[asked.outlook.row(content_slack(0))]
    assert 0.0 <= pinwheel <= 0.1 + 1e-9
    assert too_wide == pytest.approx(20.1 - 24.0)


TILE = thing("tile", kinds.BLOCK, (10.0, 10.0, 0.8), (0.5, 0.5, 0.0))


def test_a_narrow_tile_over_a_wide_one_takes_no_more_than_its_own_layer() -> None:
    """Two piles of two: 12 beside 8 below and 8 beside 12 above leave 20.4 - 20 in each layer,
    though the piles as wholes would be 24 wide; two of 12 in one layer do not go in."""
    found = check(box((20.4, 10.4), 12.0, [of(TILE, 4)]))
    (fit,) = found.contents
    y = fit.placements[0].y_mm
    spots = [(5.1, 0.0), (15.3, 0.0), (5.1, 0.8), (15.3, 0.8)]
    places = [replace(fit.placements[0], x_mm=x, y_mm=y, z_mm=z) for x, z in spots]
    piled = replace(found, contents=(replace(fit, placements=tuple(places)),))
    asked, forms = take_prospect(piled).asked()
    off = np.zeros((len(forms.inputs), 2))
    names = [one.name for one in forms.inputs]
    for piece, (across, above) in enumerate(((1, 1), (-1, 1), (-1, -1), (1, -1)), start=1):
        off[names.index(f"the width of the tile, piece {piece}")] = 2.0 * across, 2.0 * above
    turn_about, both_below = asked.outlook.evaluate(forms, off)[asked.outlook.row(content_slack(0))]
    assert turn_about == pytest.approx(0.4, abs=1e-6)
    assert both_below == pytest.approx(20.4 - 24.0, abs=1e-6)


@pytest.mark.parametrize("turn", [0.0, 31.0])
def test_normals_are_square_to_the_edges_and_look_outwards(turn: float) -> None:
    """Against the outline turned by a geometry library: each edge lies furthest out along one."""
    body = Body(0, 0, Placement("kite", POSES[3], 3.0, -2.0, 0.0, turn), (0, 1, 2))
    turned = affinity.rotate(shapely.Polygon(KITE.points), turn, origin=(0.0, 0.0))
    corners = np.array(turned.exterior.coords)
    found = np.array(body.normals)
    assert np.linalg.norm(found, axis=1) == pytest.approx(np.ones(len(KITE.points)))
    far = corners @ found.T
    for start, stop in itertools.pairwise(range(len(corners))):
        ends = far[[start, stop]]
        supports = np.abs(ends - far.max(axis=0)).max(axis=0) < 1e-9
        assert supports.sum() == 1, "each edge has its own normal"


def test_normals_of_what_is_straight_or_round_are_the_axes_or_none() -> None:
    def normals(pose: Pose, turn: float) -> list[list[float]]:
        return np.array(Body(0, 0, Placement("x", pose, 0, 0, 0, turn), (0, 1, 2)).normals).tolist()

    assert normals(POSES[0], 0.0) == normals(POSES[0], -90.0) == normals(POSES[2], 31.0) == []
    cos, sin = math.cos(math.radians(31.0)), math.sin(math.radians(31.0))
    assert np.array(normals(POSES[0], 31.0)) == pytest.approx(np.array([[cos, sin], [-sin, cos]]))


def test_each_piece_has_its_own_sizes_or_all_have_the_same() -> None:
    slab = thing("slab", kinds.BLOCK, (40.0, 24.0, 9.0), (0.3, 0.0, 0.2))
    assembly = assemble(
        box((90.0, 70.0), 30.0, [of(slab, 3), of(SWEET, 2, Vary.TOGETHER), of(slab, 2)])
    )
    sizes = [one for one in inputs_of(assembly) if one.source is Source.CONTENT]
    assert len(sizes) == 2 * 5 + 3, "what is known exactly is no input"
    assert len({one.name for one in sizes}) == len(sizes)
    labels = {one.label for one in sizes}
    assert labels == {
        "the width of each slab",
        "the height of each slab",
        *(f"the {word} of the sweet" for word in ("width", "length", "height")),
    }
    workshop = Workshop(assembly, tuple(sizes), {})
    made = workshop.make({"the width of the slab, piece 4": 0.7, "the length of the sweet": -0.4})
    assert made.sizes_mm == (
        ((40.0, 24.0, 9.0),) * 3,
        ((20.0, 29.6, 12.0),) * 2,
        ((40.7, 24.0, 9.0), (40.0, 24.0, 9.0)),
    )
    bettered = with_u(sizes, {"the width of each slab": 0.1})
    assert [one.variate.u for one in bettered if one.side == 0 and one.item == "slab"] == [0.1] * 5


def test_a_piece_alone_is_called_by_its_item() -> None:
    one = assemble(box((90.0, 70.0), 30.0, [of(SWEET, 1)]))
    names = [i.name for i in inputs_of(one) if i.source is Source.CONTENT]
    assert names == [f"the {word} of the sweet" for word in ("width", "length", "height")]


def test_pieces_of_an_item_have_one_share() -> None:
    """Four heights that vary alike and by themselves make all of what varies under the lid."""
    cookie = thing("cookie", kinds.CYLINDER, (50.0, 12.0), (0.0, 0.8))
    found = odds_of(check(box((60.0, 64.0), 50.0, [of(cookie, 4)])), 5_000, 0, folded_again=0)
    assert found.shares == (), "nothing that varies is asked of an open box"
    asked, forms = take_prospect(
        check(box((60.0, 64.0), 50.0, [of(cookie, 4)], lidded=True))
    ).asked()
    from fitcheck.odds.shares import shares_of

    samples = asked.draw(forms, 20_000, 0)
    row = asked.outlook.row("content 1's room to spare, height")
    (share,) = shares_of(samples, row, forms.inputs)
    assert share.name == "the height of each cookie"
    assert share.share == pytest.approx(1.0, abs=0.02)


def test_piles_are_what_stands_right_on_each_other() -> None:
    pose = Pose("flat", 20.0, 20.0, 3.0, Disc())
    places = [(0.0, 0.0), (0.0, 3.0), (30.0, 0.0), (0.0, 6.0), (30.0, 6.0)]
    bodies = [
        Body(0, i, Placement("coin", pose, x, 0.0, z), (0, 0, 1)) for i, (x, z) in enumerate(places)
    ]
    assert set(piles_of(bodies)) == {(0, 1, 3), (2,), (4,)}


def test_lines_of_one_item_share_its_places_out() -> None:
    found = check(box((45.0, 64.0), 30.0, [of(SWEET, 1), of(SWEET, 3)]))
    bodies = bodies_of(found.contents, found.cavity.room)
    assert [(body.line, body.piece) for body in bodies] == [(0, 0), (1, 0), (1, 1), (1, 2)]
    spots = {(body.place.x_mm, body.place.y_mm, body.place.z_mm) for body in bodies}
    assert len(spots) == 4


FILE = """
format = 1
title = "Box"
unit = "mm"
[base]
style = "tray"
stock = "cover-80"
floor = [70, 80]
depth = 25
[[content]]
item = "toffee-wrapped"
count = 2
"""


def test_vary_is_a_key_of_a_content(tmp_path: Path) -> None:
    path = tmp_path / "box.toml"

    def read(line: str) -> Content:
        path.write_text(FILE + line)
        return read_design(path).contents[0]

    assert read("").vary is Vary.EACH
    assert read('vary = "together"').vary is Vary.TOGETHER
    with pytest.raises(InputError, match=r"content\[1\].vary.*'alike'.*each.*together"):
        read('vary = "alike"')
