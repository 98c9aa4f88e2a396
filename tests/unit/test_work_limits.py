"""Hard but valid designs end in bounded work: counted, so that answers are the same everywhere."""

from __future__ import annotations

import math
import random
import resource
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.items import known_items
from fitcheck.design.model import Lay
from fitcheck.drawing.pages import MOST_PAGES
from fitcheck.fit.footprint import _rooms, _sums
from fitcheck.kinds.kind import lays
from fitcheck.packing.arrange import WORK, arrange
from fitcheck.packing.placing import Demand, Outcome
from fitcheck.packing.room import Room
from fitcheck.sheet.guillotine import TooManyPositions, mixtures, most_pieces
from tests.cli.commands import ROOT, fitcheck
from tests.unit.samples import ROOTS, TRAY, lines_of, read

ITEMS = known_items(ROOTS)
SMALL = [name for name in ITEMS if max(ITEMS[name].size_mm) < 60.0]
COIN = '[[content]]\nitem = "coin-us-cent"\ncount = {}\n'


def some(kinds: int, each: int) -> list[Demand]:
    """The same kinds on every run, each so many times."""
    chosen = random.Random(3).sample(SMALL, kinds)
    return [Demand(name, lays(ITEMS[name], Lay.ANY), each) for name in chosen]


def spent() -> float:
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def test_the_searches_share_one_budget() -> None:
    """A search that had its grant for itself, with preparation it does not count, took 15 s."""
    demands = some(8, 5)
    volume = sum(d.count * min(p.least_volume_mm3 for p in d.poses) for d in demands)
    side = math.sqrt(volume / 0.8 / 60.0)
    room, most = Room(side, side, 60.0, 60.0), 0.4
    start = spent()
    found = arrange(room, demands, work=most)
    assert found.outcome is Outcome.NONE_FOUND
    # the solver looks at its own count now and then
    assert 0.0 < found.work < 1.5 * most < WORK
    assert spent() - start < 40.0 * most


def test_too_many_spots_are_noticed_while_they_are_listed() -> None:
    """Sums of many sizes were all made before it was seen that they were too many."""
    start = spent()
    found = arrange(Room(412.3, 517.9, 61.0, 61.0), some(20, 25))
    assert found.outcome is Outcome.NONE_FOUND
    assert spent() - start < 2.0


def test_candidate_rooms_are_those_of_all_pairs_of_sides() -> None:
    """Against every pair of every sum, in order: the smallest come first and none is missing."""
    demands, height = some(3, 4), 30.0
    sides = _sums(demands)
    singles = {
        n * size
        for d in demands
        for p in d.poses
        for size in (p.width_mm, p.length_mm)
        for n in range(1, d.count + 1)
    }
    every = {round(a + b, 6) for a in singles | {0.0} for b in singles} - {0.0}
    assert set(np.round(sides, 6)) >= {side for side in every if side <= 1000.0}
    rooms = _rooms(demands, height)
    least = sum(d.count * min(p.least_volume_mm3 for p in d.poses) for d in demands) / height
    narrow = min(min(p.width_mm, p.length_mm) for d in demands for p in d.poses)
    wide = sides[sides >= narrow]
    areas = np.sort(np.outer(wide, sides).ravel())
    areas = areas[areas >= least * (1.0 - 1e-9)]
    count = 100
    assert [a * b for a, b in rooms[:count]] == pytest.approx(areas[:count].tolist())
    products = [a * b for a, b in rooms]
    assert products == sorted(products)
    # beyond the smallest they grow until a real arrangement, with its gaps, has a chance
    assert products[-1] > 3.0 * products[0]


def test_a_floor_for_very_many_is_sized_in_little_memory(tmp_path: Path) -> None:
    """All pairs of all sums were 15 GB for this design; a coin's plan fills at most 0.907 of it."""
    text = TRAY.replace("floor = [80, 120]\ndepth = 20", 'slack = "1 mm"\ndepth = 60')
    (tmp_path / "box.toml").write_text(text + COIN.format(500), encoding="utf-8")
    script = (
        "import sys\n"
        "from pathlib import Path\n"
        "sys.argv = ['fitcheck', 'check', 'box.toml', '--no-odds', '--json', 'a.json']\n"
        "from fitcheck.cli.main import run\n"
        "try:\n    run()\n"
        # ru_maxrss of a child would begin at its parent's peak
        "finally:\n"
        "    status = Path('/proc/self/status').read_text()\n"
        "    print('MB', int(status.split('VmHWM:')[1].split()[0]) / 1000)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=tmp_path,
        env={"PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert float(done.stdout.split("MB ")[1]) < 600.0


def test_positions_are_no_longer_made_once_they_are_too_many() -> None:
    """Sides that share no divisor reach nearly every micrometre of a sheet of 3 m: 450 MB."""
    start, ways = spent(), [(3275, 4151), (4151, 3275)]
    with pytest.raises(TooManyPositions):
        most_pieces((3_000_000, 3_000_000), ways, 40_000_000)
    with pytest.raises(TooManyPositions):
        mixtures((3_000_000, 3_000_000), [ways, [(3600, 4270)]], 2500)
    assert spent() - start < 1.0
    # a limit that is not reached changes nothing: five pieces of 3 x 2 in 6 x 5
    assert most_pieces((6, 5), [(3, 2), (2, 3)], 10_000) == 5


def test_a_box_takes_up_to_500_pieces_together(tmp_path: Path) -> None:
    read(tmp_path, TRAY + COIN.format(300) + COIN.format(200))
    (line,) = lines_of(tmp_path, TRAY + COIN.format(300) + COIN.format(201))
    assert line.startswith(f"{tmp_path / 'box.toml'}: content: too many pieces together; read 501")
    assert "allowed: up to 500" in line


def test_a_part_takes_up_to_sixty_pages(tmp_path: Path) -> None:
    """A tray 2 m wide, long and deep is cut from 6 m x 6 m: 31 x 23 pages of what A4 leaves."""
    text = TRAY.replace("floor = [80, 120]\ndepth = 20", "floor = [2000, 2000]\ndepth = 2000")
    (tmp_path / "box.toml").write_text(text, encoding="utf-8")
    refused = fitcheck("sheet", "box.toml", "-o", "out", cwd=tmp_path)
    assert refused.status == 2 and not (tmp_path / "out").exists()
    (line,) = refused.err.splitlines()
    assert "takes 713 pages of a4" in line
    assert f"up to {MOST_PAGES}" in line and "--format dxf" in line
    whole = fitcheck("sheet", "box.toml", "-o", "out", "--format", "dxf", cwd=tmp_path)
    assert whole.status == 0
    assert (tmp_path / "out" / "box-base.dxf").is_file()
