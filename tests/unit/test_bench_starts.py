"""A part that is added or restyled on the page can be read at once, in every style and place."""

from __future__ import annotations

import pytest

from fitcheck.bench.drafts import Change, Draft, changed
from fitcheck.bench.tasks import look
from fitcheck.styles import STYLES
from fitcheck.styles.places import PLACES
from tests.served import SMALL

RESTYLED = [
    (place.name, style.name)
    for place in PLACES
    for style in STYLES.own
    if place.name in style.places
]
ALONE = SMALL.partition("[lid]")[0]
INCHES = ALONE.replace('"mm"', '"in"').replace("metric", "inch")
INCHES = INCHES.replace("[60, 40]", '["2 1/2", "1 3/4"]').replace("= 20", '= "3/4"')


@pytest.mark.parametrize("text", [ALONE, INCHES], ids=["mm", "in"])
@pytest.mark.parametrize(("place", "style"), RESTYLED)
def test_it_is_a_design_that_can_be_read(place: str, style: str, text: str) -> None:
    if place == "base":
        change = Change(at=["base", "style"], value=style)
    else:
        change = Change(at=[place], table={"style": style, "stock": "cardstock-270"})
    found = look(Draft(name="tried", text=text, changes=[change]), lambda event: None)
    assert not found["problems"], found["text"]
    assert found["verdict"]["verdict"]
    assert f'style = "{style}"' in found["text"] and "# a box for buttons" in found["text"]


def test_what_a_style_does_not_know_goes_and_the_rest_stays() -> None:
    framed = changed(
        Draft(name="tried", text=SMALL, changes=[Change(at=["base", "style"], value="shadow-box")])
    )
    assert "frame = 10" in framed and "flap = 10" in framed and "floor = [60, 40]" in framed
    again = changed(
        Draft(name="tried", text=framed, changes=[Change(at=["base", "style"], value="tray")])
    )
    assert again == SMALL
