"""Double-walled trays against sections that are worked out by hand.

A wall of caliper t and allowance a stands t - a inside its score, its outside face a beyond it. Its
inner wall, folded over flat, lies the glue's g further in, so two sheets and g are the rim. The
walls over the tabs lie t + g further out at their rims, and so much more is between them (worked by
hand from the bend allowance of sheet-metal handbooks, half of it on each side of a score).
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.drawing.shapes import LineKind
from fitcheck.errors import InputError
from fitcheck.fit.assembly import make_part
from fitcheck.fit.check import check
from fitcheck.fit.selffit import self_fit
from fitcheck.odds.odds import odds_of
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis
from fitcheck.sheet.areas import glue_outlines, waste_pieces
from fitcheck.sheet.instructions import instructions_for
from fitcheck.sheet.layers import FoldDown
from fitcheck.sheet.steps import steps_for
from fitcheck.solids.folded import folded_mesh
from fitcheck.styles import draw
from fitcheck.styles.lined import END_MM, SHORT_MM, DoubleWallRecipe, DoubleWallSpec
from fitcheck.styles.part import SizeBy
from fitcheck.units import Unit
from tests.agreement.test_bonds import least, walked
from tests.agreement.test_odds_closed_forms import BASE_STOCK, BOARD, LID_STOCK, design
from tests.boxes import paper
from tests.hand_drawn import QUARTER

T, A, G = 0.33, 0.15, 0.10
BITE, LAYER = T - A, T + G
DEPTH = 25.0
FLOOR = (80.0, 110.0)


def recipe(
    rim: float | None = None,
    inner: float = 22.0,
    *,
    glued: bool = True,
    setback: float = 0.0,
    allowance: float = A,
    tabs: Axis = Axis.LENGTH,
) -> DoubleWallRecipe:
    """A tray of 80 x 110 x 25, its tabs on the walls along the length."""
    return DoubleWallRecipe(
        part="base",
        style="double-wall",
        stock=paper(T, allowance),
        width_mm=FLOOR[0],
        length_mm=FLOOR[1],
        depth_mm=DEPTH,
        joint_mm=G,
        tabs=tabs,
        tab_setback_mm=setback,
        rim_mm=rim,
        inner_wall_mm=inner,
        glued=glued,
    )


def spec(**own: object) -> DoubleWallSpec:
    """The same as a design says it."""
    keys = {"rim_mm": None, "inner_wall_mm": None, "glued": True, "tabs": Axis.LENGTH}
    keys |= {"size_by": SizeBy.FLOOR, "size_mm": FLOOR} | own
    return DoubleWallSpec(
        name="base", style="double-wall", stock=BASE_STOCK, depth_mm=DEPTH, **keys
    )  # type: ignore[arg-type]


def over(base: DoubleWallSpec, oversize: tuple[float, float]) -> Design:
    """It under a tray, with the tray's own board and papers."""
    plain = design("tray", 2.0)
    assert plain.lid is not None
    lid = replace(plain.lid, size_mm=oversize)
    return replace(plain, parts=(base, lid))


@pytest.mark.parametrize("tabs", Axis)
def test_a_wall_folded_flat_is_two_sheets_and_the_glue(tabs: Axis) -> None:
    """Inside the floor less 2 (2 t - a + g); over the tabs a layer more and less at the rim."""
    part = make_part(recipe(tabs=tabs))
    beside, pushed = (0, 1) if tabs is Axis.LENGTH else (1, 0)
    sizes = part.sizes
    assert self_fit(part.folded) == ()
    assert [one.rim_mm for one in part.folded.linings] == pytest.approx(
        [2 * T + G] * 2 + [3 * T + 2 * G] * 2, abs=1e-9
    )
    assert sizes.outside_mm[beside] == pytest.approx(FLOOR[beside] + 2 * A, abs=1e-9)
    assert sizes.outside_mm[pushed] == pytest.approx(FLOOR[pushed] + 2 * (A + LAYER), abs=1e-9)
    assert sizes.inside_mm[beside] == pytest.approx(FLOOR[beside] - 2 * (BITE + LAYER), abs=1e-9)
    # the wall over the tabs leans by t + g over its height; its inner wall's foot ends so much of
    # the height up as it is shorter, and its face lies two layers in from the wall's own
    up = DEPTH - 22.0 - BITE
    by_hand = FLOOR[pushed] - 2 * (BITE + 2 * LAYER - LAYER * up / DEPTH)
    assert sizes.inside_mm[pushed] == pytest.approx(by_hand, abs=0.02)
    assert part.folded.linings[0].stands_off_mm == pytest.approx(up, abs=1e-9)


