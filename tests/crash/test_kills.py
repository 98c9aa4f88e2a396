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

READERS = {"list", "schema", "explain", "guide", "bench"}
"""The commands that only read, and the one that serves: what it writes is killed by itself in
test_shelf_kills, and all else it lets these commands do."""
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="commands run in forked copies")
QUICK = [
    scene
    for scene in SCENES
    if scene.name
    in {"check again", "sheet", "sheet again", "sheet, pages gone", "dummy",
        "coupon again", "gauge", "suggest again",
        "demo beside", "learn again", "learn, all aside", "record again", "record, frozen",
        "forecast again", "compare again", "new", "new, described", "publish again"}
]  # fmt: skip


@pytest.fixture(scope="module")
def quick() -> Iterator[Kept]:
    with slow_once(solids=False) as kept:
        yield kept


@pytest.fixture(scope="module")
def slow() -> Iterator[Kept]:
    with slow_once(solids=True) as kept:
        yield kept


def names(scene: Scene) -> str:
    return scene.name


def test_every_command_is_among_them() -> None:
    """All but those that only read, and `bench`."""
    from fitcheck.cli.main import app

    commands = {command.name for command in app.registered_commands} - READERS
    assert commands == {scene.command[0] for scene in SCENES}
    assert commands == {scene.command[0] for scene in QUICK}


@pytest.mark.parametrize("scene", QUICK, ids=names)
def test_a_few_kills_of_each_command(scene: Scene, quick: Kept, tmp_path: Path) -> None:
    """At the first step, between the moves of a set, and at the last step."""
    here = ready(scene, tmp_path, quick)
    points = list(points_of(here.steps))
    moves = [point for point in points if here.steps[point[0] - 1] in ("replace", "rename")]
    chosen = [points[0], moves[len(moves) // 2], moves[-1], points[-1]]
    tally = Tally()
    for point in chosen:
        killed(here, tmp_path, quick, point, tally)
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
