"""Boxes with something in their base that holds what goes in: dividers, a mat, a platform."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fitcheck.fit.check import Check
from fitcheck.fit.footprint import LONGEST_SHAPE
from fitcheck.plain import shown
from fitcheck.proposals.plan import (
    Keys,
    Pair,
    Plan,
    Refusal,
    Sizes,
    Task,
    lying,
    of_mate,
)
from fitcheck.styles.dividers_keys import BELOW_RIM_MM, HAIR_MM, MOST_COMPARTMENTS

FEWEST = 3
"""Of fewer pieces two strips that cross would part more than there are."""
MARGIN_MM = 15.0
"""What a mat or a platform keeps beside its window (common practice, no source)."""
DROPPED_IN_MM, RATTLES_MM = 0.6, 1.5
"""The play of what stands in the base: it goes in by itself, and does not rattle."""
MAT_SHARE = 0.5
"""Of its smaller side: how high a thing may be that a mat, one layer thick, keeps in place (common
practice, no source)."""
LEG_MM, LONGEST_LEG_MM = 5.0, 30.0
"""Legs are no lower, to be folded, and no higher (common practice, no source)."""
LEG_SHARE = 0.5
"""Of what it holds: how high a platform stands (common practice, no source)."""


class WithinPlan(Plan):
    """A tray with a part in it, under a lid."""

    inner: str
    """That part's table."""

    def plays(self, found: Check) -> dict[str, Pair]:
        """Of the lid, and of what stands in the base."""
        return {**super().plays(found), self.inner: of_mate(found, self.inner)}

    def play_mm(self, task: Task, part: str) -> float:
        """What stands in the base is dropped in and stays there: it need not be snug."""
        own = super().play_mm(task, part)
        return own if part == "lid" else max(own, DROPPED_IN_MM)

    def base_less_mm(self, task: Task) -> float:
        """By how much the base's inside is smaller than its floor."""
        return 2.0 * task.paper.bite_mm


class DividersPlan(WithinPlan):
    """A tray whose dividers give each piece a compartment of its own."""

    style = inner = "dividers"
    others = ("dividers", "lid")

    def refusal(self, task: Task) -> Refusal | None:
        """Compartments are all alike, and strips stand only where they cross."""
        if len(task.contents) != 1:
            what = "a room" if not task.contents else f"{len(task.contents)} kinds of items"
            return (
                f"read {what}, and compartments are all alike, one for each piece of one item",
                "one item, such as --item toffee-wrapped:12",
                "name one item, or take a tray",
            )
        count, most = task.contents[0].count, MOST_COMPARTMENTS**2
        if not FEWEST <= count <= most:
            return (
                f"read {count} of {shown(task.contents[0].item.name)}, each for a compartment "
                "between strips that cross",
                f"{FEWEST} to {most} pieces",
                "take a tray" if count < FEWEST else "take fewer",
            )
        return None

    def counts(self, task: Task) -> tuple[int, ...]:
        """What goes into one compartment."""
        return (1,)

    def grid(self, task: Task) -> tuple[int, int]:
        """Rows and columns: with no compartment to spare where that is not too long, and square."""
        count = task.contents[0].count
        cell = self._cell_mm(task)

        def rated(rows: int, columns: int) -> tuple[bool, int, float]:
            sides = columns * cell[0], rows * cell[1]
            shape = max(sides) / min(sides)
            return shape > LONGEST_SHAPE, rows * columns - count, shape

        return min(_grids(count), key=lambda grid: rated(*grid))

    def _cell_mm(self, task: Task) -> Pair:
        pose, slack = lying(task.contents[0].item, task.contents[0].lay), self.slack_mm(task)
        return pose.width_mm + slack, pose.length_mm + slack

    def floor_mm(self, task: Task) -> Pair:
        """All compartments with the strips between them."""
        rows, columns = self.grid(task)
        strip, less = task.stocks["dividers"].caliper_mm, self.base_less_mm(task)
        wide, long = (
            number * own + (number - 1) * strip + less
            for number, own in zip((columns, rows), self._cell_mm(task), strict=True)
        )
        return wide, long

    def eased(self, task: Task, part: str, sizes: Sizes, plays: Pair) -> Pair:
        """Strips with a slot in their middle are whole steps when they are halved, too."""
        short = super().eased(task, part, sizes, plays)
        if part == "lid":
            return short
        steps, (rows, columns) = task.steps, self.grid(task)
        wide, long = (
            steps.whole(own + steps.hand_mm) if count % 2 == 0 and steps.is_odd(side - own) else own
            for own, side, count in zip(short, sizes.floor, (columns, rows), strict=True)
        )
        return wide, long

    def other_keys(self, task: Task, part: str, sizes: Sizes) -> Keys:
        """Strips that a hand can cut, as high as the base leaves them, with all middles of their
        slots where a rule shows them."""
        if part == "lid":
            return super().other_keys(task, part, sizes)
        steps, (rows, columns) = task.steps, self.grid(task)
        cut = [side - own for side, own in zip(sizes.floor, sizes.ease["dividers"], strict=True)]
        strip, less = task.stocks["dividers"].caliper_mm, self.base_less_mm(task)
        pitch = []
        for side, own, count in zip(sizes.floor, cut, (columns, rows), strict=True):
            alike = (side - less + strip) / count
            # with an even number of slots the two in the middle lie half a pitch beside it
            pitch.append(steps.paired(alike, own) if count % 2 else steps.whole(alike))
        high = steps.hand_down(sizes.depth - task.paper.bite_mm - BELOW_RIM_MM)
        return {
            "style": "dividers",
            "rows": rows,
            "columns": columns,
            "cut": [steps.text(own) for own in cut],
            "pitch": [steps.text(own) for own in pitch],
            "height": steps.text(high - steps.hand_mm * steps.is_odd(high)),
            "slot": steps.text(steps.by_hand(HAIR_MM - 0.01)),
        }


