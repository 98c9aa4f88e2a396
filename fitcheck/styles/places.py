"""A place is what a part is to the others: the table it is written in, with the keys of that place.

A style has its own keys wherever it stands; its place adds how a size may follow from others.
"""

from collections.abc import Collection
from dataclasses import dataclass

from pydantic import BaseModel, Field

from fitcheck.styles.keys import (
    LEAST_OVERSIZE_MM,
    MOST_SETBACK_MM,
    Oversize,
    Setback,
    Slack,
)
from fitcheck.styles.mates import Into, Mate, Over
from fitcheck.styles.part import SizeBy
from fitcheck.workspace.lengths import Length
from fitcheck.workspace.strict import STRICT


class BaseKeys(BaseModel):
    """What a base may say beyond its style."""

    model_config = STRICT
    slack: Slack | None = Field(
        default=None,
        description="What is left free around the contents, both sides together: a length or a "
        "list [width, length]; instead of floor, inside or opening. Several contents are arranged "
        "on the smallest floor; where that is longer than 2.5 times its width, on a shorter one "
        "that takes up to 15 % more paper.",
    )


class LidKeys(BaseModel):
    """What a lid may say beyond its style."""

    model_config = STRICT
    oversize: Oversize | None = Field(
        default=None,
        description="Score to score over the base's floor: a length from "
        f"{LEAST_OVERSIZE_MM:g} mm on, or a list "
        "[width, length]; instead of floor or inside.",
    )
    same_sheet: Setback | None = Field(
        default=None,
        description="Cut from a sheet of the base's size with its scores so much nearer the edges, "
        f"a length from 0 to {MOST_SETBACK_MM:g} mm: a floor twice that larger and walls as much "
        "lower; instead of floor, inside, oversize and depth, over a tray.",
    )
    depth: Length | None = Field(
        default=None,
        description="The wall, a length as its style measures it; needed unless same_sheet is "
        "given.",
    )


@dataclass(frozen=True)
class Place:
    """One place in a box."""

    name: str
    """Of its table."""
    words: str
    """What stands there, for the schema."""
    keys: type[BaseModel] | None = None
    sizes: tuple[SizeBy, ...] = ()
    """The ways to give a size that the place adds."""
    not_beside: tuple[str, ...] = ()
    """Places that nothing may stand at when a part is here."""
    goes: type[Over] | type[Into] | None = None
    """How any part there goes with another; None where its style says it."""
    holders: tuple[str, ...] = ()
    """With which one: the first of these that is in the box."""

    def mates(self, parts: Collection[str]) -> tuple[Mate, ...]:
        """How a part there goes with the others of a box, given by their names."""
        holder = next((name for name in self.holders if name in parts), None)
        return () if self.goes is None or holder is None else (self.goes(self.name, holder),)


PLACES: tuple[Place, ...] = (
    Place("base", "The base, a table [base].", BaseKeys, (SizeBy.CONTENTS,)),
    Place(
        "lid",
        "The lid, a table [lid].",
        LidKeys,
        (SizeBy.OVERSIZE, SizeBy.SAME_SHEET),
        goes=Over,
        holders=("collar", "base"),
    ),
    Place(
        "collar",
        "The collar that stands in the base and that the lid goes over, a table [collar].",
        goes=Into,
        holders=("base",),
    ),
    Place(
        "dividers",
        "The strips that divide the base into compartments, a table [dividers].",
        not_beside=("collar",),
    ),
    Place(
        "insert",
        "What lies or stands on the base's floor under the contents, a table [insert].",
        not_beside=("collar", "dividers"),
        goes=Into,
        holders=("base",),
    ),
    Place(
        "sleeve",
        "The sleeve that the base slides into as a drawer, a table [sleeve].",
        not_beside=("lid", "collar"),
    ),
)
"""In the order in which their parts are read: later ones may follow earlier ones."""


def place_of(name: str) -> Place:
    """The place of that name. Raises KeyError if there is none."""
    return {place.name: place for place in PLACES}[name]
