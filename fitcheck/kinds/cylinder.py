"""A cylinder follows the rule of lays with its dimensions (diameter, diameter, height).

So a coin (height <= diameter) lies flat on its round face, and stands on its rim on edge or on
end; a rod (height > diameter) lies on its side when flat or on edge, and stands on its round face
when on end.
"""

from dataclasses import replace

from fitcheck.kinds.block import rectangular
from fitcheck.kinds.kind import Item, Kind, Solid
from fitcheck.kinds.poses import Disc, Pose, Shape


class Cylinder(Kind):
    """A coin, a disc, a rod."""

    name = "cylinder"
    summary = "a coin, a disc or a rod"
    sizes = ("diameter", "height")
    sides = (0, 0, 1)
    solid = Solid.ROD

    def upright(self, item: Item, up: int, word: str) -> tuple[Pose, ...]:
        """On an end, or on its side: then its axis is the second of the level dimensions."""
        if up == 2:
            return (Pose(word, *self.extents(item), Disc()),)
        straight, turned = rectangular(item, up, word)
        return (
            replace(straight, shape=Shape.ALONG_LENGTH),
            replace(turned, shape=Shape.ALONG_WIDTH),
        )

    def printed(self, item: Item) -> Pose:
        """On an end."""
        return Pose("", *self.extents(item), Disc())

    def size_text(self, item: Item) -> str:
        """Its diameter is marked as one."""
        diameter, height = item.size_mm
        return f"Ø {diameter:.2f} × {height:.2f} mm"
