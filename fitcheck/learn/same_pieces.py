"""Pieces that are read again in a later file stay the same pieces, and are not counted as new ones.

Letters are printed on every coupon, so a letter alone does not tell whether a piece was made anew.
A later file's piece is that of an older file where the same person gave the same letter to the same
sizes, or where somebody else reads nearly the same of it (`other_readers`), unless it was said of
that file that its pieces were made anew: who reads a piece again knows the reading better and not
the hand, and the same pieces claim less than new ones. Strips of tools are of who made them.
"""

from __future__ import annotations

import math
import statistics
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from fitcheck.learn.bench_readings import Feature, Kind, Reading
from fitcheck.learn.mixed_sets import PART, parts_of, rounded, who_read
from fitcheck.learn.other_hands import other_hands, parts_made_anew
from fitcheck.learn.other_readers import Likeness, likeness, scatter_of_repeats
from fitcheck.uncertainty import resolution_u

LEAST_APART_MM = 0.05
"""What one person reads of a piece on two days differs by some hundredths (common practice, no
source)."""
TELLS_MM = 0.1
"""Folds and cuts made anew differ by about so much or more (common practice, no source): readings
that are less sure do not tell."""
CHANCE = 0.001
"""Readings of the same pieces are further apart in so few of all files."""
MOST_NAMED = 12
_Name = tuple[object, ...]
_Size = tuple[_Name, _Name]
"""A piece of a file and what was measured of it."""


@dataclass(frozen=True)
class Again:
    """What a file's pieces have in common with those of an older one."""

    older: str
    letters: tuple[str, ...]
    """Of the pieces; none where what was measured is the piece."""
    apart_mm: float | None
    """How far its readings usually are from the older ones of the same pieces, mm; None where
    there is nothing to compare that tells."""
    alike: bool
    """Whether they are as near as readings of the same pieces."""

    @property
    def why(self) -> str:
        """Why it is not sure that they are the same."""
        if self.apart_mm is None:
            return "what is read cannot tell whether these are the same"
        return (
            f"what is read here is {self.apart_mm:.2f} mm apart from that, further than readings "
            "of the same pieces"
        )

    @property
    def pieces(self) -> str:
        """The pieces in words."""
        more = len(self.letters) - MOST_NAMED
        letters = ", ".join(self.letters[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
        return f"pieces {letters}" if letters else "the same sizes"


@dataclass(eq=False, slots=True)
class _Piece:
    """One piece as one file has it."""

    file: str
    part: str
    people: set[str] = field(default_factory=set)
    sizes: dict[Feature, set[float | None]] = field(default_factory=lambda: defaultdict(set))
    of: str = ""
    """The set that it belongs to: that of an older file where it is read again."""

    def is_like(self, older: _Piece) -> bool:
        """Whether it may be that piece: nothing of it has another size, and something the same."""
        both = self.sizes.keys() & older.sizes.keys()
        if any(not self.sizes[each] & older.sizes[each] for each in both):
            return False
        own, others = (set().union(*one.sizes.values()) for one in (self, older))
        return not own.isdisjoint(others)


@dataclass(frozen=True)
class _Off:
    """How far sizes are from older readings of them."""

    mm: list[float]
    u2: list[float]
    """Variance of each where the pieces are the same, mm2."""
    dof: float
    """How well those are known."""


class Pieces:
    """The pieces in the readings of several records; those ``anew`` have pieces of their own.

    Records follow each other as their names do.
    """

    def __init__(self, readings: Sequence[Reading], anew: Collection[str] = ()) -> None:
        self._readings = readings
        self._parts = parts_of(readings)
        if anew:
            said = [reading for reading in readings if reading.file in anew]
            self._parts |= parts_made_anew(other_hands(said))
        self._found: dict[_Name, _Piece] = {}
        self._by_others: dict[str, Likeness] = {}
        if not self._parts and len({reading.file for reading in readings}) < 2:
            return  # of one file nothing is read again
        for reading in readings:
            name = self._name(reading)
            piece = self._found.get(name)
            if piece is None:
                piece = self._found[name] = _Piece(reading.file, str(name[1]))
            piece.people.add(who_read(reading))
            piece.sizes[reading.feature].add(rounded(reading.nominal_mm))
        files: dict[str, list[_Name]] = defaultdict(list)
        for name in self._found:
            files[str(name[0])].append(name)
        known: dict[tuple[str, _Name], list[_Piece]] = defaultdict(list)
        everyone: dict[_Name, list[_Piece]] = defaultdict(list)
        for file in sorted(files, key=_order):
            alone = []
            for name in files[file]:
                piece = self._found[name]
                own = [one for who in piece.people for one in known[who, name[2:]]]
                older = sorted((one for one in own if piece.is_like(one)), key=_by_file)
                older = [] if file in anew else older
                piece.of = older[-1].of if older else file + piece.part
                if not older:
                    alone.append(name)
            if alone and file not in anew and readings[0].kind is not Kind.TOOLS:
                self._join_others(file, alone, everyone)
            for name in files[file]:
                piece = self._found[name]
                everyone[name[2:]].append(piece)
                for who in piece.people:
                    known[who, name[2:]].append(piece)

    def _join_others(
        self, file: str, names: Sequence[_Name], everyone: Mapping[_Name, Sequence[_Piece]]
    ) -> None:
        """Put pieces into the set of somebody else's, if those may be the very same."""
        sets: dict[str, list[_Name]] = defaultdict(list)
        for name in names:
            like = {o.of for o in everyone.get(name[2:], ()) if self._found[name].is_like(o)}
            for of in like:
                sets[of].append(name)
        found = []
        for of, own in sets.items():
            off = self._off(file, set(own), of)
            if off.mm or not self._of_stacks(own):
                found.append((likeness(off.mm, off.u2, off.dof), _order(_record(of)), of))
            else:
                found.append((Likeness.SAME, _order(_record(of)), of))
        best, _, of = max(found, default=(Likeness.OTHERS, (0, ""), ""))
        if best is not Likeness.OTHERS:
            self._by_others[file] = best
            for name in sets[of]:
                self._found[name].of = of

    def placed(self) -> tuple[Reading, ...]:
        """The readings, each with the set that its piece belongs to."""
        if not self._found:
            return tuple(self._readings)
        sets = ((reading, self._found[self._name(reading)].of) for reading in self._readings)
        return tuple(
            reading if own == reading.file else replace(reading, pieces=own)
            for reading, own in sets
        )

    def read_again(self) -> dict[str, Again]:
        """By file, what its pieces have in common with older ones."""
        files: dict[str, list[_Name]] = defaultdict(list)
        for name, piece in self._found.items():
            if _record(piece.of) != piece.file:
                files[piece.file].append(name)
        return {file: self._again(file, names) for file, names in files.items()}

    def _again(self, file: str, names: Sequence[_Name]) -> Again:
        from scipy.special import fdtrc

        older = max((_record(self._found[name].of) for name in names), key=_order)
        letters = tuple(dict.fromkeys(str(name[2]) for name in names if name[2] is not None))
        off = self._off(file)
        offs = off.mm
        if not offs:  # of stacks alone nothing more is known either way
            return Again(older, letters, None, alike=self._of_stacks(names))
        apart = math.sqrt(statistics.fmean(off**2 for off in offs))
        by_others = self._by_others.get(file)
        if by_others is not None:
            alike = by_others is Likeness.SAME
            return Again(older, letters, apart if alike else None, alike=alike)
        if apart < LEAST_APART_MM:
            return Again(older, letters, apart, alike=True)
        ratio = statistics.fmean(o**2 / u2 for o, u2 in zip(offs, off.u2, strict=True))
        if float(fdtrc(len(offs), off.dof, ratio)) <= CHANCE:
            return Again(older, letters, apart, alike=False)
        u = math.sqrt(statistics.fmean(off.u2))
        return Again(older, letters, apart if u <= TELLS_MM else None, alike=u <= TELLS_MM)

    def _of_stacks(self, names: Iterable[_Name]) -> bool:
        return all(self._found[name].sizes.keys() <= {Feature.STACK} for name in names)

    @cached_property
    def _measured(self) -> tuple[dict[_Size, list[float]], dict[_Size, float]]:
        """What was read of every size of every piece but stacks, mm, and its largest step."""
        values: dict[_Size, list[float]] = defaultdict(list)
        steps: dict[_Size, float] = defaultdict(float)
        for reading in self._readings:
            if reading.reading_mm is not None and reading.feature is not Feature.STACK:
                what = (reading.feature, rounded(reading.nominal_mm), reading.grain)
                size = (self._name(reading), what)
                values[size].append(reading.reading_mm)
                steps[size] = max(steps[size], reading.resolution_mm)
        return dict(values), dict(steps)

    def _off(self, file: str, names: Collection[_Name] | None = None, of: str = "") -> _Off:
        """How far a file's sizes, those of ``names`` as if they were of the set ``of``, are off."""
        values, steps = self._measured
        before: dict[tuple[object, ...], list[_Size]] = defaultdict(list)
        for size in values:
            if _order(self._found[size[0]].file) < _order(file):
                before[self._same(size)].append(size)
        s2, dof = scatter_of_repeats(values.values())
        offs, u2s = [], []
        for size in (one for one in values if self._found[one[0]].file == file):
            if names is not None and size[0] not in names:
                continue
            same = self._same(size) if names is None else (of, *self._same(size)[1:])
            others = before.get(same, [])
            own, read = values[size], [value for one in others for value in values[one]]
            if read:
                offs.append(statistics.fmean(own) - statistics.fmean(read))
                step = max(steps[one] for one in (size, *others))
                u2s.append(s2 * (1 / len(own) + 1 / len(read)) + 2 * resolution_u(step) ** 2)
        return _Off(offs, u2s, dof)

    def _same(self, size: _Size) -> tuple[object, ...]:
        """What is alike in readings of one size of one piece, in whatever file."""
        name, what = size
        return (self._found[name].of, name[2:], what)

    def _name(self, reading: Reading) -> _Name:
        """File, whose part of it, letter; without a letter what was measured is the piece."""
        letter = reading.piece
        part = self._parts.get((reading.file, who_read(reading)), "")
        if letter is not None:
            return (reading.file, part, letter[1])
        what = (reading.feature, rounded(reading.nominal_mm), reading.count, reading.grain)
        return (reading.file, part, None, *what)


def _record(pieces: str) -> str:
    return pieces.partition(PART)[0]


def _by_file(piece: _Piece) -> tuple[int, str]:
    return _order(piece.file)


def _order(file: str) -> tuple[int, str]:
    return len(file), file
