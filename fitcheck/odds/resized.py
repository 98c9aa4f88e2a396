"""A design of other sizes has the same limits with scores and cuts elsewhere: none is folded anew.

The gradients say what a score does that is off by mistake; one that is meant to lie elsewhere does
the same. That holds as long as the same pairs meet, so what is chosen by it is folded once more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import Design
from fitcheck.errors import FitcheckError
from fitcheck.fit.assembly import Assembly, Part, recipe_beside
from fitcheck.fit.check import Check, check
from fitcheck.fit.right import Flags
from fitcheck.folding.pose import Array
from fitcheck.odds.forms import forms_of_rows, screened
from fitcheck.odds.inputs import Input, inputs_of, u_of
from fitcheck.odds.making import Workshop
from fitcheck.odds.outlook import outlook_of
from fitcheck.odds.propagate import Samples, sample, streams_of
from fitcheck.odds.prospect import Prospect, good_flags, take_prospect
from fitcheck.odds.readings import Readings
from fitcheck.odds.remarks import blocked
from fitcheck.odds.roll_turns import turns_at
from fitcheck.odds.turns import Turn, crease_turns
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE
from fitcheck.styles import draw, style_of
from fitcheck.styles.part import PartSpec, Recipe

SAME_MM = 1e-9
"""Turns nearer to each other than this are one."""


@dataclass(frozen=True, eq=False)
class Hands:
    """Errors drawn once, so that designs that are alike are made by the same hands."""

    off: Array
    """(k, n) each input of n boxes, from its mean, in its standard uncertainties."""

    @classmethod
    def of(cls, prospect: Prospect, boxes: int, seed: int) -> Hands:
        """As the prospect's own boxes of that seed are drawn."""
        rng = streams_of(seed)[0]
        unit = [replace(one.variate, u=1.0, mean=0.0) for one in prospect.workshop.inputs]
        return cls(sample(unit, np.copy, boxes, rng).outcomes)

    def right(self, prospect: Prospect) -> Flags:
        """Which of the boxes (n,) come out right when they are made of another design."""
        asked, forms = prospect.asked()
        steps = u_of(forms.inputs)
        off = forms.means[:, None] + steps[:, None] * self.off
        return good_flags(asked, Samples(asked.outlook.evaluate(forms, off)))

    def rates(self, prospects: Sequence[Prospect]) -> list[float]:
        """How often the boxes come out right in each of some designs.

        Those that have one another's gradients are worked out together: the gradients are carried
        through the drawn errors once, and each design adds what its own values and hands change.
        """
        found: dict[int, float] = {}
        groups: dict[tuple[int, int], list[int]] = {}
        for index, one in enumerate(prospects):
            groups.setdefault((id(one.limits.gradients), id(one.outlook)), []).append(index)
        for group in groups.values():
            alike = _Alike([prospects[index] for index in group], self.off)
            found |= {index: alike.rate(k) for k, index in enumerate(group)}
        return [found[index] for index in range(len(prospects))]


