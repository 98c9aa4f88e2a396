"""What the face hands out against general libraries that share no code with it.

shapely (planar geometry) measures the sheet's cut lines; cadquery (a B-rep modeller) and trimesh
(meshes) the solids; coal (collisions) finds plays again from the convex pieces alone, stepped and
bisected; NumPy's means stand beside what the command line prints. Flat area times caliper is the
folded volume where creases neither stretch nor crush (k = 1/2, sheet-metal handbooks).
"""

from __future__ import annotations

import re
from collections.abc import Callable

import coal
import numpy as np
import pytest
import shapely
import trimesh

import fitcheck
from fitcheck.outputs.odds_text import odds_text
from tests.face_designs import DRAWER, EMPTY, LIDDED

STEP_MM = 0.9
"""Of a mover along its way; walls are straight, so that what limits is never only between steps."""
CLEAR_MM = 0.1
"""What lies on a floor is lifted by it before it is moved."""
AGREE_MM = 2e-3
"""Two facets' errors, once at each end."""


@pytest.fixture(scope="module")
def lidded() -> fitcheck.Checked:
    return fitcheck.check(fitcheck.build(LIDDED))


@pytest.fixture(scope="module")
def drawer() -> fitcheck.Checked:
    return fitcheck.check(fitcheck.build(DRAWER))


def flat_area(part: fitcheck.Part) -> float:
    """What the cut lines of its sheet enclose, waste cut away, mm2."""
    cuts = [s for s in part.sheet().strokes if s.kind == "cut" and not s.legend]
    lines = [shapely.LineString([*s.points, s.points[0]] if s.closed else s.points) for s in cuts]
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all(lines, grid_size=1e-9)]))
    hatched = [s.points.mean(axis=0) for s in part.sheet().strokes if s.kind == "hatch"]
    waste = shapely.multipoints(hatched) if hatched else shapely.MultiPoint()
    return float(sum(face.area for face in faces if not shapely.intersects(face, waste)))


@pytest.mark.parametrize("name", ["base", "lid"])
def test_solids_hold_the_paper_that_was_cut(name: str, lidded: fitcheck.Checked) -> None:
    part = lidded.parts[name]
    paper = flat_area(part) * part.caliper_mm
    solid = part.solid()
    if name == "lid":  # of a paper that nobody measured, so its creases have k = 1/2
        assert part.volume_mm3 == pytest.approx(paper, rel=1e-9)
    assert part.volume_mm3 == pytest.approx(paper, rel=2e-3)
    assert solid.Volume() == pytest.approx(part.volume_mm3, rel=1e-6)
    assert all(one.isValid() for one in solid.Solids())
    box = solid.BoundingBox()
    assert box.zlen == pytest.approx(part.outside_mm[2], abs=1e-6)
    assert (box.xlen, box.ylen) == pytest.approx(part.outside_mm[:2], abs=1e-3)


def test_what_is_cut_out_of_a_plate_is_missing(drawer: fitcheck.Checked) -> None:
    """A half-round thumb notch of 9 mm in the top and the bottom, its arc within 0.1 %."""
    sleeve = drawer.parts["sleeve"]
    flat = {plate.name: shapely.Polygon(in_plane(plate)) for plate in sleeve.plates}
    hull = flat["top"].convex_hull.area - flat["top"].area
    assert hull == pytest.approx(np.pi / 2 * 9**2, rel=2e-3)
    paper = flat_area(sleeve) * sleeve.caliper_mm
    assert sleeve.volume_mm3 == pytest.approx(paper, rel=1e-4)
    assert sleeve.solid().Volume() == pytest.approx(sleeve.volume_mm3, rel=1e-4)


def in_plane(plate: fitcheck.Plate) -> np.ndarray:
    """Its outside corners (n, 2) in its own plane."""
    across = plate.outside - plate.outside.mean(axis=0)
    return across @ np.linalg.svd(across)[2][:2].T


@pytest.mark.parametrize("name", ["base", "lid"])
def test_a_mesh_is_the_union_of_the_pieces(name: str, lidded: fitcheck.Checked) -> None:
    part = lidded.parts[name]
    mesh = part.mesh()
    assert mesh.is_watertight and mesh.is_winding_consistent and mesh.body_count == 1
    hulls = [trimesh.convex.convex_hull(one.corners) for one in part.pieces]
    union = trimesh.boolean.union(hulls, engine="manifold")
    assert mesh.volume == pytest.approx(union.volume, rel=2e-3)
    assert mesh.volume <= part.volume_mm3
    assert mesh.bounds == pytest.approx(union.bounds, abs=6e-3)


