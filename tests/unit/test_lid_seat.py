"""Where a lid comes to rest: turned over, on the rim, by arithmetic and by a collision library."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import fcl
import numpy as np
import pytest

from fitcheck.design.model import Bands, LidVerdict
from fitcheck.fit.assembly import Part, make_part, recipe_beside
from fitcheck.fit.lid import fit_lid, lid_pieces, lid_pose, seat_height, sliding_pieces
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.tools import Tools
from fitcheck.styles.part import SizeBy
from fitcheck.styles.walled import WalledSpec
from tests.boxes import paper, shadow_box, tray

BANDS = Bands(0.15, 0.20, 1.50)
TOOLS = Tools("board", 5.0, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)
BASE = tray(62.0, 97.0, 31.0, paper(0.4, 0.3))
LID = tray(63.5, 99.0, 14.0, paper(0.25, 0.2), part="lid")


def fitted(base: Part, lid: Part) -> list[np.ndarray]:
    seat = seat_height(base.folded, lid.folded)
    return [piece.vertices for piece in lid_pieces(lid.folded, seat)]


def test_a_lid_turned_over_keeps_its_size_and_its_width_where_it_was() -> None:
    lid = make_part(LID).folded
    pose = lid_pose(lid, 20.0)
    assert pose[3] == pytest.approx([0, 0, 0, 1])
    # half a turn about the width: x stays, y and z change sign
    there = [pose @ np.array([*p, 1.0]) for p in np.eye(3)]
    origin = pose @ np.array([0.0, 0.0, 0.0, 1.0])
    assert [list(np.round(p - origin, 12)[:3]) for p in there] == [
        [1, 0, 0],
        [0, -1, 0],
        [0, 0, -1],
    ]
    # its floor's outside face, z = 0 as folded, is now on top of its inside face at the seat
    assert origin[2] == pytest.approx(20.0 + 0.25)


@pytest.mark.parametrize("less", [1.0, 4.0, 13.0])
def test_a_lid_smaller_than_its_base_is_told_as_held_on_the_rim(less: float) -> None:
    """Its floor would fall into the base: heights are those of any lid of its depth by arithmetic,
    and it presses by what it is smaller, whatever its floor finds to lie on."""
    base, small = (
        make_part(BASE),
        make_part(replace(LID, width_mm=62.0 - less, length_mm=97.0 - less)),
    )
    found = fit_lid(base, small, BANDS)
    roomy = fit_lid(base, make_part(LID), BANDS)
    assert found.falls_in and not roomy.falls_in
    assert found.verdict is LidVerdict.BINDS
    for mm in ("seat_mm", "overlap_mm", "reveal_mm", "closed_height_mm", "rim_mm"):
        assert getattr(found, mm) == pytest.approx(getattr(roomy, mm), abs=1e-3)
    by = {
        axis: roomy.slide.travel(axis).play_mm - found.slide.travel(axis).play_mm for axis in Axis
    }
    assert by == pytest.approx({Axis.WIDTH: 1.5 + less, Axis.LENGTH: 2.0 + less}, abs=0.02)


def test_the_seat_is_the_rim_by_arithmetic() -> None:
    """A roomy lid with sharp creases lies flat on the rim, which stands H + a above the table."""
    base, lid = make_part(BASE), make_part(LID)
    found = fit_lid(base, lid, BANDS)
    rim = 31.0 + 0.3
    assert base.sizes.height_mm == pytest.approx(rim, abs=2e-3)
    assert found.seat_mm == pytest.approx(base.sizes.height_mm, abs=5e-4)  # facets of 2e-4
    reach = 14.0 + 0.2 - 0.25
    assert found.overlap_mm == pytest.approx(reach, abs=2e-3)
    assert found.reveal_mm == pytest.approx(rim - reach, abs=4e-3)
    assert found.closed_height_mm == pytest.approx(rim + 0.25, abs=2e-3)
    assert found.rim_mm == pytest.approx(rim - reach + 0.25, abs=4e-3)
    assert found.verdict is LidVerdict.SLIDES
    tall = fit_lid(base, make_part(tray(63.5, 99.0, 34.0, paper(0.25, 0.2), part="lid")), BANDS)
    deep = 34.0 + 0.2 - 0.25
    assert tall.overlap_mm == pytest.approx(rim, abs=2e-3)
    assert tall.reveal_mm == pytest.approx(rim - deep, abs=4e-3)
    assert tall.closed_height_mm == pytest.approx(deep + 0.25, abs=4e-3)
    assert tall.rim_mm < 0.0


def test_the_rise_at_mitred_corners_lifts_the_lid() -> None:
    """The frame rolled second lies over the first by t + g: the lid's floor rests up there."""
    base = make_part(shadow_box(70.0, 110.0, 24.0, paper(0.33, 0.2), joint=0.1))
    lid = make_part(tray(72.0, 112.0, 12.0, paper(0.25, 0.2), part="lid"))
    found = fit_lid(base, lid, BANDS)
    assert base.sizes.corner_rise_mm == pytest.approx(0.43)
    rim = base.sizes.height_mm
    assert found.seat_mm == pytest.approx(rim + 0.43, abs=2e-3)
    assert found.overlap_mm == pytest.approx(12.0 - 0.05 - 0.43, abs=4e-3)
    assert found.reveal_mm == pytest.approx(rim - (12.0 - 0.05) + 0.43, abs=4e-3)
    assert found.closed_height_mm == pytest.approx(rim + 0.43 + 0.25, abs=4e-3)


