"""A lid whose slide is known is read from where that slide left it."""

from __future__ import annotations

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.lid_readings import lid_reader
from tests.cli.commands import FRAMED, ROOT

MODELS = ROOT / "models"


@pytest.mark.parametrize(
    "path", [FRAMED, *(MODELS / f"{name}.toml" for name in ("decks", "lantern", "rope"))]
)
def test_the_middle_of_its_play_is_found_by_two_ways(path: object) -> None:
    """The other way reads every pair that stops it and takes the middle of the nearest."""
    found = check(read_design(path, roots=[ROOT]))
    base, lid = found.assembly.base, found.assembly.lid
    assert lid is not None and found.lid is not None and found.lid.slide.free
    known = lid_reader(base.folded, lid.folded, found.lid.slide)
    anew = lid_reader(base.folded, lid.folded)
    assert np.allclose(known.slide.at, anew.slide.at, rtol=0.0, atol=1e-9)
    assert (known.slide.path == anew.slide.path).all()
