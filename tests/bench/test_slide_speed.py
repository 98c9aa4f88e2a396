"""The exact slide against stepping the same two bodies, both timed in one run, as a ratio.

The stepper moves the lid's mesh down past the base's in a general collision manager and narrows the
sideways travel by halving it. To know the play to the same error as the slide claims (1e-3 mm) it
has to step the path finely enough not to miss a tight place that is narrow: its step is set by the
lean of the walls, and the travel is halved until it is known to 1e-3 mm.
"""

from __future__ import annotations

import math
import time

import numpy as np
import pytest
import trimesh

from fitcheck.design.model import Bands
from fitcheck.fit.assembly import make_part
from fitcheck.fit.frames import DIRECTIONS
from fitcheck.fit.lid import fit_lid, lid_pieces
from fitcheck.fit.slide import slide
from fitcheck.pattern.sheet import Axis
from tests.boxes import paper, shadow_box, tray

ERROR_MM = 1e-3
ENDS = 4


def test_exact_slide_against_stepping(benchmark: pytest.FixtureRequest) -> None:
    base = make_part(shadow_box(stock=paper(0.33, 0.2)))
    lid = make_part(tray(82.55 + 1.5875, 114.3 + 1.5875, 15.875, paper(0.18, 0.10), part="lid"))
    fit = fit_lid(base, lid, Bands(0.15, 0.20, 1.50))
    on = lid_pieces(lid.folded, fit.seat_mm - base.sizes.corner_rise_mm)
    path = np.array([0.0, 0.0, 60.0])

    found = benchmark(lambda: slide(on, base.folded.pieces, path, np.zeros(3)))
    exact_s = benchmark.stats.stats.median

    manager_lid, manager_base = (_manager(pieces) for pieces in (on, base.folded.pieces))
    lean = math.pi / 2 - base.folded.angles["left wall"]
    step_mm = ERROR_MM / math.tan(lean)
    steps = math.ceil(lid.sizes.height_mm / step_mm)
    halvings = math.ceil(math.log2(2.0 / ERROR_MM))
    started = time.perf_counter()
    tried = 0
    for height in np.linspace(0.05, lid.sizes.height_mm, 6):
        for sign in (-1.0, 1.0):
            _touches(manager_lid, manager_base, height, sign * DIRECTIONS[Axis.WIDTH] * 0.05)
            tried += 1
    each_s = (time.perf_counter() - started) / tried
    stepping_s = each_s * steps * halvings * ENDS
    ratio = stepping_s / exact_s
    benchmark.extra_info["stepping over exact"] = round(ratio)
    print(
        f"\nexact slide {exact_s * 1e3:.1f} ms; stepping {steps} heights x {halvings} halvings x "
        f"{ENDS} ends at {each_s * 1e3:.2f} ms: {ratio:.0f} times as long"
    )
    assert found.play_mm == pytest.approx(fit.slide.play_mm, abs=1e-9)
    assert ratio >= 20.0


def _manager(pieces: tuple) -> trimesh.collision.CollisionManager:
    manager = trimesh.collision.CollisionManager()
    for number, piece in enumerate(pieces):
        manager.add_object(str(number), trimesh.convex.convex_hull(piece.vertices))
    return manager


def _touches(
    lid: trimesh.collision.CollisionManager,
    base: trimesh.collision.CollisionManager,
    height: float,
    shift: np.ndarray,
) -> bool:
    """Whether the two bodies meet with the lid so high and so far to the side."""
    pose = trimesh.transformations.translation_matrix(shift + np.array([0.0, 0.0, height]))
    for name in lid._objs:
        lid.set_transform(name, pose)
    return bool(lid.in_collision_other(base))