def solid(piece: ConvexPiece, lift: float = 0.0) -> fcl.CollisionObject:
    from scipy.spatial import ConvexHull

    triangles = ConvexHull(piece.vertices).simplices
    model = fcl.BVHModel()
    model.beginModel(len(piece.vertices), len(triangles))
    model.addSubModel(piece.vertices + np.array([0.0, 0.0, lift]), triangles)
    model.endModel()
    return fcl.CollisionObject(model, fcl.Transform())


def meets(above: list[ConvexPiece], below: list[ConvexPiece], lift: float) -> bool:
    lower = [solid(piece) for piece in below]
    for piece in above:
        upper = solid(piece, lift)
        if any(fcl.collide(upper, x, fcl.CollisionRequest(), fcl.CollisionResult()) for x in lower):
            return True
    return False


@pytest.mark.parametrize(("width", "length"), [(62.9, 99.5), (64.0, 97.9)])
def test_a_tight_lid_in_round_creases_rests_where_a_collision_library_finds_it(
    width: float, length: float
) -> None:
    """Its creases meet the rim before its floor does: a hair higher is free, lower is not."""
    base = make_part(tray(62.0, 97.0, 31.0, paper(0.3, 0.25)))
    lid = make_part(tray(width, length, 14.0, paper(0.4, 0.6), part="lid"))
    seat = seat_height(base.folded, lid.folded)
    assert seat > base.sizes.height_mm + 1e-3
    root = lid.folded.pattern.panels[0].name
    rests = [p for p in lid_pieces(lid.folded, seat) if root in p.panels]
    sides = sliding_pieces(lid.folded, seat)
    assert {p.name for p in sides} | {p.name for p in rests} == {p.name for p in lid.folded.pieces}
    assert not {p.name for p in sides if root in p.panels} - {root}
    below = [p for p in base.folded.pieces if p.high[2] > base.sizes.height_mm - 1.0]
    assert not meets(rests, below, 2e-3)
    assert meets(rests, below, -2e-3)
    # the plate of the floor is in place: its inside face at the seat, one caliper thick
    (floor,) = (p for p in rests if p.name == root)
    assert (floor.low[2], floor.high[2]) == pytest.approx((seat, seat + 0.4), abs=1e-9)


def test_play_of_the_lid_is_told_by_axis() -> None:
    """Inside of the lid less outside of the base, across the walls that carry the tabs: W + 2a."""
    base = make_part(tray(62.0, 97.0, 31.0, paper(0.4, 0.3), tabs=Axis.WIDTH))
    lid = make_part(tray(63.5, 99.0, 14.0, paper(0.25, 0.2), tabs=Axis.WIDTH, part="lid"))
    found = fit_lid(base, lid, BANDS).slide
    across_tabs = (99.0 - 2 * (0.25 - 0.2)) - (97.0 + 2 * 0.3)
    assert found.travels[1].play_mm == pytest.approx(across_tabs, abs=2e-3)


@pytest.mark.parametrize(
    ("size_by", "expected"),
    [(SizeBy.OVERSIZE, (63.5, 99.0)), (SizeBy.SAME_SHEET, (65.0, 101.0)), (SizeBy.FLOOR, (1.5, 2))],
)
def test_a_lid_s_floor_is_settled_over_the_base(
    size_by: SizeBy, expected: tuple[float, float]
) -> None:
    """Over the base's 62 x 97 by 1.5 and 2: once in all, or at each edge of the same sheet."""
    spec = WalledSpec(
        name="lid",
        style=LID.style,
        stock=LID.stock,
        size_by=size_by,
        size_mm=(1.5, 2.0),
        depth_mm=14.0,
        tabs=Axis.LENGTH,
    )
    design = SimpleNamespace(name="box", parts=(spec, spec), joint_mm=0.1, tools=TOOLS)
    found = recipe_beside(design, spec, BASE)  # type: ignore[arg-type]
    assert (found.width_mm, found.length_mm) == pytest.approx(expected)
