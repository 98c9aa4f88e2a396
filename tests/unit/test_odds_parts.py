"""The parts that odds are made of: draws, intervals, chances, inputs, weather and turns."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy import stats
from scipy.special import betaincinv

from fitcheck import kinds
from fitcheck.design.model import Content, Design, Item, Lay, LidVerdict
from fitcheck.errors import InputError
from fitcheck.fit.assembly import assemble
from fitcheck.fit.check import Check, check
from fitcheck.odds.agreement import Refolded
from fitcheck.odds.found_inputs import inputs_of
from fitcheck.odds.grid import around, beside, steps_for
from fitcheck.odds.inputs import Humidity, Input, Source
from fitcheck.odds.intervals import Chance, least_chance, symmetric_interval
from fitcheck.odds.limits import Limits, forms_of
from fitcheck.odds.making import Workshop
from fitcheck.odds.odds import odds_of
from fitcheck.odds.propagate import sample
from fitcheck.odds.prospect import take_prospect
from fitcheck.odds.proved import boxes_to_fold
from fitcheck.odds.quantities import slack_name
from fitcheck.odds.turns import Limit
from fitcheck.odds.variates import Law, Variate
from fitcheck.odds.weather import possible_grains, weather_findings
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.paper import Hygroexpansion
from fitcheck.units import Unit
from tests.agreement.test_odds_closed_forms import BOARD, design
from tests.boxes import paper

MIXED = (
    Variate("a", 1.0),
    Variate("b", 2.0, Law.RECTANGULAR, mean=3.0),
    Variate("c", 0.5, Law.TRIANGULAR),
    Variate("d", 0.7, Law.ARCSINE),
)


def same(inputs: np.ndarray) -> np.ndarray:
    return inputs.copy()


def test_each_law_has_its_mean_and_deviation() -> None:
    drawn = sample(MIXED, same, 400_000, np.random.default_rng(0)).outcomes
    for variate, row in zip(MIXED, drawn, strict=True):
        assert row.mean() == pytest.approx(variate.mean, abs=5 * variate.u / 400_000**0.5)
        assert row.std() == pytest.approx(variate.u, rel=0.01)
    half_widths = {1: 2.0 * 3**0.5, 2: 0.5 * 6**0.5, 3: 0.7 * 2**0.5}
    for row, half in half_widths.items():
        off = np.abs(drawn[row] - MIXED[row].mean).max()
        assert 0.98 * half < off <= half


@pytest.mark.parametrize("chunk", [7, 1000, 5000])
def test_the_same_seed_draws_the_same_whatever_the_chunk(chunk: int) -> None:
    for seed in (0, 1):
        whole = sample(MIXED, same, 2_000, np.random.default_rng(seed)).outcomes
        cut = sample(MIXED, same, 2_000, np.random.default_rng(seed), chunk=chunk).outcomes
        assert np.array_equal(whole, cut)
    other = sample(MIXED, same, 2_000, np.random.default_rng(0)).outcomes
    assert not np.array_equal(whole, other), "0 is a seed like any other"


def test_covariances_are_those_of_numpy() -> None:
    found = sample(MIXED, lambda x: x[:2] + x[2:], 5_000, np.random.default_rng(3))
    drawn = sample(MIXED, same, 5_000, np.random.default_rng(3)).outcomes
    steps = np.array([v.u for v in MIXED])
    table = np.cov(drawn / steps[:, None], found.outcomes, bias=True)[:4, 4:]
    assert found.covariances == pytest.approx(table, abs=1e-9)


def test_intervals_hold_their_share() -> None:
    ordered = np.sort(np.random.default_rng(5).exponential(size=100_000))
    both = symmetric_interval(ordered)
    inside = np.mean((ordered >= both.low) & (ordered <= both.high))
    assert inside == pytest.approx(0.95, abs=2e-5)
    assert both.low == pytest.approx(-np.log(0.975), abs=4 * both.low_error)
    assert both.high == pytest.approx(-np.log(0.025), abs=4 * both.high_error)


@pytest.mark.parametrize("hits", [1, 37, 500, 999])
def test_bounds_are_those_of_clopper_and_pearson(hits: int) -> None:
    """Against SciPy's exact binomial interval."""
    exact = stats.binomtest(hits, 1000).proportion_ci(0.95, method="exact")
    assert Chance(hits, 1000).bounds == pytest.approx((exact.low, exact.high), abs=1e-9)


