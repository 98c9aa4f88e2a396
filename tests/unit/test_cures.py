"""What contents are short of, and the smallest cure on the board's grid: proved by checking it.

Each cure is put back into the design, which then fits with room for errors; one step less does
not. How many go in and what they need is arithmetic: counts of grids, sums of sizes.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.findings import Severity
from fitcheck.fit import cure_steps
from fitcheck.fit.check import Check, check
from fitcheck.fit.contents import ContentVerdict
from fitcheck.fit.cures import Cure, cures_of
from fitcheck.fit.grown import least_count
from fitcheck.outputs.check_json import check_json
from fitcheck.outputs.check_text import check_text
from fitcheck.styles.part import SizeBy

ITEMS = """format = 1
[brick]
kind = "block"
size = [30, 20, 15]
source = "invented for tests"
[long]
kind = "block"
size = [130, 20, 15]
source = "invented for tests"
[cap]
kind = "block"
size = [30, 20, 14.5]
source = "invented for tests"
[chip]
kind = "block"
size = [30, 20, 4]
source = "invented for tests"
[sweet]
kind = "cylinder"
size = [28, 14]
source = "invented for tests"
"""

GROOVE = 25.4 / 8.0
IN_GROOVE, BETWEEN = 0.10, 0.25
"""Of one score, mm, as the board's file says; its cuts 0.20, its fence 0.05."""


def spare(score: float, own: float = 0.0) -> float:
    """Twice the root of the sum of squares (JCGM 100, 5.1.2) of what bounds a height, mm: a wall's
    score, its cut, the fence, and what goes in."""
    return 2.0 * math.hypot(score, 0.20, 0.05, own)


@dataclass(frozen=True)
class Asked:
    """A tray, its lid and its contents, as a design file has them."""

    unit: str
    floor: str
    depth: str
    contents: tuple[tuple[str, int, str], ...]
    lid: str | None = None
    style: str = 'style = "tray"'

    def write(self, folder: Path) -> Path:
        models = folder / "models"
        models.mkdir(exist_ok=True)
        (models / "items.toml").write_text(ITEMS)
        lines = [
            "format = 1", 'title = "t"', f'unit = "{self.unit}"', 'tools = "score-board-inch"',
            "[base]", self.style, 'stock = "cardstock-270"', self.floor, f"depth = {self.depth}",
        ]  # fmt: skip
        if self.lid:
            lines += ["[lid]", 'style = "tray"', 'stock = "patterned-160"', self.lid]
        for item, count, lay in self.contents:
            lines += ["[[content]]", f'item = "{item}"', f"count = {count}", f'lay = "{lay}"']
        path = models / "box.toml"
        path.write_text("\n".join(lines) + "\n")
        return path


def asked(found: Asked, folder: Path) -> tuple[Check, tuple[Cure | None, ...]]:
    checked = check(read_design(found.write(folder)))
    return checked, cures_of(checked)


def all_fit(design: Design) -> bool:
    found = check(design)
    faults = [f for f in found.findings if f.severity is Severity.FAULT]
    return not faults and all(fit.verdict is ContentVerdict.FITS for fit in found.contents)


def with_depth(design: Design, depth_mm: float) -> Design:
    return design.with_parts(replace(design.base, depth_mm=depth_mm))


def with_floor(design: Design, cure: Cure, floor: tuple[float, float]) -> Design:
    base = replace(design.base, size_by=SizeBy.FLOOR, size_mm=floor)
    if cure.floor_depth_mm is not None:
        base = replace(base, depth_mm=cure.floor_depth_mm)
    lid = design.lid
    if lid is not None and cure.lid_mm is not None:
        lid = replace(lid, size_mm=cure.lid_mm)
    return design.with_parts(base, lid)


LID = 'oversize = "1/16"\ndepth = "1/2"'


