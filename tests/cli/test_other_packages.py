"""A style and a kind of another package through the whole program, and offers that are broken.

A tray without tabs is its floor and 2 a wide and W - 2 (t - a) inside, both ways alike (the shared
design's section 4); a prism over a triangle holds half its base times its height times its length.
"""

from __future__ import annotations

import json
import math
from pathlib import Path

import jsonschema
import numpy as np
import pytest
import trimesh

from tests.other_package import extras, fitcheck_beside, installed, python_beside

T = 0.330
A = (1.0 - math.pi / 8.0) * T
"""Caliper of cardstock-270, whose creases nobody measured: r = 0 and k = 1/2."""
BASE, HEIGHT, LENGTH, U = 22.0, 17.0, 31.0, 0.2
ITEMS = f"""
[nougat]
kind = "triangle"
size = [{BASE}, {HEIGHT}, {LENGTH}]
size_u = [{U}, 0, 0]
ridge = 0.3
source = "made up"
hazards = ["food"]
"""
DESIGN = """
format = 1
title = "Nougat"
unit = "mm"

[base]
style = "strip-tray"
stock = "cardstock-270"
floor = [25, 27]
depth = 46
strip = "cloth"

[lid]
style = "tray"
stock = "cardstock-270"
oversize = 1.5
depth = 15

[[content]]
item = "nougat"
lay = "end"
"""


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    folder = tmp_path / "bench"
    (folder / "models").mkdir(parents=True)
    (folder / "models" / "items.toml").write_text(ITEMS)
    (folder / "models" / "nougat.toml").write_text(DESIGN)
    return folder


@pytest.fixture
def beside(tmp_path: Path) -> Path:
    return extras(tmp_path / "site")


def test_a_style_and_a_kind_of_another_package_are_checked(bench: Path, beside: Path) -> None:
    ran = fitcheck_beside(
        [beside], "check", "nougat", "--odds", 2000, "--json", "out.json", "--report", "r.html",
        cwd=bench,
    )  # fmt: skip
    assert ran.status == 0, ran.err
    data = json.loads((bench / "out.json").read_text())
    base = data["parts"]["base"]
    assert base["style"] == "strip-tray"
    outside, inside = base["outside_mm"], base["inside_mm"]
    assert (outside["width"], outside["length"]) == pytest.approx((25 + 2 * A, 27 + 2 * A))
    assert (inside["width"], inside["length"]) == pytest.approx(
        (25 - 2 * (T - A), 27 - 2 * (T - A))
    )
    (content,) = data["contents"]
    assert content["verdict"] == "fits"
    assert content["orientation"] == "on end, turned 90"
    slack = content["slack_mm"]
    assert slack["width"] == pytest.approx(inside["width"] - HEIGHT, abs=2e-3)
    assert slack["length"] == pytest.approx(inside["length"] - BASE, abs=2e-3)
    (odds,) = data["odds"]["contents"]
    assert odds["fits"] == 1.0
    assert "food" in ran.out


def test_it_is_drawn_and_printed(bench: Path, beside: Path) -> None:
    ran = fitcheck_beside([beside], "sheet", "nougat", "-o", "sheets", cwd=bench)
    assert ran.status == 0, ran.err
    ran = fitcheck_beside([beside], "dummy", "nougat", "-o", "dummies", cwd=bench)
    assert ran.status == 0, ran.err
    mesh = trimesh.load(bench / "dummies" / "dummy-nougat.stl")
    assert mesh.is_watertight
    assert mesh.extents == pytest.approx([BASE, HEIGHT, LENGTH], abs=2e-3)
    assert mesh.volume == pytest.approx(BASE * HEIGHT / 2 * LENGTH, rel=2e-2)  # engraved, chamfered
    assert mesh.volume < BASE * HEIGHT / 2 * LENGTH
    folded = trimesh.load(bench / "dummies" / "folded-base.stl")
    flat = (25 + 92) * (27 + 92) - 4 * 46**2
    assert folded.volume == pytest.approx(flat * T, rel=2e-2)


def test_the_face_hands_it_out(bench: Path, beside: Path) -> None:
    code = """
import fitcheck, json
import numpy as np
found = fitcheck.check(fitcheck.read("models/nougat.toml"))
(content,) = found.contents
mesh = content.mesh()
odds = found.odds(1000)
row = odds.inputs.index("the base of the nougat")
rows = np.vstack([odds.errors, np.abs(odds.errors), np.ones(odds.boxes)]).T  # two sides each
slopes = np.linalg.lstsq(rows, odds.lengths["content 1's room to spare"], rcond=None)[0]
print(json.dumps([content.kind, mesh.volume, mesh.extents.tolist(), odds.share,
    float(odds.errors[row].std()), slopes[row]]))
"""
    ran = python_beside([beside], code, cwd=bench)
    assert ran.status == 0, ran.err
    kind, volume, size, share, u, slope = json.loads(ran.out)
    assert kind == "triangle"
    assert volume == pytest.approx(BASE * HEIGHT / 2 * LENGTH, rel=1e-4)
    assert sorted(size) == pytest.approx(sorted([BASE, HEIGHT, LENGTH]), abs=1e-3)
    assert 0.0 < share <= 1.0
    assert u == pytest.approx(U, rel=0.1)
    assert slope == pytest.approx(-1.0, abs=1e-6)  # what it grows by is not left beside it


