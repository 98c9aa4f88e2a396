"""Pictures against golden images, by how different they look; `python -m tests.golden` renews them.

Two measures by scikit-image, on pictures of 320 pixels across without texts. SSIM (Wang, Bovik,
Sheikh and Simoncelli 2004, doi 10.1109/TIP.2003.819861) sees what is missing or moved. The share of
places that differ in colour by more than CIEDE2000 6 (ISO/CIE 11664-6), blurred by a pixel so that
the smoothing of edges does not count, sees what is of another tone; 2.3 is just noticeable (Mahy,
Van Eycken and Oosterlinck 1994, from memory).

Where the limits come from, measured on 2026-11-26 over the still pictures: drawn by librsvg instead
of resvg, as on another machine, no place differs by more than 4.9 and SSIM is 0.975 or more; with
the smallest or the largest face left out that is seen and takes 150 mm2 on paper, 0.5 in 100 places
or more differ; without edges more than 1.5 in 100 do. Browsers smooth lines in more ways than that,
so that the turning view has wider limits.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Browser
from skimage.color import deltaE_ciede2000, rgb2lab
from skimage.filters import gaussian
from skimage.metrics import structural_similarity

from fitcheck.outputs.report.svg import Drawing
from tests.browser.browser import chromium
from tests.golden import pictures

CLEARLY = 6.0
MOST_BYTES = 1_000_000


@dataclass(frozen=True)
class Limits:
    """What still looks the same."""

    least_alike: float
    most_places: float


STILL = Limits(0.97, 0.002)
TURNING = Limits(0.95, 0.01)
DRAWN = dict([*pictures.stills(), *pictures.steps()])


def same(shown: Image.Image, kept: Image.Image, limits: Limits) -> bool:
    """Whether two pictures look the same."""
    if shown.size != kept.size:
        return False
    a, b = pictures.as_array(shown), pictures.as_array(kept)
    alike = structural_similarity(a, b, channel_axis=2, data_range=1.0)
    labs = [rgb2lab(gaussian(own, 1.0, channel_axis=2)) for own in (a, b)]
    places = float((deltaE_ciede2000(*labs) > CLEARLY).mean())
    print(f"SSIM {alike:.4f}, {100 * places:.2f} in 100 places differ")
    return bool(alike >= limits.least_alike and places <= limits.most_places)


@pytest.mark.parametrize("name", DRAWN)
def test_a_still_picture_looks_as_it_did(name: str) -> None:
    assert same(pictures.picture(DRAWN[name]), pictures.golden(name), STILL), (
        f"{name} looks different: look at it, and if it is right renew the golden images with "
        "`.venv/bin/python -m tests.golden`"
    )


def area(mark: str) -> float:
    """Of the first ring of a mark, mm2 on paper."""
    data = re.search(r' d="([^"]*)"', mark)
    assert data is not None
    x, y = np.array(re.findall(r"-?[\d.]+", data[1].split("Z")[0]), float).reshape(-1, 2).T
    return float(abs(0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))


def without_a_face(drawing: Drawing) -> tuple[str, ...]:
    """The smallest face that is larger than 150 mm2 left out."""
    faces = [mark for mark in drawing.marks if 'class="face"' in mark and area(mark) > 150.0]
    gone = min(faces, key=area)
    return tuple(mark for mark in drawing.marks if mark is not gone)


def without_edges(drawing: Drawing) -> tuple[str, ...]:
    return tuple(mark for mark in drawing.marks if 'class="edge' not in mark)


def without_shadow(drawing: Drawing) -> tuple[str, ...]:
    return tuple(mark for mark in drawing.marks if 'class="shade"' not in mark)


def channels_swapped(drawing: Drawing) -> tuple[str, ...]:
    """Red for blue."""
    return tuple(
        re.sub(r'="#(..)(..)(..)"', r'="#\3\2\1"', mark) if 'class="face"' in mark else mark
        for mark in drawing.marks
    )


def without_print(drawing: Drawing) -> tuple[str, ...]:
    return tuple(mark for mark in drawing.marks if 'class="printed"' not in mark)


def moved(drawing: Drawing) -> tuple[str, ...]:
    """All but the shadow one millimetre to the right."""
    return ("<g transform='translate(1 0)'>", *drawing.marks, "</g>")


@pytest.mark.parametrize("spoil", [without_a_face, without_edges, without_shadow, moved])
@pytest.mark.parametrize("name", ["harbour-folded", "lantern-folded", "tea-folded"])
def test_a_spoilt_picture_is_noticed(
    name: str, spoil: Callable[[Drawing], tuple[str, ...]]
) -> None:
    drawing = DRAWN[name]
    worse = replace(drawing, marks=spoil(drawing))
    assert not same(pictures.picture(worse), pictures.golden(name), STILL)


def test_a_missing_print_is_noticed() -> None:
    drawing = DRAWN["picnic-closed"]
    worse = replace(drawing, marks=without_print(drawing))
    assert not same(pictures.picture(worse), pictures.golden("picnic-closed"), STILL)


@pytest.mark.parametrize("name", ["harbour-folded", "lantern-closed", "tea-folded"])
def test_a_swapped_colour_is_noticed(name: str) -> None:
    drawing = DRAWN[name]
    worse = replace(drawing, marks=channels_swapped(drawing))
    assert not same(pictures.picture(worse), pictures.golden(name), STILL)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.mark.parametrize(("name", "width"), pictures.TURNING)
def test_the_turning_view_looks_as_it_did(
    browser: Browser, name: str, width: int, tmp_path: Path
) -> None:
    shown = pictures.turning(browser, name, width, tmp_path)
    assert same(shown, pictures.golden(f"{name}-turning-{width}"), TURNING)


@pytest.mark.parametrize(
    "spoil",
    [
        "stage.shown.lid = false",
        "[stage.scene.parts[0].tint, stage.scene.parts[1].tint] ="
        " [stage.scene.parts[1].tint, stage.scene.parts[0].tint]",
        "stage.scene.parts[1].cells[0] = []",
        "stage.camera.moved(0.03, 0)",
    ],
    ids=["a part left out", "two papers swapped", "a panel left out", "turned by two degrees"],
)
def test_a_spoilt_turning_view_is_noticed(browser: Browser, spoil: str, tmp_path: Path) -> None:
    shown = pictures.turning(browser, "harbour", 390, tmp_path, spoil)
    assert not same(shown, pictures.golden("harbour-turning-390"), TURNING)


def test_the_golden_images_are_small_and_none_is_left_over() -> None:
    kept = list(pictures.HERE.glob("*.png"))
    assert sum(path.stat().st_size for path in kept) < MOST_BYTES
    names = {*DRAWN, *(f"{name}-turning-{width}" for name, width in pictures.TURNING)}
    assert {path.stem for path in kept} == names
