"""Designs of other lengths are tried by where their lines come to lie: most are never drawn.

The lines of a sheet lie linearly in the lengths that it is cut from, so a length's slopes say
where those of any other design are, and how sure hands are of them there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from fitcheck.design.model import Design
from fitcheck.design.rules import design_problems
from fitcheck.errors import FitcheckError
from fitcheck.folding.pose import Array, Rows
from fitcheck.odds.inputs import Input
from fitcheck.odds.prospect import Prospect
from fitcheck.odds.remarks import blocked
from fitcheck.odds.resized import folded_anew, moved_by, recipes_of, resized, unsure
from fitcheck.odds.sizes import LENGTHS, SAME_MM, Lines, lengths_of, lines_of
from fitcheck.styles.part import Recipe

APART_MM = 1e-6
"""Lines nearer to each other than this may be one score, or have changed places."""


@dataclass(frozen=True, eq=False)
class Relined:
    """A design whose limits are taken, and what its lengths do to its lines."""

    prospect: Prospect
    lines: Lines | None
    """None where the lines do not follow the lengths: then other designs are drawn."""
    beside: tuple[Rows, ...]
    """Lines from one fence that are told apart by their order."""

    @classmethod
    def of(cls, prospect: Prospect) -> Relined:
        """What other lengths do to a prospect's design."""
        lines = lines_of(prospect.check.assembly, prospect.humidity)
        groups: dict[tuple[object, ...], list[int]] = {}
        for index, one in enumerate(() if lines is None else lines.inputs):
            if one.rule is not None:
                key = one.source, one.parts, one.rule.fence
                groups.setdefault(key, []).append(index)
        return cls(prospect, lines, tuple(np.array(own) for own in groups.values()))

    def tried(self, design: Design) -> Prospect | None:
        """The prospect of other sizes, by the gradients where they tell and else folded anew."""
        found = None
        recipes = None if blocked(self.prospect.check) else self._recipes(design)
        if recipes is not None and self._tells(recipes):
            found = self._followed(design, recipes) or resized(self.prospect, design)
        return found or folded_anew(self.prospect, design, ways=False)

    def _recipes(self, design: Design) -> list[Recipe] | None:
        """The recipes of a design of other sizes; None where a floor cannot be settled."""
        try:
            return recipes_of(self.prospect.check.assembly, design)
        except FitcheckError:
            return None

    def _tells(self, recipes: Sequence[Recipe]) -> bool:
        """Whether lines move with every length that changes: a lid's cut end is none."""
        if self.lines is None:
            return True
        changed = np.abs(lengths_of(recipes) - self.lines.start) > SAME_MM
        moves = (self.lines.slopes != 0.0).any(axis=0)
        return bool(moves[changed].all())

    def _followed(self, design: Design, recipes: Sequence[Recipe]) -> Prospect | None:
        """The prospect of a design by its lines; None where they do not tell."""
        lines = self.lines
        if lines is None or not unsure(design) or any(design_problems(design)):
            return None
        known = [part.recipe for part in self.prospect.check.assembly.parts]
        if not all(_alike(*both) for both in zip(recipes, known, strict=True)):
            return None
        places = lines.places(lengths_of(recipes)[None])
        if not self._in_order(places[0]):
            return None
        u = lines.u_of(places, design.tools)[0]
        inputs = tuple(_made(one, own) for one, own in zip(lines.inputs, u.tolist(), strict=True))
        return moved_by(self.prospect, places[0] - lines.at, inputs)

    def _in_order(self, places: Array) -> bool:
        """Whether lines (k,) are all on their sheets, and none has come to or past another."""
        return all((np.diff(places[own], prepend=0.0) > APART_MM).all() for own in self.beside)


def _alike(one: Recipe, other: Recipe) -> bool:
    """Whether two recipes are alike but for their lengths."""
    return type(one) is type(other) and all(
        getattr(one, field.name) == getattr(other, field.name)
        for field in fields(one)
        if field.name not in LENGTHS
    )


def _made(one: Input, u: float) -> Input:
    return one if u == one.variate.u else replace(one, variate=replace(one.variate, u=u))
