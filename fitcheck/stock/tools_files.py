"""What a tools file may say, and the tools read from it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, Field

from fitcheck.errors import InputError
from fitcheck.plain import joined, shown
from fitcheck.stock.bought_sheets import sheet_of
from fitcheck.stock.learnt_files import (
    BoardScale,
    BoardScaleUncertainty,
    Offset,
    OffsetUncertainty,
    SourcedFile,
    Uncertainty,
)
from fitcheck.stock.sheet_lists import SheetSizes
from fitcheck.stock.tools import KNIFE_U_MM, USUAL_TOLERANCE_MM, Habits, Tools
from fitcheck.workspace.explain import line
from fitcheck.workspace.lengths import LARGEST_MM, length_reader
from fitcheck.workspace.names import LONGEST_NAME, Shelf, find_named
from fitcheck.workspace.nearest import nearest_names
from fitcheck.workspace.paths import search_roots
from fitcheck.workspace.strict import STRICT, FormatNumber, Words, validate
from fitcheck.workspace.toml import read_toml

SCANTY = 2
"""Keys that a file may not leave out, from which on all are told in one line."""
GRID_MM = 0.5
"""Grooves nearer to each other than this would be one: a score lies in a groove to 0.05 mm."""

MOST_PEOPLE = 50
"""Whose hands one profile tells apart."""
HandUncertainty = Annotated[float, Field(ge=0, le=2)]
"""Of a score, a cut or a joint: a hand that is off by more does not work to a line."""


class ScoreFile(BaseModel):
    """Standard uncertainty of a score's place, in mm."""

    model_config = STRICT
    on_grid: HandUncertainty = Field(description="Of a score made in a groove, in mm.")
    off_grid: HandUncertainty = Field(description="Of a score made between grooves, in mm.")


class HabitsFile(BaseModel):
    """What a trimmer, a board and a hand always do alike."""

    model_config = STRICT
    cut_mm: Offset = Field(default=0.0, description="How much too large every sheet is cut, mm.")
    cut_u_mm: OffsetUncertainty = Field(default=0.0, description="Its standard uncertainty in mm.")
    fence_mm: Offset = Field(
        default=0.0,
        description="How much too far from its fence every score lies, mm, at scale_from_mm; its "
        "standard uncertainty is fence_u_mm.",
    )
    between_mm: Offset = Field(
        default=0.0, description="How much further every score between grooves lies, mm."
    )
    between_u_mm: OffsetUncertainty = Field(
        default=0.0, description="Its standard uncertainty in mm."
    )
    scale: BoardScale = Field(
        default=0.0, description="Scale error of the board's distances, 0.001 is 0.1 % too long."
    )
    scale_u: BoardScaleUncertainty = Field(default=0.0, description="Its standard uncertainty.")
    scale_from_mm: Annotated[float, Field(ge=0, le=LARGEST_MM)] = Field(
        default=0.0, description="The distance from the fence at which fence_mm holds, mm."
    )


class HandFile(BaseModel):
    """How far off a hand's cuts and scores are."""

    model_config = STRICT
    score_u_mm: ScoreFile = Field(
        description="Standard uncertainty of a score, a table {on_grid, off_grid}."
    )
    fence_u_mm: HandUncertainty = Field(
        description="Standard uncertainty of the board's own offset."
    )
    cut_u_mm: HandUncertainty = Field(description="Standard uncertainty of a cut sheet dimension.")
    knife_u_mm: HandUncertainty = Field(
        default=KNIFE_U_MM,
        description="Standard uncertainty of a knife cut inside the sheet, in mm.",
    )
    habits: HabitsFile | None = Field(
        default=None, description="What they always do alike, as it was measured, a table."
    )


class AssumedFile(HandFile):
    """What was taken for a hand before it was measured."""

    source: Words = Field(description="Where that came from, a text.")
    tools: Words | None = Field(
        default=None, description="The tools it was taken from, where those have another name."
    )


class ToolsFile(HandFile, SourcedFile):
    """A file in calibration/tools."""

    format: FormatNumber = Field(description="The version of this file's form, 1.")
    like: Annotated[str, Field(max_length=LONGEST_NAME)] | None = Field(
        default=None,
        description="Other tools, by their name: what this file does not say is taken from there.",
    )
    grid: Annotated[float, BeforeValidator(length_reader(GRID_MM, LARGEST_MM))] | None = Field(
        default=None, description="Distance between the board's grooves, a length with its unit."
    )
    joint_mm: Uncertainty = Field(description="Thickness of the adhesive between two faces in mm.")
    joint_u_mm: HandUncertainty = Field(description="Standard uncertainty of that thickness in mm.")
    instrument_tolerance_mm: HandUncertainty = Field(
        default=USUAL_TOLERANCE_MM,
        description="How far the maker allows the caliper that reads coupons to be off, in mm.",
    )
    sheets: SheetSizes | None = Field(
        default=None,
        description="The sizes of paper that the workshop has, a list of names (letter, a4, 12x12, "
        "a3) and of [width, length]; the grain is taken along the length, the side named second.",
    )
    score_face: Literal["outside", "inside"] = Field(
        default="outside",
        description="The face of a fold that is pressed: `outside`, so that it folds towards the "
        "ridge that the score raises, or `inside`.",
    )
    assumed: AssumedFile | None = Field(
        default=None, description="What was taken for the hand before it was measured, a table."
    )
    people: Annotated[dict[Words, HandFile], Field(max_length=MOST_PEOPLE)] | None = Field(
        default=None, description="The hand of each person that was measured apart, tables by name."
    )


