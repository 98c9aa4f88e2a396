"""Words at the bench: alike things once, how a ball lies, counts of things, a setback and its hair.

All is common practice, no source: literal expectations of words.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.fit.upright import advised
from fitcheck.outputs.publish.film import cues
from fitcheck.outputs.words import WORDS, explained
from fitcheck.sheet.job import sheet_job

PAPER = 'stock = "cover-100"\n'
HEAD = 'format = 1\ntitle = "Sea glass"\nunit = "mm"\n'
SQUARE = (
    f'{HEAD}[base]\nstyle = "tray"\n{PAPER}floor = [80, {{long}}]\ndepth = 40\n'
    f'[lid]\nstyle = "tray"\n{PAPER}oversize = 1.5\ndepth = 30\n'
)
CONTENT = '[[content]]\nitem = "{item}"\ncount = {count}\nlay = "flat"\n'
ITEMS = """format = 1
[pebble]
kind = "sphere"
size = [30]
source = "invented for tests"
[dice]
kind = "block"
size = [16, 16, 16]
source = "invented for tests"
[shard]
kind = "block"
size = [30, 20, 8]
source = "invented for tests"
"""


def design(folder: Path, text: str) -> Design:
    (folder / "models").mkdir()
    (folder / "models" / "items.toml").write_text(ITEMS)
    (folder / "models" / "glass.toml").write_text(text)
    return read_design(folder / "models" / "glass.toml")


@pytest.mark.parametrize(("long", "alike"), [(80, True), (95, False)])
def test_four_pieces_alike_are_told_once(long: int, alike: bool, tmp_path: Path) -> None:
    around = sheet_job(design(tmp_path, SQUARE.format(long=long)), Paper.A4, (), 1).around
    told = [
        line.partition(": ")[2] for line in around if line.startswith(("liners for the", "mats"))
    ]
    assert len(told) == 2
    for line in told:
        # the corners of a square box push two of its walls out by less than a step of these
        assert line.startswith("four " if alike else "two ")
        assert (" and two " in line) != alike


@pytest.mark.parametrize(
    ("item", "words"),
    [
        ("pebble", "Put the contents in: 2 x pebble."),
        ("dice", "Put the contents in: 2 x dice."),
        ("shard", "Put the contents in: 2 x shard, flat."),
    ],
)
def test_what_lies_alike_any_way_is_not_told_to_lie(item: str, words: str, tmp_path: Path) -> None:
    """A ball and a cube have no flat side that others are not."""
    text = SQUARE.format(long=95) + CONTENT.format(item=item, count=2)
    job = sheet_job(design(tmp_path, text), Paper.A4, (), 1)
    assert job.together[0].text == words
    assert any(f"2 x {item}" in cue.line for cue in cues(job))


def test_a_setback_that_is_advised_is_told_as_the_steps_do(tmp_path: Path) -> None:
    """Walls of 6 mm lean on what their tabs and tape take: 0.267 + 0.1 = 0.367 mm, told as 0.37."""
    low = (
        SQUARE.format(long=95).replace("depth = 40", "depth = 6").replace("depth = 30", "depth = 5")
    )
    found = advised(check(design(tmp_path, low)))
    told = [one.message for one in found if "tab_setback 0.37 mm" in one.message]
    assert told and all("the steps tell so small a setback as a hair" in one for one in told)


@pytest.mark.parametrize("word", ["mat", "mats", "window", "windows", "flat", "lay"])
def test_words_that_designs_use_are_explained(word: str) -> None:
    found = explained(word)
    assert found is not None and found[0] == word.removesuffix("s")
    assert list(WORDS) == sorted(WORDS)