def test_too_tall_by_so_much_and_the_next_groove_or_half_groove(tmp_path: Path) -> None:
    """A brick 15 high under a lid over a wall of 9/16 in (14.29 mm): 15 less 14.16 inside."""
    tall = Asked("in", 'floor = ["3", "4"]', '"9/16"', (("brick", 1, "flat"),), LID)
    checked, (cure,) = asked(tall, tmp_path)
    assert cure is not None and cure.along == "height"
    # the wall's rim stands 9/16 in + a - t above the floor's inside face
    stock = checked.assembly.base.recipe.stock
    inside = 9 / 16 * 25.4 + stock.crease_allowance_mm - stock.caliper_mm
    assert cure.missing_mm == pytest.approx(15.0 - inside, abs=0.01)
    # 9/16 lies on half grooves, so the next one is 5/8
    assert cure.depth_mm == pytest.approx(5 / 8 * 25.4)
    assert cure.floor_mm is None and cure.holds is None
    assert all_fit(with_depth(checked.design, cure.depth_mm))
    assert "5/8 in" in check_text(checked) and "too tall" in check_text(checked)


@pytest.mark.parametrize(
    ("item", "high", "least", "words"),
    [
        # 15 mm is 18.9 thirty-seconds of an inch
        ("sweet", 14.0, 15.0, "15 mm (19/32 in) deep, or 5/8 in (15.88 mm), in the next groove;"),
        # the groove is less than half a millimetre further
        ("brick", 15.0, None, "5/8 in (15.88 mm) deep;"),
    ],
)
def test_the_least_depth_that_a_rule_shows_is_told_beside_the_next_groove(
    tmp_path: Path, item: str, high: float, least: float | None, words: str
) -> None:
    """A rim stands the wall + a - t above the floor's inside face, so that the first half
    millimetre from the height + t - a and what errors need on does; this board has a groove every
    3.175 mm."""
    lid = "oversize = 2\ndepth = 10"
    short = Asked("mm", "floor = [60, 80]", "12.7", ((item, 1, "flat"),), lid)
    checked, (cure,) = asked(short, tmp_path)
    stock = checked.assembly.base.recipe.stock
    taken = high + stock.caliper_mm - stock.crease_allowance_mm + spare(BETWEEN)
    first = math.ceil(2.0 * taken) / 2.0
    assert cure is not None and cure.depth_mm is not None
    assert cure.depth_mm == pytest.approx(5 * GROOVE)
    assert cure.least_depth_mm == least and first == (least or 16.0)
    assert all_fit(with_depth(checked.design, first))
    text = " ".join(check_text(checked).split())
    assert f"make the base {words.removesuffix(';')}" in text
    (content,) = json.loads(check_json(checked))["contents"]
    assert content["cure"]["base_least_depth_mm"] == least


@pytest.mark.parametrize("own", [0.0, 0.3])
def test_a_cure_leaves_what_a_hand_and_the_contents_may_be_off(tmp_path: Path, own: float) -> None:
    """A base of 25.40 in a groove has 25.27 inside: 25.2 high go in, and come out too tall in two
    boxes of five. Half a millimetre more is the least that a rule shows."""
    short = Asked(
        "mm", "floor = [60, 80]", "22.225", (("tall", 1, "flat"),), "oversize = 2\ndepth = 10"
    )
    path = short.write(tmp_path)
    size_u = f"\nsize_u = [0.1, 0.1, {own}]" if own else ""
    with (path.parent / "items.toml").open("a") as items:
        items.write(f'[tall]\nkind = "block"\nsize = [30, 28, 25.2]{size_u}\nsource = "invented"\n')
    found = check(read_design(path))
    (cure,) = cures_of(found)
    assert cure is not None and cure.depth_mm is not None
    for depth, score in ((cure.depth_mm, IN_GROOVE), (cure.least_depth_mm, BETWEEN)):
        assert depth is not None
        (fit,) = check(with_depth(found.design, depth)).contents
        assert fit.slack is not None and fit.slack.height_mm >= spare(score, own)
    text = " ".join(check_text(found).split())
    assert f"which leaves {spare(IN_GROOVE, own):.1f} mm or more for errors of hand" in text


