"""Packages of other people, written into a folder with the metadata that an installer leaves."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

from tests.cli.commands import ROOT, Ran

EXTRAS = '''
"""An open tray whose corners are taped from outside, and a prism over a triangle."""

from dataclasses import dataclass, replace
from typing import Literal

from pydantic import BaseModel, Field

from fitcheck.extending import (
    STRICT, Axis, Canvas, Edge, Item, Kind, Pattern, Polygon, Pose, Shape, Sheet, Walled,
    WalledFile, WalledRecipe, WalledSpec, floor, plain_wall, rectangular,
)


class StripFile(WalledFile):
    """The keys of a tray that is taped."""

    style: Literal["strip-tray"] = Field(description='The style: "strip-tray".')
    strip: Literal["paper", "cloth"] = Field(default="paper", description="What tapes it.")


@dataclass(frozen=True, kw_only=True)
class StripRecipe(WalledRecipe):
    """Nothing is glued between its walls."""

    @property
    def corner_push_mm(self):
        return 0.0


class StripTray(Walled[WalledSpec, StripRecipe]):
    """Four walls and nothing at the corners."""

    name = "strip-tray"
    summary = "four walls round a floor, taped at the corners from outside"
    places = ("base",)
    file = StripFile
    sheet_is_walls = True
    tabs_on_longer_side = True

    def spec(self, common, file):
        return WalledSpec(**common, tabs=Axis.LENGTH)

    def recipe(self, spec, size_mm, joint_mm, tools):
        return StripRecipe.of(spec, size_mm, joint_mm, tools, tabs=Axis.LENGTH)

    def draw(self, recipe):
        depth = recipe.depth_mm
        feet, rims = (tuple(Edge(at, far) for far in (False, True)) for at in (depth, 0.0))
        drawn = floor(Canvas(Axis.LENGTH), *feet, *feet)
        for axis in (Axis.LENGTH, Axis.WIDTH):
            for foot, rim in zip(feet, rims, strict=True):
                drawn += plain_wall(Canvas(axis), foot, rim, feet)
        size = Sheet(recipe.width_mm + 2 * depth, recipe.length_mm + 2 * depth)
        return Pattern(part=recipe.part, sheet=size, panels=drawn.panels, creases=drawn.creases)


class PrismKeys(BaseModel):
    """Where its ridge is."""

    model_config = STRICT
    ridge: float = Field(default=0.5, ge=0.0, le=1.0, description="Along its base, 0 to 1.")


@dataclass(frozen=True)
class PrismItem(Item):
    """A prism with its ridge."""

    ridge: float = 0.5


class TrianglePrism(Kind):
    """A bar over a triangle: its base, its height over it, and its length."""

    name = "triangle"
    summary = "a bar over a triangle"
    sizes = ("base", "height", "length")
    keys = PrismKeys

    def item(self, common, table, at):
        return PrismItem(**common, corner_radius_mm=0.0, mesh_path=None, ridge=table.ridge)

    def upright(self, item, up, word):
        if up < 2:  # on a face, or held on an edge: somewhere in its sizes
            return tuple(replace(p, shape=Shape.HULL) for p in rectangular(item, up, word))
        pose = self.printed(item)
        turned = Polygon(tuple((-y, x) for x, y in pose.footprint.points))
        straight = replace(pose, name=word)
        across = pose.length_mm, pose.width_mm, pose.height_mm
        return straight, Pose(word + ", turned 90", *across, turned)

    def printed(self, item):
        base, height, length = item.size_mm
        ridge = (item.ridge - 0.5) * base, 0.5 * height
        corners = (-0.5 * base, -0.5 * height), (0.5 * base, -0.5 * height), ridge
        return Pose("", base, height, length, Polygon(corners))


STRIP_TRAY, TRIANGLE = StripTray(), TrianglePrism()
'''


def installed(
    folder: Path, package: str, code: str, offers: Mapping[str, Mapping[str, str]]
) -> Path:
    """A package in a folder that can stand on a path; what it offers is by group and name."""
    module = package.replace("-", "_")
    (folder / module).mkdir(parents=True)
    (folder / module / "__init__.py").write_text(code)
    return described(folder, package, offers)


def described(folder: Path, package: str, offers: Mapping[str, Mapping[str, str]]) -> Path:
    """The metadata that an installer leaves beside a package."""
    about = folder / f"{package.replace('-', '_')}-1.0.dist-info"
    about.mkdir()
    (about / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {package}\nVersion: 1.0\n")
    lines = []
    for group, named in offers.items():
        lines += [f"[{group}]", *(f"{name} = {value}" for name, value in named.items())]
    (about / "entry_points.txt").write_text("\n".join(lines) + "\n")
    return folder


def extras(folder: Path) -> Path:
    """The package with a style and a kind that work."""
    offers = {
        "fitcheck.styles": {"strip-tray": "bench_extras:STRIP_TRAY"},
        "fitcheck.kinds": {"triangle": "bench_extras:TRIANGLE"},
    }
    return installed(folder, "bench-extras", EXTRAS, offers)


def python_beside(folders: list[Path], code: str, *arguments: object, cwd: Path) -> Ran:
    """Run a line of Python where such packages are installed."""
    places = os.pathsep.join(map(str, [*folders, ROOT]))
    done = subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)],
        cwd=cwd,
        env=os.environ | {"PYTHONPATH": places, "COLUMNS": "100"},
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    return Ran(done.returncode, done.stdout, done.stderr)


def fitcheck_beside(folders: list[Path], *arguments: object, cwd: Path) -> Ran:
    """Run `fitcheck` there."""
    code = "from fitcheck.cli.main import run; run()"
    return python_beside(folders, code, *arguments, cwd=cwd)
