"""Cartons with tucked lids against arithmetic by hand, collision libraries and another search.

By hand, from the outside of the back wall: of a carton of W by L and H of side wall, score to
score, of a paper with caliper t and allowance a, the front wall's inside face is L + 2 a - t away.
A lid of L - t - 1.2 has its tuck flap from L - 2 t - 1.2 + 2 a to L - t - 1.2 + 2 a. The flaps
below end 2 (t + 1.2) short of the front score, at L + a - 2 t - 2.4, and their shoulders t + 0.4
short of it (the shared design's section 4; worked by hand).
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from fitcheck import kinds
from fitcheck.design.model import Content, Item, Lay
from fitcheck.design.read import read_design
from fitcheck.design.rules import geometry_problems
from fitcheck.fit import tucked
from fitcheck.fit.assembly import making_of
from fitcheck.fit.check import check
from fitcheck.fit.tucked import LEADS, lead_in, lead_of, rooms_of, tuck_of
from fitcheck.fit.turn_fit import BEHIND, BESIDE, FRONT, RIMS, Outcome, Swing, TuckFit
from fitcheck.folding.fold import fold_all
from fitcheck.folding.hinges import chosen
from fitcheck.folding.parts import FoldedPart
from fitcheck.odds.odds import odds_of
from fitcheck.odds.prospect import take_prospect
from fitcheck.odds.relined import Relined
from fitcheck.odds.resized import folded_anew
from fitcheck.pattern.pattern import flat_area
from fitcheck.pattern.plan import knives_of, scored_rules
from fitcheck.pattern.tucks import Tuck
from fitcheck.solids.folded import folded_mesh
from fitcheck.solids.meshes import mesh_fault
from fitcheck.styles.carton import EASE_MM, TUCK_EASE_MM, LockKind
from fitcheck.styles.part import SizeBy
from fitcheck.styles.tuck_end import TuckEndSpec
from fitcheck.units import Unit
from tests.agreement.test_odds_closed_forms import BASE_STOCK
from tests.cli.commands import ROOT
from tests.stepping import AGREE_MM, Bench, hull
from tests.tuck_ends import design_of, ordinary, part_of, spec_of
from tests.two_joints import lead_in as led_by_search

T, A = BASE_STOCK.caliper_mm, BASE_STOCK.crease_allowance_mm
JOINT = 0.10
"""Of that design."""
CLOSED = math.pi / 2.0
STEP_RAD = 0.02


def block(high: float) -> Item:
    """A block 60 by 25 mm, as high as given."""
    size, u = (60.0, 25.0, high), (0.1,) * 3
    return Item("block", kinds.BLOCK, size, 0.0, None, u, None, "invented", frozenset())


def ball(wide: float) -> Item:
    """A ball of so much diameter."""
    size, u = (wide,) * 3, (0.1,) * 3
    return Item("ball", kinds.SPHERE, size, 0.0, None, u, None, "invented", frozenset())


BLOCK = block(80.0)


def fit_of(spec: TuckEndSpec) -> TuckFit:
    (fit,) = check(design_of(spec)).turns
    assert isinstance(fit, TuckFit)
    return fit


@pytest.mark.parametrize("clear", [0.9, 1.7])
@pytest.mark.parametrize("lock", LockKind)
def test_rooms_when_it_is_in_are_those_of_a_section_by_hand(clear: float, lock: LockKind) -> None:
    fit = fit_of(spec_of(clear=clear, lock=lock))
    assert fit.plays[BESIDE] == pytest.approx(0.5 * clear, abs=1e-6)
    assert fit.plays[FRONT] == pytest.approx(TUCK_EASE_MM, abs=1e-6)
    assert fit.plays[BEHIND] == pytest.approx(TUCK_EASE_MM + A, abs=1e-6)
    assert fit.rim_gap_mm == pytest.approx(0.0, abs=1e-6)
    assert fit.plays[RIMS] == pytest.approx(1.0, abs=1e-6)
    assert fit.verdict is Outcome.FREE and not fit.blocked


def test_shoulders_reach_over_the_flap_by_a_section_by_hand() -> None:
    """They end at L + a - t - 0.4; the tuck flap's inside face is at L - 2 t - 1.2 + 2 a."""
    fit = fit_of(spec_of())
    assert fit.catch_mm == pytest.approx(T + 0.8 - A, abs=1e-6)
    assert fit.holds
    free = fit_of(spec_of(lock=LockKind.NONE))
    assert free.catch_mm is None and not free.holds