def test_a_wider_floor_leaves_what_its_two_scores_may_be_off(tmp_path: Path) -> None:
    """A brick of 30 in a floor of 28.575 less 0.26: the next groove, 31.75, is 1.49 too large."""
    for size, grooves in ((30.0, 10), (31.4, 11)):
        short = Asked("mm", "floor = [28.575, 57.15]", "25.4", (("wide", 1, "flat"),))
        path = short.write(tmp_path)
        with (path.parent / "items.toml").open("a") as items:
            wide = f'[wide]\nkind = "block"\nsize = [{size}, 50, 20]\nsource = "invented"\n'
            items.write(wide)
        (cure,) = cures_of(check(read_design(path)))
        assert cure is not None and cure.floor_mm is not None
        # two scores in grooves: 2 x 0.14 mm
        assert cure.floor_mm[0] == pytest.approx(grooves * GROOVE)


def test_a_height_is_told_of_what_is_too_tall_by_itself(tmp_path: Path) -> None:
    """A brick 15 high and a chip of 4 beside it on a floor for six of them: the chip has room."""
    both = (("brick", 1, "flat"), ("chip", 1, "flat"))
    low = Asked("mm", "floor = [64, 64]", "12.7", both, "oversize = 1.6\ndepth = 10")
    checked, (brick, chip) = asked(low, tmp_path)
    stock = checked.assembly.base.recipe.stock
    inside = 12.7 + stock.crease_allowance_mm - stock.caliper_mm
    assert brick is not None and chip is not None
    assert brick.along == "height" and brick.missing_mm == pytest.approx(15.0 - inside, abs=0.01)
    assert chip.along is None and chip.missing_mm is None
    text = check_text(checked)
    assert text.count("mm too tall") == 1
    assert text.index("brick: does not fit") < text.index("mm too tall") < text.index("chip: does")


def test_no_deeper_box_is_tried_where_no_sheet_holds_the_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """280 and two walls of 12 mm are cut from 12 x 12 in (304.8 mm), with two of 15 mm they are
    not, and still less with deeper ones."""
    tall = Asked(
        "mm", "floor = [280, 100]", "12", (("brick", 1, "flat"),), "oversize = 1\ndepth = 10"
    )
    found = check(read_design(tall.write(tmp_path)))
    asked_of: list[float] = []

    def asking(design: Design, *, ways: bool) -> Check:
        asked_of.append(design.base.depth_mm)
        return check(design, ways=ways)

    monkeypatch.setattr(cure_steps, "check", asking)
    cures_of.cache_clear()
    (cure,) = cures_of(found)
    assert cure is not None and cure.depth_mm is None
    # that depth by itself, and with a wider floor, a longer one and both
    assert cure.floor_mm is None and asked_of == pytest.approx([5 * GROOVE] * 4)


def test_a_depth_in_a_groove_goes_to_the_next_groove(tmp_path: Path) -> None:
    tall = Asked(
        "in", 'floor = ["3", "4"]', '"1/2"', (("brick", 1, "flat"),), LID.replace("1/2", "3/8")
    )
    checked, (cure,) = asked(tall, tmp_path)
    assert cure is not None and cure.depth_mm == pytest.approx(5 * GROOVE)
    assert all_fit(with_depth(checked.design, 5 * GROOVE))
    assert not all_fit(with_depth(checked.design, 4 * GROOVE))


