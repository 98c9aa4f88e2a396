"""The kinds of values that parts are written with in a design file, and the keys that all share."""

from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, Field, ValidationInfo, WithJsonSchema

from fitcheck.pattern.sheet import Axis
from fitcheck.workspace.colours import Colour, Printed
from fitcheck.workspace.lengths import (
    LARGEST_MM,
    LENGTH_SCHEMA,
    PAIR_SCHEMA,
    Length,
    length_reader,
    pair_reader,
    problem,
)
from fitcheck.workspace.strict import STRICT

MOST_SETBACK_MM = 50.0
"""Of a tab's score, and of scores moved outward on the same sheet."""
LEAST_OVERSIZE_MM = -50.0
"""A lid as much smaller than its base goes on no box."""

any_length = length_reader(0, LARGEST_MM, above=True)


def length_schema(**more: Any) -> WithJsonSchema:
    """What the schema says of a length."""
    return WithJsonSchema({**LENGTH_SCHEMA, **more})


def length_or(word: str) -> BeforeValidator:
    """Reads a length, or the word that leaves it to the style, as None."""

    def read(value: Any, info: ValidationInfo) -> float | None:
        if value == word:
            return None
        try:
            return any_length(value, info)
        except ValueError as error:
            message = str(getattr(error, "context", {}).get("problem", error))
            allowed = f'a length above 0 mm up to {LARGEST_MM:g} mm, or "{word}"'
            raise problem(message, allowed, f'write a length or "{word}"') from None

    return BeforeValidator(read)


Name = Annotated[str, Field(min_length=1, max_length=200)]
Sides = Annotated[list[Length], Field(min_length=2, max_length=2)]
AxisName = Annotated[Axis, Field(strict=False)]
Slack = Annotated[
    tuple[float, float], BeforeValidator(pair_reader(any_length)), WithJsonSchema(PAIR_SCHEMA)
]
Oversize = Annotated[
    tuple[float, float],
    BeforeValidator(pair_reader(length_reader(LEAST_OVERSIZE_MM, LARGEST_MM))),
    WithJsonSchema(PAIR_SCHEMA),
]
Setback = Annotated[float, BeforeValidator(length_reader(0, MOST_SETBACK_MM)), length_schema()]


class PartFile(BaseModel):
    """The keys that every part has."""

    model_config = STRICT
    style: str = Field(description="The name of a style.")
    stock: Name = Field(description="The name of a paper in calibration/stocks; no default.")
    grain: AxisName | None = Field(
        default=None, description="The direction of the paper's grain: width or length."
    )
    decoration_g: Annotated[float, Field(ge=0, le=10000)] = Field(
        default=0.0,
        description="What is stuck on it weighs, in grams; a lid sinks by its weight.",
    )
    colour: Colour | None = Field(
        default=None,
        description='Its colour in pictures: "#rrggbb" or a basic colour name; default the '
        "paper's.",
    )
    printed: Printed | None = Field(
        default=None,
        description="What is printed on its outside, in pictures: dots, stripes or check; default "
        "the paper's.",
    )
