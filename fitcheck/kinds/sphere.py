"""A sphere has one pose.

Its stand-in stays one: flattened so that it stands on the bed it would no longer have the size that
it stands for.
"""

from fitcheck.kinds.kind import Item, Kind, Lay, Solid
from fitcheck.kinds.poses import Disc, Pose, Shape


class Sphere(Kind):
    """A ball."""

    name = "sphere"
    summary = "a ball"
    sizes = ("diameter",)
    sides = (0, 0, 0)
    solid = Solid.BALL

    def lays(self, item: Item, lay: Lay, like: Item) -> tuple[Pose, ...]:
        """However it lies it is the same."""
        return self.upright(item, 2, "as it is")

    def upright(self, item: Item, up: int, word: str) -> tuple[Pose, ...]:
        """Over a disc."""
        return (Pose(word, *self.extents(item), Disc(), Shape.BALL),)

    def printed(self, item: Item) -> Pose:
        """As it is."""
        return self.upright(item, 2, "")[0]
