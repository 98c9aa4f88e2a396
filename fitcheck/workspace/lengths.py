"""Lengths as a file may write them: read in the file's unit and handed on in millimetres.

The file's unit reaches the validators as ``context={"unit": Unit...}``; without it, mm is meant.
"""

from collections.abc import Callable
from typing import Annotated, Any, Literal, get_args

from pydantic import BeforeValidator, ValidationInfo, WithJsonSchema
from pydantic_core import PydanticCustomError

from fitcheck.units import ZERO_MM, Unit, parse_length, show_length

FileUnit = Literal["in", "mm", "cm"]
"""What a file's lengths may be in; the paper maker's point is for single lengths."""
FILE_UNITS: tuple[str, ...] = get_args(FileUnit)
LARGEST_MM = 2000.0
"""No part of a paper box is longer than this."""
PROBLEM = "fitcheck"
"""The error type whose context carries ``allowed`` and ``do`` (see strict.py)."""
LENGTH_SCHEMA: dict[str, Any] = {"type": ["string", "number"]}


def problem(text: str, allowed: str, do: str = "") -> PydanticCustomError:
    """A validation error that says what is allowed and what to do."""
    return PydanticCustomError(
        PROBLEM, "{problem}", {"problem": text, "allowed": allowed, "do": do}
    )


def file_unit(info: ValidationInfo) -> Unit:
    """The unit of the file that is being read."""
    unit = (info.context or {}).get("unit", Unit.MM)
    return Unit(unit)


def length_reader(
    least_mm: float, most_mm: float, *, above: bool = False
) -> Callable[[Any, ValidationInfo], float]:
    """A validator for one length; ``above`` leaves ``least_mm`` itself out, and all that is no more
    than it as far as any length is shown.
    """
    start = "above" if above else "from"

    def read(value: Any, info: ValidationInfo) -> float:
        unit = file_unit(info)
        allowed = f"a length {start} {least_mm:g} mm up to {most_mm:g} mm"
        try:
            mm = parse_length(value, unit)
        except ValueError as error:
            raise problem(str(error), allowed) from None
        if not least_mm <= mm <= most_mm or (above and mm < least_mm + ZERO_MM):
            text = f"is {show_length(mm, unit)}, out of range" if abs(mm) < 1e6 else "out of range"
            raise problem(text, allowed, "write a length in that range")
        return mm

    return read


def pair_reader(
    one: Callable[[Any, ValidationInfo], float],
) -> Callable[[Any, ValidationInfo], tuple[float, float]]:
    """A validator for one length meant for both sides, or for a list [width, length]."""

    def read(value: Any, info: ValidationInfo) -> tuple[float, float]:
        if not isinstance(value, list):
            both = one(value, info)
            return both, both
        if len(value) != 2:
            raise problem(
                f"is a list of {len(value)}", "one length or a list [width, length]", "write two"
            )
        return one(value[0], info), one(value[1], info)

    return read


PAIR_SCHEMA: dict[str, Any] = {
    "anyOf": [
        LENGTH_SCHEMA,
        {"type": "array", "items": LENGTH_SCHEMA, "minItems": 2, "maxItems": 2},
    ]
}

Length = Annotated[
    float,
    BeforeValidator(length_reader(0, LARGEST_MM, above=True)),
    WithJsonSchema(LENGTH_SCHEMA),
]
"""A length above 0 mm."""
