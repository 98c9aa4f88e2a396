"""One scene, killed at many points: what stood on the disk after the next command."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from fitcheck.learn.boxes_file import BOXES_FILE
from fitcheck.workspace.digests import DIGESTS
from fitcheck.workspace.paths import CALIBRATION
from fitcheck.workspace.records import RECORDS
from tests.cli.commands import fitcheck_here
from tests.crash.killing import Ended, run_here
from tests.crash.scenes import RECORD, Scene, copy_of, hidden, kept
from tests.crash.warm import Kept

TOUCH = "touch.json"
BOXES = f"{CALIBRATION}/{RECORDS}/{BOXES_FILE}"
TOUCHING = ("check", "wide", "--no-odds", "--json")


@dataclass
class Tally:
    """What many kills left."""

    points: int = 0
    half: int = 0
    """Kills that left part of a set until the next command came by."""
    faults: list[str] = field(default_factory=list)
    """Mixtures, losses and leftovers after the next command."""


@dataclass(frozen=True)
class Ready:
    """A scene with the workspace before its command, and what stands there before and after."""

    scene: Scene
    made: Path
    old: dict[str, bytes]
    new: dict[str, bytes]
    steps: tuple[str, ...]


def ready(scene: Scene, place: Path, slow: Kept) -> Ready:
    """Make a scene's workspace, and run its command once without a kill."""
    made, tried = place / "made", place / "tried"
    scene.make(made)
    slow.start(TOUCHING)
    assert fitcheck_here(*TOUCHING, TOUCH, cwd=made).status in (0, 1)
    for name in (TOUCH, DIGESTS):
        (made / name).unlink()
    for command in scene.before:
        slow.start(command)
        assert fitcheck_here(*command, cwd=made).status in (0, 1), command
    old = kept(made)
    copy_of(made, tried)
    slow.start(scene.command)
    assert fitcheck_here(*scene.command, cwd=tried).status in (0, 1), scene.command
    new = kept(tried)
    assert new != old and (scene.learns or scene.removes != (set(new) >= set(old)))
    copy_of(made, tried)
    ended = _run(scene, tried, slow)
    assert ended.status in (0, 1) and kept(tried) == new, ended.said
    return Ready(scene, made, old, new, ended.steps)


def points_of(steps: Sequence[str]) -> Iterator[tuple[int, bool]]:
    """Every point a command can be killed at: before each step, and torn at each fsync."""
    for number, step in enumerate(steps, 1):
        yield number, False
        if step == "fsync":
            yield number, True


def killed(here: Ready, place: Path, slow: Kept, point: tuple[int, bool], tally: Tally) -> None:
    """Kill the scene's command at a point, give the next command, and look."""
    scene, root = here.scene, place / "killed"
    copy_of(here.made, root)
    ended = _run(scene, root, slow, point)
    where = f"{scene.name}, {here.steps[point[0] - 1]} {point[0]} of {len(here.steps)}"
    assert ended.status == -9, (where, ended)
    tally.points += 1
    tally.half += kept(root) not in (here.old, here.new)
    if scene.folders:
        _touched(here, root, point[0], slow, where, tally)
    elif scene.learns:
        _recorded(here, root, slow, where, tally)
    else:
        _each_whole(here, root, where, tally)
    _again(here, root, slow, where, tally)


def _run(scene: Scene, root: Path, slow: Kept, point: tuple[int, bool] | None = None) -> Ended:
    slow.start(scene.command)
    if point is None:
        return run_here(scene.command, root)
    return run_here(scene.command, root, point[0], torn=point[1])


def _touched(here: Ready, root: Path, turn: int, slow: Kept, where: str, tally: Tally) -> None:
    """Another command writes into one of the folders: the set has to be whole; then into all."""
    there = [name for name in here.scene.folders if (root / name).is_dir()] or ["."]
    first = there[turn % len(there)]
    for name in dict.fromkeys((first, ".", *there)):
        slow.start(TOUCHING)
        ended = run_here((*TOUCHING, f"{name}/{TOUCH}"), root)
        if ended.status not in (0, 1):
            tally.faults.append(f"{where}: the next command said {ended.said}")
        if name == first:
            _whole(here, root, where, tally)
    left = hidden(root)
    if left:
        tally.faults.append(f"{where}: left {sorted(left)}")


def _recorded(here: Ready, root: Path, slow: Kept, where: str, tally: Tally) -> None:
    """Another command writes among the records: record, profile and list have to be one set."""
    slow.start(RECORD)
    ended = run_here(RECORD, root)
    if ended.status != 0:
        tally.faults.append(f"{where}: the next command said {ended.said}")
    (root / BOXES).unlink(missing_ok=True)
    _whole(here, root, where, tally)
    left = hidden(root)
    if left:
        tally.faults.append(f"{where}: left {sorted(left)}")


def _whole(here: Ready, root: Path, where: str, tally: Tally) -> None:
    now = kept(root, without=(TOUCH,))
    if now not in (here.old, here.new):
        changed = [name for name in here.new if now.get(name) != here.new[name]]
        tally.faults.append(f"{where}: neither old nor new: {changed[:3]} of {len(here.new)}")


def _each_whole(here: Ready, root: Path, where: str, tally: Tally) -> None:
    """Boxes and an example are made step by step: each file is the old one or the new one."""
    for name, data in kept(root).items():
        if data not in (here.old.get(name), here.new.get(name)):
            tally.faults.append(f"{where}: {name} is neither old nor new")
    lost = sorted(set(here.old) - set(kept(root)))
    if lost:
        tally.faults.append(f"{where}: lost {lost}")


def _again(here: Ready, root: Path, slow: Kept, where: str, tally: Tally) -> None:
    """The same command again does all of its work, and leaves nothing but that."""
    ended = _run(here.scene, root, slow)
    now = kept(root, without=(TOUCH,))
    if ended.status not in here.scene.again and ended.status != 1:
        tally.faults.append(f"{where}: the same command again said {ended.said}")
    if here.scene.adds:
        now = {name: now[name] for name in here.old if name != BOXES}
        if not now.items() <= here.new.items():
            tally.faults.append(f"{where}: again, something was lost")
    elif now != here.new:
        changed = [name for name in {**here.new, **now} if now.get(name) != here.new.get(name)]
        tally.faults.append(f"{where}: again, these are others: {changed[:3]}")
    left = hidden(root)
    if left:
        tally.faults.append(f"{where}: again, left {sorted(left)}")
