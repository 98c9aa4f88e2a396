"""What is offered in place of something too large is taken when it is given back as it was told.

Nothing of the program tells whether: the very words are read from the line and given to it again.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fitcheck.design.described import DescribedItems, described
from fitcheck.errors import InputError
from fitcheck.proposals.plans import PLANS
from fitcheck.proposals.proposal import proposed
from fitcheck.proposals.wish import Sits, Wish
from fitcheck.units import Unit
from fitcheck.workspace.size_texts import read_sizes

ROOT = Path(__file__).resolve().parents[2]

SIZES = r"[\d /.x]+"
TOOLS = {Unit.IN: "score-board-inch", Unit.MM: "score-board-metric"}
NO_OFFER = {"dividers"}
"""It takes three pieces or more, and of those that are too large fewer are not offered."""


def propose(style: str, unit: Unit, *, item: str | None = None, room: str | None = None) -> None:
    own, room_mm = None, None
    items: tuple[tuple[str, int], ...] = ()
    if item is not None:
        own = DescribedItems(Path("items.toml"), (described(item, Path("i"), Path(), "-"),)).tables
        items = ((item.partition("=")[0], 1),)
    else:
        width, length, height = read_sizes(room or "").mm
        room_mm = width, length, height
    stocks = {"base": "cardstock-270"}
    wish = Wish("it", style, unit, TOOLS[unit], stocks, items, Sits.SLIDES, room_mm)
    proposed(wish, [ROOT], own)


@pytest.mark.parametrize(
    ("style", "unit", "thing"),
    [
        ("tray", Unit.IN, "block 3 x 1 x 11 in"),
        ("tuck-end", Unit.IN, "cylinder 60 x 210 mm"),
        *((style, Unit.MM, "block 72 x 30 x 290 mm") for style in PLANS if style not in NO_OFFER),
    ],
)
def test_what_is_offered_is_taken(style: str, unit: Unit, thing: str) -> None:
    """A sheet of 12 x 12 in is 304.8 mm: walls beside 279.4 or 290 mm are too much for it."""
    with pytest.raises(InputError) as refused:
        propose(style, unit, item=f"oar={thing}")
    offered = re.search(rf"such as what takes ({SIZES} \w+) \(({SIZES} \w+)\);", str(refused.value))
    assert offered is not None, refused.value
    for sizes in offered.groups():
        propose(style, unit, item=f"less=block {sizes}")
        if style not in ("mat", "platform"):  # they are cut round a thing
            propose(style, unit, room=sizes)
