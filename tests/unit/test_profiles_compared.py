"""What is shown beside a newly learnt value: what the old profile had, as a plain subtraction."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from fitcheck.learn.bench_readings import Kind
from fitcheck.learn.compare import Change, changes
from fitcheck.learn.learning import Property
from fitcheck.learn.session import Outcome
from fitcheck.stock.paper import Stock
from fitcheck.stock.printer import Printer
from tests.boxes import paper

PRINTER = Printer(
    "old",
    scale_x=1.004,
    scale_x_u=0.0007,
    scale_y=0.998,
    scale_y_u=0.0009,
    scale_z=1.001,
    scale_z_u=0.0011,
    outside_offset_mm=0.05,
    outside_offset_u_mm=0.013,
    hole_offset_mm=0.07,
    hole_offset_u_mm=0.017,
    first_layer_mm=0.11,
    first_layer_u_mm=0.019,
    height_offset_mm=-0.03,
    height_offset_u_mm=0.023,
)


def beside(kind: Kind, old: Stock | Printer | None, *names: str) -> dict[str, Any]:
    """What each learnt property is put beside."""
    found = [Property(name, 1.0, 0.1, kept=False) for name in names]
    learnt = SimpleNamespace(properties=tuple(found), kind=kind)
    outcome: Any = SimpleNamespace(kind=kind, old=old, learnt=learnt)
    listed: Outcome = outcome
    return {change.found.name: change.before for change in changes(listed)}


def test_a_printer_s_scale_was_an_error_and_its_offsets_are_as_they_were() -> None:
    """A factor of 1.004 is 0.4 % too large: learnt scales are errors, kept ones are factors."""
    names = ("scale_x", "scale_y", "scale_z", "outside_offset_mm", "hole_offset_mm")
    found = beside(Kind.PRINTER, PRINTER, *names, "first_layer_mm", "height_offset_mm")
    assert found == {
        "scale_x": pytest.approx((0.004, 0.0007)),
        "scale_y": pytest.approx((-0.002, 0.0009)),
        "scale_z": pytest.approx((0.001, 0.0011)),
        "outside_offset_mm": (0.05, 0.013),
        "hole_offset_mm": (0.07, 0.017),
        "first_layer_mm": (0.11, 0.019),
        "height_offset_mm": (-0.03, 0.023),
    }
    assert beside(Kind.PRINTER, None, "scale_x") == {"scale_x": None}


def test_a_paper_s_values_stand_beside_its_own() -> None:
    old = replace(paper(0.33, 0.21), caliper_u_mm=0.007, crease_allowance_u_mm=0.013)
    names = ("caliper", "crease allowance", "corner give", "board scale", "fence offset")
    assert beside(Kind.STOCK, old, *names, "joint", "hem extent") == {
        "caliper": (0.33, 0.007),
        "crease allowance": (0.21, 0.013),
        "corner give": None,
        "board scale": None,
        "fence offset": None,
    }
    given = replace(old, corner_give=0.8, corner_give_u=0.05)
    assert beside(Kind.STOCK, given, "corner give") == {"corner give": (0.8, 0.05)}
    # one allowance was known: each way of the grain stands beside it
    both = beside(Kind.STOCK, old, "allowance along", "allowance across")
    assert set(both.values()) == {(0.21, 0.013)}


@pytest.mark.parametrize(
    ("before", "kept", "disagrees"),
    [
        # 3 and 4 make 5 (a right triangle): twice that is 10
        ((1.0 - 10.1, 4.0), False, True),
        ((1.0 + 10.1, 4.0), False, True),
        ((1.0 - 9.9, 4.0), False, False),
        ((1.0 + 9.9, 4.0), False, False),
        ((1.0 + 50.0, 4.0), True, False),
        (None, False, False),
    ],
)
def test_values_disagree_beyond_twice_their_joint_uncertainty(
    before: tuple[float, float] | None, kept: bool, disagrees: bool
) -> None:
    assert Change(Property("x", 1.0, 3.0, kept), before).disagrees == disagrees
