"""Boxes whose base is no plain tray: framed, double-walled, or with a lid of their own."""

from __future__ import annotations

from fitcheck.design.model import Lay
from fitcheck.proposals.plan import Keys, Pair, Plan, Task, share
from fitcheck.styles.carton import TUCK_EASE_MM
from fitcheck.styles.hinged_tray import EASE_MM
from fitcheck.styles.walls import usual_seam_mm

FRAME_MM = 9.5
"""A frame is about three eighths of an inch wide (common practice, no source)."""
LIP_SHARE = 0.6
"""Of the base's depth: how deep a hinged lid's lip is (common practice, no source)."""
TUCK_MM = 12.0
"""A tuck flap of about half an inch holds a lid (common practice, no source)."""
TUCK_SHARE = 0.5
"""Of the carton's length, at the most: it goes in by hand."""


class ShadowBoxPlan(Plan):
    """A framed box under a lid."""

    style = base_style = "shadow-box"

    def base_keys(self, task: Task, depth_mm: float, floor: Pair | None) -> Keys:
        """A frame as broad as its flaps, its inner wall as high as the outer one."""
        frame = task.steps.text(task.steps.near(FRAME_MM))
        return {"frame": frame, "inner_wall": task.steps.text(depth_mm), "flap": frame}


class DoubleWallPlan(Plan):
    """A tray with walls folded down inside themselves, under a lid."""

    style = base_style = "double-wall"

    def base_keys(self, task: Task, depth_mm: float, floor: Pair | None) -> Keys:
        """A rim between neighbouring grooves that its layers have room in; the inner wall ends a
        groove above the floor."""
        paper, steps = task.paper, task.steps
        least = 2.0 * max(0.0, paper.bite_mm) + paper.caliper_mm + 2.0 * task.joint_mm
        keys: Keys = {"rim": steps.text(steps.up(least))}
        if floor is not None:
            keys["inner_wall"] = steps.text(steps.down(depth_mm - steps.grid_mm))
        return keys


class HingedPlan(Plan):
    """A tray with its lid in one piece."""

    style = base_style = "hinged-tray"
    others = ()
    turns = True

    def base_keys(self, task: Task, depth_mm: float, floor: Pair | None) -> Keys:
        """Its lip, any that can be folded while a floor is sought, and how much longer its lid is
        than the floor."""
        lip = task.few_mm if floor is None else share(task, LIP_SHARE, depth_mm)
        clear = task.steps.by_hand(EASE_MM + task.paper.caliper_mm)
        return {"lip": task.steps.text(lip), "clear": task.steps.text(clear)}


class TuckEndPlan(Plan):
    """A carton that is tucked in at both ends."""

    style = base_style = "tuck-end"
    others = ()
    lay = Lay.END

    def laid_floor(self, floor: Pair) -> Pair:
        """Its lid hangs on a broad wall."""
        return max(floor), min(floor)

    def base_keys(self, task: Task, depth_mm: float, floor: Pair | None) -> Keys:
        """A glued flap in the grooves, lids that are shorter than the floor is long as a hand sets
        it, and tuck flaps that put the lids' scores in a groove."""
        if floor is None:
            return {}
        steps, (width, length) = task.steps, floor
        short = steps.by_hand(TUCK_EASE_MM + task.paper.caliper_mm)
        lid = length - short
        ends = steps.near(lid + min(TUCK_MM, TUCK_SHARE * length))
        if ends - lid > min(length, 0.5 * depth_mm - task.few_mm):
            ends -= steps.grid_mm
        if ends - lid <= task.few_mm:
            ends += steps.grid_mm
        seam = steps.down(usual_seam_mm(width))
        return {
            "short": steps.text(short),
            "tuck": steps.text(ends - lid),
            "seam": steps.text(seam),
        }
