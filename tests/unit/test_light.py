"""Soft light and shade of the still pictures: walls told apart, edges seen in grey, in place."""

from __future__ import annotations

import io
import itertools
import math
import re
from importlib import resources
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.folding.pose import Array
from fitcheck.outputs.pictures import png
from fitcheck.outputs.report.svg import INK_LIGHT, Drawing
from fitcheck.outputs.report.views import light, shades
from fitcheck.outputs.report.views.projection import MARGIN, camera
from fitcheck.outputs.report.views.scenes import exploded_view, tones_of
from fitcheck.outputs.report.views.solids import BASE, Face, Solid, part_solids
from fitcheck.outputs.report.views.view import SHADOW, view
from fitcheck.workspace.colours import rgb

MODELS = Path(__file__).resolve().parents[2] / "models"
WAYS = {n: np.array(w, dtype=float) for n, w in {
    "top": (0, 0, 1), "left": (-1, 0, 0), "front": (0, -1, 0), "right": (1, 0, 0),
    "back": (0, 1, 0), "below": (0, 0, -1),
}.items()}  # fmt: skip
COLOURS = sorted(
    {
        m
        for path in MODELS.glob("*.toml")
        for m in re.findall(r'colour = "(#\w+)"', path.read_text())
    }
)


@pytest.fixture(scope="module")
def lantern() -> Check:
    return check(read_design(MODELS / "lantern.toml"))


def test_what_meets_at_an_edge_is_told_apart_and_nothing_is_black() -> None:
    shown = {name: light.lit(way) for name, way in WAYS.items()}
    assert shown["top"] == pytest.approx(1.0, abs=0.01)
    assert min(shown.values()) > 0.6 and max(shown.values()) <= 1.01
    for walls in itertools.pairwise(["left", "front", "right", "back", "left"]):
        assert abs(shown[walls[0]] - shown[walls[1]]) > 0.05, walls
    assert all(shown["top"] - shown[name] > 0.05 for name in WAYS if name != "top")


def test_the_turning_view_is_lit_the_same() -> None:
    page = resources.files("fitcheck.outputs.report") / "page"
    painting, script = (page / f"{n}.js" for n in ("painting", "inks"))
    said = re.search(r"\[AROUND, SKY, LAMP\] = \[(.+)\]", painting.read_text())
    lamp = re.search(r"light: unit\(\[(.+)\]\)", script.read_text())
    dark = re.search(r"\[DARK, PALER\] = \[(.+)\]", script.read_text())
    assert said and lamp and dark
    numbers = [[float(v) for v in found[1].split(",")] for found in (said, lamp, dark)]
    assert numbers[0] == [light.AROUND, light.SKY, light.LAMP]
    assert np.array(numbers[1]) / math.hypot(*numbers[1]) == pytest.approx(light.LIGHT)
    assert numbers[2] == [light.DARK, light.PALER]


def contrast(a: Array, b: Array) -> float:
    """The contrast ratio of WCAG 2 (W3C Recommendation, 1.4.3), of colours 0 to 1."""
    bright = [
        0.05 + np.dot((0.2126, 0.7152, 0.0722), [
            v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in own
        ])
        for own in (a, b)
    ]  # fmt: skip
    return float(max(bright) / min(bright))


@pytest.mark.parametrize("colour", [*COLOURS, "#000000", "#ffffff", "#6b6b6b"])
def test_edges_are_seen_on_every_paper_printed_in_grey(colour: str) -> None:
    """3 : 1 is what WCAG 2 (1.4.11) asks of graphics; faces away from the lamp keep 2 : 1."""
    tint = np.array(rgb(colour))
    ink = np.array(rgb(light.edge_ink(rgb(colour)) or INK_LIGHT["ink"]))
    assert contrast(ink, tint * light.lit(WAYS["top"]) * BASE.outside) > 2.7
    worst = min(contrast(ink, tint * light.lit(w) * BASE.inside) for w in WAYS.values())
    assert worst > 1.6


def test_a_flat_sheet_has_no_shade_of_its_own_and_a_folded_one_has(lantern: Check) -> None:
    folded = lantern.assembly.base.folded
    inner = list(shades.inner_shades(part_solids(folded, np.eye(4), BASE), camera().eye))
    assert len(inner) > 20
    floor = slab(60.0, 40.0)
    assert not list(shades.inner_shades([floor], camera().eye))


def slab(width: float, length: float, height: float = 0.3) -> Solid:
    """A sheet that lies on the table, its top marked as the face of a panel."""
    x, y = 0.5 * width, 0.5 * length
    plan = np.array([[-x, -y], [x, -y], [x, y], [-x, y]])
    top = np.column_stack([plan, np.full(4, height)])
    low = np.column_stack([plan, np.zeros(4)])
    face = Face(top, 1.0, (True,) * 4, broad=True)
    return Solid((face,), np.vstack([low, top]))


