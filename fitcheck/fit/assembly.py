"""A design becomes recipes with settled floors, and the recipes become folded parts."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from fitcheck.design.model import Design
from fitcheck.errors import FitcheckError, InputError, ModelError
from fitcheck.fit.footprint import contents_footprint, largest_sides
from fitcheck.fit.held import as_cut
from fitcheck.fit.one_board import measured_tools, scored_on
from fitcheck.fit.remembered import MEMORY
from fitcheck.fit.walls import round_contents
from fitcheck.fit.way_in import clear_sides
from fitcheck.folding.fold import Making, fold_all
from fitcheck.folding.measure import PartSizes, measure
from fitcheck.folding.parts import FoldedPart
from fitcheck.pattern.habits import habitual
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.plan import scored_rules
from fitcheck.pattern.sheet import Rule, Shifts
from fitcheck.stock.tools import Tools
from fitcheck.styles import check_mates, draw, of_its_style, style_of
from fitcheck.styles.part import PartSpec, Recipe, SizeBy
from fitcheck.workspace.progress import SILENT, Progress

BETWEEN_WALLS = (SizeBy.INSIDE, SizeBy.OPENING, SizeBy.CONTENTS)
"""Sizes that a floor is only found for by folding."""
MOST_LEAN_DEG = 5.0
"""A wall that setback or joint makes lean by more than this is not the wall that was drawn."""
USUAL_GLUE_MM = 0.15
"""What tape or glue takes up in a corner (common practice, no source)."""
PROBE_FLOOR_MM = (500.0, 500.0)
"""A floor on which any part folds; its depth does not depend on it."""


@dataclass(frozen=True, eq=False)
class Part:
    """One part from recipe to measured sizes."""

    recipe: Recipe
    pattern: Pattern
    folded: FoldedPart
    sizes: PartSizes

    @cached_property
    def scores(self) -> tuple[Rule, ...]:
        """The rules that it is scored along, each once, by fence and distance."""
        return scored_rules(self.pattern)

    @cached_property
    def habits(self) -> Shifts:
        """How far its lines lie beyond their places with tools that were measured, mm."""
        return habitual(self.pattern, self.recipe.tools)


@dataclass(frozen=True, eq=False)
class Assembly:
    """The parts of a design, folded."""

    design: Design
    parts: tuple[Part, ...]
    """The base first, then what goes with it, in the order of the design."""

    @property
    def base(self) -> Part:
        """What everything else goes with."""
        return self.parts[0]

    @property
    def lid(self) -> Part | None:
        """The lid, if there is one."""
        return self.part("lid")

    @cached_property
    def rooms(self) -> int:
        """Into how many rooms each line of contents goes: its compartments, or the base alone."""
        rows = [part.pattern.row for part in self.parts if part.pattern.row is not None]
        return math.prod(len(row.at_mm) + 1 for row in rows)

    @property
    def ring(self) -> Part | None:
        """The ring that stands before the base's walls, if there is one."""
        return next((part for part in self.parts if part.pattern.on_end), None)

    def part(self, name: str) -> Part | None:
        """The part of that name, if there is one."""
        return next((part for part in self.parts if part.recipe.part == name), None)

    def folded(self, name: str) -> FoldedPart | None:
        """The part of that name as it stands, if there is one."""
        part = self.part(name)
        return None if part is None else part.folded

    def with_part(self, other: Part) -> Assembly:
        """The assembly with another part of the same name."""
        parts = (other if p.recipe.part == other.recipe.part else p for p in self.parts)
        return replace(self, parts=tuple(parts))

    @property
    def tools(self) -> Tools:
        """The tools it is made with, with all that was measured of them."""
        return self.base.recipe.tools or self.design.tools


def assemble(design: Design, progress: Progress = SILENT) -> Assembly:
    """Settle all sizes of a design and fold its parts.

    Raises InputError when a floor cannot be settled or a part cannot be folded.
    """
    with _explained(design, design.base):
        parts = [_standing(make_part(base_recipe(design, progress)))]
    for spec in design.parts[1:]:
        with _explained(design, spec):
            parts.append(_standing(make_part(recipe_beside(design, spec, parts[0].recipe))))
    patterns = {part.recipe.part: part.pattern for part in parts}
    for spec in design.parts:
        check_mates(spec, patterns)
    return Assembly(design, tuple(parts))


def _standing(part: Part) -> Part:
    """The part, unless its setback or its joint makes its walls lean too far to be meant.

    A low wall over its own tab may lean as far as the paper's thickness makes it. Raises
    ModelError.
    """
    recipe = part.recipe
    push = recipe.corner_push_mm
    lean = part.folded.most_lean_deg
    usual = abs(push) <= recipe.corner_layers * (recipe.stock.caliper_mm + USUAL_GLUE_MM)
    if lean <= MOST_LEAN_DEG or usual:
        return part
    most = recipe.depth_mm * math.tan(math.radians(MOST_LEAN_DEG))
    raise ModelError(
        f"its glued walls would lean by {lean:.0f} degrees, {abs(push):.2f} mm at the rim: read "
        f"{recipe.glue_words()}; allowed: up to "
        f"{MOST_LEAN_DEG:g} degrees, so caliper and joint less setback within "
        f"{most:.2f} mm of each other"
    )


@contextlib.contextmanager
def _explained(design: Design, spec: PartSpec) -> Iterator[None]:
    """A part that cannot be folded is the design's fault: say whose and which."""
    try:
        yield
    except ModelError as error:
        raise InputError(
            f"{design.path or design.name}: {spec.name}: {error}; "
            f"{spec.read_words(design.joint_mm, design.unit)}"
        ) from error


def make_part(recipe: Recipe) -> Part:
    """Draw and fold a recipe as its tools make it: every line where they always put it.

    The same recipe is the same part as long as it is remembered. Raises ModelError where it cannot
    be folded.
    """
    return MEMORY.of((make_part, recipe), lambda: _made(recipe))


def _made(recipe: Recipe) -> Part:
    pattern = draw(recipe)
    return of_its_style(recipe, "draw what can be folded", lambda: _folded(recipe, pattern))


def _folded(recipe: Recipe, pattern: Pattern) -> Part:
    folded = fold_all(pattern, [making_of(recipe, habitual(pattern, recipe.tools))]).part(0)
    return Part(recipe, pattern, folded, measure(folded))


def making_of(recipe: Recipe, shifts: Shifts) -> Making:
    """How a recipe is made, its papers and joints as they are, its lines so far off."""
    stock = recipe.stock
    upright, level = recipe.folds
    return Making(
        stock.crease_by(upright),
        recipe.joint_mm,
        shifts,
        stock.corner_give,
        None if level is None else stock.crease_by(level),
    )


def base_recipe(design: Design, progress: Progress = SILENT) -> Recipe:
    """The base's recipe with its floor settled."""
    spec = scored_on(design.base, measured_tools(design))
    wanted = spec.size_mm
    if spec.size_by is SizeBy.CONTENTS:
        footprint = _round_contents(spec, design, progress)
        wanted = (footprint[0] + wanted[0], footprint[1] + wanted[1])
    return _settled(spec, wanted, design)


def _round_contents(spec: PartSpec, design: Design, progress: Progress) -> tuple[float, float]:
    """The plan that contents need in the height that they have in the whole box.

    No height hangs on the floor, so that it is read off a box whose base holds the largest of them.
    """
    from fitcheck.fit.rooms import heights_in

    depth = make_part(_on_floor(spec, PROBE_FLOOR_MM, design)).sizes.depth_mm

    def heights() -> Iterator[tuple[float, float]]:
        if not any(part.fills_base for part in design.parts):
            yield depth, depth  # which most go into, whatever closes it
        try:
            tried = _settled(spec, largest_sides(design), design)
            sides = tried.width_mm, tried.length_mm
            floor = replace(spec.pinned(tried), size_by=SizeBy.FLOOR, size_mm=sides)
            whole = assemble(design.with_parts(floor))
        except FitcheckError:  # on so small a floor it cannot be made
            if design.lid is None:
                yield math.inf, depth
            return
        yield from heights_in(whole)

    return contents_footprint(design, heights(), depth, progress)


def recipe_beside(design: Design, spec: PartSpec, base: Recipe) -> Recipe:
    """The recipe of what goes with a base, its floor settled, over the base's where it follows.

    What stands in a base of several layers follows what those leave of its inside when it is
    folded. Raises ModelError where that cannot be folded.
    """
    spec = scored_on(spec, measured_tools(design))
    if spec.fills_base and spec.follows_base and base.inside_by_folding:
        inside = make_part(base).sizes.inside_mm
        spec = spec.inside_by((base.width_mm - inside[0], base.length_mm - inside[1]))
    wanted = spec.over(base.width_mm, base.length_mm) if spec.follows_base else spec.size_mm
    return as_cut(_settled(spec, wanted, design), design)


def _settled(spec: PartSpec, wanted: tuple[float, float], design: Design) -> Recipe:
    recipe = _on_floor(spec, wanted, design)
    if spec.size_by not in BETWEEN_WALLS:
        return recipe
    return _with_inside(recipe, wanted, clear=spec.size_by is SizeBy.CONTENTS)


def _on_floor(spec: PartSpec, floor_mm: tuple[float, float], design: Design) -> Recipe:
    recipe: Recipe = style_of(spec.style).recipe(
        spec, floor_mm, design.joint_mm, measured_tools(design)
    )
    return recipe


def _with_inside(recipe: Recipe, inside_mm: tuple[float, float], *, clear: bool) -> Recipe:
    """The recipe whose folded inside is as wanted.

    A floor adds to the inside one for one and to nothing else, so folding once on a floor that is
    large enough and moving it by what is missing settles it. `clear` takes the inside as square
    contents meet it, round creases included, and not between the flat faces.
    """
    guess = recipe.resized(*(side + recipe.ample_mm for side in inside_mm))
    part = make_part(guess)
    found = part.sizes.inside_mm
    if clear:
        found = clear_sides(round_contents(part.folded), found)
    return recipe.resized(
        guess.width_mm + inside_mm[0] - found[0], guess.length_mm + inside_mm[1] - found[1]
    )
