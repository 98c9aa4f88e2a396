"""Dividers: strips that cross in slots and stand in a base as a grid of equal compartments.

Those across run along the base's width and have their slots open upwards; those along it come from
above with theirs open downwards. A slot goes half the height in and a hair more, and is a hair
wider than the strip it takes, so that all stand on the floor. A pitch leaves the outer ones a rest.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Self

from fitcheck.pattern.cutouts import Cutout, CutoutKind
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.rows import Row
from fitcheck.pattern.sheet import Axis, Corner, Fence, Knife, Rule, Sheet
from fitcheck.plain import shown
from fitcheck.stock.tools import Tools
from fitcheck.styles.dividers_keys import BELOW_RIM_MM, DividersFile
from fitcheck.styles.mates import Into, Mate, Past
from fitcheck.styles.part import ByLength, PartSpec, Recipe, SizeBy
from fitcheck.styles.style import FEW_CALIPERS, Problems, Style
from fitcheck.units import Unit, show_length

NAMES = {Axis.WIDTH: "across", Axis.LENGTH: "along"}


@dataclass(frozen=True, kw_only=True)
class DividersSpec(PartSpec):
    """What a design says about its dividers, all of them or those that run one way."""

    rows: int
    columns: int
    height_mm: float | None
    """None = the base's depth inside less a hair."""
    slot_mm: float
    pitch_mm: tuple[float, float] | None = None
    """From strip to strip along the width and along the length; None = all compartments alike."""
    runs: Axis | None = None
    """The way the strips of this part run; None of all together."""
    base_less_mm: tuple[float, float] = (0.0, 0.0)
    """By how much the base's inside is smaller than its floor, along the width and the length."""

    ease_ways = ("along the width", "along the length")
    depth_key = "height"

    @property
    def place(self) -> str:
        """One table gives the strips of both ways."""
        return "dividers"

    @property
    def fills_base(self) -> bool:
        """Always."""
        return True

    @property
    def follows_base(self) -> bool:
        """Always."""
        return True

    @property
    def own_depth(self) -> bool:
        """Where it is said."""
        return self.height_mm is not None

    @property
    def own_height(self) -> bool:
        """Always."""
        return True

    def with_depth(self, depth_mm: float) -> Self:
        """Of a height that is said."""
        return replace(self, depth_mm=depth_mm, height_mm=depth_mm)

    def over(self, width_mm: float, length_mm: float) -> tuple[float, float]:
        """The inside of the base that they divide."""
        return width_mm - self.base_less_mm[0], length_mm - self.base_less_mm[1]

    def follows(self, wide: float, long: float, deep: float) -> ByLength:
        """The inside that they divide; the strips too, unless they are cut to size."""
        inside = super().follows(wide, long, deep)
        if self.size_by is SizeBy.CUT:
            return inside
        return {**inside, "strip_mm": (wide, long)[self.own_size]}

    def grown_by(self, sizes: tuple[float, float]) -> ByLength:
        """Strips are longer by their size, or shorter by their ease."""
        longer = sizes[self.own_size]
        return {"strip_mm": longer if self.size_by is SizeBy.CUT else -longer}

    def ease_in(self, width_mm: float, length_mm: float) -> tuple[float, float]:
        """What the strips leave of the inside."""
        if self.size_by is not SizeBy.CUT:
            return self.size_mm
        wide, long = self.over(width_mm, length_mm)
        return wide - self.size_mm[0], long - self.size_mm[1]

    @property
    def own_size(self) -> int:
        """Which of the two sizes is that of these strips."""
        return 0 if (self.runs or self.ways[0]) is Axis.WIDTH else 1

    def beside(self, base: PartSpec) -> Self:
        """As high as the base is deep, unless it is said."""
        height = base.inside_depth_mm - BELOW_RIM_MM if self.height_mm is None else self.height_mm
        return replace(self, depth_mm=height).inside_by(base.inside_less_mm)

    def inside_by(self, less_mm: tuple[float, float]) -> Self:
        """That is what they divide."""
        return replace(self, base_less_mm=less_mm)

    @property
    def ways(self) -> tuple[Axis, ...]:
        """The ways that strips run."""
        there = {Axis.WIDTH: self.rows > 1, Axis.LENGTH: self.columns > 1}
        return tuple(axis for axis in Axis if there[axis])

    def read_words(self, joint_mm: float, unit: Unit) -> str:
        """What was read of its lengths."""
        return (
            f"read {self.rows} rows and {self.columns} columns of height "
            f"{show_length(self.depth_mm, unit)}; have fewer of them, or a larger base"
        )


@dataclass(frozen=True, kw_only=True)
class DividersRecipe(Recipe):
    """Strips of one way ready to be drawn; its floor is the inside that they divide."""

    rows: int
    columns: int
    strip_mm: float
    """How long a strip is."""
    slot_mm: float
    pitch_mm: tuple[float, float] | None
    runs: Axis

    inside_words = "divides"

    def places_mm(self, axis: Axis) -> tuple[float, ...]:
        """Where strips stand along an axis of the inside, from its middle."""
        wide = axis is Axis.WIDTH
        inside, count = (self.width_mm, self.columns) if wide else (self.length_mm, self.rows)
        caliper = self.stock.caliper_mm
        pitch = (inside - (count - 1) * caliper) / count + caliper
        if self.pitch_mm is not None:
            pitch = self.pitch_mm[0 if wide else 1]
        return tuple((k - 0.5 * count) * pitch for k in range(1, count))


class Dividers(Style[DividersSpec, DividersRecipe]):
    """A grid of slotted strips."""

    name = "dividers"
    summary = "strips that cross in slots and divide a base into compartments"
    places = ("dividers",)
    file = DividersFile
    sizes = (SizeBy.EASE, SizeBy.CUT)

    def key_problems(self, part: str, table: Mapping[str, Any]) -> Problems:
        """One compartment alone needs no dividers."""
        if table.get("rows") == 1 and table.get("columns") == 1:
            yield (
                part,
                "divides nothing",
                f"read rows {shown(table['rows'])} and columns {shown(table['columns'])}",
                "allowed: at least one of rows, columns above 1",
                "have more of them or remove the table",
            )

    def spec(self, common: Mapping[str, Any], file: DividersFile) -> DividersSpec:
        """What a table says."""
        return DividersSpec(
            **common,
            rows=file.rows,
            columns=file.columns,
            height_mm=file.height,
            slot_mm=file.slot,
            pitch_mm=None if file.pitch is None else (file.pitch[0], file.pitch[1]),
        )

    def split(self, spec: DividersSpec) -> tuple[DividersSpec, ...]:
        """The strips across and the strips along."""
        return tuple(
            replace(spec, name=f"{spec.place} {NAMES[axis]}", runs=axis) for axis in spec.ways
        )

    def recipe(
        self, spec: DividersSpec, size_mm: tuple[float, float], joint_mm: float, tools: Tools | None
    ) -> DividersRecipe:
        """The recipe of the strips of one way in an inside of that size."""
        own = spec.size_mm[spec.own_size]
        strip = own if spec.size_by is SizeBy.CUT else size_mm[spec.own_size] - own
        return DividersRecipe.of(
            spec,
            size_mm,
            joint_mm,
            tools,
            rows=spec.rows,
            columns=spec.columns,
            strip_mm=strip,
            slot_mm=spec.slot_mm,
            pitch_mm=spec.pitch_mm,
            runs=spec.runs or spec.ways[0],
        )

    def draw(self, recipe: DividersRecipe) -> Pattern:
        """A strip with its slots from the upper or from the lower edge."""
        return _drawn(recipe)

    def mates(self, spec: DividersSpec) -> tuple[Mate, ...]:
        """The grid goes into the base, and its strips past each other; told once for both ways."""
        names = tuple(f"{spec.place} {NAMES[axis]}" for axis in spec.ways)
        if spec.runs is not spec.ways[0]:
            return ()
        free = next((axis for axis in Axis if len(names) == 1 and axis not in spec.ways), None)
        into = Into(spec.place, "base", names, free)
        return (Past(names[1], names[0]), into) if len(names) > 1 else (into,)

    def floor_problems(
        self, spec: DividersSpec, floor: tuple[float, float] | None, joint_mm: float, unit: Unit
    ) -> Problems:
        """Strips too low for their slots, compartments that slots leave nothing of."""
        caliper = spec.stock.caliper_mm
        least = 2.0 * (FEW_CALIPERS * caliper + spec.slot_mm)
        if spec.depth_mm <= least:
            yield (
                f"{spec.name}.height",
                "leaves too little beside the slots",
                f"read {show_length(spec.depth_mm, unit)}",
                f"allowed: above {show_length(least, unit)}",
                "make it higher, or the slots' hair smaller",
            )
        if floor is None:
            return
        for k, (side, size, count) in enumerate(
            zip(floor, spec.size_mm, (spec.columns, spec.rows), strict=True)
        ):
            ease = side - size if spec.size_by is SizeBy.CUT else size
            pitch = None if spec.pitch_mm is None else spec.pitch_mm[k]
            room = _least_room_mm(side, count, caliper, pitch)
            needs = 0.5 * ease + spec.slot_mm + FEW_CALIPERS * caliper
            if room <= needs:
                key = "pitch" if pitch is not None else ("columns", "rows")[k]
                yield (
                    f"{spec.place}.{key}",
                    "makes compartments too small to cut",
                    f"read {count} of which the smallest has {show_length(max(0.0, room), unit)}",
                    f"allowed: above {show_length(needs, unit)} each",
                    "have fewer of them, or a larger base"
                    + ("" if pitch is None else ", or another pitch"),
                )


def _least_room_mm(side_mm: float, count: int, caliper_mm: float, pitch_mm: float | None) -> float:
    """What the smallest of the compartments along a side has."""
    if pitch_mm is None or count < 2:
        return (side_mm - (count - 1) * caliper_mm) / count
    outer = 0.5 * (side_mm - (count - 2) * pitch_mm - caliper_mm)
    return min(outer, pitch_mm - caliper_mm) if count > 2 else outer


def _drawn(recipe: DividersRecipe) -> Pattern:
    across = recipe.runs is Axis.WIDTH
    strip, height = recipe.strip_mm, recipe.depth_mm
    crossed = recipe.places_mm(recipe.runs)
    others = recipe.places_mm(Axis.LENGTH if across else Axis.WIDTH)
    half = 0.5 * (recipe.stock.caliper_mm + recipe.slot_mm)
    deep = 0.5 * height + recipe.slot_mm
    side, end = Knife("slots' sides", 2.0 * half), Knife("slots' ends", deep)
    mouth, down = (Rule(Fence.TOP, 0.0), -1.0) if across else (Rule(Fence.BOTTOM, 0.0), 1.0)

    def slot(number: int, at_mm: float) -> Cutout:
        middle = Rule(Fence.LEFT, 0.5 * strip + at_mm)

        def corner(sign: float, inner: bool) -> Corner:
            off, cut, grow = (down * deep, end, down) if inner else (0.0, None, 0.0)
            return Corner(middle, mouth, sign * half, off, side, cut, 0.5 * sign, grow)

        spots = [corner(-1.0, False), corner(-1.0, True), corner(1.0, True), corner(1.0, False)]
        return Cutout(f"slot {number}", CutoutKind.NOTCH, tuple(spots))

    edges = [Rule(fence, 0.0) for fence in (Fence.LEFT, Fence.RIGHT)]
    ends = [Rule(fence, 0.0) for fence in (Fence.BOTTOM, Fence.TOP)]
    outline = [(0, 0), (1, 0), (1, 1), (0, 1)]
    panel = Panel(
        f"strip {NAMES[recipe.runs]}",
        Role.WALL,
        tuple(Corner(edges[x], ends[y]) for x, y in outline),
        cutouts=tuple(slot(k, at) for k, at in enumerate(crossed, start=1)),
    )
    return Pattern(
        part=recipe.part,
        sheet=Sheet(strip, height, between_walls=True),
        panels=(panel,),
        creases=(),
        row=Row(recipe.runs, others, slots_up=across),
    )
