"""A floor sized round what goes in counts with the height that the whole box leaves it.

Heights are sums of the walls' own lengths, known but for the papers' thickness; sizes are added up
by hand.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.fit.check import check
from fitcheck.fit.contents import ContentVerdict

PAPERS_MM = 0.7
"""Two floors of 0.33 mm: what walls' lengths leave open of a height inside."""
POT = 'kind = "cylinder"\nsize = [80, 95]'
SOAP = 'kind = "block"\nsize = [50, 40, 30]'
BRICK = 'kind = "block"\nsize = [60, 50, 95]'
COLLAR = '[collar]\nstyle = "collar"\nstock = "cardstock-270"\nease = 1.5\nrise = 30\n'
PLATFORM = '[insert]\nstyle = "platform"\nstock = "cardstock-270"\nlegs = 20\nease = 1\n'
SLEEVE = '[sleeve]\nstyle = "sleeve"\nstock = "cardstock-270"\nease = [2, 20]\n'


def lid(depth: float, oversize: float) -> str:
    return (
        f'[lid]\nstyle = "tray"\nstock = "cardstock-270"\noversize = {oversize}\ndepth = {depth}\n'
    )


def written(folder: Path, item: str, depth: float, more: str, content: str) -> Design:
    models = folder / "models"
    models.mkdir(exist_ok=True)
    (models / "items.toml").write_text(f'format = 1\n[it]\n{item}\nsource = "for a test"\n')
    (models / "box.toml").write_text(
        'format = 1\ntitle = "t"\nunit = "mm"\ntools = "score-board-metric"\n[base]\n'
        f'style = "tray"\nstock = "cardstock-270"\nslack = 3\ndepth = {depth}\n{more}'
        f'[[content]]\nitem = "it"\n{content}\n'
    )
    return read_design(models / "box.toml")


@pytest.mark.parametrize(
    ("more", "count", "room_mm"),
    [
        pytest.param(COLLAR + lid(40, 0), 1, 60 + 40, id="rim on rim round a collar"),
        pytest.param(COLLAR + lid(40, 0), 2, 60 + 40, id="two beside each other"),
        pytest.param(lid(100, 2), 1, 100, id="a lid that stands on the table"),
    ],
)
def test_a_pot_stands_up_into_its_lid(
    tmp_path: Path, more: str, count: int, room_mm: float
) -> None:
    """95 mm high in walls of 60 mm, with room above them: 3 mm are left round 80 mm."""
    found = check(written(tmp_path, POT, 60, more, f'count = {count}\nlay = "end"'))
    (fit,) = found.contents
    assert fit.verdict is ContentVerdict.FITS and fit.slack is not None
    assert sorted(found.assembly.base.sizes.inside_mm) == pytest.approx(
        [80 + 3, count * 80 + 3], abs=0.05
    )
    assert fit.slack.height_mm == pytest.approx(room_mm - 95, abs=PAPERS_MM)


def test_a_lid_too_low_for_it_is_still_said_with_the_room_it_leaves(tmp_path: Path) -> None:
    """A collar of 60 + 30 mm holds the lid of 25 at 90 mm, not at 95."""
    design = written(tmp_path, POT, 60, COLLAR + lid(25, 0), 'lay = "end"')
    with pytest.raises(InputError, match=r"arranged in a room (89|90)\.\d\d mm high"):
        check(design)


def test_what_stands_on_a_platform_has_the_height_over_it(tmp_path: Path) -> None:
    """Two cakes of 30 mm are no pile in 70 less 20; beside each other they take 80 by 50."""
    found = check(written(tmp_path, SOAP, 70, PLATFORM + lid(25, 2), 'count = 2\nlay = "flat"'))
    (fit,) = found.contents
    assert fit.verdict is ContentVerdict.FITS and fit.slack is not None
    assert sorted(found.assembly.base.sizes.inside_mm) == pytest.approx([53, 83], abs=0.05)
    assert fit.slack.height_mm == pytest.approx(70 - 20 - 30, abs=2 * PAPERS_MM)


def test_what_lies_in_a_drawer_has_the_height_of_its_sleeve(tmp_path: Path) -> None:
    """A brick of 60 x 50 x 95 mm in walls of 40 mm under 60: it goes in with 50 mm upright only.

    Standing up it takes least of the floor, and meets the sleeve.
    """
    found = check(written(tmp_path, BRICK, 40, SLEEVE, 'lay = "any"'))
    (fit,) = found.contents
    assert fit.verdict is ContentVerdict.FITS and fit.slack is not None
    assert sorted(found.assembly.base.sizes.inside_mm) == pytest.approx([63, 98], abs=0.05)
    assert fit.slack.height_mm == pytest.approx(60 - 50, abs=2 * PAPERS_MM)
