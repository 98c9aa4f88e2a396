"""Every command that writes is killed at every step on the disk: old or new, and nothing by halves.

After the kill another command writes into one of the folders; then the whole set has to be the old
one or the new one, the user's files as they were, and nothing left over. A few points of each
command by default, all of them in the long tier.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.crash.scenes import SCENES, Scene
from tests.crash.trial import Tally, killed, points_of, ready
from tests.crash.warm import Kept, slow_once

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="commands run in forked copies")
FEW = 5


@pytest.fixture(scope="module")
def slow() -> Iterator[Kept]:
    with slow_once() as kept:
        yield kept


def names(scene: Scene) -> str:
    return scene.name


@pytest.mark.parametrize("scene", SCENES, ids=names)
def test_a_few_kills_of_each_command(scene: Scene, slow: Kept, tmp_path: Path) -> None:
    here = ready(scene, tmp_path, slow)
    points = list(points_of(here.steps))
    tally = Tally()
    for k in range(FEW):
        killed(here, tmp_path, slow, points[(len(points) - 1) * k // (FEW - 1)], tally)
    assert tally.faults == []


@pytest.mark.long
@pytest.mark.parametrize("scene", SCENES, ids=names)
def test_kills_at_every_step_of_each_command(scene: Scene, slow: Kept, tmp_path: Path) -> None:
    here = ready(scene, tmp_path, slow)
    tally = Tally()
    for point in points_of(here.steps):
        killed(here, tmp_path, slow, point, tally)
    print(f"\n{scene.name}: {tally.points} kills, {tally.half} half at first, {len(tally.faults)}")
    assert tally.points >= 4 and tally.faults == []
