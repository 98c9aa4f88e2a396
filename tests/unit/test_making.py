"""The making of a box in states: every crease turns once, in the order of the steps."""

from __future__ import annotations

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.outputs.report.making import FOLDED, making_of
from tests.cli.commands import ROOT

MODELS = sorted(p.stem for p in (ROOT / "models").glob("*.toml") if p.stem != "items")


def checked(name: str) -> Check:
    return check(read_design(ROOT / "models" / f"{name}.toml"))


@pytest.mark.parametrize("name", MODELS)
def test_every_crease_turns_in_one_stretch_and_the_box_ends_closed(name: str) -> None:
    found = checked(name)
    making = making_of(found)
    shares = [state.share for state in making.states]
    assert shares == sorted(shares) and shares[0] == 0.0 and shares[-1] == 1.0
    assert all(state.words for state in making.states)
    for part in found.assembly.parts:
        own = making.windows[part.recipe.part]
        assert set(own) == {line.child for line in part.pattern.creases}
        for start, stop in own.values():
            assert 0.0 <= start < stop <= 1.0
            # some state ends where the stretch ends, so that a step shows it done
            assert any(abs(s / FOLDED - stop) < 1e-9 or s == 1.0 for s in shares)
    assert sum(state.filled for state in making.states) == bool(found.contents)


def test_walls_are_glued_before_they_are_rolled_and_the_lid_closes_last() -> None:
    framed = making_of(checked("harbour")).windows["base"]
    assert framed["front wall"] < framed["front flap"] < framed["left flap"]
    carton = making_of(checked("whist"))
    own = carton.windows["base"]
    filled = next(state.share for state in carton.states if state.filled)
    assert own["bottom tuck flap"][1] * FOLDED == pytest.approx(filled)
    assert own["tuck flap"][0] * FOLDED == pytest.approx(filled)