def _grids(count: int) -> Iterator[tuple[int, int]]:
    """Rows and columns, of each two at the least, that hold so many with no column too many."""
    for columns in range(2, MOST_COMPARTMENTS + 1):
        rows = max(2, math.ceil(count / columns))
        if rows <= MOST_COMPARTMENTS and (columns - 1) * rows < count:
            yield rows, columns


class InsertPlan(WithinPlan):
    """A tray with something under its lid whose window holds one thing."""

    inner = "insert"
    others = ("insert", "lid")

    def refusal(self, task: Task) -> Refusal | None:
        """One window holds one thing."""
        if len(task.contents) == 1 and task.contents[0].count == 1:
            return None
        pieces = sum(content.count for content in task.contents)
        read = f"read {pieces} pieces" if pieces else "read a room"
        return (
            f"{read}, and the window of a {self.style} holds one thing",
            "one item, once",
            "name one with --item, or take dividers or a tray",
        )

    def window_mm(self, task: Task) -> Pair:
        """Its window, as a hand can cut it."""
        pose, slack = lying(task.contents[0].item, task.contents[0].lay), self.slack_mm(task)
        return task.steps.by_hand(pose.width_mm + slack), task.steps.by_hand(pose.length_mm + slack)

    def legs_mm(self, task: Task) -> float:
        """What a leg takes of the sheet, from its score; 0 without legs."""
        return 0.0

    def floor_mm(self, task: Task) -> Pair:
        """The window and a margin round it."""
        width, length = self.window_mm(task)
        return width + 2.0 * MARGIN_MM, length + 2.0 * MARGIN_MM

    def eased(self, task: Task, part: str, sizes: Sizes, plays: Pair) -> Pair:
        """An insert is a hand's step smaller where that halves what is left beside its window into
        whole steps, too, and it does not rattle by it."""
        short = super().eased(task, part, sizes, plays)
        if part == "lid":
            return short
        step, window = task.steps.hand_mm, self.window_mm(task)
        first, second = (
            task.steps.whole(own + step)
            if task.steps.is_odd(sizes.floor[k] - own - window[k])
            and plays[k] + own + step - sizes.ease[part][k] < RATTLES_MM
            else own
            for k, own in enumerate(short)
        )
        return first, second

    def other_keys(self, task: Task, part: str, sizes: Sizes) -> Keys:
        """Its top and its window as a hand can cut them."""
        if part == "lid":
            return super().other_keys(task, part, sizes)
        steps = task.steps
        keys: Keys = {"style": self.style}
        if self.legs_mm(task):
            keys["legs"] = steps.text(self.legs_mm(task))
        keys["cut"] = [
            steps.text(side - own)
            for side, own in zip(sizes.floor, sizes.ease["insert"], strict=True)
        ]
        keys["window"] = [steps.text(side) for side in self.window_mm(task)]
        return keys


class MatPlan(InsertPlan):
    """A tray with a flat card on its floor."""

    style = "mat"

    def refusal(self, task: Task) -> Refusal | None:
        """One thing that is flat: a higher one would topple or roll out."""
        found = super().refusal(task)
        if found is not None:
            return found
        pose, name = lying(task.contents[0].item, task.contents[0].lay), task.contents[0].item.name
        side = min(pose.width_mm, pose.length_mm)
        if pose.height_mm <= MAT_SHARE * side:
            return None
        return (
            f"read {shown(name)}, {pose.height_mm:.2f} mm high, and a mat is one layer thick and "
            "keeps only what is flat in place",
            f"a thing up to half as high as it is broad, here {MAT_SHARE * side:.2f} mm",
            "take a platform",
        )


class PlatformPlan(InsertPlan):
    """A tray with a panel on legs."""

    style = "platform"

    def legs_mm(self, task: Task) -> float:
        """In the grooves: as high as half of what it holds."""
        return task.steps.up(min(max(LEG_MM, LEG_SHARE * task.high_mm), LONGEST_LEG_MM))

    def depth_mm(self, task: Task) -> float:
        """Room over the platform, too."""
        least = self.legs_mm(task) + 2.0 * task.stocks["insert"].caliper_mm
        return max(super().depth_mm(task), task.steps.up(least))