@pytest.mark.parametrize(
    ("depth", "item", "cured"),
    [
        # on a half groove: 19/32 would hold what is 14.5 high, but no half groove lies there
        ("9/16", "cap", 10 / 16),
        # on a quarter: 14 and 0.65 for errors go into 19/32, the first quarter that has them
        ("17/32", "sweet", 19 / 32),
        # on none of them: the next groove
        ("0.54", "sweet", 5 / 8),
    ],
)
def test_a_depth_stays_on_the_steps_that_it_lies_on(
    tmp_path: Path, depth: str, item: str, cured: float
) -> None:
    """Arithmetic: what is inside is the depth less 0.13 mm, a step is 1/8, 1/16 or 1/32 in."""
    low = Asked("in", 'floor = ["3", "4"]', f'"{depth}"', ((item, 1, "flat"),), LID)
    checked, (cure,) = asked(low, tmp_path)
    assert cure is not None and cure.depth_mm == pytest.approx(cured * 25.4)
    assert all_fit(with_depth(checked.design, cured * 25.4))


def test_too_long_by_so_much_and_the_next_floor(tmp_path: Path) -> None:
    """130 long in 84 x 84: the other axis gains nothing; the next groove over 130.26 is 133.35."""
    long = Asked(
        "mm", "floor = [84, 84]", "22.5", (("long", 1, "flat"), ("brick", 3, "any")),
        "floor = [86, 86]\ndepth = 18",
    )  # fmt: skip
    checked, cures = asked(long, tmp_path)
    for cure in cures:
        assert cure is not None and cure.along in ("width", "length")
        assert cure.missing_mm == pytest.approx(130.0 - (84.0 - 2 * 0.13), abs=0.4)
        assert cure.depth_mm is None and cure.floor_depth_mm is None
        assert cure.floor_mm is not None and cure.lid_mm is not None
        grown = sorted(cure.floor_mm)
        assert grown == pytest.approx([84.0, 42 * GROOVE])
        assert sorted(cure.lid_mm) == pytest.approx([86.0, 42 * GROOVE + 2.0])
        assert all_fit(with_floor(checked.design, cure, cure.floor_mm))


def test_sixteen_need_so_much_and_nine_go_in(tmp_path: Path) -> None:
    """Sweets 28 across and 14 high, one layer: three by three in 84.2, four by four need 112."""
    sweets = Asked(
        "mm", "floor = [84.5, 84.5]", "15.0", (("sweet", 16, "flat"),), "oversize = 1.6\ndepth = 12"
    )
    checked, (cure,) = asked(sweets, tmp_path)
    assert cure is not None and cure.holds == 9
    assert cure.floor_mm is not None and cure.needs_mm is not None
    # the least area on the grid: 5 x 3 and a half row, or 4 x 4
    assert cure.needs_mm[0] * cure.needs_mm[1] <= (112.0 + GROOVE) ** 2
    assert cure.needs_mm[0] * cure.needs_mm[1] >= 16 * 28.0**2 * 0.9069
    assert all_fit(with_floor(checked.design, cure, cure.floor_mm))
    text = " ".join(check_text(checked).split())
    assert "16 go into about" in text and "9 go in as it is" in text
    # two layers of eight or nine: the groove that holds them has no room for errors
    assert cure.depth_mm is not None and 28.0 < cure.depth_mm < 28.0 + 2 * GROOVE
    assert all_fit(with_depth(checked.design, cure.depth_mm))
    stock = checked.assembly.base.recipe.stock
    inside = cure.depth_mm - GROOVE + stock.crease_allowance_mm - stock.caliper_mm
    assert inside - 28.0 < spare(IN_GROOVE)


def test_where_the_height_alone_is_missing_no_floor_is_told(tmp_path: Path) -> None:
    """Four bricks 30 x 20 take 60 x 40 of a floor of 64: nothing is missing but height, 15 - 12."""
    low = Asked(
        "mm", "floor = [64, 64]", "12.7", (("brick", 4, "flat"),), "oversize = 1.6\ndepth = 10"
    )
    checked, (cure,) = asked(low, tmp_path)
    assert cure is not None and cure.along == "height" and cure.depth_mm is not None
    assert cure.needs_mm is None and cure.floor_mm is None and cure.lid_mm is None
    text = " ".join(check_text(checked).split())
    assert "mm too tall; make the base" in text and "go into about" not in text