@pytest.mark.parametrize("rim", [1.2, 2.5, 3.175])
def test_a_rim_is_as_wide_as_it_is_scored_and_both_its_bends_grow(rim: float) -> None:
    """w + 2 a over the rim, two sheets and the glue at the foot; the inside is at the rim."""
    part = make_part(recipe(rim))
    assert self_fit(part.folded) == ()
    for one, layers in zip(part.folded.linings, (0, 0, 1, 1), strict=True):
        lean = math.radians(sum(one.turns_deg) - 180.0)
        assert one.foot_mm == pytest.approx(2 * T + G + layers * LAYER, abs=0.01)
        # the rim's bends open by half of the lean each, t of paper between the two faces
        assert one.rim_mm == pytest.approx(rim + 2 * A, abs=2 * (T + 1.0) * abs(lean) + 1e-6)
    # the lining leans back from w + a at the rim to its foot: the least room is at the rim
    (left, *_) = part.folded.linings
    lean = math.radians(sum(left.turns_deg) - 180.0)
    assert math.tan(lean) == pytest.approx((rim + 2 * A - 2 * T - G) / 22.0, rel=0.06)
    want = FLOOR[0] - 2 * (rim + A)
    assert part.sizes.inside_mm[0] == pytest.approx(want, abs=2 * (T + 0.3) * lean + 0.01)


def test_a_wall_that_stands_on_its_foot_is_upright_when_it_is_just_as_high() -> None:
    """H - (t - a), not glued: both rims upright, the inside w + a from the score on either side."""
    rim = 2.0
    standing = make_part(recipe(rim, DEPTH - BITE, glued=False))
    left, right, *_ = standing.folded.linings
    for one in (left, right):
        assert one.turns_deg == pytest.approx([90.0, 90.0], abs=1e-6)
        assert one.stands_off_mm == pytest.approx(0.0, abs=1e-9)
        assert one.foot_mm == pytest.approx(rim + 2 * A, abs=1e-9)
    assert standing.sizes.inside_mm[0] == pytest.approx(FLOOR[0] - 2 * (rim + A), abs=1e-9)
    # over the tabs, where the walls lean out, rims are pressed down until the feet stand: by hand
    # a rim's fold is sharper by the lean, its inner edge level with the others' to a micrometre
    assert standing.sizes.height_mm == pytest.approx(DEPTH + 2 * A, abs=1e-3)
    for one in standing.folded.linings[2:]:
        assert one.stands_off_mm == pytest.approx(0.0, abs=1e-9)
    lifted = make_part(recipe(rim, DEPTH - BITE + 0.1, glued=False))
    assert lifted.folded.linings[0].stands_off_mm == pytest.approx(0.0, abs=1e-6)
    # a tenth too high lifts the rims and bends the inner walls' feet into the room
    assert 0.0 < lifted.sizes.height_mm - standing.sizes.height_mm < 0.1
    assert lifted.sizes.inside_mm[0] < standing.sizes.inside_mm[0]


@pytest.mark.parametrize("rim", [2.0, 6.0])
def test_a_foot_is_pressed_onto_the_floor_by_the_least_that_its_folds_give(rim: float) -> None:
    """Over the tabs the wall leans out by t + g; a walk along the section, settled by SciPy."""
    made = make_part(recipe(rim, DEPTH - BITE, glued=False)).folded
    crease, lean = made.crease, made.angles["front wall"]
    assert math.tan(QUARTER - lean) == pytest.approx(LAYER / DEPTH, rel=0.02)

    def feet(own: np.ndarray) -> np.ndarray:
        there = walked(crease, [DEPTH, rim, DEPTH - BITE], [lean, *own])
        return np.array([there.tip[1] - T, there.inside(T)[1] - T])

    assert feet(np.array([QUARTER, QUARTER])).min() > 0.01
    tries = [
        least([QUARTER] * 2, lambda x: feet(x)[[0]], lambda x: feet(x)[[1]]),
        least([QUARTER] * 2, lambda x: feet(x)[[1]], lambda x: feet(x)[[0]]),
    ]
    want = min(tries, key=lambda own: float(((own - QUARTER) ** 2).sum()))
    assert np.radians(made.linings[2].turns_deg) == pytest.approx(want.tolist(), abs=2e-6)


def test_a_foot_that_is_too_short_hangs_as_high_on_every_side() -> None:
    """Half a millimetre short of the floor: so much over the tabs, too."""
    made = make_part(recipe(2.0, DEPTH - BITE - 0.5, glued=False)).folded
    assert [one.stands_off_mm for one in made.linings] == pytest.approx([0.5] * 4, abs=1e-6)


