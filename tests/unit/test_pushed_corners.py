"""A wall that its glued tabs push further than it is high is refused, whichever way they push."""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import pytest

from fitcheck.errors import InputError, ModelError
from fitcheck.fit.assembly import assemble
from fitcheck.folding.fold import fold
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.profile_files import find_stock
from fitcheck.styles import draw
from fitcheck.styles.walled import WalledRecipe as Recipe
from tests.unit.samples import ROOTS, lines_of, read

TEXT = find_stock("text-80", ROOTS)
LOW = """\
format = 1
title = "Low tray"
unit = "mm"
joint = 5
[base]
style = "tray"
stock = "text-80"
floor = [30, 5]
depth = 5
"""


def test_a_joint_thicker_than_the_wall_is_high_is_a_line(tmp_path: Path) -> None:
    """p = t + g - s (a gap is filled by what is in it), here a caliper and 5 mm beside 5 mm."""
    (line,) = lines_of(tmp_path, LOW)
    assert "base.depth: is lower than its glued corners push its walls out" in line
    assert "read 5.00 mm (3/16 in)" in line and f"{TEXT.caliper_mm + 5.0:.2f} mm" in line


def test_tabs_set_back_further_than_the_wall_is_high_are_a_line(tmp_path: Path) -> None:
    text = LOW.replace("joint = 5", "joint = 0").replace("[30, 5]", "[30, 40]")
    (line,) = lines_of(tmp_path, text + "tab_setback = 12\n")
    assert "base.depth: is lower than its glued corners push its walls in" in line
    assert f"{12.0 - TEXT.caliper_mm:.2f} mm" in line


@pytest.mark.parametrize("depth", [4.9, 5.0, 6.0])
def test_nearly_as_much_is_told_by_the_folding(tmp_path: Path, depth: float) -> None:
    design = read(
        tmp_path, LOW.replace("joint = 5", "joint = 4.7").replace("depth = 5", f"depth = {depth}")
    )
    with pytest.raises(InputError, match=r"base: .*(cannot lean|would lean)"):
        assemble(design)


def test_every_joint_and_setback_folds_or_is_refused() -> None:
    """Where it folds, the rim stands as far out as the tabs push it: sin of its lean times height.

    The wall turns about its crease; to first order in the caliper its rim moves by its height times
    the sine of its lean, which has to be t + g - s. The tolerance is two calipers: what the crease
    itself takes up as it turns.
    """
    folded = 0
    for joint, setback, depth in itertools.product(
        (0.0, 0.7, 2.3, 5.0), (0.0, 0.4, 3.1, 9.0), (1.5, 3.7, 8.2)
    ):
        recipe = Recipe(
            part="base",
            style="tray",
            stock=TEXT,
            width_mm=31.0,
            length_mm=47.0,
            depth_mm=depth,
            joint_mm=joint,
            tabs=Axis.LENGTH,
            tab_setback_mm=setback,
        )
        try:
            part = fold(draw(recipe), TEXT.crease, joint)
        except ModelError:
            continue
        folded += 1
        push = TEXT.caliper_mm + joint - setback
        for wall, lean in part.leans_deg.items():
            assert depth * math.sin(math.radians(lean)) == pytest.approx(
                push, abs=2 * TEXT.caliper_mm
            ), wall
    assert folded >= 10
