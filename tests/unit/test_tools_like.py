"""Tools files that list sheets by name and take the rest from others, against what is written.

A3 is 297 x 420 mm (ISO 216), letter 215.9 x 279.4 mm (ANSI/ASME Y14.1), 12 in are 304.8 mm.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck.drawing.page_sizes import Paper
from fitcheck.errors import InputError
from fitcheck.learn.hand_profile import tools_profile
from fitcheck.stock.bought_sheets import sheet_called
from fitcheck.stock.tools import Tools
from fitcheck.stock.tools_files import read_tools, tools_paths
from tests.cli.commands import fitcheck_here
from tests.cli.test_sheets_bought import PEN_CASE

WHOLE = """\
format = 1
grid = "5 mm"
score_u_mm = {on_grid = 0.11, off_grid = 0.26}
fence_u_mm = 0.06
cut_u_mm = 0.21
joint_mm = 0.12
joint_u_mm = 0.04
source = "here"
"""


def shelf(folder: Path, **files: str) -> Path:
    """A workspace's tools, a file for each name."""
    tools = folder / "calibration" / "tools"
    tools.mkdir(parents=True)
    for name, text in files.items():
        (tools / f"{name}.toml").write_text(text)
    return tools


def refused(path: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_tools(path)
    return list(caught.value.lines)


def test_sheets_may_be_named_as_those_that_are_bought() -> None:
    sizes = {"a3": (297.0, 420.0), "letter": (215.9, 279.4), "a4": (210.0, 297.0)}
    sizes["12x12"] = (304.8, 304.8)
    assert set(sizes) == {paper.value for paper in Paper}
    for name, size in sizes.items():
        for spelt in (name, name.upper()):
            sheet = sheet_called(spelt)
            assert sheet is not None and (sheet.width_mm, sheet.length_mm) == size


def test_a_tools_file_takes_from_others_what_it_does_not_say(tmp_path: Path) -> None:
    own = 'format = 1\nlike = "whole"\ncut_u_mm = 0.4\nsheets = ["A3", ["450 mm", "640 mm"]]\n'
    tools = shelf(tmp_path, whole=WHOLE, own=own)
    found = read_tools(tools / "own.toml")
    assert (found.name, found.cut_u_mm, found.grid_mm) == ("own", 0.4, 5.0)
    assert (found.fence_u_mm, found.joint_mm, found.source) == (0.06, 0.12, "here")
    assert (found.score_u_on_grid_mm, found.score_u_off_grid_mm) == (0.11, 0.26)
    assert [(s.width_mm, s.length_mm) for s in found.sheets] == [(297.0, 420.0), (450.0, 640.0)]
    assert [path.name for path in tools_paths(tools / "own.toml")] == ["own.toml", "whole.toml"]
    assert [path.name for path in tools_paths(tools / "whole.toml")] == ["whole.toml"]


def test_what_ships_is_found_from_an_empty_workspace(tmp_path: Path) -> None:
    tools = shelf(tmp_path, mine='format = 1\nlike = "score-board-inch"\nsheets = ["12x12"]\n')
    found = read_tools(tools / "mine.toml")
    assert found.grid_mm == pytest.approx(25.4 / 8)
    assert [sheet.width_mm for sheet in found.sheets] == [304.8]


def test_a_profile_that_is_learnt_says_everything_itself(tmp_path: Path) -> None:
    tools = shelf(tmp_path, whole=WHOLE, own='format = 1\nlike = "whole"\nsheets = ["a3"]\n')
    own: Tools = read_tools(tools / "own.toml")
    text = tools_profile(replace(own, records=("one.csv",)), "own")
    assert "like" not in text and '["297 mm", "420 mm"]' in text
    (tools / "whole.toml").unlink()
    (tools / "own.toml").write_text(text)
    assert read_tools(tools / "own.toml").sheets == own.sheets


@pytest.mark.parametrize(
    ("like", "words"),
    [
        ("own", "like: is this file itself; read 'own'; allowed: tools whose file says everything"),
        ("chain", "like: takes from others itself"),
        ("hwole", "like: no such tool profile; read 'hwole'"),
        ("../whole", "like: no such tool profile"),
    ],
)
def test_a_circle_a_chain_and_an_unknown_name_are_refused(
    tmp_path: Path, like: str, words: str
) -> None:
    own = f'format = 1\nlike = "{like}"\n'
    chain = 'format = 1\nlike = "own"\n'
    (line,) = refused(shelf(tmp_path, whole=WHOLE, own=own, chain=chain) / "own.toml")
    assert "own.toml: " in line and words in line


def test_a_fault_of_the_others_is_told_with_their_file(tmp_path: Path) -> None:
    broken = WHOLE.replace("0.06", "-1")
    tools = shelf(tmp_path, whole=broken, own='format = 1\nlike = "whole"\n')
    (line,) = refused(tools / "own.toml")
    assert "whole.toml: fence_u_mm: out of range" in line


def test_a_file_that_leaves_out_much_is_told_the_line_that_gives_it(tmp_path: Path) -> None:
    tools = shelf(tmp_path, mine='format = 1\nsheets = ["a5"]\n')
    first, second = refused(tools / "mine.toml")
    assert "sheets[1]: is no sheet's name; read 'a5'; allowed: letter, a4, 12x12, a3" in first
    assert 'write sheets = ["a4", ["450 mm", "640 mm"]]' in first
    assert "score_u_mm, fence_u_mm, cut_u_mm, joint_mm and joint_u_mm: missing" in second
    assert 'add like = "score-board-metric"' in second
    (tools / "mine.toml").write_text('format = 1\nlike = "score-board-metric"\nsheets = ["a3"]\n')
    assert read_tools(tools / "mine.toml").sheets[0].length_mm == 420.0


@pytest.mark.parametrize("sheets", ['"a3"', "[297, 420]", '["297 mm", "420 mm"]'])
def test_one_sheet_without_its_list_is_told_how_a_list_is_written(
    tmp_path: Path, sheets: str
) -> None:
    (line,) = refused(shelf(tmp_path, mine=f"{WHOLE}sheets = {sheets}\n") / "mine.toml")
    assert "sheets: is one sheet; read" in line
    assert 'write sheets = ["a4", ["450 mm", "640 mm"]]' in line


def test_what_a_caution_says_to_write_is_read_and_does_it(tmp_path: Path) -> None:
    """The lines as they are told, in an empty folder: A3 holds 80 x 418 mm."""
    models = tmp_path / "models"
    models.mkdir()
    (models / "pens.toml").write_text(PEN_CASE)
    told = fitcheck_here("check", "pens", "--no-odds", cwd=tmp_path).out
    told = re.sub(r"\s+", " ", told)
    path = re.search(r"write in (\S+) the lines (format = 1), (like = \S+), (sheets = .*?\])", told)
    assert path is not None, told
    file = tmp_path / path[1]
    file.parent.mkdir(parents=True)
    file.write_text("\n".join((path[2], path[3], path[4])) + "\n")
    (models / "pens.toml").write_text(PEN_CASE.replace("[base]", 'tools = "my-sheets"\n[base]'))
    ran = fitcheck_here("check", "pens", "--no-odds", cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert "cannot be cut" not in ran.out