@pytest.mark.parametrize("size_by", [SizeBy.INSIDE, SizeBy.FLOOR])
def test_the_inside_that_is_asked_for_is_the_room_between_the_inner_walls(size_by: SizeBy) -> None:
    """Found by folding, met by a probe, and seen in a level section of the solid by trimesh."""
    found = check(over(spec(size_by=size_by), (2.0, 2.0)))
    part, sizes = found.assembly.base, found.assembly.base.sizes
    if size_by is SizeBy.INSIDE:
        assert sizes.inside_mm == pytest.approx(FLOOR, abs=1e-9)
        grown = 2 * (BITE + LAYER)
        assert part.recipe.width_mm == pytest.approx(FLOOR[0] + grown, abs=1e-9)
    room = found.cavity.room
    assert (room.width_mm, room.length_mm) == pytest.approx(sizes.inside_mm, abs=0.02)
    mesh = folded_mesh(part.folded)
    seen = trimesh.Trimesh(mesh.vertices, mesh.faces)
    assert seen.is_watertight
    assert seen.body_count == 1
    # cut level two thirds up, from near the middle to either side
    cut = trimesh.intersections.mesh_plane(seen, [0.0, 0.0, 1.0], [0.0, 0.0, 17.0])[..., :2]
    hits = []
    for axis in range(2):
        off = cut[..., 1 - axis] - (0.4, 0.3)[axis]
        across = off[:, 0] * off[:, 1] < 0.0
        share = off[across, 0] / (off[across, 0] - off[across, 1])
        along = cut[across, 0, axis] + share * (cut[across, 1, axis] - cut[across, 0, axis])
        hits.append(float(along[along > 0.0].min() - along[along < 0.0].max()))
    assert hits[0] == pytest.approx(sizes.inside_mm[0], abs=1e-3)
    # there the walls over the tabs lean out: between the foot's room and a layer's more each side
    assert sizes.inside_mm[1] - 1e-3 < hits[1] < sizes.inside_mm[1] + 2 * LAYER


def test_a_tray_lid_slides_over_it_as_over_its_outer_walls_alone() -> None:
    """Floors differ by the oversize, walls by t - a of the lid and a of the base, tabs by t + g."""
    t, a = LID_STOCK.caliper_mm, LID_STOCK.crease_allowance_mm
    found = check(over(spec(), (2.0, 2.6)))
    assert found.lid is not None
    wide, long = (travel.play_mm for travel in found.lid.slide.travels)
    assert wide == pytest.approx(2.0 - 2 * (t - a) - 2 * A, abs=2e-3)
    by_hand = 2.6 - 2 * (t - a) - 2 * (A + LAYER)
    # a wall that leans out by a layer over its height is round from half its hem below the score on
    fold = 0.5 * math.pi * (0.5 * (T + 2 * G) + 4 * BITE / math.pi)
    assert by_hand - 1e-3 < long < by_hand + 2 * LAYER * fold / DEPTH
    # the rim's round is no tilt: the lid's walls reach down as far as they are high
    reach = found.assembly.parts[1].folded.height_mm - t
    assert found.lid.overlap_mm == pytest.approx(reach, abs=0.05)


@pytest.mark.parametrize(
    "own",
    [
        {},
        {"rim_mm": 3.0},
        {"rim_mm": 3.0, "glued": False},
        {"rim_mm": 3.0, "glued": False, "inner_wall_mm": 24.0},
        {"inner_wall_mm": 20.0},
    ],
)
def test_its_odds_are_those_of_boxes_folded_anew(own: dict[str, object]) -> None:
    found = check(over(spec(**own), (2.4, 3.0)))
    odds = odds_of(found, 4_000)
    assert odds.agreement.unfoldable == 0
    assert odds.agreement.trusted
    assert odds.agreement.verdicts_alike >= odds.agreement.boxes - 1


def test_feet_that_just_stand_turn_the_room_for_contents(tmp_path: Path) -> None:
    """Half of the boxes have inner walls too high: they lift their rims, and their feet come in."""
    file = tmp_path / "t.toml"
    deck = '[[content]]\nitem = "deck-poker"\ncount = 2\nlay = "flat"\n'
    text = PLAIN.replace("[80, 110]", "[137, 98]") + 'rim = 3\nlock = "foot"\n' + deck
    file.write_text(text.replace('unit = "mm"', 'unit = "mm"\ntools = "score-board-metric"'))
    agreement = odds_of(check(read_design(file)), 4_000).agreement
    assert agreement.unfoldable == 0
    assert agreement.trusted