def test_too_low_and_too_small_is_cured_together(tmp_path: Path) -> None:
    """Nine sweets 14 high in a wall of 11 mm: a deeper base as well as a wider floor."""
    sweets = Asked(
        "mm", "floor = [60, 60]", "11.0", (("sweet", 9, "flat"),), "oversize = 1.6\ndepth = 9"
    )
    checked, (cure,) = asked(sweets, tmp_path)
    assert cure is not None and cure.floor_mm is not None and cure.floor_depth_mm is not None
    assert 14.0 < cure.floor_depth_mm < 14.0 + 2 * GROOVE and cure.holds == 0
    assert all_fit(with_floor(checked.design, cure, cure.floor_mm))
    assert not all_fit(
        with_floor(checked.design, replace(cure, floor_depth_mm=None), cure.floor_mm)
    )


def test_what_fits_needs_no_cure(tmp_path: Path) -> None:
    fine = Asked("mm", "floor = [84, 84]", "22.5", (("brick", 2, "flat"),))
    checked, cures = asked(fine, tmp_path)
    assert cures == (None,)
    (content,) = json.loads(check_json(checked))["contents"]
    assert content["missing_mm"] is None and content["cure"] is None


def test_the_json_carries_what_is_missing(tmp_path: Path) -> None:
    tall = Asked("in", 'floor = ["3", "4"]', '"9/16"', (("brick", 1, "flat"),), LID)
    checked, (cure,) = asked(tall, tmp_path)
    (content,) = json.loads(check_json(checked))["contents"]
    assert cure is not None
    assert content["missing_mm"] == pytest.approx(cure.missing_mm, abs=1e-6)
    assert content["cure"]["along"] == "height"
    assert content["cure"]["base_depth_mm"] == pytest.approx(15.875)
    assert content["way_out"] is None


@pytest.mark.parametrize("answer", [1, 2, 3, 7, 64, 65, 99])
def test_the_least_count(answer: int) -> None:
    asked_of: list[int] = []

    def enough(n: int) -> bool:
        asked_of.append(n)
        return n >= answer

    assert least_count(enough, 99) == answer
    assert len(asked_of) <= 14
    assert least_count(lambda n: False, 99) is None


def test_a_base_under_a_lid_that_stands_on_the_table_gets_the_depth_that_cures_both(
    tmp_path: Path,
) -> None:
    """A base that was typed an eighth of an inch deep under a lid of half an inch.

    The brick is 15 mm high, and a wall is as deep inside as it is scored, less the caliper and plus
    the allowance of cardstock-270: 15 + 0.33 - 0.20 = 15.13 mm, so 5/8 in (15.875 mm) in grooves.
    In thirty-seconds of an inch it lacks 15.13 - 3.175 = 11.955 mm, so 16 of them: 1/2 in.
    """
    lid = 'oversize = "1/16"\ndepth = "1/2"'
    asked = Asked("in", 'floor = [1, "1 1/2"]', '"1/8"', (("brick", 1, "flat"),), lid)
    design = read_design(asked.write(tmp_path))
    found = check(design)
    (cure,) = cures_of(found)
    assert cure is not None and cure.depth_mm == pytest.approx(15.875)
    assert check(design.with_parts(design.base.with_depth(15.875))).fits
    (message,) = (one.message for one in found.findings if one.code == "lid-too-deep")
    assert "make the base at least 1/2 in deeper" in message and "shallower" not in message
    assert check(design.with_parts(design.base.with_depth(3.175 + 12.7))).fits
    low = replace(design, contents=())
    (message,) = (one.message for one in check(low).findings if one.code == "lid-too-deep")
    assert "make the base 3/8 in deeper, or the lid as much shallower" in message