def test_plates_are_prisms_of_their_paper(lidded: fitcheck.Checked) -> None:
    part = lidded.parts["base"]
    for plate in part.plates:
        rise = plate.inside - plate.outside
        assert np.linalg.norm(rise, axis=1) == pytest.approx(part.caliper_mm, abs=1e-12)
        for face in (plate.outside, plate.inside):
            assert np.ptp(face @ (rise[0] / part.caliper_mm)) < 1e-9
        (piece,) = (one for one in part.pieces if one.panels == {plate.name})
        corners = trimesh.convex.convex_hull(np.vstack([plate.outside, plate.inside]))
        assert corners.volume == pytest.approx(
            trimesh.convex.convex_hull(piece.corners).volume, rel=1e-9
        )
    assert part.plates[0].name == "floor"
    assert np.all(part.plates[0].outside[:, 2] == 0.0)


def test_bends_hold_what_they_say(lidded: fitcheck.Checked) -> None:
    """Pappus: a sector's volume is its section's area times the middle of its lengths."""
    part = lidded.parts["base"]
    hulls = sum(
        trimesh.convex.convex_hull(np.vstack([p.outside, p.inside])).volume for p in part.plates
    )
    bends = 0.0
    for bend in part.bends:
        start, stop = bend.angles_rad
        ring = 0.5 * ((bend.radius_mm + bend.thickness_mm) ** 2 - bend.radius_mm**2)
        bends += ring * (stop - start) * float(np.diff(bend.ends_mm, axis=1).mean())
        turn = bend.pose[:3, :3]
        assert np.allclose(turn @ turn.T, np.eye(3), atol=1e-12)
        assert np.linalg.det(turn) == pytest.approx(1.0)
    assert hulls + bends == pytest.approx(part.volume_mm3, rel=1e-9)


Collides = Callable[[np.ndarray], bool]


def collides(
    mover: fitcheck.Part, holder: fitcheck.Part, pose: np.ndarray, left_out: str = ""
) -> Collides:
    """Whether a mover, put in its place and shifted by (3,), meets its holder anywhere."""

    def bodies(part: fitcheck.Part, own: np.ndarray) -> list[coal.CollisionObject]:
        found = []
        for piece in part.pieces:
            if left_out and left_out in piece.panels and len(piece.panels) == 2:
                continue
            points = piece.corners @ own[:3, :3].T + own[:3, 3]
            cloud = coal.StdVec_Vec3s()
            for point in points:
                cloud.append(point)
            found.append(coal.CollisionObject(coal.Convex.convexHull(cloud, False, None)))
        return found

    movers, holders = bodies(mover, pose), bodies(holder, np.eye(4))
    first, second = (coal.DynamicAABBTreeCollisionManager() for _ in range(2))
    for one in movers:
        first.registerObject(one)
    for one in holders:
        second.registerObject(one)
    first.setup()
    second.setup()

    def meets(shift: np.ndarray) -> bool:
        for one in movers:
            one.setTranslation(shift)
            one.computeAABB()
        first.update()
        found = coal.CollisionCallBackDefault()
        first.collide(second, found)
        return bool(found.data.result.isCollision())

    return meets


def travel(meets: Collides, way: np.ndarray, starts: list[np.ndarray], most: float) -> float:
    """How far it goes one way before it meets anything at any of its starts, by bisection, mm."""
    low, high = 0.0, most
    while high - low > 2e-4:
        middle = 0.5 * (low + high)
        blocked = any(meets(start + middle * way) for start in starts)
        low, high = (low, middle) if blocked else (middle, high)
    return 0.5 * (low + high)


def test_a_lids_plays_are_found_again_by_a_collision_library(lidded: fitcheck.Checked) -> None:
    (mate,) = lidded.mates
    base, lid = lidded.parts["base"], lidded.parts["lid"]
    meets = collides(lid, base, mate.pose, left_out="floor")
    lifts = np.arange(0.02, lid.outside_mm[2] + 1.0, STEP_MM)
    starts = [np.array([0.0, 0.0, lift]) for lift in lifts]
    assert not any(meets(start) for start in starts)
    for way, name in ((np.array([1.0, 0.0, 0.0]), "width"), (np.array([0.0, 1.0, 0.0]), "length")):
        found = sum(travel(meets, sign * way, starts, 8.0) for sign in (1.0, -1.0))
        assert mate.plays_mm[name] == pytest.approx(found, abs=AGREE_MM)


