"""The pictures against ray casting by the visualization toolkit VTK (its static cell locator).

At pixels all over the picture the paint must be that of the face that a ray from the eye meets
first. Lines, prints and soft shades are left out of the picture, and pixels next to a change of
face are not asked.
"""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from vtkmodules.vtkCommonCore import mutable, vtkIdList, vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData, vtkStaticCellLocator

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.outputs.pictures import PIXELS, png
from fitcheck.outputs.report.svg import Drawing
from fitcheck.outputs.report.views import scenes
from fitcheck.outputs.report.views.light import AROUND, LAMP, LIGHT, SKY
from fitcheck.outputs.report.views.projection import MARGIN, WIDTH, camera
from fitcheck.outputs.report.views.solids import Solid

MODELS = Path(__file__).resolve().parents[2] / "models"
SAMPLES = 900
BESIDE_MM = 0.25
"""How near to another face, on paper, a pixel may be before it is not asked: the hair of colour
round each face, that hides the seams between faces of one tone, is 0.06 mm wide, and the pixels
are 0.11 mm wide and may lie half of that off."""
RING = [
    (BESIDE_MM * r * math.cos(a), BESIDE_MM * r * math.sin(a))
    for r in (0.0, 0.35, 0.7, 1.0)
    for a in np.linspace(0.0, math.tau, 12, endpoint=False)
]

FRAMED = """\
format = 1
title = "Deep frame in heavy board"
unit = "mm"
joint = "0.15 mm"
[base]
style = "shadow-box"
stock = "tag-165"
floor = [96, 61]
depth = 31
frame = 14
inner_wall = "level"
flap = 12
tabs = "length"
[lid]
style = "tray"
stock = "text-80"
oversize = 1.5
depth = 11
[[content]]
item = "coin-us-nickel"
count = 2
"""
TRAY = """\
format = 1
title = "Low tray, tall things"
unit = "mm"
[base]
style = "tray"
stock = "index-170"
floor = [88, 63]
depth = 16
tab_setback = 0.7
[lid]
style = "tray"
stock = "cover-65"
oversize = 2
depth = 9
[[content]]
item = "marble-glass"
count = 5
[[content]]
item = "deck-bridge"
count = 1
lay = "edge"
"""


def designed(folder: Path, text: str) -> Check:
    path = folder / "box.toml"
    path.write_text(text, encoding="utf-8")
    return check(read_design(path))


@pytest.fixture(scope="module", params=["harbour", "rope", "framed", "tray"])
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Check:
    texts = {"framed": FRAMED, "tray": TRAY}
    if request.param in texts:
        return designed(tmp_path_factory.mktemp("box"), texts[request.param])
    return check(read_design(MODELS / f"{request.param}.toml"))


def test_the_paint_is_that_of_the_nearest_face_folded(made: Check) -> None:
    lift = scenes.OPENED * max(made.assembly.base.sizes.outside_mm)
    ask(scenes.folded_view(made, ()), scenes._solids(made, 0.0, lift))


def test_the_paint_is_that_of_the_nearest_face_closed(made: Check) -> None:
    """Lid on, where walls of base, lid and contents lie closest."""
    solids = scenes._solids(made, 0.0, 0.0)
    ask(scenes.view("closed", "closed", "closed", solids), solids)


def ask(drawing: Drawing, solids: list[Solid]) -> None:
    """Compare the grey of many pixels with the face that a ray meets there."""
    plain = replace(drawing, marks=tuple(unlined(drawing.marks)))
    raster = Image.open(io.BytesIO(png(plain.alone()))).convert("L")
    picture = np.asarray(raster, dtype=float)
    rays = Rays(solids)
    random = np.random.default_rng(7)
    asked = wrong = 0
    for x, y in random.uniform([0.0, 0.0], [drawing.width, drawing.height], (SAMPLES, 2)):
        greys = [rays.grey(x + dx, y + dy, drawing) for dx, dy in RING]
        if None in greys or max(greys) - min(greys) > 0.01:
            continue
        scale = PIXELS / drawing.width
        shown = picture[int(y * scale), int(x * scale)]
        asked += 1
        wrong += abs(shown - 255.0 * greys[0]) > 2.0
    assert asked > 150
    assert wrong == 0, f"{wrong} of {asked} places are painted with a hidden face"


def unlined(marks: tuple[str, ...]) -> list[str]:
    return [
        mark for mark in marks if not re.search(r'class="(edge|edge-on-dark|shade|printed)"', mark)
    ]


class Rays:
    """Straight lines from the eye, the first triangle that each meets, and its grey."""

    def __init__(self, solids: list[Solid]) -> None:
        points, cells = vtkPoints(), vtkCellArray()
        self.greys: list[float] = []
        for face in (face for solid in solids for face in solid.faces):
            corners = face.corners
            start = points.GetNumberOfPoints()
            for corner in corners:
                points.InsertNextPoint(*corner)
            # the whole polygon's normal, by Newell's sum
            normal = np.cross(corners, np.roll(corners, -1, axis=0)).sum(axis=0)
            normal /= np.linalg.norm(normal) or 1.0
            for i in range(1, len(corners) - 1):
                triangle = vtkIdList()
                for k in (0, i, i + 1):
                    triangle.InsertNextId(start + k)
                cells.InsertNextCell(triangle)
                half = 0.5 * (1.0 + normal[2]), 0.5 * (1.0 + float(normal @ LIGHT))
                light = min(face.tone * (AROUND + SKY * half[0] + LAMP * half[1]), 1.0)
                # luma as the raster's is taken, ITU-R BT.601
                self.greys.append(light * float(np.dot(face.tint, (0.299, 0.587, 0.114))))
        self.scene = vtkPolyData()
        self.scene.SetPoints(points)
        self.scene.SetPolys(cells)
        self.locator: Any = vtkStaticCellLocator()
        self.locator.SetDataSet(self.scene)
        self.locator.BuildLocator()
        self.seen = camera()
        flat = self.seen.flat(np.vstack([solid.vertices for solid in solids]))
        self.low, self.high = flat.min(axis=0), flat.max(axis=0)
        self.reach = 1.0 + max(float(np.abs(s.vertices).max()) for s in solids) * 4.0

    def grey(self, x: float, y: float, drawing: Drawing) -> float | None:
        """The grey at a place on paper (mm, y downwards); None where nothing is met."""
        size = self.high - self.low
        scale = (drawing.height - 2 * MARGIN) / size[1]
        across = self.low[0] + (x - 0.5 * (WIDTH - scale * size[0])) / scale
        upward = self.low[1] + (drawing.height - MARGIN - y) / scale
        at = across * self.seen.right + upward * self.seen.up
        t, sub, cell = mutable(0.0), mutable(0), mutable(0)
        met, part = [0.0] * 3, [0.0] * 3
        start, stop = at + self.reach * self.seen.eye, at - self.reach * self.seen.eye
        if not self.locator.IntersectWithLine(start, stop, 1e-9, t, met, part, sub, cell):
            return None
        return self.greys[int(cell)]
