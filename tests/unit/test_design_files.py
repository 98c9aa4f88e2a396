"""A design file becomes values in millimetres, or one line for each of its problems."""

import copy
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.design.model import Bands, Lay
from fitcheck.design.read import read_design
from fitcheck.design.rules import floor_of
from fitcheck.design.schema import make_schema
from fitcheck.errors import InputError
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.part import SizeBy
from fitcheck.units import Unit
from tests.unit.samples import GOOD, ROOTS, TRAY, lines_of, read


def test_a_good_file_becomes_millimetres(tmp_path: Path) -> None:
    design = read(tmp_path, GOOD)
    base, lid = design.base, design.lid
    assert lid is not None
    assert (design.name, design.title, design.unit) == ("box", "Test box", Unit.IN)
    assert base.size_by is SizeBy.FLOOR
    assert base.size_mm == pytest.approx((82.55, 114.3))
    assert (base.depth_mm, base.frame_mm, base.flap_mm) == pytest.approx((22.225, 9.525, 8.73125))
    assert (base.inner_wall_mm, base.tabs, base.grain) == (None, Axis.WIDTH, Axis.LENGTH)
    assert lid.size_by is SizeBy.OVERSIZE
    assert lid.size_mm == pytest.approx((1.5875, 1.5875))
    assert (lid.stock.name, lid.tabs, lid.tab_setback_mm) == ("patterned-160", None, 0.0)
    assert (design.joint_mm, design.joint_u_mm, design.bands) == (
        0.1,
        0.03,
        Bands(0.15, 0.20, 1.50),
    )
    (content,) = design.contents
    assert (content.item.name, content.count, content.lay) == ("card-id1", 1, Lay.FLAT)


def test_what_is_left_out_has_a_known_meaning(tmp_path: Path) -> None:
    design = read(tmp_path, TRAY + '[[content]]\nitem = "card-id1"\n')
    assert design.lid is None
    assert design.tools.name == "score-board-metric"
    assert (design.joint_mm, design.bands) == (0.10, Bands(0.15, 0.20, 1.50))
    assert (design.contents[0].count, design.contents[0].lay) == (1, Lay.ANY)
    inch = read(
        tmp_path, TRAY.replace('"mm"', '"in"').replace("[80, 120]", "[3, 4]").replace("20", "1")
    )
    assert inch.tools.name == "score-board-inch"
    assert inch.base.size_mm == pytest.approx((76.2, 101.6))


@pytest.mark.parametrize(
    ("size", "by", "mm"),
    [
        ("floor = [80, 120]", SizeBy.FLOOR, (80, 120)),
        ("inside = [80, '4 in']", SizeBy.INSIDE, (80, 101.6)),
        ("slack = 1.5", SizeBy.CONTENTS, (1.5, 1.5)),
        ("slack = ['1.5 mm', '1/8 in']", SizeBy.CONTENTS, (1.5, 3.175)),
    ],
)
def test_each_way_to_size_a_tray(tmp_path: Path, size: str, by: SizeBy, mm: Any) -> None:
    text = TRAY.replace("floor = [80, 120]", size) + '[[content]]\nitem = "card-id1"\n'
    base = read(tmp_path, text).base
    assert base.size_by is by
    assert base.size_mm == pytest.approx(mm)


def test_an_opening_sizes_a_shadow_box(tmp_path: Path) -> None:
    base = read(tmp_path, GOOD.replace("floor", "opening").replace('"level"', '"3/4"')).base
    assert base.size_by is SizeBy.OPENING
    assert base.inner_wall_mm == pytest.approx(19.05)


def test_oversize_may_be_negative_or_a_pair(tmp_path: Path) -> None:
    for text, mm in (('"-1/16"', (-1.5875, -1.5875)), ('["1/16", "1/8"]', (1.5875, 3.175))):
        lid = read(tmp_path, GOOD.replace('oversize = "1/16"', f"oversize = {text}")).lid
        assert lid is not None
        assert lid.size_mm == pytest.approx(mm)