def test_contents_of_that_kind_lie_beside_each_other(bench: Path, beside: Path) -> None:
    """Two of them flat: they keep clear of each other by the size that parts them."""
    path = bench / "models" / "nougat.toml"
    two = DESIGN.replace("[25, 27]", "[37, 48]").replace('lay = "end"', 'lay = "flat"\ncount = 2')
    path.write_text(two)
    ran = fitcheck_beside([beside], "check", "nougat", "--odds", 500, "--json", "o.json", cwd=bench)
    assert ran.status in (0, 1), ran.err
    (content,) = json.loads((bench / "o.json").read_text())["contents"]
    assert content["verdict"] == "fits"
    assert len(content["placements"]) == 2
    apart = np.abs(np.subtract(*(place["at_mm"] for place in content["placements"])))
    sizes = np.array([BASE, LENGTH, HEIGHT])
    assert np.any(apart >= sizes - 1e-6)


def test_they_are_listed_and_in_the_schema(bench: Path, beside: Path) -> None:
    listed = fitcheck_beside([beside], "list", "styles", cwd=bench)
    assert listed.status == 0
    assert "strip-tray\n    four walls round a floor, taped" in listed.out
    kinds = fitcheck_beside([beside], "list", "kinds", cwd=bench)
    assert "triangle\n    a bar over a triangle" in kinds.out
    schema = json.loads(fitcheck_beside([beside], "schema", cwd=bench).out)
    checker = jsonschema.Draft202012Validator(schema)
    data = {
        "format": 1, "title": "x", "unit": "mm",
        "base": {"style": "strip-tray", "stock": "cover-80", "floor": [3, 4], "depth": 2,
                 "strip": "cloth"},
    }  # fmt: skip
    checker.validate(data)
    data["base"]["strip"] = "rope"  # type: ignore[index]
    assert not checker.is_valid(data)
    plain = fitcheck_beside([], "schema", cwd=bench)
    assert "strip-tray" not in plain.out


def test_it_is_not_proposed_and_that_is_said(bench: Path, beside: Path) -> None:
    listed = fitcheck_beside([beside], "list", "styles", cwd=bench)
    assert listed.out.endswith(
        "    source: the package bench-extras; `fitcheck new` has no plan for it: write its design "
        "file by hand\n"
    )
    ran = fitcheck_beside(
        [beside], "new", "box", "--style", "strip-tray", "--stock", "base=cover-80",
        "--room", "70 x 80 x 20 mm", cwd=bench,
    )  # fmt: skip
    (line,) = ran.err.splitlines()
    assert ran.status == 2
    assert line == (
        "fitcheck: --style: the style 'strip-tray' of the package bench-extras has no plan for "
        "proposals; allowed: tray, shadow-box, double-wall, hinged-tray, tuck-end, sleeve, collar, "
        "dividers, mat, platform; write its design file by hand (`fitcheck schema` has its keys)"
    )


def test_without_the_package_its_names_are_not_known(bench: Path) -> None:
    ran = fitcheck_beside([], "check", "nougat", cwd=bench)
    assert ran.status == 2
    lines = ran.err.splitlines()
    assert any("base.style: not a known choice; read 'strip-tray'" in line for line in lines)
    assert any("nougat.kind: not a known choice; read 'triangle'" in line for line in lines)


