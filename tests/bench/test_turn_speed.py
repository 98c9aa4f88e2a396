"""Turns of many boxes together, against stepping one of them through a general library.

To know an angle to a ten-thousandth of a radian by stepping alone, every step has to be so short,
and the part has to be folded anew at each, as its hinge's bend grows.
"""

from __future__ import annotations

import math
import time

import numpy as np

from fitcheck.fit.turn import swings
from fitcheck.fit.turn_fit import Outcome
from fitcheck.stock.crease import Crease
from tests.hinged import HingedTray, made
from tests.stepping import AGREE_RAD, Bench

DESIGN = HingedTray(Crease(0.1, 0.5, 0.33), back=15.8, lid=40.8, lip=6.0, inset=0.8)
CLOSED = math.pi / 2.0
BOXES = 40
MOST_S = 8.0
"""About ten times what it takes on a quiet machine."""


def test_many_boxes_turn_together() -> None:
    among = made(DESIGN, BOXES, 3)
    started = time.process_time()
    found = swings(among, "lid", np.zeros(BOXES), np.full(BOXES, CLOSED))
    spent_s = time.process_time() - started
    bench = Bench(among.part(0), ["lid"])
    started = time.process_time()
    for angle in np.linspace(0.2, CLOSED, 8).tolist():
        bench.apart(angle)
    stepping_s = (time.process_time() - started) / 8.0 * CLOSED / AGREE_RAD
    ratio = stepping_s / (spent_s / BOXES)
    print(f"\n{BOXES} boxes in {spent_s:.2f} s; stepping is {ratio:.0f} times as long a box")
    assert sum(own.outcome is Outcome.FREE for own in found) > BOXES // 2
    assert spent_s < MOST_S
    assert ratio > 100.0