def test_another_stock_can_stand_in(tmp_path: Path) -> None:
    design = read(tmp_path, GOOD, stocks={"base": "index-110"})
    assert design.base.stock.name == "index-110"
    (line,) = lines_of(tmp_path, GOOD, stocks={"lid": "index-11O"})
    assert line.startswith("--stock lid=index-11O: no such stock; read 'index-11O'; allowed: ")
    assert "'index-110'" in line
    (line,) = lines_of(tmp_path, GOOD, stocks={"lit": "index-110"})
    assert line.startswith("--stock lit=index-110: ")
    assert "read 'lit'; allowed: base, lid; nearest known: 'lid'" in line
    (line,) = lines_of(tmp_path, TRAY, stocks={"lid": "index-110"})
    assert "no such part" in line


def test_two_lids_in_brackets_are_told_apart(tmp_path: Path) -> None:
    lid = GOOD[GOOD.index("[lid]") : GOOD.index("[[content]]")]
    (line,) = lines_of(tmp_path, GOOD.replace(lid, 2 * lid.replace("[lid]", "[[lid]]")))
    assert "lid: wrong type; read a list of 2 tables; allowed: one table [lid]" in line
    (line,) = lines_of(tmp_path, GOOD.replace(lid, 2 * lid))
    assert "is not TOML" in line


def test_a_design_without_a_base(tmp_path: Path) -> None:
    lines = lines_of(tmp_path, TRAY[: TRAY.index("[base]")])
    assert len(lines) == 1
    assert "base: missing; read nothing" in lines[0]


def test_an_empty_list_of_contents(tmp_path: Path) -> None:
    (line,) = lines_of(tmp_path, TRAY.replace("[base]", "content = []\n[base]"))
    assert "content: wrong list length; read []; allowed: at least 1" in line


def test_slack_needs_something_to_go_in(tmp_path: Path) -> None:
    (line,) = lines_of(tmp_path, TRAY.replace("floor = [80, 120]", "slack = 2"))
    assert "base.slack: there is nothing to leave free around; read 2" in line


@pytest.mark.parametrize("key", ["frame = 9", "flap = 9", 'inner_wall = "level"'])
def test_shadow_box_keys_do_not_go_on_a_tray(tmp_path: Path, key: str) -> None:
    (line,) = lines_of(tmp_path, TRAY + key + "\n")
    whose = "a shadow-box or " if key.startswith("inner") else "a shadow-box only"
    assert f"base.{key.split(maxsplit=1)[0]}: belongs to {whose}" in line
    assert "in a part of the style 'tray'" in line


def test_the_frame_fits_up_to_half_the_floor_less_the_fold(tmp_path: Path) -> None:
    stock = read(tmp_path, GOOD).base.stock
    edge = 82.55 / 2 - stock.crease_allowance_mm
    fits = GOOD.replace('frame = "3/8"', f'frame = "{edge - 1e-6:.9f} mm"')
    assert read(tmp_path, fits).base.frame_mm == pytest.approx(edge)
    (line,) = lines_of(tmp_path, GOOD.replace('frame = "3/8"', f'frame = "{edge + 1e-6:.9f} mm"'))
    assert "base.frame: leaves no opening" in line


@pytest.mark.parametrize("flap", ["3/8", "13/32", "7/16"])
def test_a_flap_as_wide_as_its_frame_or_wider_is_read_and_left_to_the_check(
    tmp_path: Path, flap: str
) -> None:
    """Recipes that people make are judged, never refused (common practice, no source)."""
    design = read(tmp_path, GOOD.replace('flap = "11/32"', f'flap = "{flap}"'))
    assert design.base.flap_mm is not None and design.base.frame_mm is not None
    assert design.base.flap_mm >= design.base.frame_mm


