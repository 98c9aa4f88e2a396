"""Options about odds that several commands share, and how their texts are read."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli.numbers import number, whole
from fitcheck.errors import InputError
from fitcheck.plain import shown

if TYPE_CHECKING:
    from fitcheck.design.model import Design
    from fitcheck.fit.check import Check
    from fitcheck.odds.inputs import Humidity
    from fitcheck.odds.result import Odds

LARGEST_SEED = 2**63 - 1
SeedOption = Annotated[
    int,
    typer.Option(
        "--seed",
        metavar="S",
        parser=whole("--seed", 0, LARGEST_SEED),
        help="Seed of the virtual boxes.",
    ),
]
ByOption = Annotated[
    str | None,
    typer.Option(
        "--by", metavar="NAME", help="Who makes the box, where people's hands were measured apart."
    ),
]
BOXES = 20_000
"""Boxes that odds are counted over unless said otherwise: right to a third of a box in 100."""
OddsOption = Annotated[
    int | None,
    typer.Option(
        "--odds",
        metavar="N",
        parser=whole("--odds"),
        help=f"How many boxes made by hand the odds are counted over, {BOXES} if left out.",
    ),
]
NoOddsOption = Annotated[bool, typer.Option("--no-odds", help="The drawing alone, at once.")]
DetailsOption = Annotated[
    bool, typer.Option("--details", help="The statistics behind the odds, too.")
]
HumidityOption = Annotated[
    str | None,
    typer.Option(
        "--humidity",
        metavar="LOW:HIGH",
        help="Relative humidity in % that the box will meet, such as 30:70.",
    ),
]


MadeAtOption = Annotated[
    float | None,
    typer.Option(
        "--made-at",
        metavar="RH",
        parser=number("--made-at"),
        help="Relative humidity in % in which the box is cut and scored; 50 if left out.",
    ),
]


def boxes_asked(odds: int | None, no_odds: bool, humidity: str | None) -> int | None:
    """How many boxes to count over; None for none. Raises InputError for what contradicts it."""
    if not no_odds:
        return BOXES if odds is None else box_count(odds)
    for option, given in (("--odds", odds), ("--humidity", humidity)):
        if given is not None:
            raise InputError(
                f"{option}: read it beside --no-odds; allowed: either of them, as it is about the "
                "odds; leave one out"
            )
    return None


def box_count(boxes: int) -> int:
    """A number of boxes that odds can be counted over. Raises InputError for another."""
    from fitcheck.odds.odds import LEAST_BOXES, MOST_BOXES

    if not LEAST_BOXES <= boxes <= MOST_BOXES:
        raise InputError(
            f"--odds: read {shown(boxes)}; allowed: {LEAST_BOXES} to {MOST_BOXES} boxes; {BOXES} "
            "will do"
        )
    return boxes


def read_humidity(text: str | None, made: float | None = None) -> Humidity | None:
    """LOW:HIGH as a range, and the air that the box is made in.

    Raises InputError for a text of another form.
    """
    if text is None:
        if made is not None:
            raise InputError(
                "--made-at: read it without --humidity; allowed: beside it, as a box only grows "
                "when the air changes; give --humidity LOW:HIGH too"
            )
        return None
    if made is not None and not 0.0 <= made <= 100.0:
        raise InputError(
            f"--made-at: read {shown(made)}; allowed: 0 to 100 % relative humidity; read it off a "
            "hygrometer where you cut"
        )
    if made is not None and made <= 1.0:
        raise InputError(
            f"--made-at: read {shown(made)}, and no air is as dry as that in %; allowed: % "
            f"relative humidity; for a share of one write --made-at {100.0 * made:g}"
        )
    from fitcheck.odds.inputs import Humidity

    low, colon, high = text.partition(":")
    try:
        ends = float(low), float(high)
    except ValueError:
        ends = math.nan, math.nan
    if not colon or not 0.0 <= ends[0] < ends[1] <= 100.0:
        raise InputError(
            f"--humidity: read {shown(text)}; allowed: LOW:HIGH in % relative humidity, from 0 "
            "to 100 and LOW below HIGH, such as --humidity 30:70"
        )
    if ends[1] <= 1.0:
        as_percent = ":".join(f"{100.0 * end:g}" for end in ends)
        raise InputError(
            f"--humidity: read {shown(text)}, and no air is as dry as {ends[1]:g} %; allowed: "
            f"LOW:HIGH in % relative humidity; for shares of one write --humidity {as_percent}"
        )
    return Humidity(*ends) if made is None else Humidity(*ends, made)


def odds_with_advice(
    found: Check, boxes: int = BOXES, seed: int = 0, air: Humidity | None = None
) -> Odds:
    """The odds of a checked design, with what helps most; the bar moves meanwhile."""
    from fitcheck.cli.progress_bar import Bar
    from fitcheck.odds.staged import staged

    with Bar() as bar:
        *_, odds = staged(found, boxes, seed, air, progress=bar)
    return odds


def odds_as_told(found: Check, boxes: int = BOXES) -> Odds:
    """The same without advice, for what is printed for others."""
    from fitcheck.cli.progress_bar import Bar
    from fitcheck.odds.staged import staged

    with Bar() as bar:
        return next(staged(found, boxes, progress=bar))


def in_hands_of(design: Design, person: str | None) -> Design:
    """The design made by one of the people whose hands were measured; as it is for nobody.

    Raises InputError for whom nobody measured.
    """
    if person is None:
        return design
    tools = design.tools
    own = tools.held_by(person)
    if own is not None:
        return replace(design, tools=own)
    names = ", ".join(shown(name) for name, _ in tools.people)
    if names:
        raise InputError(
            f"--by: read {shown(person)}; allowed: {names}, whose hands were measured with "
            f"{tools.name}; write one of them, or leave it out for whoever comes along"
        )
    raise InputError(
        f"--by: read {shown(person)}, and nobody's hand was measured apart with {tools.name}; "
        f"allowed: people with coupons of their own; make them: fitcheck coupon {tools.name} -o DIR"
    )
