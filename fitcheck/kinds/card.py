"""A card is a block whose corners may be round, seen flat."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, Field, WithJsonSchema

from fitcheck.kinds.block import rectangular
from fitcheck.kinds.kind import Item, Kind, Problem, Solid, Standing
from fitcheck.kinds.poses import Pose, Rectangle, Shape
from fitcheck.workspace.lengths import LENGTH_SCHEMA, length_reader
from fitcheck.workspace.strict import STRICT

Radius = Annotated[float, BeforeValidator(length_reader(0, 50)), WithJsonSchema(LENGTH_SCHEMA)]


class CardKeys(BaseModel):
    """What only a card has."""

    model_config = STRICT
    corner_radius: Radius | None = Field(default=None, description="Of a card's corners, a length.")


class Card(Kind):
    """A flat thing with square or round corners."""

    name = "card"
    summary = "a flat thing whose corners may be round"
    sizes = ("width", "length", "height")
    solid = Solid.BLOCK
    keys = CardKeys

    def key_problems(self, table: Any, *, own: bool) -> Iterator[Problem]:
        """A radius that its corners have no room for."""
        radius = table.corner_radius
        if radius is not None and (not own or 2 * radius > min((table.size or [])[:2])):
            yield (
                f"corner_radius is {radius:g} mm on a {table.kind}",
                "on a card only, up to half its smaller side",
                "correct or remove it",
            )

    def item(self, common: Mapping[str, Any], table: Any, at: Standing) -> Item:
        """With its corners."""
        return replace(super().item(common, table, at), corner_radius_mm=table.corner_radius or 0.0)

    def upright(self, item: Item, up: int, word: str) -> tuple[Pose, ...]:
        """Its corners are round in plan where it lies as it is measured."""
        if item.corner_radius_mm <= 0.0:
            return rectangular(item, up, word)
        if up == 2:
            return rectangular(item, up, word, Rectangle(item.corner_radius_mm))
        return tuple(replace(p, shape=Shape.EDGEWISE) for p in rectangular(item, up, word))

    def printed(self, item: Item) -> Pose:
        """On its flat side."""
        return Pose("", *self.extents(item), Rectangle(item.corner_radius_mm))
