"""The page before any browser sees it: escaping, policy, figures, packed points, content bodies."""

from __future__ import annotations

import base64
import hashlib
import html
import itertools
import json
import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.outputs.check_json import check_data
from fitcheck.outputs.report.bodies import Body, bodies_of
from fitcheck.outputs.report.model import report_of, verdict_sentence
from fitcheck.outputs.report.packed import Packer
from fitcheck.outputs.report.render import report_page
from tests.cli.commands import FRAMED

MODELS = Path(__file__).resolve().parents[2] / "models"
HOSTILE = '<img src=x onerror=alert(1)> & </script><script>alert(2)</script> "quoted"'


def read(tmp_path: Path, *changes: tuple[str, str]) -> Check:
    """A framed box with some texts changed."""
    text = FRAMED.read_text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "box.toml"
    path.write_text(text)
    return check(read_design(path))


@pytest.fixture(scope="module")
def rope() -> Check:
    return check(read_design(MODELS / "rope.toml"))


@pytest.fixture(scope="module")
def rope_page(rope: Check) -> str:
    return report_page(report_of(rope))


def test_markup_in_a_title_is_text(tmp_path: Path) -> None:
    title = json.dumps(HOSTILE)
    page = report_page(report_of(read(tmp_path, ('"Harbour thank-you box"', title))))
    assert "<img src=x" not in page
    assert page.count("<script") == 2
    assert html.escape(HOSTILE, quote=False) in page.replace("&#34;", '"')


def test_the_policy_lets_in_this_script_and_style_only(rope_page: str) -> None:
    """The hashes of the W3C Content Security Policy are base64 of SHA-256 over the element."""
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', rope_page)
    assert policy is not None
    said = html.unescape(policy[1])
    for element in ("script", "style"):
        body = re.search(rf"<{element}>(.*?)</{element}>", rope_page, re.DOTALL)
        assert body is not None
        digest = base64.b64encode(hashlib.sha256(body[1].encode()).digest()).decode()
        assert f"{element}-src 'sha256-{digest}'" in said
    assert said.startswith("default-src 'none'")


def test_the_page_names_no_address(rope_page: str) -> None:
    names = set(re.findall(r"https?://[^\"' <]+", rope_page))
    assert names <= {"http://www.w3.org/2000/svg"}, "the SVG name space is a name, not an address"


def test_every_figure_is_the_one_in_the_json(rope: Check, rope_page: str) -> None:
    figures = re.findall(r'<data value="([^"]*)" data-key="([^"]+)"', rope_page)
    assert len(figures) > 25
    data = check_data(rope)
    for shown, key in figures:
        value: object = data
        for step in key.split("."):
            value = value[int(step)] if isinstance(value, list) else value[step]  # type: ignore[index]
        assert (None if shown == "" else float(shown)) == value, key


@pytest.mark.parametrize(
    ("oversize", "words"),
    [('"1/16"', "the lid goes on snugly with 0.19 mm"), ('"1/32"', "It does not go together")],
)
def test_the_verdict_is_one_sentence(oversize: str, words: str, tmp_path: Path) -> None:
    said = verdict_sentence(read(tmp_path, ('"1/16"', oversize)))
    assert words in said
    assert said.endswith(".") and ". " not in said


def unpacked(packed: dict[str, Any], place: list[int]) -> np.ndarray:
    """The numbers at a place, as the page's script reads them."""
    whole = np.frombuffer(base64.b64decode(packed["data"]), dtype="<u2")
    return packed["low"] + packed["step"] * whole[place[0] : place[0] + place[1]]


def test_points_survive_packing_to_half_a_step() -> None:
    packer, rng = Packer(), np.random.default_rng(1)
    arrays = [rng.uniform(-120.0, 180.0, size=(n, 2)) for n in (3, 7, 50)]
    places = [packer.add(array) for array in arrays]
    packed = packer.packed()
    for array, place in zip(arrays, places, strict=True):
        back = unpacked(packed, place).reshape(-1, 2)
        assert np.max(np.abs(back - array)) <= 0.5 * packed["step"] + 1e-12
    assert packed["step"] < 0.005


def volume(body: Body) -> float:
    """By the divergence theorem over fans of triangles."""
    total = 0.0
    for face in body.faces:
        a = body.vertices[face[0]]
        for i, k in itertools.pairwise(face[1:]):
            total += float(a @ np.cross(body.vertices[i], body.vertices[k])) / 6.0
    return total


def test_contents_are_closed_bodies_of_the_right_size(rope: Check) -> None:
    """Marbles of a 16 mm ball's volume and 2 euro coins, less what flat facets cut off."""
    items = {fit.content.item.name: fit.content.item for fit in rope.contents}
    bodies = bodies_of(rope)
    assert [b.item for b in bodies].count("marble-glass") == 3
    for body in bodies:
        sides = [
            (face[i], face[(i + 1) % len(face)]) for face in body.faces for i in range(len(face))
        ]
        assert len(set(sides)) == len(sides)
        assert set(sides) == {(b, a) for a, b in sides}
        size = items[body.item].size_mm
        true = (
            math.pi / 6 * size[0] ** 3
            if body.item == "marble-glass"
            else math.pi / 4 * size[0] ** 2 * size[1]
        )
        assert 0.95 * true < volume(body) < true
