"""A block fills its three sizes and is printed on its largest face."""

from fitcheck.kinds.kind import Item, Kind, Solid
from fitcheck.kinds.poses import Pose, Rectangle

SQUARE = Rectangle()


class Block(Kind):
    """A right-angled block."""

    name = "block"
    summary = "a right-angled block"
    sizes = ("width", "length", "height")
    solid = Solid.BLOCK

    def upright(self, item: Item, up: int, word: str) -> tuple[Pose, ...]:
        """On the face across that dimension."""
        return rectangular(item, up, word)

    def printed(self, item: Item) -> Pose:
        """On its largest face."""
        return Pose("", *lying(*self.extents(item)))


def rectangular(item: Item, up: int, word: str, plan: Rectangle = SQUARE) -> tuple[Pose, Pose]:
    """A block on the face across one of its dimensions, straight and turned."""
    size = item.kind.extents(item)
    first, second = (size[axis] for axis in range(3) if axis != up)
    return (
        Pose(word, first, second, size[up], plan),
        Pose(f"{word}, turned 90", second, first, size[up], plan),
    )


def lying(width_mm: float, length_mm: float, height_mm: float) -> tuple[float, float, float]:
    """The sizes of a block with its largest face down; the order is kept where it can be.

    >>> lying(10.0, 40.0, 25.0)
    (40.0, 25.0, 10.0)
    """
    if height_mm <= min(width_mm, length_mm):
        return width_mm, length_mm, height_mm
    if width_mm <= length_mm:
        return length_mm, height_mm, width_mm
    return width_mm, height_mm, length_mm