@pytest.mark.parametrize("boxes", [1, 2, 20, 1000, 100_000, 2_000_000])
@pytest.mark.parametrize("share", [0.0, 1e-3, 0.3, 0.5, 0.97, 1.0])
def test_the_quantile_of_a_tail_is_that_of_the_beta_law(boxes: int, share: float) -> None:
    """Checked against scipy.special.betaincinv, a general library."""
    hits = max(1, round(share * boxes))
    for beyond in (0.025, 0.5):
        exact = betaincinv(hits, boxes - hits + 1, beyond)
        assert least_chance(hits, boxes, beyond) == pytest.approx(exact, rel=1e-9, abs=1e-11)


def test_never_and_always_are_bounds() -> None:
    """The rule of three: none in m means under about 3/m."""
    assert Chance(0, 10_000).bounds == pytest.approx((0.0, 3e-4), rel=2e-3)
    assert Chance(10_000, 10_000).bounds == pytest.approx((1.0 - 3e-4, 1.0), abs=1e-6)


def by_source(inputs: tuple[Input, ...], source: Source) -> list[Input]:
    return [one for one in inputs if one.source is source]


def test_inputs_come_from_the_plan() -> None:
    found = inputs_of(assemble(design("tray", 2.0)))
    scores = {one.name: one for one in by_source(found, Source.SCORE)}
    assert len(scores) == 8
    assert scores["the base's first score from the left fence"].variate.u == 0.25
    assert scores["the lid's first score from the top fence"].variate.u == 0.10
    assert scores["the lid's first score from the top fence"].in_groove
    assert len(by_source(found, Source.CUT)) == 4
    assert [one.parts for one in by_source(found, Source.BOARD)] == [("base", "lid")]
    rolled = inputs_of(assemble(design("shadow-box", 2.0)))
    assert len(by_source(rolled, Source.SCORE)) == 16 + 4


def test_one_paper_in_both_parts_is_one_draw() -> None:
    both = design("tray", 2.0)
    assert both.lid is not None
    same_paper = both.with_parts(replace(both.lid, stock=both.base.stock))
    for one, number in ((both, 2), (same_paper, 1)):
        assert len(by_source(inputs_of(assemble(one)), Source.CALIPER)) == number


def test_an_unmeasured_crease_follows_its_caliper() -> None:
    guessed = replace(paper(0.3), name="guessed", crease_allowance_u_mm=0.045)
    one = design("tray", 2.0)
    assembly = assemble(one.with_parts(replace(one.base, stock=guessed)))
    workshop = Workshop(assembly, inputs_of(assembly), {})
    thicker = workshop.make({"the caliper of guessed (base)": 0.1}).base.crease
    assert thicker.caliper_mm == pytest.approx(0.4)
    assert thicker.growth(np.pi / 2) == pytest.approx(0.6073 * 0.4, abs=1e-5)
    measured = Workshop(assemble(one), inputs_of(assemble(one)), {})
    kept = measured.make({"the caliper of base paper (base)": 0.1}).base.crease
    assert kept.growth(np.pi / 2) == pytest.approx(0.15, abs=1e-9)


def swelling(grain: Axis | None) -> Design:
    """A base of a paper that moves with the weather (a tabulating-card stock)."""
    one = design("tray", 2.0)
    stock = replace(
        one.base.stock, name="tabulating", hygroexpansion=Hygroexpansion(0.25e-2 / 55, 0.70e-2 / 55)
    )
    return one.with_parts(replace(one.base, stock=stock, size_mm=(100.0, 100.0), grain=grain))