def test_sizes_are_those_of_a_section_by_hand() -> None:
    """The seam flap stands inside the back wall, and each end's tuck flap inside the front."""
    found = check(design_of(spec_of(), Content(BLOCK, 1, Lay.ANY)))
    sizes = found.assembly.base.sizes
    assert sizes.outside_mm == pytest.approx((70.0 + 2 * A, 32.0 + 2 * A), abs=1e-6)
    assert sizes.height_mm == pytest.approx(90.0 + 2 * T + 2 * A, abs=1e-6)
    assert sizes.inside_mm[0] == pytest.approx(70.0 + 2 * A - 2 * T, abs=1e-6)
    between = (32.0 - 2 * T - TUCK_EASE_MM + 2 * A) - (2 * T + JOINT)
    assert sizes.inside_mm[1] == pytest.approx(between, abs=1e-6)
    assert sizes.depth_mm == pytest.approx(90.0 - 2 * (T - A), abs=1e-6)
    # from the flaps on the floor to those under the lid
    (fit,) = found.contents
    assert fit.slack is not None
    high = 90.0 - 2 * (T - A)
    assert fit.slack.height_mm == pytest.approx(high - BLOCK.size_mm[2], abs=1e-6)


def test_the_height_that_contents_find_is_that_of_the_collision_library() -> None:
    """A block that is let down and one that is held up under the flaps, against the plates."""
    part = part_of(spec_of()).folded
    hulls = {piece.name: hull(piece) for piece in part.pieces if len(piece.panels) == 1}
    assert {"left bottom flap", "right dust flap"} <= set(hulls)
    tops = [p.high[2] for p in part.pieces if p.name in ("left bottom flap", "right bottom flap")]
    lows = [p.low[2] for p in part.pieces if p.name in ("left dust flap", "right dust flap")]
    assert min(lows) - max(tops) == pytest.approx(90.0 - 2 * (T - A), abs=1e-6)
    assert part.floor_rise_mm == pytest.approx(max(tops) - T, abs=1e-9)


@pytest.mark.parametrize("high", [89.0, 90.5])
def test_contents_too_high_for_the_flaps_do_not_fit(high: float) -> None:
    found = check(design_of(spec_of(), Content(block(high), 1, Lay.ANY)))
    assert found.fits == (high < 90.0 - 2 * (T - A))


def test_slack_round_contents_is_what_they_have() -> None:
    """From the flap of the seam to the tuck flaps, over the flaps on the floor."""
    spec = replace(spec_of(), size_by=SizeBy.CONTENTS, size_mm=(2.0, 3.0))
    found = check(design_of(spec, Content(BLOCK, 1, Lay.ANY)))
    (fit,) = found.contents
    assert fit.slack is not None
    assert (fit.slack.width_mm, fit.slack.length_mm) == pytest.approx((2.0, 3.0), abs=1e-6)


def made(spec: TuckEndSpec, count: int, seed: int) -> list[FoldedPart]:
    """The same carton as hands make it: every line and every knife off by some tenths."""
    part, rng = part_of(spec), np.random.default_rng(seed)
    lines = [*scored_rules(part.pattern), *knives_of(part.pattern)]
    makings = [
        making_of(part.recipe, dict(zip(lines, rng.normal(0.0, 0.2, len(lines)), strict=True)))
        for _ in range(count)
    ]
    found = fold_all(part.pattern, makings)
    return [found.part(box) for box in range(count)]


def test_rooms_of_boxes_by_hand_are_those_that_a_collision_library_tells() -> None:
    """Turned a little in plan, the nearest of a plate's corners counts; where it is apart."""
    import coal

    here, ask = coal.Transform3s(), coal.DistanceRequest()
    compared = 0
    for part in made(spec_of(lock=LockKind.NONE), 6, 5):
        plates: dict[str, list[object]] = {}
        for piece in part.pieces:
            plates.setdefault(piece.name, []).append(hull(piece))
        least: dict[tuple[str, str], float] = {}
        for own in rooms_of(part).values():
            for (stays, turns, _), mm in own.items():
                least[stays, turns] = min(mm, least.get((stays, turns), math.inf))
        for (stays, turns), mm in least.items():
            if mm < 0.05:
                continue
            apart = min(
                coal.distance(one, here, other, here, ask, coal.DistanceResult())
                for one, other in itertools.product(plates[stays], plates[turns])
            )
            # a corner at the crease is rounded away on the plate, which then is further off, by
            # what a plate that is turned by some thousandths goes on over half a bend
            assert mm - 1e-6 <= apart <= mm + 0.05, (stays, turns)
            compared += 1
    assert compared > 40


class TuckBench(Bench):
    """What hangs on the lid, past what stays; the lid itself may lie on the flaps below."""

    def _meant(self, one: frozenset[str], other: frozenset[str]) -> bool:
        return "lid" in one | other or super()._meant(one, other)