def test_all_problems_come_together(tmp_path: Path) -> None:
    text = GOOD.replace("tools =", "tolls =").replace('"cardstock-270"', '"cardstok-270"')
    text = text.replace("count = 1", "count = 0").replace('"card-id1"', '"card-id11"')
    text = text.replace('depth = "5/8"', 'depth = "0.5 mm"').replace(
        "tab_setback = 0", "inside = [1, 2]"
    )
    keys = {line.split(": ")[1] for line in lines_of(tmp_path, text)}
    assert keys == {
        "tolls",
        "base.stock",
        "content[1].count",
        "content[1].item",
        "lid.depth",
        "base",
    }


def test_control_signs_cannot_break_a_line(tmp_path: Path) -> None:
    (line,) = lines_of(tmp_path, GOOD.replace("tab_setback = 0", '"a\\n\\u001b[31mb" = 1'))
    assert line.isprintable()


def test_the_schema_takes_what_the_reader_takes() -> None:
    checker = jsonschema.Draft202012Validator(make_schema())
    checker.check_schema(make_schema())
    assert list(checker.iter_errors(tomllib.loads(GOOD))) == []
    assert list(checker.iter_errors(tomllib.loads(TRAY))) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("frame =", "fram ="),
        ("format = 1", "format = 2"),
        ('lay = "flat"', 'lay = "up"'),
        ('["3 1/4", "4 1/2"]', "[]"),
        ("count = 1", "count = 0"),
        ("[lid]", "[[lid]]"),
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(old: str, new: str) -> None:
    checker = jsonschema.Draft202012Validator(make_schema())
    assert list(checker.iter_errors(tomllib.loads(GOOD.replace(old, new))))


def test_the_files_joint_goes_before_the_tools(tmp_path: Path) -> None:
    assert read(tmp_path, GOOD.replace("0.1 mm", "0.3 mm")).joint_mm == 0.3


def test_floors_follow_from_what_is_given(tmp_path: Path) -> None:
    """Closed forms: opening W - 2w - 2a, inside W - 2(t - a), a lid over its base's floor."""
    design = read(tmp_path, GOOD)
    assert design.lid is not None
    assert floor_of(design.base) == pytest.approx((82.55, 114.3))
    assert floor_of(design.lid, design.base) == pytest.approx((84.1375, 115.8875))
    a = design.base.stock.crease_allowance_mm
    for key in ("opening", "inside"):
        opened = read(tmp_path, GOOD.replace("floor", key)).base
        grown = 2 * 9.525 + 2 * a
        assert floor_of(opened) == pytest.approx((82.55 + grown, 114.3 + grown))
    tray = read(tmp_path, TRAY.replace("floor", "inside")).base
    thin = 2 * (tray.stock.caliper_mm - tray.stock.crease_allowance_mm)
    assert floor_of(tray) == pytest.approx((80 + thin, 120 + thin))
    slack = TRAY.replace("floor = [80, 120]", "slack = 1") + '[[content]]\nitem = "card-id1"\n'
    assert floor_of(read(tmp_path, slack).base) is None


# every type of value that TOML 1.0 has; it has no null
odd = st.recursive(
    st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.dates()
    | st.times()
    | st.datetimes(),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3)
    ),
    max_leaves=5,
)


@given(
    table=st.sampled_from(["", "base", "lid", "content", "bands"]),
    pick=st.integers(0, 11),
    value=odd,
)
def test_no_value_of_any_key_is_worse_than_a_line(table: str, pick: int, value: Any) -> None:
    data = copy.deepcopy(tomllib.loads(GOOD))
    inner = data[table] if table else data
    inner = inner[0] if isinstance(inner, list) else inner
    keys = sorted(inner)
    inner[keys[pick % len(keys)]] = value
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("fitcheck.design.read.read_toml", lambda _: data)
        try:
            design = read_design(Path("box.toml"), roots=ROOTS)
        except InputError as error:
            assert error.lines
            assert all(line.isprintable() for line in error.lines)
        else:
            assert design.base.depth_mm > 0


def test_reading_a_design_needs_no_numbers_library() -> None:
    code = "import sys, fitcheck.design.read; print(sorted({'numpy', 'scipy'} & set(sys.modules)))"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout == "[]\n"
