"""The section is measured from its SVG as one would measure a print, and must give the play."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.assembly import assemble
from fitcheck.fit.check import Check, check, check_assembly
from fitcheck.fit.mates import MateFit
from fitcheck.fit.travel import Stop
from fitcheck.folding.pose import translation
from fitcheck.folding.prisms import prism
from fitcheck.outputs.report.cutting import cut, nearest
from fitcheck.outputs.report.model import report_of
from fitcheck.outputs.report.places import places_of
from fitcheck.outputs.report.section import section_of
from fitcheck.outputs.report.section_drawing import section_drawing
from fitcheck.outputs.report.views.scenes import folded_view
from fitcheck.pattern.sheet import Axis
from tests.cli.commands import FRAMED

MODELS = Path(__file__).resolve().parents[2] / "models"
PAPER_MM = 2e-4
"""Coordinates have four decimals: two of them make a gap."""


@pytest.fixture(scope="module", params=["harbour", "lantern", "rope", "tight"])
def checked(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Check:
    """The shipped designs, and one whose lid presses."""
    if request.param != "tight":
        return check(read_design(MODELS / f"{request.param}.toml"))
    text = FRAMED.read_text().replace('"1/16"', '"1/32"')
    path = tmp_path_factory.mktemp("designs") / "tight.toml"
    path.write_text(text)
    return check(read_design(path))


def drawn(found: Check) -> tuple[ElementTree.Element, float]:
    """The section's SVG, and how many millimetres on paper one of the box is."""
    section = section_of(found)
    assert section is not None
    drawing = section_drawing(section)
    scale = re.search(r"([\d.]+) times life size", drawing.title)
    assert scale is not None
    return ElementTree.fromstring(drawing.alone()), float(scale[1])


def shapes(root: ElementTree.Element, part: str, side: str) -> list[np.ndarray]:
    """The closed shapes of a part's limiting piece on one side, (n, 2) mm on paper."""
    found = []
    for element in root.iter():
        data = element.attrib
        if data.get("data-part") == part and data.get("data-side") == side:
            if data["data-limits"] != "yes":
                continue
            for run in data["d"].split("Z"):
                numbers = [float(v) for v in re.findall(r"-?[\d.]+", run)]
                if numbers:
                    found.append(np.array(numbers).reshape(-1, 2))
    return found


def drawn_gap(root: ElementTree.Element, side: str) -> float:
    """Lid's inner reach to base's outer reach on one side, mm on paper; negative when they press.

    The lid's limiting piece stands outside the base's; both are drawn whole.
    """
    lid = np.vstack(shapes(root, "lid", side))[:, 0]
    base = np.vstack(shapes(root, "base", side))[:, 0]
    return float(base.min() - lid.max() if side == "low" else lid.min() - base.max())


def test_the_drawn_gaps_add_up_to_the_play(checked: Check) -> None:
    assert checked.lid is not None
    root, scale = drawn(checked)
    play = (drawn_gap(root, "low") + drawn_gap(root, "high")) / scale
    assert play == pytest.approx(checked.lid.slide.play_mm, abs=2 * PAPER_MM / scale)


def test_the_parts_are_drawn_centred(checked: Check) -> None:
    root, _ = drawn(checked)
    assert drawn_gap(root, "low") == pytest.approx(drawn_gap(root, "high"), abs=2 * PAPER_MM)


def test_the_labels_say_half_the_play_on_each_side(checked: Check) -> None:
    assert checked.lid is not None
    root, _ = drawn(checked)
    said = [e.text or "" for e in root.iter() if e.attrib.get("data-length") == "gap"]
    half = 0.5 * checked.lid.slide.play_mm
    word = "gap" if half >= 0.0 else "presses"
    assert said == [f"{word} {abs(half):.3f} mm"] * 2


def test_the_papers_are_drawn_as_thick_as_they_are(checked: Check) -> None:
    """A wall's section is a strip: its area over its longer side is its thickness."""
    root, scale = drawn(checked)
    for part in checked.assembly.parts:
        strips = [
            (area, long)
            for shape in shapes_of_plates(root, part.recipe.part)
            for area, long in [strip(shape)]
        ]
        area, long = max(strips)
        assert area / long / scale == pytest.approx(part.folded.caliper_mm, rel=2e-4)


def shapes_of_plates(root: ElementTree.Element, part: str) -> list[np.ndarray]:
    found = []
    for element in root.iter():
        data = element.attrib
        if data.get("data-part") == part and "/" not in data["data-piece"]:
            numbers = [float(v) for v in re.findall(r"-?[\d.]+", data["d"])]
            found.append(np.array(numbers).reshape(-1, 2))
    return found


def strip(shape: np.ndarray) -> tuple[float, float]:
    """Area of a closed shape and its longest side."""
    following = np.roll(shape, -1, axis=0)
    area = 0.5 * abs(np.sum(shape[:, 0] * following[:, 1] - following[:, 0] * shape[:, 1]))
    return float(area), float(np.max(np.hypot(*(following - shape).T)))


