"""How a box of one style is proposed: what it holds, its first sizes, its tables, and its play.

Each style has a plan. What most of them share is a tray under a lid, which stands here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import ClassVar

from fitcheck.design.model import Content, Lay
from fitcheck.fit.check import Check
from fitcheck.kinds.kind import Item, Solid, lays
from fitcheck.kinds.poses import Pose
from fitcheck.proposals.steps import Steps
from fitcheck.proposals.wish import Sits, Wish
from fitcheck.stock.paper import Stock
from fitcheck.styles.style import FEW_CALIPERS

Pair = tuple[float, float]
Keys = dict[str, object]
"""Keys of a table: lengths as texts of a file, numbers and words."""
Refusal = tuple[str, str, str]
"""What cannot be, what is allowed and what to do."""

LEAST_DEPTH_MM = 15.0
"""A lower base is hard to fold, and its lid to hold (common practice, no source)."""
LID_SHARE = 0.7
"""Of the base's depth: how deep a lid is (common practice, no source)."""
ROOM_ABOVE_MM = 0.5
"""What is left over the contents at the least."""
MOST_PLAY_MM = 1.35
"""A hand's coarse step does not make a part looser than this: from 1.5 mm on it is loose."""
THIN_SHARE = 0.1
"""Of its smaller side: a card or block that is no thicker is piled up."""
PILE_SHARE = 0.5
"""Of that side: a pile that is no higher is steady (common practice, no source)."""


@dataclass(frozen=True)
class Sizes:
    """All that grows until a proposal fits, mm."""

    floor: Pair
    depth: float
    ease: Mapping[str, Pair] = field(default_factory=dict)
    """By how much each other part is larger than the base, or smaller where it stands in it."""


@dataclass(frozen=True)
class Task:
    """A wish with all that its names stand for."""

    wish: Wish
    steps: Steps
    joint_mm: float
    contents: tuple[Content, ...]
    """Laid as they are going to lie; none where a room is asked for."""
    stocks: Mapping[str, Stock]
    """Of each part."""

    @property
    def paper(self) -> Stock:
        """The base's."""
        return self.stocks["base"]

    @property
    def few_mm(self) -> float:
        """A length of the base's paper that can just be folded."""
        return (FEW_CALIPERS + 1.0) * self.paper.caliper_mm

    @cached_property
    def high_mm(self) -> float:
        """How high what goes in is, piled up where it is thin."""
        if self.wish.room_mm is not None:
            return self.wish.room_mm[2]
        return max(piled_mm(content) for content in self.contents)


def lying(item: Item, lay: Lay = Lay.FLAT) -> Pose:
    """An item as it lies lowest in a lay, as it is measured where it can be."""
    return min(lays(item, lay), key=lambda pose: pose.height_mm)


def piled_mm(content: Content) -> float:
    """How high a content is: in one layer, so that nothing has to be taken out to see what lies
    below; thin cards and blocks in even piles."""
    pose = lying(content.item, content.lay)
    side = min(pose.width_mm, pose.length_mm)
    thin = content.item.kind.solid is Solid.BLOCK and pose.height_mm <= THIN_SHARE * side
    if not thin or content.lay is not Lay.FLAT:
        return pose.height_mm
    most = max(1, math.floor(PILE_SHARE * side / pose.height_mm))
    piles = math.ceil(content.count / most)
    return math.ceil(content.count / piles) * pose.height_mm


class Plan:
    """How a box of one style is proposed; as it stands here, a tray with a lid."""

    style: ClassVar[str] = "tray"
    """What it is asked for by."""
    base_style: ClassVar[str] = "tray"
    others: ClassVar[tuple[str, ...]] = ("lid",)
    """The tables beside the base's, in the order of the file."""
    lay: ClassVar[Lay] = Lay.FLAT
    turns: ClassVar[bool] = False
    """Whether it comes out otherwise with its sides exchanged, and is as good so."""

    @property
    def parts(self) -> tuple[str, ...]:
        """The tables of its parts."""
        return "base", *self.others

    def refusal(self, task: Task) -> Refusal | None:
        """Why it cannot hold what is asked; None where it can."""
        return None

    def counts(self, task: Task) -> tuple[int, ...]:
        """How many of each content its design says."""
        return tuple(content.count for content in task.contents)

    def slack_mm(self, task: Task) -> float:
        """What is to be left round the contents: as is wished, and what they vary by in a row."""
        sits, spread = task.wish.sits, 0.0
        for content, count in zip(task.contents, self.counts(task), strict=True):
            in_row = math.ceil(math.sqrt(count))
            spread = max(spread, math.sqrt(in_row) * max(content.item.size_u_mm))
        return max(sits.slack_mm, sits.cover * spread)

    def depth_mm(self, task: Task) -> float:
        """The base's depth to begin with."""
        return task.steps.up(max(task.high_mm + 2.0 * task.paper.caliper_mm, LEAST_DEPTH_MM))

    def floor_mm(self, task: Task) -> Pair | None:
        """The floor to begin with; None for what the contents take in a base of one layer."""
        if task.wish.room_mm is None:
            return None
        width, length, _ = task.wish.room_mm
        return width, length

    def first_ease(self, task: Task, part: str) -> Pair:
        """What a part is larger or smaller by to begin with."""
        both = task.steps.by_hand(task.wish.sits.play_mm + 4.0 * task.paper.caliper_mm)
        return both, both

    def base_keys(self, task: Task, depth_mm: float, floor: Pair | None) -> Keys:
        """What the base's table says beyond its floor and depth; None while a floor is sought."""
        return {}

    def other_keys(self, task: Task, part: str, sizes: Sizes) -> Keys:
        """What another part's table says beyond its paper."""
        assert part == "lid", "each plan knows its parts"
        return lid_keys(task, sizes.ease["lid"], share(task, LID_SHARE, sizes.depth))

    def plays(self, found: Check) -> dict[str, Pair]:
        """The plays that each part's ease decides."""
        if found.lid is None:
            return {}
        width, length = (travel.play_mm for travel in found.lid.slide.travels)
        return {"lid": (width, length)}

    def play_mm(self, task: Task, part: str) -> float:
        """The least play that a part is to have."""
        return task.wish.sits.play_mm

    def eased(self, task: Task, part: str, sizes: Sizes, plays: Pair) -> Pair:
        """What a part is to be larger or smaller by, where it has these plays."""
        want, hand = self.play_mm(task, part), task.steps.hand_mm
        eased = []
        for own, play in zip(sizes.ease[part], plays, strict=True):
            by = task.steps.by_hand(want - play)
            if play + by > MOST_PLAY_MM and play + by - hand >= Sits.SNUG.play_mm:
                by -= hand
            eased.append(task.steps.whole(own + by))
        return eased[0], eased[1]

    def laid_floor(self, floor: Pair) -> Pair:
        """A floor with its sides the way round that the style has them."""
        return floor


def share(task: Task, part: float, depth_mm: float) -> float:
    """A share of a depth, in the grooves."""
    return task.steps.down(part * depth_mm)


def lid_keys(task: Task, over_mm: Pair, depth_mm: float) -> Keys:
    """A tray as a lid."""
    over = [task.steps.text(own) for own in over_mm]
    return {
        "style": "tray",
        "oversize": over if any(over_mm) else "0",
        "depth": task.steps.text(depth_mm),
    }


def of_mate(found: Check, mover: str) -> Pair:
    """The plays of a part that goes into or along another one."""
    own = next(fit for fit in found.mates if fit.mate.mover == mover)
    first, second = own.plays.values()
    return first, second
