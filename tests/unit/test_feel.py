"""How a lid feels: papers' files, weights, bows, touches and the words for them."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.feel.bow import Sheet, bow_mm, spring
from fitcheck.feel.feel import feel_of
from fitcheck.feel.measured import measured
from fitcheck.feel.shell import Papers
from fitcheck.feel.touch import Touch, touches
from fitcheck.fit.check import check
from fitcheck.odds.feel import COARSE, feel_of_plays
from fitcheck.outputs.check_json import check_data
from fitcheck.outputs.compare_text import compare_text
from fitcheck.outputs.compared import compared
from fitcheck.outputs.feel_text import feel_details, feel_lines, feel_words
from fitcheck.stock.gives import NOTHING_SAID, Known, gives_of
from fitcheck.stock.profile_files import stock_from

SAID = {
    "format": 1,
    "kind": "cover",
    "grammage_gsm": 160.0,
    "caliper_mm": 0.18,
    "caliper_u_mm": 0.01,
    "source": "invented for tests",
    "bending_stiffness": {
        "along_mnm": 2.8,
        "along_u_mnm": 0.3,
        "across_mnm": 1.3,
        "across_u_mnm": 0.15,
        "source": "a data sheet",
    },
    "air_permeance": {"gurley_s": 100.0, "u": 20.0, "source": "a data sheet"},
    "friction": {"value": 0.35, "u": 0.05, "source": "a tilted board"},
    "crease_length": {"mm": 8.0, "u_mm": 2.0, "source": "a coin at the rim"},
    "crease_rest": {"deg": 88.0, "u_deg": 1.0, "source": "a protractor"},
}
MODELS = Path(__file__).resolve().parents[2] / "models"
PATH = Path("calibration/stocks/own.toml")


def design(tmp_path: Path, oversize: float, lid: str = "", item: str = "", top: str = "") -> Path:
    """A small tray with a lid so much larger, of cover paper."""
    path = tmp_path / "some.toml"
    path.write_text(
        f'format = 1\ntitle = "Some"\nunit = "mm"\n{top}\n'
        '[base]\nstyle = "tray"\nstock = "cover-80"\nfloor = [76, 108]\ndepth = 22\n'
        'grain = "length"\n'
        '[lid]\nstyle = "tray"\nstock = "cover-80"\ndepth = 18\ngrain = "length"\n'
        f"oversize = {oversize}\n{lid}\n{item}"
    )
    return path


def touch_of(path: Path) -> Touch:
    felt = feel_of(check(read_design(path)))
    assert felt is not None
    return felt.touch


def test_a_file_says_how_its_paper_gives() -> None:
    gives = stock_from(SAID, PATH).gives
    assert (gives.along.value, gives.across.value, gives.crease.value) == (2.8, 1.3, 8.0)
    assert gives.permeance.value == pytest.approx(1.277)
    assert gives.along.source == "a data sheet"
    assert gives.guessed == ()


def test_what_no_file_says_is_estimated_and_said_so() -> None:
    """The estimate is that of the paper whose minimum stiffness is published: 2.8 and 1.3 mN m."""
    gives = gives_of(NOTHING_SAID, 160.0, 0.18)
    assert gives.along.value == pytest.approx(2.8, abs=0.05)
    assert gives.across.value == pytest.approx(1.3, abs=0.05)
    assert 50.0 < 127.7 / gives.permeance.value < 200.0
    assert gives.along.known is Known.ESTIMATED and gives.friction.known is Known.ASSUMED
    assert len(gives.guessed) == 5


WRONG = {
    "air_permeance": ({"u": 1.0, "source": "x"}, "in no way or in several"),
    "friction": ({"value": 0.4, "u": 0.5, "source": "x"}, "more than the value itself"),
    "bending_stiffness": ({"along_mnm": 2.8, "source": "x"}, "along_u_mnm"),
    "crease_length": ({"mm": 10.0, "u_mm": 3.0}, "source"),
}


@pytest.mark.parametrize("key", WRONG)
def test_half_a_property_is_refused_with_what_to_do(key: str) -> None:
    table, words = WRONG[key]
    with pytest.raises(InputError, match=words):
        stock_from({**SAID, key: table}, PATH)


def test_permeance_is_read_by_three_methods() -> None:
    found = [
        stock_from({**SAID, "air_permeance": {**own, "u": 0.1, "source": "x"}}, PATH).gives
        for own in ({"gurley_s": 127.7}, {"bendtsen_ml_min": 1.0 / 0.01134}, {"um_per_pa_s": 1.0})
    ]
    assert [gives.permeance.value for gives in found] == pytest.approx([1.0] * 3)


def test_a_lid_weighs_its_sheet_less_what_is_cut_away(tmp_path: Path) -> None:
    """Floor and four walls of the pattern, and its four tabs, by hand."""
    found = check(read_design(design(tmp_path, 1.5)))
    felt = feel_of(found)
    assert felt is not None
    lid = found.assembly.lid
    assert lid is not None
    pattern = lid.pattern
    areas = [abs(area_of(np.asarray(pattern.outline(panel, {})))) for panel in pattern.panels]
    assert felt.measured.lid_g == pytest.approx(sum(areas) * 216e-6, rel=1e-3)


def area_of(outline: np.ndarray) -> float:
    x, y = outline.T
    return 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


def test_what_is_stuck_on_a_lid_makes_it_sink_faster(tmp_path: Path) -> None:
    plain = feel_of(check(read_design(design(tmp_path, 1.5))))
    heavy = feel_of(check(read_design(design(tmp_path, 1.5, "decoration_g = 20.0"))))
    assert plain is not None and heavy is not None
    assert plain.sink_s is not None and heavy.sink_s is not None
    assert heavy.measured.lid_g == pytest.approx(plain.measured.lid_g + 20.0)
    assert heavy.sink_s.high < plain.sink_s.high / 3.0


def test_lids_go_from_forced_to_dropping_as_they_grow(tmp_path: Path) -> None:
    order = list(Touch)
    found = [order.index(touch_of(design(tmp_path, size))) for size in (0.5, 0.9, 1.1, 1.3, 2.5)]
    assert found == sorted(found)
    assert found[0] < order.index(Touch.FLOATS) and found[-1] == order.index(Touch.DROPS)


MASSES = {"mass_g = 1": True, "mass_g = 5000": False, "": None}


@pytest.mark.parametrize("mass", MASSES)
def test_a_lid_that_presses_lifts_what_it_can(tmp_path: Path, mass: str) -> None:
    """A light box for certain, a heavy one never; it cannot be told where nobody says."""
    models = tmp_path / "models"
    models.mkdir()
    (models / "items.toml").write_text(
        '[brick]\nkind = "block"\nsize = [40, 40, 10]\nsource = "invented for tests"\n' + mass
    )
    path = design(models, 1.0, item='[[content]]\nitem = "brick"')
    felt = feel_of(check(read_design(path)))
    assert felt is not None and felt.slip_n is not None and felt.holds_g is not None
    assert felt.holds is MASSES[mass]
    words = {True: "comes along", False: "stays behind", None: "for sure"}
    assert words[felt.holds] in feel_words(felt)


def test_forces_decide_before_times() -> None:
    forces = np.array([12.0, 5.0, 1.0, 0.03, 0.0, 0.0, 0.0, 0.0])
    seconds = np.array([np.inf, np.inf, np.inf, np.inf, 100.0, 20.0, 5.0, 1.0])
    found = touches(forces, seconds, 0.02, 0.1)
    assert found.tolist() == list(range(8))


def test_a_wall_bows_the_way_its_fold_wants() -> None:
    sheet = Sheet(np.array(2.8), np.array(1.3), np.array(10.0))
    out = float(bow_mm(sheet, 108.0, 22.0, np.radians(2.0)))
    back = float(bow_mm(sheet, 108.0, 22.0, np.radians(-2.0)))
    assert out > 0.0 and back == pytest.approx(-out)
    # a fold that alone decides turns the wall about its foot: 4 / pi of the chord in one half sine
    soft = Sheet(np.array(1e-9), np.array(1.3), np.array(10.0))
    stiffest = float(bow_mm(soft, 1e6, 22.0, np.radians(2.0)))
    assert stiffest == pytest.approx(4.0 / np.pi * 22.0 * np.radians(2.0), rel=1e-3)
    assert float(spring(sheet, 108.0, 22.0)) > float(spring(sheet, 216.0, 22.0)) * 0.5


def test_drawn_papers_lie_about_what_is_known() -> None:
    gives = gives_of(NOTHING_SAID, 160.0, 0.18)
    drawn = Papers.drawn(gives, 20_000, np.random.default_rng(1))
    for own, values in ((gives.along, drawn.along), (gives.crease, drawn.crease_mm)):
        logs = np.log(values)
        assert np.mean(logs) == pytest.approx(np.log(own.value), abs=0.02)
        assert np.std(logs) == pytest.approx(own.log_u, rel=0.03)


def test_odds_of_a_feel_do_not_depend_on_what_else_is_drawn(tmp_path: Path) -> None:
    own = measured(check(read_design(design(tmp_path, 1.5))), COARSE)
    assert own is not None
    plays = np.tile(own.plays_mm, (200, 1))
    first, second = (feel_of_plays(own, plays, 3, (4.0, 10.0)) for _ in range(2))
    assert first == second
    assert sum(chance.hits for chance in first.chances.values()) == 200
    assert first.wanted is not None and first.wanted.hits <= 200


def test_json_has_the_fixed_keys(tmp_path: Path) -> None:
    data = check_data(check(read_design(design(tmp_path, 1.5))))
    felt = json.loads(json.dumps(data))["lid"]["feel"]
    assert {"words", "sink_s", "slip_n", "holds"} <= set(felt)
    assert felt["slip_n"] is None and felt["sink_s"]["low"] < felt["sink_s"]["high"]
    assert felt["words"].startswith(("sinks", "drops", "floats"))


def test_details_say_figures_limits_and_what_is_assumed(tmp_path: Path) -> None:
    felt = feel_of(check(read_design(design(tmp_path, 1.0))))
    assert felt is not None
    text = feel_details(felt, None)
    assert "no box was measured for this" in text
    assert "25 to 30 %" in text and "air permeance" in text
    assert len(re.findall(r"mm: ", text)) == 7


def test_seconds_that_are_wanted_are_read_or_refused(tmp_path: Path) -> None:
    found = read_design(design(tmp_path, 1.0, top='want_sink = "4 s to 10 s"'))
    assert found.want_sink == (4.0, 10.0)
    for text in ('"10 s to 4 s"', '"soon"', "5", '"4 to 9000 s"'):
        with pytest.raises(InputError, match="want_sink"):
            read_design(design(tmp_path, 1.0, top=f"want_sink = {text}"))


def test_a_bow_that_is_seen_against_a_rule_is_told(tmp_path: Path) -> None:
    (tmp_path / "calibration/stocks").mkdir(parents=True)
    (tmp_path / "models").mkdir()
    (tmp_path / "calibration/stocks/springy.toml").write_text(
        'format = 1\nkind = "cover"\ngrammage_gsm = 216\ncaliper_mm = 0.222\n'
        'caliper_u_mm = 0.01\nsource = "invented"\n'
        'crease_rest = {deg = 86, u_deg = 1, source = "invented"}\n'
    )
    path = design(tmp_path / "models", 2.5)
    path.write_text(path.read_text().replace("cover-80", "springy"))
    felt = feel_of(check(read_design(path)))
    assert felt is not None and felt.bows_mm[0] > 0.5
    told = "\n".join(feel_lines(felt))
    assert "the base's walls bow out by" in told and "the lid's walls bow out by" in told
    plain = feel_of(check(read_design(design(tmp_path / "models", 2.5))))
    assert plain is not None and "bow" not in "\n".join(feel_lines(plain))


def test_walls_without_spring_leave_a_frame_as_it_is(tmp_path: Path) -> None:
    own = measured(check(read_design(design(tmp_path, 1.5))))
    assert own is not None
    stiff = replace(own.base, stiff=True)
    papers = Papers.known(own.base.gives, 2)
    assert np.isinf(stiff.springs(papers)).all() and not stiff.bows_mm(papers).any()
    assert (own.base.springs(papers) > 0.0).all()


SHIPPED = sorted(path.stem for path in MODELS.glob("*.toml") if path.stem != "items")


@pytest.mark.parametrize("name", SHIPPED)
@pytest.mark.filterwarnings("error")
def test_every_shipped_lid_has_a_feel_without_a_warning(name: str) -> None:
    found = check(read_design(MODELS / f"{name}.toml"))
    felt = feel_of(found)
    assert (felt is None) == (found.lid is None)
    if felt is not None:
        assert felt.measured.gap.rigid_mm.min() > 0.0
        assert len(feel_words(felt)) > 10


@pytest.mark.parametrize("oversize", [-10.0, -3.0, 0.0, 5.0, 20.0])
@pytest.mark.filterwarnings("error")
def test_odd_lids_end_in_words_or_in_nothing(tmp_path: Path, oversize: float) -> None:
    """A lid that goes into its base, one that cannot go on, ones far too large."""
    felt = feel_of(check(read_design(design(tmp_path, oversize))))
    if oversize < -1.0:
        assert felt is None
        return
    assert felt is not None
    assert felt.touch in (Touch.DAMAGES, Touch.DROPS)
    if felt.sink_s is not None:
        assert felt.sink_s.low <= felt.sink_s.high


def test_compare_tells_what_is_stuck_on_in_grams_and_how_both_feel(tmp_path: Path) -> None:
    one = check(read_design(design(tmp_path, 2.0)))
    two = check(
        read_design(design(tmp_path, 1.1, "decoration_g = 0.5", top='want_sink = "2 to 9 s"'))
    )
    text = compare_text(compared((one, two), None), ("a", "b"))
    assert re.search(r"stuck on\s+-\s+0.5 g", text)
    assert re.search(r"sink wanted\s+-\s+2 to 9 s", text)
    assert re.search(r"feel\s+drops\s+sinks", text)


def told_weight(tmp_path: Path, contents: str, top: str = "") -> str:
    path = design(tmp_path, 1.5, item=contents, top=top)
    felt = feel_of(check(read_design(path)))
    assert felt is not None
    return next(line for line in feel_details(felt, None).splitlines() if "weight" in line)


def test_what_goes_in_is_weighed_where_it_is_known(tmp_path: Path) -> None:
    """A US quarter weighs 5.670 g (US Mint): 32 of them 181.44 g."""
    quarters = '[[content]]\nitem = "coin-us-quarter"\ncount = 32\nlay = "flat"\n'
    assert told_weight(tmp_path, quarters).endswith(" g, contents 181.4 g")
    toffee = '[[content]]\nitem = "toffee-wrapped"\nlay = "flat"\n'
    unknown = told_weight(tmp_path, toffee)
    assert unknown.endswith(" g without its contents, whose mass no file says")


def test_what_stands_in_every_compartment_is_weighed_with_the_rest(tmp_path: Path) -> None:
    """Two quarters in each of twelve compartments: 24 of 5.670 g are 136.08 g."""
    grid = '[dividers]\nstyle = "dividers"\nstock = "cover-80"\nrows = 4\ncolumns = 3\n'
    grid += "ease = [1, 1]\nheight = 15\n"
    two = '[[content]]\nitem = "coin-us-quarter"\ncount = 2\nlay = "flat"\n'
    assert told_weight(tmp_path, grid + two).endswith(" g, contents 136.1 g")
