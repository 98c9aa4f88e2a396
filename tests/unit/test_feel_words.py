"""What is said of how a lid feels, word for word: sentences that have to agree with each other."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.feel.feel import Band, Feel, feel_of
from fitcheck.feel.touch import Touch, touches
from fitcheck.fit.check import Check, check
from fitcheck.odds.feel import FeelOdds
from fitcheck.odds.intervals import Chance
from fitcheck.outputs.check_text import check_text, headline
from fitcheck.outputs.feel_json import feel_data
from fitcheck.outputs.feel_text import feel_details, feel_lines, feel_words, seconds
from fitcheck.outputs.words import explained


def box(
    tmp_path: Path,
    floor: str = "[76, 108]",
    depths: tuple[float, float] = (22, 15),
    oversize: str = "[1.2, 1.2]",
    stock: str = "patterned-160",
    lid: str = "",
    top: str = "",
) -> Check:
    path = tmp_path / "some.toml"
    path.write_text(
        f'format = 1\ntitle = "Some"\nunit = "mm"\n{top}\n'
        f'[base]\nstyle = "tray"\nstock = "{stock}"\nfloor = {floor}\ndepth = {depths[0]}\n'
        f'[lid]\nstyle = "tray"\nstock = "{stock}"\ndepth = {depths[1]}\noversize = {oversize}\n'
        f"{lid}\n"
    )
    return check(read_design(path))


def felt(found: Check) -> Feel:
    feel = feel_of(found)
    assert feel is not None
    return feel


def test_a_hair_of_press_tears_nothing_however_long_the_lid_is() -> None:
    """Force goes with the overlap, what a corner bears with force over overlap.

    At 11 N and 200 mm, friction 0.4, that is 11 / 0.4 / (8 * 200) = 0.017 N/mm, where corners may
    open from 0.1 (the physics note's figures).
    """
    force, none = np.array([11.0, 11.0]), np.zeros(2)
    line = force / 0.4 / (8.0 * np.array([200.0, 13.0]))
    assert (line > 0.1).tolist() == [False, True]
    found = touches(force, none, 0.02, 0.1, line > 0.1)
    assert [tuple(Touch)[k] for k in found] == [Touch.FORCED, Touch.DAMAGES]


def test_the_first_line_says_that_a_lid_goes_on_hard(tmp_path: Path) -> None:
    """Everything fits, as a tight lid is wanted; all lines have to be true at once."""
    found = box(
        tmp_path,
        depths=(122, 115),
        oversize="[0.8, 0.8]",
        top='want = ["tight", "snug", "slides"]',
    )
    assert found.fits
    assert "takes a hard push, a press like" in feel_words(felt(found))
    assert headline(found).startswith("Some: everything fits, but its lid takes a hard push")
    text = check_text(found)
    assert "tight: it goes on with a push" in text
    assert "only by force" not in text and "without damage" not in text


def test_a_lid_that_binds_is_never_said_to_go_on_and_hold(tmp_path: Path) -> None:
    found = box(tmp_path, oversize="[0.6, 0.6]")
    text = check_text(found)
    assert "binds: it does not go on" in text
    words = feel_words(felt(found))
    assert words.startswith("presses by more than a tight lid may: forced on all the same it takes")
    assert words.endswith("lying on it, and walls bow in or corners open")
    assert "comes along" not in text
    meant = explained("bind")
    assert meant is not None and "unless it is forced" in meant[1]


def test_a_box_that_no_lid_lifts_is_said_to_stay(tmp_path: Path) -> None:
    """What the lid holds for sure weighs less than the empty base."""
    words = [
        feel_words(one)
        for size in (0.905, 0.91, 0.915, 0.92)
        if (one := felt(box(tmp_path, oversize=f"[1.2, {size}]"))).holds_g is not None
        and one.holds is None
        and one.holds_g < one.measured.rest_g
    ]
    assert words
    for said in words:
        assert said.endswith("lifted by the lid, the box may stay behind")


@pytest.mark.parametrize("grams", [0, 10, 20, 50, 1000])
def test_the_word_for_a_sinking_lid_agrees_with_its_seconds(tmp_path: Path, grams: int) -> None:
    feel = felt(box(tmp_path, oversize="[1.2, 0.98]", lid=f"decoration_g = {grams}"))
    words, data = feel_words(feel), feel_data(feel)
    if words.startswith("drops:"):
        assert words.endswith("it is down in under 2 s")
    if "drops" in words and not words.startswith("drops:"):
        assert words.startswith("drops or sinks by itself: it is down in up to about ")
    said = {"drops": "drops", "sinks": "sinks by itself", "slowly": "sinks slowly", "floats": "fl"}
    assert data["slip_n"] is not None or words.startswith(said[data["touch"]])


def test_what_its_own_weight_moves_is_not_forced() -> None:
    """A lid of 1 kg weighs 9.8 N; 5 N of friction do not hold it."""
    found = touches(np.array([5.0, 5.0]), np.array([0.5, np.inf]), np.array([9.8, 0.02]), 0.1)
    assert [tuple(Touch)[k] for k in found] == [Touch.DROPS, Touch.FORCED]


def test_details_write_every_figure_out(tmp_path: Path) -> None:
    """Minutes in a tall lid, newtons in one that presses."""
    tall = felt(box(tmp_path, depths=(85, 80), oversize="[1.5, 1.2]"))
    tight = felt(box(tmp_path, depths=(122, 115), oversize="[0.2, 0.2]"))
    for one in (tall, tight):
        text = feel_details(one, None)
        assert "e+" not in text and "inf" not in text
    assert seconds(Band(0.6, 1.3)) == "under 2 s"


def odds(**hits: int) -> FeelOdds:
    return FeelOdds({one: Chance(hits.get(one.value, 0), 300) for one in Touch}, None, None)


def test_what_most_boxes_do_is_told_before_what_the_drawn_one_does(tmp_path: Path) -> None:
    feel = felt(box(tmp_path, oversize="[3, 3]"))
    assert feel.touch is Touch.DROPS
    others = "\n".join(feel_lines(feel, odds(holds=189, drops=78, stays=33)))
    assert "most hold when lifted (about 63 of 100); as drawn it drops: it is down in" in others
    for like in (odds(drops=200, holds=100), odds(sinks=133, drops=129, holds=38)):
        assert "most" not in "\n".join(feel_lines(feel, like))


def board(tmp_path: Path, more: str) -> Feel:
    """A box of board that steps say to cut half through."""
    stocks = tmp_path / "calibration/stocks"
    stocks.mkdir(parents=True, exist_ok=True)
    (tmp_path / "models").mkdir(exist_ok=True)
    (stocks / "board.toml").write_text(
        'format = 1\nkind = "board"\ngrammage_gsm = 950\ncaliper_mm = 1.5\n'
        f'caliper_u_mm = 0.05\nsource = "invented for tests"\n{more}\n'
    )
    return felt(box(tmp_path / "models", "[100, 80]", (40, 20), "[7, 4]", "board"))


def test_a_fold_cut_half_through_bows_no_wall_unless_it_was_measured(tmp_path: Path) -> None:
    """The crease length of 10 mm is that of pressed card; none was found for a cut fold."""
    usual = board(tmp_path, "")
    assert usual.bows_mm == (0.0, 0.0)
    assert "bow" not in "\n".join(feel_lines(usual))
    assert "folds are taken to" in feel_details(usual, None)
    found = board(tmp_path, 'crease_length = {mm = 10, u_mm = 3, source = "invented"}')
    assert min(abs(bow) for bow in found.bows_mm) > 0.1
    assert "folds are taken to" not in feel_details(found, None)
