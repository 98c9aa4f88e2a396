"""What is told of slices before they are cut holds for those that are cut, however they lie."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from tests.cli.commands import FRAMED, ROOT

HARDLY_MM = 0.02
MODELS = ROOT / "models"
TURNS = {
    "as it is": np.eye(3),
    "on its side": Rotation.from_euler("x", 90, degrees=True).as_matrix(),
    "aslant": Rotation.from_euler("xyz", [17, -40, 113], degrees=True).as_matrix(),
}


@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize("path", [FRAMED, MODELS / "lantern.toml", MODELS / "whist.toml"])
def test_pieces_lie_where_they_are_said_to_and_about_there(path: Path, turn: str) -> None:
    """Corners of the pieces themselves are the other route."""
    found = check(read_design(path, roots=[ROOT]))
    for part in found.assembly.parts:
        pieces = part.folded.pieces.turned(TURNS[turn])
        rows = np.arange(len(pieces))[::-1]
        corners = [pieces[k].vertices for k in rows.tolist()]
        level = wide = 0
        for axis in range(3):
            low, high = pieces.about(rows, axis)
            least = np.array([own[:, axis].min() for own in corners])
            most = np.array([own[:, axis].max() for own in corners])
            assert (low <= least).all() and (high >= most).all()
            near = np.maximum(least - low, high - most) < HARDLY_MM
            level += near.sum()
            wide += (~near).sum()
            exact = [own[:, axis] for own in pieces.bounds_of(rows)]
            assert np.allclose(exact, [least, most], rtol=0.0, atol=1e-9)
        # ends that are slanted are told as those of the whole bend
        assert level > wide