USUAL_HAND: dict[str, Any] = {
    "score_u_mm": {"on_grid": 0.1, "off_grid": 0.25},
    "fence_u_mm": 0.05,
    "cut_u_mm": 0.2,
    "joint_mm": 0.1,
    "joint_u_mm": 0.03,
    "source": "none",
}
"""What a file is read with beside what it says, when it leaves out much and is refused for it."""


def read_tools(path: Path) -> Tools:
    """The tools in a file; raises ``InputError`` with a line for each problem."""
    data = read_toml(path)
    other = _other_file(data, path)
    if other is None:
        return tools_from(data, path)
    first = read_toml(other)
    tools_from(first, other)
    return tools_from({**{key: first[key] for key in first if key != "format"}, **data}, path)


def tools_paths(path: Path) -> tuple[Path, ...]:
    """A tools file, and the other one that it takes from where it does."""
    other = _other_file(read_toml(path), path)
    return (path,) if other is None else (path, other)


def _other_file(data: dict[str, Any], path: Path) -> Path | None:
    """The file that a tools file takes from; raises ``InputError`` for one it may not take from."""
    name = data.get("like")
    if not isinstance(name, str):
        return None
    try:
        other = find_named(Shelf.TOOLS, name, search_roots(path))
    except InputError as error:
        raise InputError(f"{path}: like: {text}" for text in error.lines) from None
    if other.exists() and path.exists() and other.samefile(path):
        raise InputError(
            line(path, "like", "is this file itself", f"read {shown(name)}", _WHOLE, "name others")
        )
    if "like" in read_toml(other):
        own = f"takes from others itself ({other} has like)"
        raise InputError(
            line(path, "like", own, f"read {shown(name)}", _WHOLE, "name those, and what differs")
        )
    return other


_WHOLE = "allowed: tools whose file says everything itself (see fitcheck list tools)"


def _refuse_scanty(data: dict[str, Any], path: Path) -> None:
    """Raise ``InputError`` for a file that leaves out much, with the one line that gives it all."""
    fields = ToolsFile.model_fields
    unknown = [key for key in data if key not in fields]
    out = [
        key
        for key in USUAL_HAND
        if key in fields and fields[key].is_required() and key not in data
        if not nearest_names(key, unknown)
    ]
    if len(out) < SCANTY:
        return
    told = line(
        path,
        joined(out),
        "missing",
        'add like = "score-board-metric", or what fitcheck list tools names, and what this file '
        "does not say is taken from there; or add each of them",
    )
    try:
        validate(ToolsFile, {**USUAL_HAND, **data}, path)
    except InputError as error:
        raise InputError([*error.lines, told]) from None
    raise InputError(told)


def tools_from(data: dict[str, Any], path: Path) -> Tools:
    """The tools that a file says, or would say; raises ``InputError`` like ``read_tools``."""
    _refuse_scanty(data, path)
    file = validate(ToolsFile, data, path)
    tools = Tools(
        name=path.stem,
        grid_mm=file.grid,
        joint_mm=file.joint_mm,
        joint_u_mm=file.joint_u_mm,
        instrument_tolerance_mm=file.instrument_tolerance_mm,
        sheets=tuple(sheet_of(width, length) for width, length in file.sheets or ()),
        score_face=file.score_face,
        **_hand_of(file),
    )
    assumed, people = file.assumed, file.people or {}
    return replace(
        tools,
        source=file.source or "",
        records=tuple(file.records or ()),
        assumed=None
        if assumed is None
        else replace(
            tools,
            name=assumed.tools or tools.name,
            source=assumed.source,
            **_hand_of(assumed),
        ),
        people=tuple((who, replace(tools, **_hand_of(own))) for who, own in people.items()),
    )


def _hand_of(file: HandFile) -> dict[str, Any]:
    """The fields of tools that depend on whose hand holds them."""
    habits = file.habits
    return {
        "score_u_on_grid_mm": file.score_u_mm.on_grid,
        "score_u_off_grid_mm": file.score_u_mm.off_grid,
        "fence_u_mm": file.fence_u_mm,
        "cut_u_mm": file.cut_u_mm,
        "knife_u_mm": file.knife_u_mm,
        "habits": Habits() if habits is None else Habits(**habits.model_dump()),
    }
