"""The guide is run: every command of every chapter, and what it prints."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fitcheck.outputs.guide import chapters, heading
from tests.cli.commands import fitcheck
from tests.guide_runs import agrees, run_chapter

CHAPTERS = chapters()


def test_six_chapters_for_makers_one_for_the_curious_and_one_for_who_writes_a_style() -> None:
    assert len(CHAPTERS) == 8
    assert list(CHAPTERS)[-2:] == ["how-it-is-computed", "a-style-of-your-own"]


@pytest.mark.parametrize("name", CHAPTERS)
def test_what_a_chapter_shows_is_what_happens(name: str, tmp_path: Path) -> None:
    shown = list(run_chapter(CHAPTERS[name], tmp_path))
    assert shown
    for one in shown:
        assert one.error == "", one.command
        assert agrees(one), (one.command, one.printed[:30])


def test_chapters_are_listed_and_read_by_name_or_number(tmp_path: Path) -> None:
    listed = fitcheck("guide", cwd=tmp_path)
    assert listed.status == 0
    for number, (name, text) in enumerate(CHAPTERS.items(), start=1):
        assert re.search(
            rf"^{number}  {name} +{re.escape(heading(text))}$", listed.out, re.MULTILINE
        )
        for asked in (name, str(number)):
            assert fitcheck("guide", asked, cwd=tmp_path).out == text


def test_an_unknown_chapter_is_a_line(tmp_path: Path) -> None:
    ran = fitcheck("guide", "first-bax", cwd=tmp_path)
    assert ran.status == 2 and ran.out == "" and ran.err.count("\n") == 1
    assert "read 'first-bax'" in ran.err and "first-box" in ran.err


def test_blades_prints_and_small_parts_are_cautioned_of() -> None:
    text = " ".join(CHAPTERS.values())
    for words in (
        "Cut away from the hand",
        "adults cut for children",
        "choking hazard",
        "hot ends",
    ):
        assert words in text


def test_a_class_is_asked_with_tools_less_sure_and_its_odds_told(tmp_path: Path) -> None:
    """What the chapter says it asks: other tools and nothing else, in boxes out of 100."""
    ran = run_chapter(CHAPTERS["a-class-of-thirty"], tmp_path)
    (asked,) = (one for one in ran if one.command.startswith("compare"))
    assert "of 100 come out right" in asked.printed[0]
    start, end = (asked.printed.index(title) for title in ("what changed", "what it did"))
    (changed,) = asked.printed[start + 2 : end - 1]
    assert changed.split()[:4] == ["box", "board", "and", "trimmer"]
    # hands twice as unsure make fewer right boxes
    before, after = re.findall(r"[0-9]+", asked.printed[0])[:2]
    assert int(after) < int(before)
