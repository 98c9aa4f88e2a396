"""Options about odds that several commands share, and how their texts are read."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.errors import InputError

if TYPE_CHECKING:
    from fitcheck.odds.inputs import Humidity

SeedOption = Annotated[
    int, typer.Option("--seed", metavar="S", min=0, help="Seed of the virtual boxes.")
]
HumidityOption = Annotated[
    str | None,
    typer.Option(
        "--humidity",
        metavar="LOW:HIGH",
        help="Relative humidity in % that the box will meet, such as 30:70; needs --odds.",
    ),
]


def read_humidity(text: str | None) -> Humidity | None:
    """LOW:HIGH as a range. Raises InputError for a text of another form."""
    if text is None:
        return None
    from fitcheck.odds.inputs import Humidity

    low, colon, high = text.partition(":")
    try:
        ends = float(low), float(high)
    except ValueError:
        ends = math.nan, math.nan
    if not colon or not 0.0 <= ends[0] < ends[1] <= 100.0:
        raise InputError(
            f"--humidity: read '{text}'; allowed: LOW:HIGH in % relative humidity, from 0 to 100 "
            "and LOW below HIGH, such as --humidity 30:70"
        )
    return Humidity(*ends)