def test_the_shade_along_a_wall_runs_along_it_and_no_further_than_it_should() -> None:
    """A wall 20 mm high on the left side of a 60 x 40 floor: bands of up to 9 mm beside it."""
    floor = slab(60.0, 40.0)
    wall = np.array([[-30.0, -20, 0.3], [-30, 20, 0.3], [-30, 20, 20.3], [-30, -20, 20.3]])
    upright = Solid((Face(wall, 1.0, (True,) * 4, broad=True),), wall)
    found = [
        outline
        for face, outline in shades.inner_shades([floor, upright], camera().eye)
        if face is floor.faces[0]
    ]
    assert len(found) == shades.INNER_BANDS
    widths = [float(np.ptp(outline[:, 0])) for outline in found]
    assert widths == sorted(widths, reverse=True)
    assert widths[0] == pytest.approx(shades.DEEPEST_MM)
    for outline in found:
        assert outline[:, 0].min() == pytest.approx(-30.0)
        assert np.ptp(outline[:, 1]) == pytest.approx(40.0)
        assert outline[:, 2] == pytest.approx(0.3)


def test_the_shadow_lies_round_the_foot_and_within_the_margin() -> None:
    reach = 5.0
    bands = shades.ground_shades([slab(60.0, 40.0)], reach)
    foot = shapely.box(-30, -20, 30, 20)
    areas = [shapely.area(band) for band in bands]
    assert areas == sorted(areas, reverse=True)
    far = max(shapely.hausdorff_distance(foot, band) for band in bands)
    assert far <= reach * (1.0 + shades.AWAY) + 1e-6
    assert SHADOW * (1.0 + shades.AWAY) <= MARGIN, "the picture's edge does not cut it off"
    lifted = Solid((), slab(60.0, 40.0).vertices + np.array([200.0, 0.0, 30.0]))
    both = shapely.union_all(shades.ground_shades([slab(60.0, 40.0), lifted], reach))
    assert both.bounds[2] < 60.0, "what hangs high casts none"


def painted(drawing: Drawing) -> Array:
    return np.asarray(Image.open(io.BytesIO(png(drawing.alone()))).convert("L"), dtype=float)


def test_the_picture_is_darker_at_its_foot_and_white_at_its_corners(lantern: Check) -> None:
    drawing = exploded_view(lantern)
    picture = painted(drawing)
    assert picture[[0, 0, -1, -1], [0, -1, 0, -1]].tolist() == [255.0] * 4
    middle = picture.shape[1] // 2
    rows = np.flatnonzero(picture[:, middle] < 120.0)
    below = picture[rows[-1] + 8 : rows[-1] + 60, middle]
    assert below[0] < 215.0 and below[-1] > 250.0
    assert np.all(np.diff(below) >= -1.0), "it fades without a step back"


def test_the_same_picture_has_the_same_bytes(lantern: Check) -> None:
    assert exploded_view(lantern).alone() == exploded_view(lantern).alone()


def test_shades_keep_to_the_silhouette_and_the_shadow_is_painted_first(lantern: Check) -> None:
    tones = tones_of(lantern.assembly.base.recipe.stock, BASE)
    drawing = view("base", "", "", part_solids(lantern.assembly.base.folded, np.eye(4), tones))
    kinds = [re.match(r'<\w+ class="([\w-]+)"', mark)[1] for mark in drawing.marks]  # type: ignore[index]
    assert kinds[: shades.BANDS] == ["shade"] * shades.BANDS
    first, last = kinds.index("face"), len(kinds) - 1 - kinds[::-1].index("face")
    assert set(kinds[first : last + 1]) == {"face"} and "shade" in kinds[last:]
    silhouette = shapely.union_all([s for m in drawing.marks[first : last + 1] for s in rings(m)])
    for mark in drawing.marks[last + 1 :]:
        if 'class="shade"' in mark:
            for shape in rings(mark):
                assert shapely.area(shapely.difference(shape, silhouette.buffer(0.03))) < 1e-3


def rings(mark: str) -> list[shapely.Geometry]:
    data = re.search(r' d="([^"]*)"', mark)
    assert data is not None
    found = []
    for run in data[1].split("Z"):
        numbers = [float(v) for v in re.findall(r"-?[\d.]+", run)]
        if len(numbers) > 5:
            found.append(shapely.make_valid(shapely.Polygon(np.array(numbers).reshape(-1, 2))))
    return found
