"""A design of other sizes has the same limits with scores and cuts elsewhere: none is folded anew.

The gradients say what a score does that is off by mistake; one that is meant to lie elsewhere does
the same. That holds as long as the same pairs meet, so what is chosen by it is folded once more.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np

from fitcheck.design.model import Design
from fitcheck.errors import FitcheckError
from fitcheck.fit.assembly import Assembly, Part, recipe_beside
from fitcheck.fit.check import Check, checked
from fitcheck.fit.selffit import FIGHT_MM
from fitcheck.folding.pose import Array
from fitcheck.odds.found_inputs import inputs_of
from fitcheck.odds.inputs import Input
from fitcheck.odds.making import Workshop
from fitcheck.odds.outlook import outlook_of
from fitcheck.odds.prospect import Prospect, take_prospect
from fitcheck.odds.readings import InCorners, Readings
from fitcheck.odds.roll_turns import turns_at
from fitcheck.odds.self_readings import is_ease
from fitcheck.odds.slopes import Key
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE
from fitcheck.styles import draw, style_of
from fitcheck.styles.part import PartSpec, Recipe


def resized(prospect: Prospect, design: Design) -> Prospect | None:
    """The prospect of a design that is the prospect's own but for its lengths, by its gradients.

    None where they cannot tell: a line that is known exactly has none, and nor has another pattern.
    The check is still that of the design before.
    """
    old = prospect.check.assembly
    if not unsure(design):
        return None
    try:
        assembly = _redrawn(old, design)
    except FitcheckError:
        return None
    inputs = inputs_of(assembly, prospect.humidity)
    if not _same_lines(inputs, prospect.workshop.inputs):
        return None
    by = places_of(inputs, assembly) - places_of(prospect.workshop.inputs, old)
    return moved_by(prospect, by, inputs)


def unsure(design: Design) -> bool:
    """Whether no line of a design is known exactly: those that are have no gradients."""
    tools = design.tools
    return min(tools.cut_u_mm, tools.score_u_on_grid_mm, tools.score_u_off_grid_mm) > 0.0


def moved_by(prospect: Prospect, by: Array, inputs: tuple[Input, ...]) -> Prospect:
    """The prospect with its lines moved by (k,) mm and made as these inputs say."""
    known = prospect.limits
    # where a frame closes otherwise, limits turn, and other sizes lie nearer to there or further
    turned = [turn.beyond(by[:, None]) for turn in known.turns]
    values = known.values + known.gradients @ np.concatenate([by, *turned])
    turns = tuple(replace(turn, at=turn.at - float(turn.weights @ by)) for turn in known.turns)
    limits = replace(known, values=values, turns=turns)
    workshop = replace(prospect.workshop, inputs=inputs)
    return replace(prospect, workshop=workshop, limits=limits)


def folded_anew(prospect: Prospect, design: Design, *, ways: bool = True) -> Prospect | None:
    """The prospect of a like design: folded and read anew, its gradients as they were.

    None when it cannot be made at all. Contents that are arranged otherwise meet other walls:
    then the gradients are taken anew too. Odds hang on no way in: `ways` looks for that as well.
    """
    found = checked(design, ways=ways)
    if found is None:
        return None
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
    known = prospect.limits
    corners = {family: own for family, own in known.readings.items() if InCorners.of(family)}
    for reader in outlook.readers:
        (own,) = reader.read_all([workshop.as_designed], within, None)
        if known.lines.keys() & own.keys():
            # what stands in corners counts as well where it is further from there now
            own |= reader.read_all([workshop.as_designed], math.inf, {**own, **corners})[0]
        read |= own
    there = [key[1] in read.get(key[0], {}) for key in known.keys]
    followed = {key[0] for key, found in zip(known.keys, there, strict=True) if found}
    if not outlook.families <= followed or _fights_anew(read, known.keys):
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


def _fights_anew(read: Readings, known: Collection[Key]) -> bool:
    """Whether a pair of panels is half way to fighting that was left out, as it could not fight."""
    eases = ((family, own) for family, own in read.items() if is_ease(family))
    return any(
        mm < 0.5 * FIGHT_MM and (family, member) not in known
        for family, own in eases
        for member, mm in own.items()
    )


def _same_lines(one: Sequence[Input], other: Sequence[Input]) -> bool:
    return [a.name for a in one] == [b.name for b in other]


def _redrawn(old: Assembly, design: Design) -> Assembly:
    """The parts drawn with the design's lengths; what they fold to is still the old."""
    recipes = recipes_of(old, design)
    parts = [drawn(part, recipe) for part, recipe in zip(old.parts, recipes, strict=True)]
    return Assembly(design, tuple(parts))


def recipes_of(old: Assembly, design: Design) -> list[Recipe]:
    """The recipes of the parts with the design's lengths.

    Raises InputError or ModelError where a floor cannot be settled.
    """
    base = old.base.recipe
    if design.base != old.design.base:
        base = _base_recipe(base, old.design.base, design.base)
    return [base, *(recipe_beside(design, spec, base) for spec in design.parts[1:])]


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

    The side of what another part or a content goes into counts as its size, which a knife that goes
    too far makes as much larger; what else is no line is at 0.
    """
    sheets = {part.recipe.part: part.pattern.sheet for part in assembly.parts}
    places = np.zeros(len(inputs))
    for index, one in enumerate(inputs):
        if one.knife is not None and (one.knife.takes or one.knife.fits):
            places[index] = one.knife.fits_mm or 0.0
        if one.rule is None:
            continue
        sheet = sheets[one.parts[0]]
        edges = {WIDTH_EDGE: sheet.width_mm, LENGTH_EDGE: sheet.length_mm}
        places[index] = edges.get(one.rule, one.rule.at_mm)
    return places