class _Alike:
    """Designs with the same gradients, made by the same hands."""

    def __init__(self, prospects: Sequence[Prospect], off: Array) -> None:
        self.prospects, self.off = prospects, off
        first = prospects[0]
        self.inputs = first.workshop.inputs
        self.us = [u_of(own.workshop.inputs) for own in prospects]
        designs = [(own.limits.values, u) for own, u in zip(prospects, self.us, strict=True)]
        self.rows = screened(first.limits, self.inputs, designs)
        self.forms = forms_of_rows(first.limits, self.inputs, self.rows)
        self.means = self.forms.means
        self.carried = self.forms.carried(self._offsets(self.us[0]))
        turned = [np.flatnonzero(turn.weights) for turn in first.limits.turns]
        self.bent = np.concatenate([self.forms.kinked, *turned])

    def _offsets(self, u: Array) -> Array:
        found: Array = self.means[:, None] + u[:, None] * self.off
        return found

    def rate(self, k: int) -> float:
        """The share of right boxes of one design."""
        prospect, u = self.prospects[k], self.us[k]
        other = np.flatnonzero(u != self.us[0])
        if np.isin(other, self.bent).any():
            forms = replace(self.forms, turns=prospect.limits.turns)
            carried = forms.carried(self._offsets(u))
        else:
            carried = self.carried + self._turned_elsewhere(prospect.limits.turns)
            if len(other):
                by = (u - self.us[0])[other, None] * self.off[other]
                carried += self.forms.gradients[:, other] @ by
        least = self.forms.least_of(carried + prospect.limits.values[self.rows, None])
        offsets = self._offsets(u) if prospect.outlook.arranged else self.off
        outlook, inputs = prospect.outlook, prospect.workshop.inputs
        outcomes = outlook.of_least(self.forms.families, least, offsets, inputs)
        return float(good_flags(prospect, Samples(outcomes)).mean())

    def _turned_elsewhere(self, turns: Sequence[Turn]) -> Array | float:
        """What it makes of the limits (p, n) that a design turns elsewhere."""
        pairs = list(zip(turns, self.forms.turns, strict=True))
        moved = [n for n, (own, first) in enumerate(pairs) if abs(own.at - first.at) > SAME_MM]
        if not moved:
            return 0.0
        offsets = self._offsets(self.us[0])
        by = np.array([pairs[n][0].beyond(offsets) - pairs[n][1].beyond(offsets) for n in moved])
        columns = len(self.inputs) + np.array(moved)
        found: Array = self.forms.gradients[:, columns] @ by
        return found


def tried(prospect: Prospect, design: Design) -> Prospect | None:
    """The prospect of other sizes, by the gradients where they can tell and else folded anew."""
    found = None if blocked(prospect.check) else resized(prospect, design)
    return found or folded_anew(prospect, design)


def resized(prospect: Prospect, design: Design) -> Prospect | None:
    """The prospect of a design that is the prospect's own but for its lengths, by its gradients.

    None where they cannot tell: a line that is known exactly has none, and nor has another pattern.
    The check is still that of the design before.
    """
    old = prospect.check.assembly
    tools = design.tools
    if not min(tools.cut_u_mm, tools.score_u_on_grid_mm, tools.score_u_off_grid_mm) > 0.0:
        return None
    try:
        assembly = _redrawn(old, design)
    except FitcheckError:
        return None
    inputs = inputs_of(assembly, prospect.humidity)
    if not _same_lines(inputs, prospect.workshop.inputs):
        return None
    by = places_of(inputs, assembly) - places_of(prospect.workshop.inputs, old)
    known = prospect.limits
    # where a frame closes otherwise, limits turn, and other sizes lie nearer to there or further
    turned = [turn.beyond(by[:, None]) for turn in known.turns]
    values = known.values + known.gradients @ np.concatenate([by, *turned])
    turns = tuple(replace(turn, at=turn.at - float(turn.weights @ by)) for turn in known.turns)
    limits = replace(known, values=values, turns=turns)
    workshop = replace(prospect.workshop, inputs=inputs)
    return replace(prospect, workshop=workshop, limits=limits)


def folded_anew(prospect: Prospect, design: Design) -> Prospect | None:
    """The prospect of a like design: folded and read anew, its gradients as they were.

    None when it cannot be made at all. Contents that are arranged otherwise meet other walls:
    then the gradients are taken anew too.
    """
    try:
        found = check(design)
    except FitcheckError:
        return None
    return _with_gradients(prospect, found)


def made_otherwise(prospect: Prospect, found: Check) -> Prospect:
    """The prospect of the same sizes made of other papers or with other tools: no new gradients.

    It is folded and read anew, and what each input does is taken as it was: papers that differ by
    a tenth of a millimetre change slopes by little. Where lines are others, as where a part has
    another style, or creases that were sharp are round now, the gradients are taken anew.
    """
    inputs, known = inputs_of(found.assembly, prospect.humidity), prospect.workshop.inputs
    alike = [_place(one) for one in inputs] == [_place(one) for one in known]
    turned = [turn.column for turn in crease_turns(Workshop(found.assembly, inputs, {}))]
    before = [turn.column for turn in prospect.limits.turns if turn.roll is None]
    again = _reread(prospect, found, inputs) if alike and turned == before else None
    return again or take_prospect(found, prospect.humidity)


def _with_gradients(prospect: Prospect, found: Check) -> Prospect | None:
    inputs = inputs_of(found.assembly, prospect.humidity)
    if not _same_lines(inputs, prospect.workshop.inputs):
        return None
    return _reread(prospect, found, inputs)


def _reread(prospect: Prospect, found: Check, inputs: tuple[Input, ...]) -> Prospect:
    """The prospect of a checked design with these inputs and the gradients of another one."""
    workshop = Workshop(found.assembly, inputs, prospect.workshop.grains)
    outlook = outlook_of(found)
    read: Readings = {}
    within = float(prospect.limits.values.max())
    for reader in outlook.readers:
        read |= reader.read_all([workshop.as_designed], within, None)[0]
    known = prospect.limits
    there = [key[1] in read.get(key[0], {}) for key in known.keys]
    if not outlook.families <= {
        key[0] for key, found in zip(known.keys, there, strict=True) if found
    }:
        return take_prospect(found, prospect.humidity)
    values = known.values.copy()
    moved: dict[str, float] = {}
    for row, (family, member) in enumerate(known.keys):
        if there[row]:
            moved.setdefault(family, read[family][member] - known.values[row])
            values[row] = read[family][member]
    for row, (family, _) in enumerate(known.keys):
        if not there[row]:
            # pairs that are met beyond a turn only move along with their family
            values[row] += moved.get(family, 0.0)
    anew = replace(known, values=values, turns=turns_at(known.turns, workshop))
    return replace(prospect, check=found, workshop=workshop, outlook=outlook, limits=anew)


def _place(one: Input) -> tuple[object, ...]:
    """What an input is, whatever its paper is called and wherever its line lies."""
    return one.source, one.parts, one.rule and one.rule.fence, one.knife, one.along, one.pieces


def _same_lines(one: Sequence[Input], other: Sequence[Input]) -> bool:
    return [a.name for a in one] == [b.name for b in other]


def _redrawn(old: Assembly, design: Design) -> Assembly:
    """The parts drawn with the design's lengths; what they fold to is still the old."""
    base = old.base
    if design.base != old.design.base:
        recipe = _base_recipe(base.recipe, old.design.base, design.base)
        base = drawn(base, recipe)
    others = (
        drawn(part, recipe_beside(design, spec, base.recipe))
        for part, spec in zip(old.parts[1:], design.parts[1:], strict=True)
    )
    return Assembly(design, (base, *others))


def _base_recipe(settled: Recipe, old: PartSpec, new: PartSpec) -> Recipe:
    """The recipe on its settled floor, made larger by what its size in the design is larger.

    An inside, an opening or the room round contents grows with the floor one for one.
    """
    wider, longer = (b - a for a, b in zip(old.size_mm, new.size_mm, strict=True))
    floor = settled.width_mm + wider, settled.length_mm + longer
    found: Recipe = style_of(new.style).recipe(
        new.pinned(settled), floor, settled.joint_mm, settled.tools
    )
    return found


def drawn(part: Part, recipe: Recipe) -> Part:
    """The part drawn by another recipe; what it folds to is still the old."""
    return part if recipe == part.recipe else replace(part, recipe=recipe, pattern=draw(recipe))


def places_of(inputs: Sequence[Input], assembly: Assembly) -> Array:
    """Where each input's line lies from its fence, the far edges seen from the near ones; (k,) mm.

    What is no line is at 0.
    """
    sheets = {part.recipe.part: part.pattern.sheet for part in assembly.parts}
    places = np.zeros(len(inputs))
    for index, one in enumerate(inputs):
        if one.rule is None:
            continue
        sheet = sheets[one.parts[0]]
        edges = {WIDTH_EDGE: sheet.width_mm, LENGTH_EDGE: sheet.length_mm}
        places[index] = edges.get(one.rule, one.rule.at_mm)
    return places
