"""Sheets as a tools file lists them: by the names of those in common use, or as two sides."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field, WithJsonSchema

from fitcheck.stock.bought_sheets import LARGEST_SHEET_MM, MOST_SHEETS, SHEET_NAMES, sheet_called
from fitcheck.workspace.lengths import LENGTH_SCHEMA, length_reader, problem

SheetSide = Annotated[
    float, BeforeValidator(length_reader(50, LARGEST_SHEET_MM)), WithJsonSchema(LENGTH_SCHEMA)
]

PAIR = 2
SHEETS_SAMPLE = 'write sheets = ["a4", ["450 mm", "640 mm"]]'


def _size_of_name(value: object) -> object:
    """A sheet's sides where its name is given; anything else as it is."""
    if not isinstance(value, str):
        return value
    sheet = sheet_called(value)
    if sheet is None:
        raise problem(
            "is no sheet's name", f"{', '.join(SHEET_NAMES)}, or [width, length]", SHEETS_SAMPLE
        )
    return [sheet.width_mm, sheet.length_mm]


def _listed(value: object) -> object:
    """A list of sheets; raises a problem for a sheet that stands there by itself."""
    alone = isinstance(value, str)
    if isinstance(value, list) and len(value) == PAIR:
        alone = all(isinstance(one, int | float) or _is_length(one) for one in value)
    if alone:
        raise problem("is one sheet", "a list of sheets", SHEETS_SAMPLE)
    return value


def _is_length(value: object) -> bool:
    return isinstance(value, str) and value[:1].isdigit() and sheet_called(value) is None


SheetSize = Annotated[
    list[SheetSide], Field(min_length=2, max_length=2), BeforeValidator(_size_of_name)
]


SheetSizes = Annotated[
    list[SheetSize], Field(min_length=1, max_length=MOST_SHEETS), BeforeValidator(_listed)
]
