"""Colours as files say them, and what is printed on a paper, for its pictures."""

from __future__ import annotations

import enum
import re
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema

from fitcheck.workspace.lengths import problem

NAMES = {
    "black": "#000000",
    "silver": "#c0c0c0",
    "gray": "#808080",
    "white": "#ffffff",
    "maroon": "#800000",
    "red": "#ff0000",
    "purple": "#800080",
    "fuchsia": "#ff00ff",
    "green": "#008000",
    "lime": "#00ff00",
    "olive": "#808000",
    "yellow": "#ffff00",
    "navy": "#000080",
    "blue": "#0000ff",
    "teal": "#008080",
    "aqua": "#00ffff",
}
"""The basic colour keywords of CSS (W3C, CSS Color Module)."""
HEX = re.compile(r"#[0-9a-f]{6}")


class Print(enum.StrEnum):
    """What is printed on the outside of a paper, as a picture simply shows it."""

    DOTS = "dots"
    STRIPES = "stripes"
    CHECK = "check"


Printed = Annotated[Print, Field(strict=False)]
"""A print in a file."""


def as_colour(value: Any) -> str:
    """What a file says as `#rrggbb`. Raises a validation error for what is no colour."""
    text = value.strip().lower() if isinstance(value, str) else ""
    found = NAMES.get(text, text)
    if not HEX.fullmatch(found):
        raise problem(
            "is no colour", f'six digits such as "#2f5d8a", or {", ".join(NAMES)}', "write one"
        )
    return found


Colour = Annotated[str, BeforeValidator(as_colour), WithJsonSchema({"type": "string"})]
"""A colour in a file; what is read is `#rrggbb`."""


def rgb(colour: str) -> tuple[float, float, float]:
    """A colour's red, green and blue, 0 to 1.

    >>> rgb("#ff8000")
    (1.0, 0.5019607843137255, 0.0)
    """
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue
