"""The lengths that a box is cut from, as rows of numbers: a candidate is one row.

A row holds what the base's recipe says, then what every other part's says, all settled: floors
from score to score however the design gives them. So the lines of the sheets lie linearly in a row,
and a chosen row is turned back into a design that keeps the keys it was written with.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from fitcheck.design.model import Design
from fitcheck.fit.assembly import Assembly, base_recipe, recipe_beside
from fitcheck.folding.pose import Array, Flags
from fitcheck.odds.found_inputs import inputs_of
from fitcheck.odds.inputs import Humidity, Input, Source, u_of
from fitcheck.odds.resized import drawn, places_of
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE
from fitcheck.stock.tools import ON_GRID_MM, Tools
from fitcheck.styles import style_of
from fitcheck.styles.own_lengths import OwnLength
from fitcheck.styles.part import ByLength, PartSpec, Recipe, SizeBy

LENGTHS = (
    "width_mm",
    "length_mm",
    "depth_mm",
    "frame_mm",
    "inner_wall_mm",
    "flap_mm",
    "clear_mm",
    "short_mm",
    "strip_mm",
)
WIDTH, LENGTH, DEPTH, FRAME, INNER, FLAP, CLEAR, SHORT, STRIP = range(len(LENGTHS))
EACH = len(LENGTHS)
"""So many lengths of a row are one part's."""
STEP_MM = 0.5
"""Lengths are moved by this to see which lines they move; any other does as well."""
SAME_MM = 1e-6
WALLS = (SizeBy.INSIDE, SizeBy.OPENING)
"""Sizes between walls, which by themselves say which walls are the longer ones."""


def sizes_of(assembly: Assembly) -> Array:
    """The row (s,) of all parts, `EACH` of each, mm; what a style has not is 0."""
    return lengths_of([part.recipe for part in assembly.parts])


def lengths_of(recipes: Sequence[Recipe]) -> Array:
    """The row of some parts' recipes behind each other, mm."""
    rows = [[_own(recipe, key) for key in LENGTHS] for recipe in recipes]
    return np.array(rows, dtype=float).ravel()


def _own(recipe: Recipe, key: str) -> float:
    """A length that the recipe is made with; one that it works out from others is none of these."""
    return float(getattr(recipe, key)) if _has(recipe, key) else 0.0


def _has(recipe: Recipe, key: str) -> bool:
    return any(field.name == key for field in fields(recipe))


def design_of(assembly: Assembly, sizes: Array) -> Design:
    """The design of a row, written by the keys of the assembly's own design.

    An inside, an opening or the room round contents is what leaves the row's floor. Raises
    InputError or ModelError where such a floor cannot be settled.
    """
    design = assembly.design
    rows = sizes.reshape(-1, EACH)
    base = _with_lengths(design.base, assembly.base.recipe, rows[0])
    base = _moved(base, rows[0, : LENGTH + 1] - _floor(assembly.base.recipe))
    if base.size_by is not SizeBy.FLOOR:
        pinned = base.pinned(assembly.base.recipe)
        settled = base_recipe(design.with_parts(pinned))
        base = _moved(base, rows[0, : LENGTH + 1] - _floor(settled))
    base = _pinned(base, assembly.base.recipe, rows[0])
    others = [
        _beside(design.with_parts(base), spec, assembly, rows[[0, number]])
        for number, spec in enumerate(design.parts)
        if number and not spec.fills_base
    ]
    found = design.with_parts(base, *others)
    for place in dict.fromkeys(spec.place for spec in design.parts if spec.fills_base):
        found = _standing(found, place, assembly, rows)
    return found


def _standing(design: Design, place: str, assembly: Assembly, rows: Array) -> Design:
    """The design with the sizes of what a table puts into its base by the rows (n, e) of all.

    What follows the base's inside has the ease it had, but for what its row changes of its own:
    layers leave some hundredths more or less where walls are others.
    """
    more = rows - sizes_of(assembly).reshape(-1, EACH)
    by, was = np.zeros(2), (0.0, 0.0)
    for spec, own in zip(design.parts, more, strict=True):
        if spec.place == place:
            was = spec.size_mm
            by += own_sizes(spec, own, more[0])
            higher = float(own_heights(spec, own, more[0]))
            if spec.own_height and abs(higher) > SAME_MM:
                design = design.with_parts(spec.with_depth(spec.depth_mm + higher))
    if np.abs(by).max() < SAME_MM:
        return design
    return design.with_sizes(place, (was[0] + float(by[0]), was[1] + float(by[1])))


def in_rows(own: Iterable[OwnLength]) -> Iterator[OwnLength]:
    """Those of a style's own lengths that rows hold; what only another package knows stays."""
    return (one for one in own if one.attribute in LENGTHS)


def columns_of(by: ByLength, at: int) -> Iterator[tuple[int, float]]:
    """Changes of a part's lengths, which begin `at` that column of a row."""
    return ((at + LENGTHS.index(key), mm) for key, mm in by.items())


def own_sizes(spec: PartSpec, own: Array, base: Array) -> Array:
    """What changes of a part's lengths (..., e) and its base's change in its own sizes, (..., 2).

    That is without what it follows its base by.
    """
    less = 2.0 * base[..., FRAME] if spec.fills_base else 0.0
    wide, long, deep = (base[..., key] for key in (WIDTH, LENGTH, DEPTH))
    followed = np.stack([wide - less, long - less, deep], axis=-1)
    return _sizes_for(spec, own - followed @ _rows_of(itertools.starmap(spec.follows, np.eye(3))))


def own_heights(spec: PartSpec, own: Array, base: Array) -> Array:
    """What changes of a part's lengths (..., e) and its base's change in its own height, (...)."""
    follows = spec.follows(0.0, 0.0, 1.0).get("depth_mm", 0.0)
    return own[..., DEPTH] - follows * base[..., DEPTH]


def _sizes_for(spec: PartSpec, by: Array) -> Array:
    """What changes of its lengths (..., e) take in a part's two sizes, (..., 2)."""
    found: Array = by @ np.linalg.pinv(_rows_of(map(spec.grown_by, ((1.0, 0.0), (0.0, 1.0)))))
    return found


def _rows_of(changes: Iterable[ByLength]) -> Array:
    """Changes of a part's lengths as rows (n, e)."""
    return np.array([[one.get(key, 0.0) for key in LENGTHS] for one in changes])


def _beside(design: Design, spec: PartSpec, assembly: Assembly, rows: Array) -> PartSpec:
    """What goes with a design's base with its own row; `rows` (2, e) are the base's and that."""
    part = assembly.part(spec.name)
    assert part is not None, "the assembly is of the design"
    recipe, row = part.recipe, rows[1]
    other = _with_lengths(spec.beside(design.base), recipe, row)
    if spec.follows_base:
        over = (row - rows[0])[[WIDTH, LENGTH, DEPTH]].tolist()
        other = replace(other, size_mm=spec.sizes_over(*over))
    else:
        other = _moved(other, row[: LENGTH + 1] - _floor(recipe))
        pinned = other.pinned(recipe)
        settled = recipe_beside(design, pinned, assembly.base.recipe)
        other = _moved(other, row[: LENGTH + 1] - _floor(settled))
    return _pinned(other, recipe, row)


def _pinned(spec: PartSpec, recipe: Recipe, row: Array) -> PartSpec:
    """The part with its tabs said where its new sizes would put them on its other walls."""
    sizes = spec.size_mm if spec.size_by in WALLS else tuple(row[: LENGTH + 1].tolist())
    anew = style_of(spec.style).recipe(spec, sizes, recipe.joint_mm, recipe.tools)
    same = all(getattr(anew, key) == getattr(recipe, key) for key in spec.own_choices)
    return spec if same else spec.pinned(recipe)


def _floor(recipe: Recipe) -> Array:
    return np.array([recipe.width_mm, recipe.length_mm])


def _moved(spec: PartSpec, by_mm: Array) -> PartSpec:
    wide, long = by_mm.tolist()
    if max(abs(wide), abs(long)) < SAME_MM:
        return spec
    return replace(spec, size_mm=(spec.size_mm[0] + wide, spec.size_mm[1] + long))


def _with_lengths(spec: PartSpec, recipe: Recipe, row: Array) -> PartSpec:
    """The part with a row's lengths; what is left to its style stays so where it comes to that."""
    lengths = dict(zip(LENGTHS, row.tolist(), strict=True))
    if abs(lengths["depth_mm"] - spec.depth_mm) > SAME_MM:
        spec = spec.with_depth(lengths["depth_mm"])
    settled = spec.lengths_mm(recipe.joint_mm)
    own: dict[str, Any] = {}
    for one in in_rows(spec.own_lengths):
        mm = lengths[one.attribute]
        stays = getattr(spec, one.attribute) is None and abs(mm - settled[one.key]) < SAME_MM
        own[one.attribute] = None if stays else mm
    for gap in in_rows(spec.gaps):
        if abs(lengths[gap.attribute] - getattr(recipe, gap.attribute)) > SAME_MM:
            own[gap.attribute] = lengths[gap.attribute]
    return replace(spec, **own)


@dataclass(frozen=True, eq=False)
class Lines:
    """Where the scores and edges of a design's sheets lie, for any row of its lengths."""

    inputs: tuple[Input, ...]
    start: Array
    """(s,) the row that the places are known at."""
    at: Array
    """(k,) the place of each input's line there, from its fence, mm; 0 for what is no line."""
    slopes: Array
    """(k, s) how far each line moves with each length."""

    def places(self, rows: Array) -> Array:
        """(c, k) mm of rows (c, s)."""
        found: Array = self.at + (rows - self.start) @ self.slopes.T
        return found

    @property
    def scores(self) -> Flags:
        """(k,) true for scores."""
        return np.array([one.source is Source.SCORE for one in self.inputs])

    @property
    def edges(self) -> Flags:
        """(k,) true for the sides of the sheets."""
        return np.array([one.rule in (WIDTH_EDGE, LENGTH_EDGE) for one in self.inputs])

    def sides(self, places: Array) -> dict[str, tuple[Array, Array]]:
        """How wide and long each part's sheet is, (c,) mm each, of places (c, k)."""
        found = {
            (one.parts[0], one.rule): places[:, k]
            for k, one in enumerate(self.inputs)
            if self.edges[k]
        }
        return {part: (found[part, WIDTH_EDGE], found[part, LENGTH_EDGE]) for part, _ in found}

    def u_of(self, places: Array, tools: Tools) -> Array:
        """(c, k) standard uncertainty of each input made with such tools at such places."""
        u = u_of(self.inputs)
        lines = np.array([one.rule is not None for one in self.inputs])
        grooved = on_grid(places, tools.grid_mm)
        scored = np.where(grooved, tools.score_u_on_grid_mm, tools.score_u_off_grid_mm)
        made = np.where(self.scores, scored, tools.cut_u_mm)
        return np.where(lines, made, u)


def on_grid(places: Array, grid_mm: float | None) -> Flags:
    """Which places lie in a groove, as the tools say it of one; none without a grid."""
    if grid_mm is None:
        return np.zeros(places.shape, dtype=bool)
    near: Flags = np.abs(places - np.round(places / grid_mm) * grid_mm) <= ON_GRID_MM
    return near


def lines_of(assembly: Assembly, humidity: Humidity | None = None) -> Lines | None:
    """The lines of a design by redrawing it with each length moved; None where they do not follow.

    The drawing is linear in the lengths, so what one step moves any other moves in proportion.
    """
    inputs = inputs_of(assembly, humidity)
    start, at = sizes_of(assembly), places_of(inputs, assembly)
    slopes = np.zeros((len(inputs), len(start)))
    for column, other in _stepped(assembly, start):
        named = inputs_of(other, humidity)
        if [one.name for one in named] != [one.name for one in inputs]:
            return None
        slopes[:, column] = (places_of(named, other) - at) / STEP_MM
    return Lines(inputs, start, at, slopes)


def _stepped(assembly: Assembly, start: Array) -> Iterator[tuple[int, Assembly]]:
    """The assembly with each of its lengths moved; lengths that a style has not are left out."""
    for column, size in enumerate(start.tolist()):
        which, key = divmod(column, EACH)
        part = assembly.parts[which]
        if not _has(part.recipe, LENGTHS[key]) or (size == 0.0 and key not in (CLEAR, SHORT)):
            continue
        moved = drawn(part, replace(part.recipe, **{LENGTHS[key]: size + STEP_MM}))
        yield column, assembly.with_part(moved)
