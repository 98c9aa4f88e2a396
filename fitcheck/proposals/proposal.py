"""A proposal is begun from what goes in, checked, and grown until it fits as drawn.

Sizes of the base are rounded up to the board's grooves, so that every score lies in one; what goes
over, round or into it is sized by what a hand can set.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from fitcheck.design.items import ItemTables, find_item, known_items
from fitcheck.design.model import Content, Design
from fitcheck.design.read import design_from
from fitcheck.errors import InputError
from fitcheck.fit.assembly import base_recipe
from fitcheck.fit.check import Check, check
from fitcheck.fit.contents import ContentVerdict
from fitcheck.proposals.plan import ROOM_ABOVE_MM, Pair, Plan, Sizes, Task
from fitcheck.proposals.plans import PLANS
from fitcheck.proposals.sheets import refuse_too_large, too_large
from fitcheck.proposals.steps import Steps
from fitcheck.proposals.wish import Wish
from fitcheck.stock.profile_files import find_stock, find_tools
from fitcheck.styles.part import PartSpec, SizeBy

ROUNDS = 24
"""A proposal is grown so often at the most."""
CLOSE_MM = 0.25
"""Slack may fall short of what is wished for by so much before another groove is given."""


@dataclass(frozen=True)
class Proposal:
    """A proposed design and how it comes out as drawn."""

    data: Mapping[str, Any]
    """As a design file says it, lengths as texts in its unit."""
    check: Check
    sizes: Sizes


def proposed(wish: Wish, roots: Sequence[Path], own: ItemTables | None = None) -> Proposal:
    """The recipe for a wish; `own` are items that stand in no file yet.

    Raises InputError where names are unknown, the style cannot hold it, nothing holds it all, or no
    sheet of the workshop holds a part of it.
    """
    found = _grown(wish, roots, own)

    def propose(other: Wish, block: ItemTables | None = None) -> Check | None:
        try:
            return _grown(other, roots, block or own).check
        except InputError:  # its names are known by now: it is another size that cannot be
            return None

    refuse_too_large(wish, found.check, propose)
    return found


def _grown(wish: Wish, roots: Sequence[Path], own: ItemTables | None) -> Proposal:
    plan = PLANS[wish.style]
    task = _task(wish, plan, roots, own)
    refusal = plan.refusal(task)
    if refusal is not None:
        read, allowed, do = refusal
        raise InputError(f"--style {wish.style}: {read}; allowed: {allowed}; {do}")
    draft = _Draft(task, plan, roots, own)
    first = draft.first()
    begun = [first]
    if plan.turns and task.contents and first.floor[0] != first.floor[1]:
        begun.append(replace(first, floor=first.floor[::-1]))
    grown = [found for found in map(draft.settled, begun) if found is not None]
    if not grown:
        raise draft.nothing()
    return min(grown, key=_by_sheets)


def _by_sheets(found: Proposal) -> tuple[bool, float]:
    """What a sheet holds comes first, then what takes less paper."""
    sheets = (part.pattern.sheet for part in found.check.assembly.parts)
    return too_large(found.check) is not None, sum(s.width_mm * s.length_mm for s in sheets)


def towards(
    found: Proposal,
    better: Design,
    wish: Wish,
    roots: Sequence[Path],
    own: ItemTables | None = None,
) -> Proposal | None:
    """A proposal with the sizes that are better, the base's in the next grooves; None where there
    are none, or where it does not fit."""
    plan = PLANS[wish.style]
    task = _task(wish, plan, roots, own)
    draft, steps, now = _Draft(task, plan, roots, own), task.steps, found.check.design
    wide, long = (
        max(old, steps.up(old + new - was))
        for old, new, was in zip(
            found.sizes.floor, better.base.size_mm, now.base.size_mm, strict=True
        )
    )
    depth = steps.up(found.sizes.depth + max(0.0, better.base.depth_mm - now.base.depth_mm))
    sizes = replace(
        found.sizes,
        floor=plan.laid_floor((wide, long)),
        depth=depth,
        ease={part: _eased(found, better, part, steps) for part in found.sizes.ease},
    )
    return None if sizes == found.sizes else draft.whole(sizes)


def deeper(
    found: Proposal, wish: Wish, roots: Sequence[Path], own: ItemTables | None
) -> Proposal | None:
    """A proposal whose base is deeper by a groove; None where it cannot be made so."""
    plan = PLANS[wish.style]
    draft = _Draft(_task(wish, plan, roots, own), plan, roots, own)
    depth = draft.task.steps.up(found.sizes.depth + DEEPER_MM)
    return draft.whole(replace(found.sizes, depth=depth))


def _eased(found: Proposal, better: Design, part: str, steps: Steps) -> Pair:
    """What a part is larger or smaller by where a better design changes it."""
    wide, long = found.sizes.ease[part]
    designs = found.check.design, better
    now, then = (next(own for own in one.parts if own.place == part) for one in designs)
    by = _more(now, then)
    if now.size_by is SizeBy.CUT:  # what is cut longer is smaller than the base by less
        base = _more(found.check.design.base, better.base)
        by = [floor - cut for floor, cut in zip(base, by, strict=True)]
    return steps.whole(wide + by[0]), steps.whole(long + by[1])


def _more(now: PartSpec, then: PartSpec) -> list[float]:
    return [new - old for new, old in zip(then.size_mm, now.size_mm, strict=True)]


def _task(wish: Wish, plan: Plan, roots: Sequence[Path], own: ItemTables | None) -> Task:
    tools = find_tools(wish.tools, roots)
    known = known_items(roots, own)
    lay = wish.lay or plan.lay
    contents = tuple(Content(find_item(name, known), count, lay) for name, count in wish.items)
    stocks = {part: find_stock(wish.stock(part), roots) for part in plan.parts}
    return Task(wish, Steps.of(wish.unit, tools), tools.joint_mm, contents, stocks)


DEEPER_MM = 0.1
"""What goes beyond a groove by this is in the next one."""


@dataclass(frozen=True)
class _Draft:
    """Makes and grows the data of one wish."""

    task: Task
    plan: Plan
    roots: Sequence[Path]
    own: ItemTables | None

    def settled(self, sizes: Sizes) -> Proposal | None:
        """The proposal that sizes grow into; None where nothing holds it all."""
        for _ in range(ROUNDS):
            data = self.data(sizes)
            try:
                found = check(self.design(data))
            except InputError:  # names are sound by now: it is too small to be folded
                sizes = self.larger(sizes)
                continue
            better = self.grown(sizes, found)
            if better == sizes:
                return Proposal(data, found, sizes)
            sizes = better
        return None

    def whole(self, sizes: Sizes) -> Proposal | None:
        """The proposal of settled sizes; None where no such box can be made that fits."""
        data = self.data(sizes)
        try:
            checked = check(self.design(data))
        except InputError:  # its names are known: it cannot be folded so
            return None
        fine = checked.fits and too_large(checked) is None
        return Proposal(data, checked, sizes) if fine else None

    def design(self, data: Mapping[str, Any]) -> Design:
        """The design that data says."""
        name = self.task.wish.name
        return design_from(dict(data), name, self.roots, {}, name=name, own=self.own)

    def first(self) -> Sizes:
        """The floor that the contents ask for at the depth that their highest asks for."""
        task, plan = self.task, self.plan
        depth = plan.depth_mm(task)
        ease = {part: plan.first_ease(task, part) for part in plan.others}
        sides = plan.floor_mm(task) or self._footprint(ease)
        wide, long = (task.steps.up(side - CLOSE_MM) for side in sides)
        floor = plan.laid_floor((wide, long))
        return Sizes(floor, depth, ease)

    def _footprint(self, ease: Mapping[str, Pair]) -> Pair:
        """The floor that the contents take in one layer."""
        task, plan = self.task, self.plan
        above = task.high_mm + 2.0 * task.paper.caliper_mm + ROOM_ABOVE_MM
        high = max(above, 2.0 * task.few_mm)
        base = {
            "slack": f"{plan.slack_mm(task)} mm",
            "depth": f"{high} mm",
            **plan.base_keys(task, high, None),
        }
        data = self._said(base, Sizes((0.0, 0.0), high, ease), lone=True)
        design = self.design(data)
        try:
            recipe = base_recipe(design)
        except InputError:  # it is sound, but no room of a sheet's size holds all of it
            raise self.nothing() from None
        return recipe.width_mm, recipe.length_mm

    def nothing(self) -> InputError:
        """What is said where no proposal holds what is asked."""
        what = "--item" if self.task.contents else "--room"
        return InputError(
            f"{what}: no box was found that holds it all; allowed: what fits into a box of a sheet "
            "of paper; take fewer or smaller things, or another style"
        )

    def larger(self, sizes: Sizes) -> Sizes:
        """One groove more each way, and as much higher."""
        floor = self._wider(sizes.floor, (True, True))
        return replace(sizes, floor=floor, depth=sizes.depth + self.task.steps.grid_mm)

    def data(self, sizes: Sizes) -> dict[str, Any]:
        """What a design file says of those sizes."""
        steps = self.task.steps
        base = {
            "floor": [steps.text(side) for side in sizes.floor],
            "depth": steps.text(sizes.depth),
            **self.plan.base_keys(self.task, sizes.depth, sizes.floor),
        }
        return self._said(base, sizes)

    def grown(self, sizes: Sizes, found: Check) -> Sizes:
        """Larger sizes where something does not fit or has too little to spare; else the same."""
        plays = self.plan.plays(found)
        ease = {part: self.plan.eased(self.task, part, sizes, own) for part, own in plays.items()}
        settled = replace(sizes, ease={**sizes.ease, **ease})
        # what stands in the base takes room from what goes in, so it is settled first
        return self._roomier(sizes, found) if settled == sizes else settled

    def _roomier(self, sizes: Sizes, found: Check) -> Sizes:
        """Larger sizes where what goes in has too little room; else the same."""
        higher = replace(sizes, depth=sizes.depth + self.task.steps.grid_mm)
        if self.task.wish.room_mm is not None:
            *sides, height = self.task.wish.room_mm
            width, length = self.plan.laid_floor((sides[0], sides[1]))
            room = found.cavity.room
            tight = room.width_mm < width, room.length_mm < length
            if any(tight):
                return replace(sizes, floor=self._wider(sizes.floor, tight))
            return higher if found.cavity.ceiling_mm < height else sizes
        slack = self.plan.slack_mm(self.task) - CLOSE_MM
        for fit in found.contents:
            if fit.slack is None:
                return replace(sizes, floor=self._wider(sizes.floor, (True, True)))
            if math.isfinite(fit.slack.height_mm) and fit.slack.height_mm < ROOM_ABOVE_MM:
                return higher
            tight = fit.slack.width_mm < slack, fit.slack.length_mm < slack
            if fit.verdict is not ContentVerdict.FITS or any(tight):
                return replace(sizes, floor=self._wider(sizes.floor, tight))
        return sizes

    def _wider(self, floor: Pair, tight: tuple[bool, bool]) -> Pair:
        """One groove more each way that is tight, or both."""
        ways = tight if any(tight) else (True, True)
        grid = self.task.steps.grid_mm
        wide, long = (side + grid * way for side, way in zip(floor, ways, strict=True))
        return self.plan.laid_floor((wide, long))

    def _said(self, base: Mapping[str, Any], sizes: Sizes, *, lone: bool = False) -> dict[str, Any]:
        """The tables of a design; of one that is alone, the base's and the contents' only."""
        task, plan, wish = self.task, self.plan, self.task.wish
        data: dict[str, Any] = {
            "format": 1,
            "title": wish.title,
            "unit": str(wish.unit),
            "tools": wish.tools,
            "base": {"style": plan.base_style, "stock": wish.stock("base"), **base},
        }
        for part in () if lone else plan.others:
            style, *keys = plan.other_keys(task, part, sizes).items()
            data[part] = dict([style, ("stock", wish.stock(part)), *keys])
        counts = (content.count for content in task.contents) if lone else plan.counts(task)
        content = [
            {"item": one.item.name, "count": count, "lay": str(one.lay)}
            for one, count in zip(task.contents, counts, strict=True)
        ]
        return data | ({"content": content} if content else {})
