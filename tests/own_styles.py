"""The style of the guide's last chapter, and variants of it, as packages of other people."""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path
from types import ModuleType

from fitcheck.outputs.guide import chapters
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.sheet import Axis
from tests.boxes import paper
from tests.other_package import installed

CHAPTER = chapters()["a-style-of-your-own"]
SHOWN = dict(re.findall(r"```(?:python|toml) ([^\n]+)\n(.*?)```", CHAPTER, re.DOTALL))
"""The files of the chapter by their places."""
BRIMS = SHOWN["bench_brims/__init__.py"]
FERNS = SHOWN["models/ferns.toml"]


def changed(*changes: tuple[str, str]) -> str:
    """The chapter's code, some of its words changed."""
    code = BRIMS
    for old, new in changes:
        assert old in code, old
        code = code.replace(old, new)
    return code


def brims(folder: Path, *changes: tuple[str, str]) -> Path:
    """The chapter's package in a folder that can stand on a path, some of its words changed."""
    project = tomllib.loads(SHOWN["pyproject.toml"])["project"]
    return installed(folder, project["name"], changed(*changes), project["entry-points"])


MITRED = (
    "corners = (low, rim), (high, rim), (high, edge), (low, edge)",
    "ends = (end.cut(f'{side} brim, its end', -recipe.brim_mm) for end in (high, low))\n"
    "                corners = (low, rim), (high, rim), *((end, edge) for end in ends)",
)
"""Brims that are longer at their edge, so that they meet over the corners."""


def leaning(deg: float) -> tuple[tuple[str, str], ...]:
    """Walls that are folded by so many degrees and lean out, brims that lie level all the same."""
    return (
        ("from dataclasses import dataclass\n", "from dataclasses import dataclass, replace\n"),
        (
            "                drawn += plain_wall(canvas, foot, rim, feet)\n",
            "                wall = plain_wall(canvas, foot, rim, feet)\n"
            f"                lean = (replace(one, angle_rad={deg} * pi / 180) "
            "for one in wall.creases)\n"
            "                drawn += replace(wall, creases=tuple(lean))\n",
        ),
        ("-pi / 2)", f"-{deg} * pi / 180)"),
    )


def brim_pattern(
    floor_mm: tuple[float, float], depth_mm: float, brim_mm: float, *changes: tuple[str, str]
) -> Pattern:
    """What the chapter's style draws of a part, some of its words changed."""
    module = ModuleType("bench_brims")
    sys.modules[module.__name__] = module  # dataclasses look for theirs there
    exec(changed(*changes), module.__dict__)
    recipe = module.BrimRecipe(
        part="base", style="brim-tray", stock=paper(0.33), width_mm=floor_mm[0],
        length_mm=floor_mm[1], depth_mm=depth_mm, joint_mm=0.1, tabs=Axis.LENGTH, brim_mm=brim_mm,
    )  # fmt: skip
    pattern: Pattern = module.BRIM_TRAY.draw(recipe)
    return pattern
