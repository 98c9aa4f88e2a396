"""All that went in, so that it can be repeated: papers, tools, items, versions, the file."""

from __future__ import annotations

import platform
from dataclasses import dataclass
from importlib import metadata

import fitcheck
from fitcheck.errors import InputError
from fitcheck.fit.check import Check
from fitcheck.outputs.bench_words import groove_words
from fitcheck.stock.paper import Stock
from fitcheck.stock.tools import Tools
from fitcheck.workspace.reading import Most, read_bounded

LIBRARIES = ("numpy", "scipy", "ortools")


@dataclass(frozen=True)
class Input:
    """One thing that went in."""

    name: str
    value: str
    source: str
    """Where it is known from; may be empty."""


def inputs_of(check: Check, humidity: str | None = None) -> tuple[Input, ...]:
    """The inputs, in the order in which they are used; `humidity` in words when it was given."""
    design = check.design
    papers = [
        Input(f"paper of the {p.recipe.part}", _paper(p.recipe.stock), _origin(p.recipe.stock))
        for p in check.assembly.parts
    ]
    items = [
        Input(
            f"content {content.item.name}",
            f"{content.item.kind}, {' x '.join(f'{side:g}' for side in content.item.size_mm)} mm, "
            f"{content.count} of it, may lie {content.lay}",
            content.item.source,
        )
        for content in design.contents
    ]
    bands = (
        f"tight down to {-design.bands.tight_mm:g}, snug below {design.bands.snug_mm:g} mm of "
        f"play, loose from {design.bands.loose_mm:g}"
    )
    return (
        *papers,
        Input("tools", _tools(design.tools), design.tools.told_by),
        Input("adhesive", f"{design.joint_mm:g} +- {design.joint_u_mm:g} mm thick", ""),
        Input("bands", f"{bands} mm", ""),
        Input("humidity", humidity or "as on the day the papers were measured", ""),
        *items,
        Input("program", _versions(), ""),
    )


def design_text(check: Check) -> str:
    """The design file as it stands on disk, or nothing when it cannot be read any more."""
    path = check.design.path
    if path is None:
        return ""
    try:
        return read_bounded(path, Most.DESIGN).decode("utf-8")
    except (OSError, InputError, UnicodeDecodeError):
        return ""


def _paper(stock: Stock) -> str:
    crease = stock.how_known
    return (
        f"{stock.name}, {stock.kind}: "
        f"caliper {stock.caliper_mm:.3f} +- {stock.caliper_u_mm:.3f} mm, "
        f"crease allowance {stock.crease_allowance_mm:.3f} +- {stock.crease_allowance_u_mm:.3f} mm "
        f"({crease})"
    )


def _origin(stock: Stock) -> str:
    if stock.records:
        return f"learnt from {', '.join(stock.records)}"
    return stock.source


def _tools(tools: Tools) -> str:
    grid = groove_words(tools)
    return (
        f"{tools.name}: {grid}, scores +- {tools.score_u_on_grid_mm:g} mm on a groove, "
        f"+- {tools.score_u_off_grid_mm:g} mm off it, cuts +- {tools.cut_u_mm:g} mm"
    )


def _versions() -> str:
    libraries = ", ".join(f"{name} {metadata.version(name)}" for name in LIBRARIES)
    return f"fitcheck {fitcheck.__version__}, Python {platform.python_version()}, {libraries}"