def walked(spec: TuckEndSpec) -> float:
    """The least distance that a general library tells along the way in that was found, mm."""
    part = part_of(spec).folded
    tuck = tuck_of(part.pattern, "lid")
    parts = chosen(part.among, np.array([part.box])).unlocked
    bench = TuckBench(parts.part(0), ["lid", "tuck flap"])
    bench.alone = parts
    lids, flaps = lead_of(parts, tuck, *LEADS[0])
    spots = [(0.0, flaps[0]), (lids[0], flaps[0])]
    for lid, after, flap in zip(lids[:-1], lids[1:], flaps, strict=True):
        spots += [(lid, flap), (after, flap)]
    spots.append((part.angles["lid"], part.angles["tuck flap"]))
    least = math.inf
    for one, other in itertools.pairwise(spots):
        far = max(abs(a - b) for a, b in zip(one, other, strict=True))
        for share in np.linspace(0.0, 1.0, 2 + int(far / STEP_RAD)):
            at = [float(a + share * (b - a)) for a, b in zip(one, other, strict=True)]
            least = min(least, bench.apart(*at, within_mm=2.0))
    return least


@pytest.mark.parametrize("lock", LockKind)
def test_the_way_in_is_free_where_a_collision_library_walks_it(lock: LockKind) -> None:
    spec = spec_of(lock=lock)
    part = part_of(spec).folded
    found = lead_in(part, tuck_of(part.pattern, "lid"))
    assert found.outcome is Outcome.FREE and found.least is not None
    least = walked(spec)
    assert least > 0.0
    # the library is asked at steps, so that it may miss the least by what a step moves
    assert found.least.apart_mm <= least + AGREE_MM
    assert least == pytest.approx(found.least.apart_mm, abs=0.1)


def agrees_with_search(spec: TuckEndSpec) -> None:
    """A search over both joints that knows no way beforehand finds one where this does."""
    part = part_of(spec).folded
    tuck = tuck_of(part.pattern, "lid")
    found = lead_in(part, tuck)
    bare = chosen(part.among, np.array([part.box])).unlocked.part(0)
    lids = [one for one in part.pattern.lines if "lid" in (one.parent, one.child)]
    names = ["lid", *(one.name for one in lids)]
    stays = [one.name for one in (*part.pattern.panels, *part.pattern.lines)]
    free = set(itertools.product(stays, names))
    square = CLOSED, CLOSED
    searched = led_by_search(bare, "lid", "tuck flap", (0.0, CLOSED), square, may_touch=free)
    assert searched.found == (found.outcome is Outcome.FREE)


def test_a_search_over_both_joints_finds_a_way_where_this_does() -> None:
    agrees_with_search(spec_of(lock=LockKind.NONE))


@pytest.mark.long
@pytest.mark.parametrize("spec", ordinary(24, 29), ids=lambda own: f"{own.size_mm[1]:.2f}")
def test_many_ways_in(spec: TuckEndSpec) -> None:
    agrees_with_search(spec)
    assert walked(spec) > 0.0


@pytest.mark.parametrize("spec", ordinary(4, 7), ids=lambda own: f"{own.size_mm[1]:.2f}")
def test_ordinary_cartons_close(spec: TuckEndSpec) -> None:
    fit = fit_of(spec)
    assert fit.verdict is Outcome.FREE
    assert fit.plays[FRONT] == pytest.approx(TUCK_EASE_MM, abs=1e-6)
    assert fit.holds == (spec.lock is LockKind.SLIT)


def test_a_slit_too_short_for_its_shoulder_holds_nothing() -> None:
    """The shoulder ends 0.4 mm short of the slit's end, so beside the flap where that is longer."""
    fit = fit_of(spec_of(slit=0.3))
    assert fit.catch_mm == pytest.approx(0.3 - 0.4, abs=1e-6)
    assert not fit.holds


def test_a_way_in_with_little_to_spare_is_told() -> None:
    found = check(design_of(spec_of(floor=(65.0, 20.0), depth=95.0, tuck=18.3)))
    (fit,) = found.turns
    assert fit.verdict is Outcome.FREE and fit.swing.least is not None
    assert fit.swing.least.apart_mm < 0.3
    assert "mate-narrow-way" in [one.code for one in found.findings]


def test_no_way_in_is_a_fault_and_no_box_comes_out_right() -> None:
    found = check(design_of(spec_of(floor=(65.0, 20.0), depth=95.0, tuck=19.6)))
    (fit,) = found.turns
    assert fit.blocked and not found.fits
    assert "make tuck smaller" in " ".join(one.message for one in found.findings)
    assert odds_of(found, 500).good.share == 0.0