def test_a_panel_swells_as_its_specification_says() -> None:
    """Card stock specification: 0.70 % across and 0.25 % along from 20 to 75 % humidity, so a
    panel of 100 mm grows by 0.70 and 0.25 mm."""
    assembly = assemble(swelling(Axis.LENGTH))
    inputs = inputs_of(assembly, Humidity(20.0, 75.0))
    workshop = Workshop(assembly, inputs, {"base": Axis.LENGTH})
    dry, damp = (
        workshop.make({"the humidity of the air": at - 50.0}).base.layout.outline("floor")[0]
        for at in (20.0, 75.0)
    )
    grown = np.ptp(damp, axis=0) - np.ptp(dry, axis=0)
    assert grown == pytest.approx([0.70, 0.25], abs=1e-9)


def test_what_is_not_known_of_the_weather_is_said() -> None:
    unknown = assemble(design("tray", 2.0))
    codes = [f.code for f in weather_findings(unknown, {})]
    assert codes == ["humidity-not-known", "humidity-not-known"]
    told = weather_findings(unknown, {})[0].message
    # a tag card's specification: 0.25 and 0.70 % between 20 and 75 % relative humidity
    assert f"{0.0025 / 55:.6f} along its grain, {0.0070 / 55:.6f} across" in told
    assert "the share of its length that it grows for each % of relative humidity" in told
    assert "calibration/stocks/" in told and "explain hygroexpansion" in told
    assert not by_source(inputs_of(unknown, Humidity(30, 70)), Source.HUMIDITY)
    ungrained = assemble(swelling(None))
    assert possible_grains(ungrained) == ({"base": Axis.WIDTH}, {"base": Axis.LENGTH})
    said = weather_findings(ungrained, {"base": Axis.WIDTH})
    assert [f.code for f in said] == ["humidity-not-known", "grain-not-given"]
    assert possible_grains(assemble(swelling(Axis.WIDTH))) == ({"base": Axis.WIDTH},)


def item(width: float) -> Item:
    return Item(
        name="slate",
        kind=kinds.BLOCK,
        size_mm=(width, 109.0, 8.0),
        corner_radius_mm=0.0,
        mesh_path=None,
        size_u_mm=(0.1, 0.1, 0.1),
        size_range_mm=((width - 0.5, width + 0.5), (108.5, 109.5), (7.0, 9.0)),
        source="invented for tests",
        hazards=frozenset(),
    )


@cache
def with_content() -> Check:
    """A tray of a paper that was never measured, with a block in it."""
    one = design("tray", 2.0)
    guessed = replace(paper(0.3), name="guessed", caliper_u_mm=0.0, crease_allowance_u_mm=0.045)
    base = replace(one.base, stock=guessed)
    return check(replace(one, parts=(base,), contents=(Content(item(79.2), 1, Lay.FLAT),)))


def test_a_round_crease_takes_room_from_what_stands_on_the_floor() -> None:
    """A crease that grows by more than 0.6073 t has an inside radius, r = rest / (1 - pi/4), and
    a block on the floor meets its foot; below that its walls alone count (closed form, derived
    from the growth of a crease)."""
    prospect = take_prospect(with_content())
    forms = prospect.forms()
    column = [one.source for one in forms.inputs].index(Source.CREASE)
    off = np.zeros((len(forms.inputs), 3))
    off[column] = [-0.03, 0.0, 0.03]
    row = prospect.outlook.row(slack_name(0, Axis.WIDTH))
    low, middle, high = prospect.outlook.evaluate(forms, off)[row]
    assert middle - low == pytest.approx(2 * 0.03, abs=1e-6)
    radius = 0.03 / (1.0 - np.pi / 4)
    assert high - middle == pytest.approx(2 * (0.03 - radius), abs=2e-3)
    sizes = [one for one in forms.inputs if one.source is Source.CONTENT]
    assert [one.variate.law for one in sizes] == [Law.RECTANGULAR] * 3


