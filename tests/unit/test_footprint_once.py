"""A base that is sized round its contents is sized once, whatever else of the design changes."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.errors import InputError
from fitcheck.fit import footprint, rooms
from fitcheck.fit.check import check
from tests.agreement.test_suggest_parts import read

TEXT = """format = 1
title = "A box of boat biscuits"
unit = "mm"
[base]
style = "tray"
stock = "index-170"
slack = 3
depth = {depth}
[lid]
style = "tray"
stock = "index-170"
oversize = [{wider}, 2]
depth = 20
[[content]]
item = "deck-poker"
lay = "flat"
count = {count}
"""


def test_contents_are_arranged_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another lid asks for no other floor; another depth, or one deck more, does."""
    first = check(read(tmp_path, TEXT.format(depth=26, wider=2, count=2)))
    asked = []

    def refuse(*_: object) -> None:
        asked.append(1)
        raise InputError("asked again")

    monkeypatch.setattr(footprint, "arrange", refuse)
    again = check(read(tmp_path, TEXT.format(depth=26, wider=3, count=2)))
    assert not asked
    assert again.assembly.base.recipe == first.assembly.base.recipe
    for other in (TEXT.format(depth=30, wider=2, count=2), TEXT.format(depth=26, wider=2, count=3)):
        with pytest.raises(InputError, match="asked again"):
            check(read(tmp_path, other))
    assert len(asked) == 2


def test_no_whole_box_is_folded_where_the_base_holds_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two decks lie below a rim at 27 mm: how high the lid stands over it is not asked."""

    def refuse(*_: object) -> None:
        raise AssertionError("a whole box was folded to size its floor")

    monkeypatch.setattr(rooms, "heights_in", refuse)
    assert check(read(tmp_path, TEXT.format(depth=27, wider=2, count=2))).contents[0].placements


def test_what_no_room_holds_is_said_again(tmp_path: Path) -> None:
    """A deck of cards is higher than 8 mm (common practice, no source), under a lid of 8 mm too."""
    text = TEXT.format(depth=8, wider=2, count=2).replace("depth = 20", "depth = 8")
    for _ in range(2):
        with pytest.raises(InputError, match="could not be arranged"):
            check(read(tmp_path, text))
