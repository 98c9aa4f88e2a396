"""A virtual box is made: the design's patterns folded with every input off by so much."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from fitcheck.errors import ModelError
from fitcheck.fit.assembly import Assembly, Part
from fitcheck.fit.stood import stood_in, walls_each, walls_in
from fitcheck.fit.walls import Walls
from fitcheck.folding.fold import Making, fold_all
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pieces import Pieces
from fitcheck.odds.bodies import LEAST_SIZE_MM
from fitcheck.odds.inputs import Input, Source, moved_rules
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE, Axis, Line, Rule, Shifts
from fitcheck.stock.crease import LARGEST_SHARE, Crease, usual_share
from fitcheck.stock.tools import Tools

LEAST_CALIPER_MM = 0.01
SHARED = (Source.BOARD, Source.BETWEEN, Source.SCALE, Source.TRIMMER)
"""Errors that all scores or all cuts of a box have alike."""

Offsets = Mapping[str, float]
"""How far inputs are off, by name; what is not named is as the design says."""

Grains = Mapping[str, Axis]
"""The direction of the grain of each part that humidity moves."""


PieceSizes = tuple[tuple[tuple[float, ...], ...], ...]
"""The sizes of each piece of each line of the contents, in the order of its item's sizes; of
several compartments one after the other, the tightest first."""


@dataclass(frozen=True, eq=False)
class Made:
    """One virtual box: its folded parts and the contents as they came."""

    assembly: Assembly
    parts: tuple[FoldedPart, ...]
    """In the order of the assembly."""
    sizes_mm: PieceSizes
    """Of the contents as they came."""

    @property
    def base(self) -> FoldedPart:
        """What everything else goes with."""
        return self.parts[0]

    @property
    def lid(self) -> FoldedPart | None:
        """The lid, if there is one."""
        return self.part("lid")

    def part(self, name: str) -> FoldedPart | None:
        """The part of that name, if there is one."""
        return next((part for part in self.parts if part.name == name), None)

    def with_base(self, base: FoldedPart) -> Made:
        """The box with another base."""
        return replace(self, parts=(base, *self.parts[1:]))


def walls_round(boxes: Sequence[Made]) -> list[Walls]:
    """What contents meet in each box of a design: its base with what stands in it."""
    return walls_each(stood_in(boxes[0].assembly), [made.parts for made in boxes]) if boxes else []


def walls_inside(boxes: Sequence[Made]) -> Pieces:
    """The pieces of the walls that contents meet in each box of a design."""
    return walls_in(stood_in(boxes[0].assembly), [made.parts for made in boxes])


@dataclass(frozen=True, eq=False)
class Workshop:
    """Where boxes of one design are made."""

    assembly: Assembly
    inputs: tuple[Input, ...]
    grains: Grains

    @cached_property
    def as_designed(self) -> Made:
        """The box without any error."""
        parts = tuple(part.folded for part in self.assembly.parts)
        return Made(self.assembly, parts, self._sizes({}))

    def make(self, offsets: Offsets) -> Made:
        """A box with those errors. Raises ModelError where it cannot be folded."""
        made = self.make_all([offsets])
        if made[0] is None:
            raise ModelError(self.problem(offsets))
        return made[0]

    def make_all(self, offsets: Sequence[Offsets]) -> list[Made | None]:
        """A box with each of those errors; None where one cannot be folded.

        All are folded together, each part once for each set of errors that move it; parts that no
        error moves are those of the box as designed.
        """
        folded = [self._folded(part, offsets) for part in self.assembly.parts]
        made: list[Made | None] = []
        for off, parts in zip(offsets, zip(*folded, strict=True), strict=True):
            there = tuple(part for part in parts if part is not None)
            whole = len(there) == len(parts)
            made.append(Made(self.assembly, there, self._sizes(off)) if whole else None)
        return made

    def _folded(self, part: Part, offsets: Sequence[Offsets]) -> list[FoldedPart | None]:
        own = [one.name for one in self.inputs if part.recipe.part in one.parts]
        keys = [tuple((name, off[name]) for name in own if off.get(name)) for off in offsets]
        distinct = [key for key in dict.fromkeys(keys) if key]
        folded = fold_all(part.pattern, [self._making(part, dict(key)) for key in distinct])
        known = dict(zip(distinct, folded.parts, strict=True))
        return [known[key] if key else part.folded for key in keys]

    def problem(self, offsets: Offsets) -> str:
        """Why a box with those errors cannot be folded; nothing where it can."""
        for part in self.assembly.parts:
            for problem in fold_all(part.pattern, [self._making(part, offsets)]).problems.values():
                return problem
        return ""

    def _making(self, part: Part, offsets: Offsets) -> Making:
        upright, level = part.recipe.folds
        joint = part.recipe.joint_mm + self._sum(part, Source.JOINT, offsets)
        crease = self._crease(part, offsets, upright)
        other = None if level is None else self._crease(part, offsets, level)
        give = part.recipe.stock.corner_give + self._sum(part, Source.GIVE, offsets)
        return Making(crease, max(0.0, joint), self._shifts(part, offsets), give, other)

    def _crease(self, part: Part, offsets: Offsets, along: bool | None) -> Crease:
        """The crease of folds along or across the grain, or of all.

        An allowance that was never measured follows the caliper, and one that a coupon told follows
        the scale of the board that it was scored on. All are held within what a crease can be.
        """
        stock, board = part.recipe.stock, part.recipe.stock.board
        thicker = self._sum(part, Source.CALIPER, offsets)
        caliper = max(LEAST_CALIPER_MM, stock.caliper_mm + thicker)
        allowance = stock.allowance(along)[0] + self._sum(part, Source.CREASE, offsets, along)
        if board is not None and stock.calibrated:
            allowance += board.by_scale_mm(along) * self._sum(part, Source.SCALE, offsets)
        if not stock.calibrated and along is None:
            allowance += usual_share(stock.caliper_mm) * (caliper - stock.caliper_mm)
        return stock.creased(min(max(0.0, allowance), LARGEST_SHARE * caliper), caliper)

    def _shifts(self, part: Part, offsets: Offsets) -> Shifts:
        name = part.recipe.part
        shifts = dict(part.habits)
        for line, named in self._lines[name]:
            shifts[line] = shifts.get(line, 0.0) + offsets.get(named, 0.0)
        shared = {source: self._sum(part, source, offsets) for source in SHARED}
        for rule, off in _shared_shifts(part, self.assembly.tools, shared):
            shifts[rule] = shifts.get(rule, 0.0) + off
        damper = self._sum(part, Source.HUMIDITY, offsets)
        return self._swollen(part, shifts, damper) if damper else shifts

    def _swollen(self, part: Part, shifts: dict[Line, float], damper: float) -> Shifts:
        """All places of a sheet drawn out by the humidity, more across the grain than along it."""
        swelling, sheet = part.recipe.stock.hygroexpansion, part.pattern.sheet
        if swelling is None:
            return shifts
        grain = self.grains[part.recipe.part]
        swollen = dict(shifts)
        for rule in moved_rules(part):
            axis = Axis.WIDTH if rule.fence.upright else Axis.LENGTH
            strain = damper * (swelling.along if axis is grain else swelling.across)
            size = {WIDTH_EDGE: sheet.width_mm, LENGTH_EDGE: sheet.length_mm}
            place = size.get(rule, rule.at_mm) + shifts.get(rule, 0.0)
            swollen[rule] = shifts.get(rule, 0.0) + strain * place
        return swollen

    def _sum(
        self, part: Part, source: Source, offsets: Offsets, along: bool | None = None
    ) -> float:
        names = self._names.get((part.recipe.part, source, along), ())
        return sum(offsets.get(name, 0.0) for name in names)

    @cached_property
    def _lines(self) -> dict[str, list[tuple[Line, str]]]:
        """The lines of each part with the names of the inputs that they are off by."""
        found: dict[str, list[tuple[Line, str]]] = {}
        for part in self.assembly.parts:
            own = found.setdefault(part.recipe.part, [])
            for one in self.inputs:
                line = one.rule or one.knife
                if line is not None and part.recipe.part in one.parts:
                    own.append((line, one.name))
        return found

    @cached_property
    def _names(self) -> dict[tuple[str, Source, bool | None], list[str]]:
        """The names of a part's inputs by what they are."""
        found: dict[tuple[str, Source, bool | None], list[str]] = {}
        for one in self.inputs:
            for part in one.parts:
                found.setdefault((part, one.source, one.along), []).append(one.name)
        return found

    def _sizes(self, offsets: Offsets) -> PieceSizes:
        contents, rooms = self.assembly.design.contents, self.assembly.rooms
        sizes = [[list(one.item.size_mm) for _ in range(one.count * rooms)] for one in contents]
        for one in self.inputs:
            off = offsets.get(one.name, 0.0)
            for line, piece in one.pieces if off else ():
                own = sizes[line][piece]
                own[one.side] = max(LEAST_SIZE_MM, own[one.side] + off)
        return tuple(tuple(tuple(piece) for piece in line) for line in sizes)


def offsets_of(inputs: Sequence[Input], values: Sequence[float]) -> dict[str, float]:
    """Drawn values (k,) by the inputs' names."""
    return {one.name: float(value) for one, value in zip(inputs, values, strict=True)}


def _shared_shifts(
    part: Part, tools: Tools, errors: Mapping[Source, float]
) -> Iterator[tuple[Rule, float]]:
    """How far the errors that lines have alike move each line of a part beyond its place, mm."""
    board, between, scale = (errors[s] for s in (Source.BOARD, Source.BETWEEN, Source.SCALE))
    if board or between or scale:
        for rule in part.scores:
            off = board + scale * (rule.at_mm - tools.habits.scale_from_mm)
            yield rule, off if tools.on_grid(rule.at_mm) else off + between
    if errors[Source.TRIMMER]:
        yield WIDTH_EDGE, errors[Source.TRIMMER]
        yield LENGTH_EDGE, errors[Source.TRIMMER]