def test_a_drawers_plays_are_found_again_by_a_collision_library(drawer: fitcheck.Checked) -> None:
    (mate,) = drawer.mates
    base, sleeve = drawer.parts["base"], drawer.parts["sleeve"]
    lifted = mate.pose.copy()
    lifted[2, 3] += CLEAR_MM
    meets = collides(base, sleeve, lifted)
    long = base.outside_mm[1]
    starts = [np.array([0.0, at, 0.0]) for at in np.arange(-long, long, 10 * STEP_MM)]
    assert not any(meets(start) for start in starts)
    for way, name in ((np.array([1.0, 0.0, 0.0]), "across"), (np.array([0.0, 0.0, 1.0]), "up")):
        found = sum(travel(meets, sign * way, starts, 8.0) for sign in (1.0, -1.0))
        assert mate.plays_mm[name] == pytest.approx(found, abs=AGREE_MM)
    # it lies on the sleeve's floor
    low, high = (np.array([0.0, 0.0, -CLEAR_MM + off]) for off in (-1e-3, 1e-3))
    assert meets(low) and not meets(high)
    assert not meets(mate.way_mm)


def in_base(style: str, **keys: object) -> fitcheck.Checked:
    """A tray of 70 by 95 mm with something that stands in it."""
    table = "collar" if style == "collar" else "insert"
    own = {"style": style, "stock": "cover-80", "ease": [1.25, 1.75], **keys}
    return fitcheck.check(
        fitcheck.build(
            {
                "format": 1,
                "title": "Boathouse",
                "unit": "mm",
                "base": {"style": "tray", "stock": "cover-100", "floor": [70, 95], "depth": 20},
                table: own,
            }
        )
    )


@pytest.mark.parametrize(
    ("style", "keys"),
    [("collar", {"height": 31, "seam": 9}), ("platform", {"height": 7}), ("mat", {})],
)
def test_what_stands_in_a_base_is_handed_out_in_its_place(
    style: str, keys: dict[str, object]
) -> None:
    """It is stood up on end, turned over or laid down, and rests on the floor just so."""
    checked = in_base(style, **keys)
    (mate,) = checked.mates
    base, mover = checked.parts["base"], checked.parts[mate.mover]
    points = np.vstack([one.corners for one in mover.pieces]) @ mate.pose[:3, :3].T
    points += mate.pose[:3, 3]
    low, high = points.min(axis=0), points.max(axis=0)
    height = keys.get("height", mover.caliper_mm)
    assert (low[2], high[2]) == pytest.approx((base.caliper_mm, base.caliper_mm + height), abs=0.02)
    assert (low + high)[:2] == pytest.approx(0.0, abs=0.01)
    assert np.linalg.det(mate.pose[:3, :3]) == pytest.approx(1.0)
    lifted = mate.pose.copy()
    lifted[2, 3] += CLEAR_MM
    meets = collides(mover, base, lifted)
    assert not meets(np.zeros(3)) and meets(np.array([0.0, 0.0, -CLEAR_MM - 0.01]))
    assert not meets(mate.way_mm)
    starts = [np.zeros(3)]
    for way, name in ((np.array([1.0, 0.0, 0.0]), "width"), (np.array([0.0, 1.0, 0.0]), "length")):
        found = sum(travel(meets, sign * way, starts, 8.0) for sign in (1.0, -1.0))
        # in its place it meets no less than on the whole of its way there
        assert mate.plays_mm[name] <= found + AGREE_MM


def test_strips_that_cross_have_no_one_place() -> None:
    data = {
        "format": 1,
        "title": "Boathouse",
        "unit": "mm",
        "base": {"style": "tray", "stock": "cover-100", "floor": [70, 95], "depth": 20},
        "dividers": {
            "style": "dividers",
            "stock": "cover-80",
            "rows": 3,
            "columns": 2,
            "ease": [1.0, 1.25],
        },
    }
    checked = fitcheck.check(fitcheck.build(data))
    assert [mate.pose for mate in checked.mates] == [None, None]
    copies = {name: part.copies for name, part in checked.parts.items()}
    assert copies == {"base": 1, "dividers across": 2, "dividers along": 1}


ITEMS = """
[rod]
kind = "cylinder"
size = [11.3, 47]
source = "made up"

[marble]
kind = "sphere"
size = [15.6]
source = "made up"

[pass]
kind = "card"
size = [54, 34, 1.2]
corner_radius = 5
source = "made up"

[wedge]
kind = "mesh"
file = "wedge.stl"
source = "made up"
"""


