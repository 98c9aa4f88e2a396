"""The frame of a straight path: its line becomes z, and two directions across it have names.

Everything that slides is worked out in the frame of its path and given back in the part's own.
A path along an axis only changes the order and the signs of coordinates, which is exact.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array
from fitcheck.folding.tables import turned
from fitcheck.pattern.sheet import Axis

TURN_TOLERANCE = 1e-9
LEVEL = ("across", "up")
"""The directions across a level path, as of a drawer."""
ACROSS: Array = np.eye(3)[:2]
"""(2, 3) the two directions across a path, in its frame."""
MIDDLE: Array = np.zeros(3)
"""The middle of the floor, round which a lid or a content has its play."""


@dataclass(frozen=True, eq=False)
class PathFrame:
    """Coordinates in which a path runs along z, upwards or downwards.

    Raises ValueError where `turn` is no rotation.
    """

    turn: Array
    """(3, 3) carries the part's own coordinates into these; its rows are the frame's directions."""
    across: tuple[str, str]
    """What the first and the second direction across the path are called."""

    def __post_init__(self) -> None:
        off = np.abs(self.turn @ self.turn.T - np.eye(3)).max()
        if not off < TURN_TOLERANCE or np.linalg.det(self.turn) < 0.0:
            raise ValueError(f"a frame is turned by a rotation, which this is not:\n{self.turn}")

    @cached_property
    def own(self) -> bool:
        """Whether it is the part's own frame."""
        return bool((self.turn == np.eye(3)).all())

    def index(self, name: str) -> int:
        """Which of the two directions has a name. Raises ValueError where none has."""
        if name not in self.across:
            raise ValueError(f"no direction is called {name}: {', '.join(self.across)}")
        return self.across.index(name)

    def direction(self, name: str) -> Array:
        """A direction across the path in the part's own frame, (3,)."""
        found: Array = self.turn[self.index(name)]
        return found

    def carried(self, pieces: Pieces) -> Pieces:
        """Pieces as they are in this frame; the very same ones where it is their own."""
        return pieces if self.own else pieces.turned(self.turn)

    def path(self, path: Array) -> Array:
        """A path (3,) mm in this frame: straight along z.

        Raises ValueError where it runs another way.
        """
        along = self.turn @ path
        if np.abs(along[:2]).max() > TURN_TOLERANCE * np.abs(along[2]):
            raise ValueError(f"the path {path} does not run along {self.turn[2]}")
        found: Array = along[2] * UP
        return found

    def into(self, places: Array) -> Array:
        """Points or displacements (n, 3) or (3,) mm of the part's own frame, in this one."""
        return places if self.own else turned(self.turn, places.T).T

    def back(self, places: Array) -> Array:
        """Points or displacements (n, 3) or (3,) mm of this frame, in the part's own."""
        return places if self.own else turned(self.turn.T, places.T).T


UPRIGHT = PathFrame(np.eye(3), (Axis.WIDTH, Axis.LENGTH))
"""Of a path straight up or down, as of a lid or a content: the part's own frame."""
DIRECTIONS: Mapping[str, Array] = dict(zip(UPRIGHT.across, ACROSS, strict=True))
"""(3,) each: the two directions across such a path."""


def frame_of(direction: Array) -> PathFrame:
    """The frame of a path (3,) of any direction, for either way along it.

    Straight up or down it is a lid's, width and length; else the first direction lies level
    `across` the path and the second points `up`, square to both. A path along an axis of the part
    keeps both directions along the part's other axes, towards their positive ends.
    """
    along = np.asarray(direction, dtype=float) / np.linalg.norm(direction)
    level = np.array([-along[1], along[0], 0.0])
    size = np.linalg.norm(level)
    if size < TURN_TOLERANCE:
        return UPRIGHT
    level = level / size
    if level[int(np.argmax(np.abs(level)))] < 0.0:
        level, along = -level, -along
    up = np.cross(along, level)
    # the third is made of the other two, so that the signs of noughts are all that is left over
    return PathFrame(np.stack([level, up, np.cross(level, up)]) + 0.0, LEVEL)