def test_a_base_that_stands_aside_is_drawn_in_the_middle_of_its_play() -> None:
    """Moving the base by hand changes neither the play nor the drawing."""
    assembly = assemble(read_design(MODELS / "harbour.toml"))
    aside = translation(np.array([0.07, 0.0, 0.0]))
    among = assembly.base.folded.among
    bends = replace(among.bends, poses=aside @ among.bends.poses)
    folded = replace(among, poses=aside @ among.poses, bends=bends).part(0)
    found = check_assembly(assembly.with_part(replace(assembly.base, folded=folded)))
    assert found.lid is not None
    assert found.lid.slide.travels[0].middle_mm == pytest.approx(-0.07, abs=1e-6)
    root, scale = drawn(found)
    low, high = drawn_gap(root, "low"), drawn_gap(root, "high")
    assert low == pytest.approx(high, abs=2 * PAPER_MM)
    assert (low + high) / scale == pytest.approx(found.lid.slide.play_mm, abs=2 * PAPER_MM / scale)


def test_the_cut_goes_where_a_slanting_wall_comes_nearest() -> None:
    """An inner face that runs from x = 5 to x = 6 is nearest to a block's x = 4.8 at its start."""
    wall = np.array([[5.0, 0.0], [7.0, 0.0], [7.0, 10.0], [6.0, 10.0]])
    block = np.array([[-1.0, 2.0], [4.8, 2.0], [4.8, 20.0], [-1.0, 20.0]])
    pieces = [
        prism(name, frozenset(), plan, 0.0, 1.0) for name, plan in (("w", wall), ("b", block))
    ]
    stop = Stop(0.4, "w", "b", (0.0, 0.0, 0.0))
    found = nearest(pieces[:1], pieces[1:], Axis.WIDTH, stop, 1)
    assert found.at_mm == pytest.approx(2.0, abs=1e-5)
    assert found.gap_mm == pytest.approx(5.2 - 4.8, abs=1e-6)


def test_a_prism_is_cut_to_the_width_that_its_plan_has_there() -> None:
    """A right triangle of legs 4 and 2: at half its height the plan is half as wide."""
    triangle = prism("t", frozenset(), np.array([[0.0, 0.0], [4.0, 0.0], [0.0, 2.0]]), 0.0, 3.0)
    (face,) = cut([triangle], Axis.WIDTH, 1.0)
    assert np.ptp(face.outline, axis=0) == pytest.approx([2.0, 3.0])
    assert cut([triangle], Axis.WIDTH, 2.5) == ()


@pytest.mark.parametrize("along", ["length", "width"])
def test_a_drawer_in_its_sleeve_is_cut_across_its_way(along: str, tmp_path: Path) -> None:
    """Whatever way it goes: the two gaps are its play across, its papers as thick as they are."""
    told = f'style  = "sleeve"\nalong  = "{along}"'
    text = (MODELS / "tea.toml").read_text().replace('style  = "sleeve"', told)
    if along == "width":
        text = text.replace("length = 82\n", "")
    path = tmp_path / "drawer.toml"
    path.write_text(text)
    found = check(read_design(path))
    section = section_of(found)
    assert section is not None and (section.over, section.under) == ("sleeve", "base")
    assert section.axis.value != along
    (fit,) = [own for own in found.mates if isinstance(own, MateFit)]
    gaps = section.low.nearest.gap_mm, section.high.nearest.gap_mm
    assert sum(gaps) == pytest.approx(fit.plays["across"], abs=1e-6)
    assert gaps[0] == pytest.approx(gaps[1], abs=1e-6)
    picture = folded_view(found, places_of(found), section)
    assert f"play {fit.plays['across']:.2f} mm" in "".join(picture.marks)
    assert "The sleeve's" in section_drawing(section).words


DRAWER = """format = 1
title = "Drawer of tags"
unit = "mm"
[base]
style = "tray"
stock = "index-110"
floor = [76, 120]
depth = 30
[sleeve]
style = "sleeve"
stock = "cover-100"
ease = {ease}
"""


@pytest.mark.parametrize(("ease", "narrowest"), [("[2.0, 0.8]", "up"), ("[0.8, 2.0]", "across")])
def test_what_is_called_narrowest_is_the_least_play(
    ease: str, narrowest: str, tmp_path: Path
) -> None:
    """A drawer has one play across and one upwards; the smaller of the two is told as such."""
    path = tmp_path / "drawer.toml"
    path.write_text(DRAWER.format(ease=ease))
    found = check(read_design(path, roots=[MODELS.parent]))
    (fit,) = [own for own in found.mates if isinstance(own, MateFit)]
    least = min(fit.plays.values())
    assert least == fit.plays[narrowest]
    report = report_of(found)
    (told,) = [place for place in report.places if place.words.startswith("Narrowest")]
    assert f"{least:.2f} mm" in told.words and f"{least:.2f} mm" in told.label
    assert f"{least:.2f} mm" in "".join(report.still.marks)
    assert report.section is not None and report.inset is not None
    for said in (report.section_called, report.section.title, report.inset.title):
        assert ("narrowest" in said.lower()) is (narrowest == "across"), said
    assert (f"{least:.2f} mm" in report.section.words) is (narrowest == "up")
