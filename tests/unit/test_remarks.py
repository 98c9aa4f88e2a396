"""Findings about folds and presses name every panel that they are about, and the right numbers."""

from __future__ import annotations

import math
from types import SimpleNamespace

import pytest

from fitcheck.findings import Severity
from fitcheck.fit.assembly import make_part
from fitcheck.fit.remarks import fold_findings, press_findings
from fitcheck.fit.selffit import Press
from fitcheck.fit.trims import Trim
from fitcheck.units import Unit
from tests.boxes import shadow_box, tray

PART = SimpleNamespace(recipe=SimpleNamespace(part="base"), folded=SimpleNamespace(rolls=()))


def test_a_flap_that_is_too_long_is_told_with_what_to_cut() -> None:
    """By arithmetic: f = w is t - a = 0.13 mm longer than upright walls allow."""
    wide = shadow_box(flap=9.525)
    found = [f for f in fold_findings(make_part(wide), Unit.MM) if f.code == "roll-foot-in"]
    push = wide.stock.caliper_mm + wide.joint_mm
    # the pair that carries the tabs stands upright; the other is pushed out by p = t + g as well
    assert found
    trim = max(f.numbers["trim_mm"] for f in found)
    assert trim == pytest.approx(wide.bite_mm + push, abs=0.01)
    assert {f.severity for f in found} == {Severity.NOTE}
    assert list(fold_findings(make_part(shadow_box()), Unit.MM)) == []


@pytest.mark.parametrize(("excess", "way"), [(0.7, "higher"), (-0.7, "lower")])
def test_a_frame_that_tilts_is_told_with_its_way(excess: float, way: str) -> None:
    level = shadow_box()
    part = make_part(shadow_box(inner_wall=level.inner_wall_mm + excess))
    tilts = [f for f in fold_findings(part, Unit.MM) if f.code == "frame-tilts"]
    assert tilts
    for finding in tilts:
        assert way in finding.message
        assert finding.numbers["rise_mm"] == pytest.approx(excess, abs=0.06)


def test_a_lean_is_told_in_degrees() -> None:
    """A setback of s where t + g would do leans the wall by t + g - s over its height."""
    recipe = tray(setback=1.5)
    (found,) = fold_findings(make_part(recipe), Unit.MM)
    push = recipe.stock.caliper_mm + recipe.joint_mm - 1.5
    lean = math.degrees(math.atan(abs(push) / recipe.depth_mm))
    assert found.code == "wall-leans"
    assert found.numbers["lean_deg"] == pytest.approx(lean, rel=0.05)
    assert list(fold_findings(make_part(tray(setback=0.9)), Unit.MM)) == []


def press(one: str, other: str, mm: float, trim: Trim | None) -> Press:
    return Press((one, other), mm, trim)


def test_presses_are_grouped_by_the_cut_that_frees_them() -> None:
    presses = (
        press("left tab", "front wall", 0.9, Trim("left tab", 1.25)),
        press("left tab", "floor", 0.5, Trim("left tab", 2.5)),
        press("right tab", "front wall", 0.9, Trim("right tab", 2.5)),
        press("left wall / left frame", "back frame", 0.2, None),
        press("a", "b", 0.9, Trim("third tab", 2.5)),
    )
    found = list(press_findings(PART, presses, Unit.MM))  # type: ignore[arg-type]
    assert len(found) == 2
    first, second = found
    # the deepest cut of a panel frees all that presses on it; three panels take the same cut
    assert "2.5 mm" in first.message and "left tab, right tab and third tab" in first.message
    assert first.numbers == {"press_mm": 0.9} and first.severity is Severity.FAULT
    assert "crease between left wall and left frame" in second.message
    assert second.severity is Severity.NOTE and "cut" not in second.message
