"""Drafts are kept whole in the workspace, each by itself, and bounded."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from fitcheck.bench.kept_drafts import MOST_BYTES, MOST_DRAFTS, KeptDrafts
from fitcheck.errors import InputError


def test_each_is_kept_until_it_is_let_go(tmp_path: Path) -> None:
    drafts = KeptDrafts(tmp_path)
    assert drafts.all() == {}
    drafts.put("box", {"text": "[base]\n", "version": "1"})
    drafts.put("measure paper ivory", {"readings": ["0,31"]})
    drafts.put("box", {"text": "[lid]\n", "version": "1"})
    again = KeptDrafts(tmp_path)
    assert again.all() == {
        "measure paper ivory": {"readings": ["0,31"]},
        "box": {"text": "[lid]\n", "version": "1"},
    }
    again.put("box", None)
    again.put("box", None)
    assert list(drafts.all()) == ["measure paper ivory"]


def test_many_at_once_lose_nothing(tmp_path: Path) -> None:
    drafts = KeptDrafts(tmp_path)
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda k: drafts.put(f"box {k}", {"k": k}), range(40)))
    assert drafts.all() == {f"box {k}": {"k": k} for k in range(40)} | drafts.all()
    assert len(drafts.all()) == 40


def test_they_are_bounded_and_the_oldest_go(tmp_path: Path) -> None:
    drafts = KeptDrafts(tmp_path)
    for k in range(MOST_DRAFTS + 3):
        drafts.put(f"box {k}", {"k": k})
    assert len(drafts.all()) == MOST_DRAFTS and "box 2" not in drafts.all()
    drafts.put("large", {"text": "x" * (MOST_BYTES - 2000)})
    assert "large" in drafts.all() and drafts.path.stat().st_size <= MOST_BYTES
    with pytest.raises(InputError, match="too long"):
        drafts.put("larger", {"text": "x" * MOST_BYTES})
    assert "large" in drafts.all()


@pytest.mark.parametrize("text", ["", "[1, 2]", "{", "null", "[" * 100_000])
def test_a_file_that_holds_something_else_is_none(tmp_path: Path, text: str) -> None:
    drafts = KeptDrafts(tmp_path)
    drafts.path.parent.mkdir()
    drafts.path.write_text(text)
    assert drafts.all() == {}
    drafts.put("box", {"text": ""})
    assert drafts.all() == {"box": {"text": ""}}
