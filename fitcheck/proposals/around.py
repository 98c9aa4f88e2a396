"""Boxes that are more than a base with a lid: a drawer in its sleeve, a shoulder box."""

from __future__ import annotations

from fitcheck.fit.check import Check
from fitcheck.pattern.sheet import Axis
from fitcheck.proposals.plan import (
    ROOM_ABOVE_MM,
    Keys,
    Pair,
    Plan,
    Sizes,
    Task,
    lid_keys,
    of_mate,
)
from fitcheck.proposals.wish import Sits
from fitcheck.styles.style import FEW_CALIPERS
from fitcheck.styles.tray import Tray
from fitcheck.styles.walls import usual_seam_mm

NOTCH_MM = 12.0
"""A thumb is let in by a notch of about half an inch (common practice, no source)."""
NOTCH_SHARE = 0.2
"""Of the sleeve's sides, at the most."""
LEAST_LID_MM = 10.0
"""A lower lid is hard to hold (common practice, no source)."""
BASE_SHARE = 0.6
"""Of a shoulder box: how high its base is (common practice, no source)."""
SNUG_MM, SLIDES_MM = 0.6, 1.0
"""The least play of a collar, both in the base and under the lid: of two that go over or into one
there is more to go wrong than of one."""
CLEAR_MM = 1.0
"""What a collar ends below the lid's top at the least, so that the rims meet."""


class SleevePlan(Plan):
    """A tray that slides into a sleeve as a drawer."""

    style = "sleeve"
    others = ("sleeve",)

    def other_keys(self, task: Task, part: str, sizes: Sizes) -> Keys:
        """The tube, which covers its drawer, with a notch for the thumb."""
        steps, (width, length) = task.steps, sizes.floor
        across = width + sizes.ease["sleeve"][0]
        seam = steps.down(usual_seam_mm(across))
        few = FEW_CALIPERS * task.stocks["sleeve"].caliper_mm
        most = min(NOTCH_SHARE * length, 0.5 * across - seam - few)
        keys: Keys = {
            "style": "sleeve",
            "ease": [steps.text(own) for own in sizes.ease["sleeve"]],
            "length": steps.text(steps.by_hand(self._drawer_mm(task, sizes.floor))),
            "seam": steps.text(seam),
        }
        notch = steps.hand_down(min(NOTCH_MM, most))
        if notch > few:
            keys["notch"] = steps.text(notch)
        return keys

    def _drawer_mm(self, task: Task, floor: Pair) -> float:
        """How long the drawer is outside: walls that lie on tabs are pushed out by these."""
        own, on_tabs = task.paper, Tray().default_tabs(*floor) is Axis.LENGTH
        pushed = own.caliper_mm + task.joint_mm if on_tabs else 0.0
        return floor[1] + 2.0 * (own.crease_allowance_mm + pushed)

    def plays(self, found: Check) -> dict[str, Pair]:
        """Of the drawer across and up."""
        return {"sleeve": of_mate(found, "base")}


class CollarPlan(Plan):
    """A tray with a collar, and a lid of the tray's own size that meets it."""

    style = "collar"
    others = ("collar", "lid")

    def _lid_mm(self, task: Task) -> float:
        """How deep the lid is: what the base leaves of the height."""
        calipers = 2.0 * (task.paper.caliper_mm + task.stocks["lid"].caliper_mm)
        return max(LEAST_LID_MM, (1.0 - BASE_SHARE) * (task.high_mm + calipers + ROOM_ABOVE_MM))

    def depth_mm(self, task: Task) -> float:
        """Low enough for the lid to hold its share of what goes in."""
        whole = task.high_mm + 2.0 * task.paper.caliper_mm + ROOM_ABOVE_MM
        return task.steps.up(max(BASE_SHARE * whole, LEAST_LID_MM))

    def first_ease(self, task: Task, part: str) -> Pair:
        """The lid is as large as the base: the collar alone decides how it goes."""
        return (0.0, 0.0) if part == "lid" else super().first_ease(task, part)

    def other_keys(self, task: Task, part: str, sizes: Sizes) -> Keys:
        """The collar ends below the lid's top; its flap is in the grooves."""
        steps, lid = task.steps, task.steps.up(self._lid_mm(task))
        if part == "lid":
            return lid_keys(task, (0.0, 0.0), lid)
        ring = task.stocks["collar"].caliper_mm
        below = CLEAR_MM + 2.0 * (task.paper.caliper_mm + task.stocks["lid"].caliper_mm)
        seam = steps.down(usual_seam_mm(sizes.floor[0] - sizes.ease["collar"][0] - 2.0 * ring))
        return {
            "style": "collar",
            "ease": [steps.text(own) for own in sizes.ease["collar"]],
            "rise": steps.text(steps.hand_down(lid - below)),
            "seam": steps.text(seam),
        }

    def play_mm(self, task: Task, part: str) -> float:
        """A little more than of a lid alone."""
        return SNUG_MM if task.wish.sits is Sits.SNUG else SLIDES_MM

    def plays(self, found: Check) -> dict[str, Pair]:
        """The smaller of the collar's in the base and the lid's over the collar, each way."""
        inside, over = of_mate(found, "collar"), super().plays(found)["lid"]
        return {"collar": (min(inside[0], over[0]), min(inside[1], over[1]))}