BROKEN = """
from typing import Literal
from fitcheck.extending import Kind, Pose, Walled, WalledFile

class FailsFile(WalledFile):
    style: Literal["fails"]

class Fails(Walled):
    name, summary, places, file, tabs_on_longer_side = "fails", "x", ("base",), FailsFile, True
    def spec(self, common, file):
        from fitcheck.extending import WalledSpec
        return WalledSpec(**common)
    def recipe(self, spec, size, joint, tools):
        from fitcheck.extending import Axis, WalledRecipe
        return WalledRecipe.of(spec, size, joint, tools, tabs=Axis.LENGTH)
    def draw(self, recipe):
        return recipe.nothing_of_the_kind

class Lost(Fails):
    name, places = "lost", ("bottom",)

class NamedFile(WalledFile):
    style: Literal["other"]

class Named(Fails):
    name, file = "other", NamedFile

class Open(Fails):
    name, file = "open", WalledFile

class Tray(Fails):
    name = "tray"

class Four(Kind):
    name, summary, sizes = "four", "x", ("a", "b", "c", "d")
    def upright(self, item, up, word): ...
    def printed(self, item): ...

LOST, NAMED, OPEN, TRAY, FAILS, FOUR, NUMBER = Lost(), Named(), Open(), Tray(), Fails(), Four(), 7
"""
STYLES = {
    "lost": ("LOST", "read the places 'bottom'; allowed: any of base, lid, "),
    "named": ("NAMED", "read the name 'other'; allowed: that of its entry point"),
    "open": ("OPEN", "read a file in which the key style is open; allowed: Literal['open']"),
    "number": ("NUMBER", "read a value of the type int; allowed: an instance of a Style"),
    "gone": ("GONE", "cannot be loaded (AttributeError"),
    "twice": ("LOST", "offered more than once in that name; allowed: one package"),
    "leaves": ("", "cannot be loaded (SystemExit: bye)"),
    "fails": ("FAILS", "fails to draw the base (AttributeError"),
}


@pytest.fixture
def broken(tmp_path: Path) -> list[Path]:
    ours = {name: f"broken_boxes:{value}" for name, (value, _) in STYLES.items() if value}
    offers = {
        "fitcheck.styles": ours | {"leaves": "leaving", "tray": "broken_boxes:TRAY"},
        "fitcheck.kinds": {"four": "broken_boxes:FOUR", "card": "broken_boxes:FOUR"},
    }
    first = installed(tmp_path / "one", "broken-boxes", BROKEN, offers)
    again = {"fitcheck.styles": {"twice": "second:LOST"}}
    second = installed(tmp_path / "two", "second", BROKEN, again)
    third = installed(tmp_path / "three", "leaving", "raise SystemExit('bye')\n", {})
    return [first, second, third]


def test_what_is_broken_stops_no_design_that_does_not_use_it(
    bench: Path, broken: list[Path]
) -> None:
    path = bench / "models" / "plain.toml"
    plain = DESIGN.replace("strip-tray", "tray").replace('strip = "cloth"\n', "")
    path.write_text(plain.replace("nougat", "card-id1").replace("[25, 27]", "[58, 90]"))
    ran = fitcheck_beside(broken, "check", path, "--no-odds", cwd=bench)
    assert ran.err == "" and ran.status in (0, 1)
    with_them, without = (
        json.loads(fitcheck_beside(beside, "schema", cwd=bench).out) for beside in (broken, [])
    )
    assert set(with_them["$defs"]) == {*without["$defs"], "BaseFails"}  # it fails when it draws
    # a key that nobody knows asks all styles, broken ones too
    path.write_text(path.read_text().replace("depth = 46", "depth = 46\nstirp = 4"))
    ran = fitcheck_beside(broken, "check", path, "--no-odds", cwd=bench)
    assert ran.status == 2 and len(ran.err.splitlines()) == 1


@pytest.mark.parametrize("name", STYLES)
def test_a_broken_style_is_one_line_where_it_is_asked_for(
    bench: Path, broken: list[Path], name: str
) -> None:
    path = bench / "models" / "asks.toml"
    asks = DESIGN.replace("strip-tray", name).replace('strip = "cloth"\n', "")
    path.write_text(asks[: asks.index("[[content]]")])
    ran = fitcheck_beside(broken, "check", path, "--no-odds", cwd=bench)
    (line,) = ran.err.splitlines()
    assert ran.status == 2
    assert STYLES[name][1] in line
    assert f"the style '{name}'" in line


def test_a_broken_kind_is_one_line_where_it_is_asked_for(bench: Path, broken: list[Path]) -> None:
    (bench / "models" / "items.toml").write_text(ITEMS.replace("triangle", "four"))
    path = bench / "models" / "nougat.toml"
    path.write_text(DESIGN.replace("strip-tray", "tray").replace('strip = "cloth"\n', ""))
    ran = fitcheck_beside(broken, "check", path, "--no-odds", cwd=bench)
    (line,) = ran.err.splitlines()
    assert ran.status == 2
    assert "nougat.kind: the kind 'four' of the package broken-boxes: read the sizes" in line


def test_lists_tell_what_is_broken_behind_what_is_not(bench: Path, broken: list[Path]) -> None:
    ran = fitcheck_beside(broken, "list", "styles", cwd=bench)
    assert ran.status == 2
    assert ran.out.startswith("tray\n    four walls round a floor, glued at the corners\n")
    told = ran.err.splitlines()
    assert len(told) == len(STYLES)  # without the one that fails when it draws, with 'tray'
    assert "the style 'tray' of the package broken-boxes is never used" in told[0]
    kinds = fitcheck_beside(broken, "list", "kinds", cwd=bench)
    assert len(kinds.err.splitlines()) == 2
