"""The same recipe for another reader's paper and tools."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.errors import said_as
from fitcheck.stock.profile_files import find_tools
from fitcheck.workspace.paths import search_roots
from fitcheck.workspace.toml import read_toml


def retargeted(path: Path, stocks: Mapping[str, str], tools: str | None) -> Design:
    """The design of a file with other stocks (by part) and other tools, where given.

    A joint that the file gives stays; otherwise it is that of the tools. What a hand sets is told
    in the unit of those tools' grooves, where they have some. Raises InputError for names that
    are not known, with the options that give another reader's.
    """
    with said_as({"--stock ": "--for-stock "}):
        design = read_design(path, stocks=stocks)
    if tools is None:
        return design
    with said_as({"": "--for-tools: "}):
        found = find_tools(tools, search_roots(path))
    joint = design.joint_mm if "joint" in read_toml(path) else found.joint_mm
    changed = replace(design, tools=found, joint_mm=joint, joint_u_mm=found.joint_u_mm)
    return replace(changed, unit=found.grid_unit or design.unit)