def test_the_sheet_is_a_floor_and_three_or_two_panels_on_each_side() -> None:
    rolled, flat = draw(recipe(2.0, 22.0)), draw(recipe(None, 22.0))
    assert rolled.sheet.width_mm == FLOOR[0] + 2 * (DEPTH + 2.0 + 22.0)
    assert flat.sheet.length_mm == FLOOR[1] + 2 * (DEPTH + 22.0)
    assert len(waste_pieces(rolled)) == 4
    at = {(score.fence.value, score.at_mm) for score in plan_of(rolled).scores}
    assert at == {
        (fence, place) for fence in ("left", "right", "top", "bottom") for place in (22, 24, 49)
    }
    kinds = [stroke.kind for stroke in glue_outlines(rolled)]
    assert kinds.count(LineKind.GLUE) == kinds.count(LineKind.GLUE_HERE) == 4
    loose = [stroke.kind for stroke in glue_outlines(draw(recipe(2.0, 22.0, glued=False)))]
    assert loose == [LineKind.GLUE] * 4


@pytest.mark.parametrize("setback", [0.0, 0.6])
def test_inner_walls_end_clear_of_what_stands_beside_them(setback: float) -> None:
    """The first pair between the tabs' faces, s further in; the second between the first pair's."""
    pattern = draw(recipe(None, 22.0, setback=setback))
    lengths = {}
    for name, axis in (("left inner wall", 1), ("front inner wall", 0)):
        outline = pattern.outline(pattern.panel(name), {})
        lengths[name] = float(np.ptp(outline[:, axis]))
    assert lengths["left inner wall"] == pytest.approx(110.0 - 2 * (BITE + setback + END_MM))
    assert lengths["front inner wall"] == pytest.approx(80.0 - 2 * (BITE + LAYER + END_MM))


def test_the_steps_fold_the_first_pair_down_before_the_one_over_the_tabs() -> None:
    pattern = draw(recipe(2.0, 22.0))
    steps = steps_for(pattern, plan_of(pattern), "card", None, BOARD, Unit.MM)
    down = [step for step in steps if isinstance(step, FoldDown)]
    assert [step.panel for step in down] == [
        f"{x} inner wall" for x in ("left", "right", "front", "back")
    ]
    assert [len(step.over) for step in down] == [0, 0, 2, 2]
    assert {step.rim for step in down} == {f"{x} rim" for x in ("left", "right", "front", "back")}
    texts = [one.text for one in instructions_for(steps, Unit.MM)]
    assert texts[-2] == (
        "At the left and the right: put adhesive on the inside face of the inner wall along its "
        "lower edge; fold the rim level and the inner wall down inside the wall, and press them "
        "together."
    )
    loose = draw(recipe(2.0, 22.0, glued=False))
    steps = steps_for(loose, plan_of(loose), "card", None, BOARD, Unit.MM)
    assert instructions_for(steps, Unit.MM)[-1].text == (
        "At the front and the back: fold the rim level and the inner wall down inside the wall, "
        "over its 2 tabs, and press its lower edge onto the floor: no adhesive."
    )


PLAIN = """\
format = 1
title = "t"
unit = "mm"

[base]
style = "double-wall"
stock = "cardstock-270"
floor = [80, 110]
depth = 25
"""


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ("rim = 0.5", "base.rim: is narrower than what lies between its two walls; read 0.50 mm"),
        ('lock = "foot"', "base.rim: is folded flat, and nothing holds it so"),
        ("rim = 38", "base.floor: leaves no room between the inner walls"),
        ("inner_wall = 26", "base.inner_wall: is higher than its outer wall; read 26.00 mm"),
        ("inner_wall = 0.9", "base.inner_wall: is too low to fold"),
        ('inner_wall = "down"', 'or "to the floor"'),
        ('rim = "tight"', "a length above 0 mm up to"),
        ('lock = "tape"', "glued"),
        ("frame = 3", "base.frame"),
    ],
)
def test_what_cannot_be_folded_is_said_in_a_line(tmp_path: Path, keys: str, said: str) -> None:
    file = tmp_path / "t.toml"
    file.write_text(PLAIN + keys + "\n", encoding="utf-8")
    with pytest.raises(InputError) as told:
        read_design(file)
    (line,) = str(told.value).splitlines()
    assert said in line


def test_what_is_left_open_is_settled(tmp_path: Path) -> None:
    """Glued it ends 1/16 in above the floor (common practice, no source), else it stands there."""
    file = tmp_path / "t.toml"
    file.write_text(PLAIN, encoding="utf-8")
    base = read_design(file).base
    bite = base.stock.caliper_mm - base.stock.crease_allowance_mm
    assert base.lengths_mm(0.1)["inner_wall"] == pytest.approx(25.0 - bite - SHORT_MM)
    file.write_text(PLAIN + 'rim = 3\nlock = "foot"\n', encoding="utf-8")
    base = read_design(file).base
    assert base.lengths_mm(0.1)["inner_wall"] == pytest.approx(25.0 - bite)