@pytest.mark.parametrize(
    ("floor", "depth", "content"),
    [
        ((30.0, 30.0), 60.0, Content(ball(16.0), 1, Lay.ANY)),
        ((70.0, 60.0), 90.0, Content(block(70.0), 2, Lay.ANY)),
        ((30.0, 30.0), 50.0, Content(ball(16.0), 3, Lay.ANY)),
    ],
)
def test_odds_of_round_and_of_several_contents_hold(
    floor: tuple[float, float], depth: float, content: Content
) -> None:
    found = check(design_of(spec_of(floor=floor, depth=depth), content))
    assert found.fits
    odds = odds_of(found, 2_000)
    assert odds.contents[0].fits.share > 0.9
    assert odds.agreement.verdicts_alike >= odds.agreement.boxes - 2


def test_the_lay_that_comes_nearest_is_the_one_that_is_told() -> None:
    """On end it is a tenth too high, flat it would be far too wide."""
    high = 90.0 - 2 * (T - A) + 0.1
    found = check(design_of(spec_of(), Content(block(high), 1, Lay.ANY)))
    (fit,) = found.contents
    assert fit.slack is not None and not found.fits
    assert fit.slack.height_mm == pytest.approx(-0.1, abs=1e-6)
    assert 0.0 < odds_of(found, 2_000).contents[0].fits.share < 1.0


@pytest.mark.parametrize("floor", [(20.0, 32.0), (25.0, 25.0), (40.0, 60.0)])
def test_what_is_left_to_the_style_can_be_folded(floor: tuple[float, float]) -> None:
    """A narrow one, a cube and a flat one, where the usual lengths would not do."""
    spec = spec_of(floor=floor, depth=min(floor))
    assert not list(geometry_problems(spec, JOINT, Unit.MM))
    assert fit_of(spec).verdict is Outcome.FREE


def test_volume_is_that_of_the_sheet() -> None:
    """A bend keeps the caliper and its neutral line, so that its volume is the sheet's there."""
    part = part_of(spec_of())
    flat = flat_area(part.pattern) * T
    assert part.folded.volume_mm3 == pytest.approx(flat, rel=0.01)


@pytest.mark.parametrize(
    "spec", [spec_of(), *ordinary(3, 41)], ids=lambda own: f"{own.depth_mm:.1f}"
)
def test_folded_it_can_be_printed(spec: TuckEndSpec) -> None:
    mesh = folded_mesh(part_of(spec).folded)
    assert mesh_fault(mesh) is None
    assert trimesh.Trimesh(mesh.vertices, mesh.faces, process=False).is_watertight


def test_odds_hold_in_boxes_that_are_folded_anew() -> None:
    found = check(design_of(spec_of(clear=0.5), Content(BLOCK, 1, Lay.ANY)))
    odds = odds_of(found, 10_000)
    (one,) = odds.mates
    assert 0.3 < one.goes.share < 0.99
    assert odds.agreement.trusted
    assert odds.agreement.verdicts_alike >= odds.agreement.boxes - 1


def test_flaps_beside_the_walls_have_their_ease() -> None:
    """Behind t + 0.8 from the score; the seam flap is glued beyond the right wall's own."""
    part = part_of(spec_of()).folded
    back = float(part.plate("back wall").corners()[:, 1].max())
    inside = back - T
    for side in ("left", "right"):
        flap = float(part.plate(f"{side} dust flap").corners()[:, 1].max())
        under = T + JOINT if side == "right" else 0.0
        assert inside - flap == pytest.approx(EASE_MM + A + under, abs=1e-6)


def test_changes_are_rated_without_looking_for_a_way_in(monkeypatch: pytest.MonkeyPatch) -> None:
    """Odds hang on no way in, which takes seconds a box where it is tight: a change that is folded
    to be rated is led nowhere, and has the same limits as one that is."""
    found = check(read_design(ROOT / "models" / "whist.toml"))
    start = take_prospect(found)
    deeper = replace(found.design.base, depth_mm=found.design.base.depth_mm + 1.0)
    other = found.design.with_parts(deeper)
    led: list[str] = []

    def leading(part: FoldedPart, tuck: Tuck) -> Swing:
        led.append(tuck.lid)
        return lead_in(part, tuck)

    monkeypatch.setattr(tucked, "lead_in", leading)
    monkeypatch.setattr(Relined, "_tells", lambda *_: False)
    rated = Relined.of(start).tried(other)
    assert rated is not None and not led
    whole = folded_anew(start, other)
    assert whole is not None and led
    np.testing.assert_array_equal(rated.limits.values, whole.limits.values)
    assert rated.check.fits == whole.check.fits