def test_odds_of_an_open_box_are_about_its_content() -> None:
    found = odds_of(with_content(), 2_000, 0, folded_again=3)
    assert found.lid is None
    assert found.about == "content 1's room to spare"
    assert found.contents[0].fits.share == found.good.share
    assert 0.5 < found.good.share < 1.0
    with pytest.raises(InputError, match="allowed: 100 to"):
        odds_of(with_content(), 5)


def test_steps_of_boards() -> None:
    inch = replace(BOARD, grid_mm=3.175)
    assert steps_for(inch, Unit.MM).size_mm == pytest.approx(25.4 / 32)
    metric = steps_for(BOARD, Unit.IN)
    assert metric.size_mm == pytest.approx(0.5)
    assert beside(18.0, metric.score_mm) == pytest.approx([15.0, 20.0])
    assert beside(15.0, metric.score_mm, 1) == pytest.approx([10.0, 15.0, 20.0])
    changes = around(2.1, 0.5)
    assert changes[:3] == pytest.approx([0.0, -0.1, 0.4])
    assert all(
        abs((2.1 + c) % 0.5) < 1e-9 or c == 0.0 or (2.1 + c) % 0.5 > 0.5 - 1e-9 for c in changes
    )


def test_a_departure_that_could_change_no_verdict_is_no_reason_for_distrust() -> None:
    wide = Refolded("content 1's room to spare, length", 0.1, 0.2, 0.4, 0.8, margin_mm=6.0)
    tight = replace(wide, margin_mm=0.5)
    assert wide.trusted and not tight.trusted


def test_the_histogram_counts_every_box_and_keeps_to_the_bands() -> None:
    odds = odds_of(check(design("tray", 2.0)), 5000, 0, folded_again=2)
    assert odds.lid is not None
    edges, counts = odds.lid.histogram.edges_mm, odds.lid.histogram.counts
    assert sum(counts) == 5000 and len(edges) == len(counts) + 1
    assert list(edges) == sorted(edges)
    for verdict, low, high in (("snug", -1e-9, 0.2), ("slides", 0.2 - 1e-9, 1.5)):
        inside = sum(
            n for n, a, b in zip(counts, edges, edges[1:], strict=False) if low <= a and b <= high
        )
        if edges[0] < low and high < edges[-1]:
            assert inside == pytest.approx(odds.lid.chances[LidVerdict(verdict)].hits, abs=1)


@pytest.mark.parametrize("off", [-1e-13, 0.0, 1e-13])
def test_rounding_does_not_choose_between_limits_that_are_alike(off: float) -> None:
    """A wall and its crease in one plane, as designed: the one that is read first is taken."""
    inputs = inputs_of(assemble(design("tray", 2.0)))
    steep, flat = np.zeros(len(inputs)), np.zeros(len(inputs))
    steep[0], flat[1] = 1.0, 0.5
    none, straight = np.zeros(0), np.zeros(len(inputs))
    limits = Limits.of(
        (
            Limit("side", ("wall", "lid"), 2.0 + off, steep, none, straight),
            Limit("side", ("crease", "lid"), 2.0, flat, none, straight),
            Limit("side", ("frame", "lid"), 2.4, flat, none, straight),
        ),
        (),
        np.array([one.variate.u for one in inputs]),
    )
    forms = forms_of(limits, inputs)
    assert forms.members[forms.first("side")] == ("wall", "lid")


@pytest.mark.parametrize(("pieces", "folded"), [(1, 40), (8, 40), (20, 20), (500, 4)])
def test_fewer_boxes_are_folded_anew_with_very_many_pieces(pieces: int, folded: int) -> None:
    """Sixty coins on edge kept a check busy for 24 s: each box puts every piece in by itself."""
    thing = item(10.0)
    many = replace(design("tray", 2.0), contents=(Content(thing, pieces, Lay.FLAT),))
    assert boxes_to_fold(many, 40) == folded
    assert boxes_to_fold(many, 4) == 4