@pytest.fixture
def workspace(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("bench")
    (folder / "models").mkdir()
    (folder / "models" / "items.toml").write_text(ITEMS)
    corners = [[0, 0, 0], [30, 0, 0], [0, 21, 0], [0, 0, 12.5], [6, 5, 9]]
    trimesh.convex.convex_hull(np.array(corners, float)).export(folder / "models" / "wedge.stl")
    return str(folder)


def wedge_volume() -> float:
    corners = [[0, 0, 0], [30, 0, 0], [0, 21, 0], [0, 0, 12.5], [6, 5, 9]]
    return float(trimesh.convex.convex_hull(np.array(corners, float)).volume)


@pytest.mark.parametrize(
    ("item", "lay", "volume"),
    [
        ("rod", "flat", np.pi / 4 * 11.3**2 * 47),
        ("rod", "end", np.pi / 4 * 11.3**2 * 47),
        ("marble", "any", np.pi / 6 * 15.6**3),
        ("pass", "flat", (54 * 34 - (4 - np.pi) * 25) * 1.2),
        ("wedge", "flat", wedge_volume()),
        ("wedge", "edge", wedge_volume()),
        ("wedge", "end", wedge_volume()),
    ],
)
def test_contents_stand_in_the_box_as_they_are(
    workspace: str, item: str, lay: str, volume: float
) -> None:
    """Closed forms of the bodies; the mesh lies on the floor and meets no piece of the base."""
    content = [{"item": item, "lay": lay}]
    base = {"style": "tray", "stock": "cover-80", "floor": [66, 72], "depth": 50}
    data = EMPTY | {"content": content, "base": base}
    del data["lid"]
    checked = fitcheck.check(fitcheck.build(data, workspace=workspace))
    (found,) = checked.contents
    assert found.verdict == "fits"
    mesh = found.mesh()
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(volume, rel=3e-3)
    assert mesh.extents == pytest.approx(
        np.abs(found.poses[0, :3, :3]) @ found.extents_mm[0], abs=2e-3
    )
    part = checked.parts["base"]
    assert mesh.bounds[0, 2] == pytest.approx(part.caliper_mm, abs=1e-3)
    hulls = [trimesh.convex.convex_hull(one.corners) for one in part.pieces]
    raised = mesh.copy()
    raised.apply_translation([0.0, 0.0, 0.01])
    manager = trimesh.collision.CollisionManager()
    for number, hull in enumerate(hulls):
        manager.add_object(str(number), hull)
    assert not manager.in_collision_single(raised)


def test_arrays_of_odds_are_what_the_text_says() -> None:
    odds = fitcheck.check(fitcheck.build(EMPTY)).odds(4000, seed=11)
    text = odds_text(odds.result)
    said = re.search(r"right +(\d+) come out right", text)
    assert said is not None, text
    assert int(said[1]) == pytest.approx(100 * odds.good.mean(), abs=0.51)
    assert odds.result.lid is not None
    smaller = np.minimum(odds.lengths["lid play, width"], odds.lengths["lid play, length"])
    assert np.array_equal(smaller, odds.lengths["lid play"])
    assert smaller.mean() == pytest.approx(odds.result.lid.smaller.mean_mm, abs=1e-12)
    assert smaller.std(ddof=1) == pytest.approx(odds.result.lid.smaller.u_mm, rel=1e-3)
    low, high = np.quantile(smaller, [0.025, 0.975])
    interval = odds.result.lid.smaller.interval
    assert (interval.low, interval.high) == pytest.approx((low, high), abs=5e-3)
    # each error was drawn by its own standard uncertainty, and none goes with another
    assert odds.errors.std(axis=1) == pytest.approx(odds.u, rel=0.06)
    together = np.corrcoef(odds.errors) - np.eye(len(odds.inputs))
    assert np.abs(together).max() < 0.08


def test_errors_are_those_that_made_the_boxes() -> None:
    """Least squares of a play on the errors leaves hardly anything: it is piecewise linear."""
    odds = fitcheck.check(fitcheck.build(EMPTY)).odds(4000, seed=2)
    play = odds.lengths["lid play, width"]
    rows = np.vstack([odds.errors, np.ones(odds.boxes)]).T
    fitted, *_ = np.linalg.lstsq(rows, play, rcond=None)
    assert np.std(play - rows @ fitted) < 0.2 * np.std(play)
    shuffled, *_ = np.linalg.lstsq(np.roll(rows, 1, axis=0), play, rcond=None)
    assert np.std(play - np.roll(rows, 1, axis=0) @ shuffled) > 0.9 * np.std(play)
