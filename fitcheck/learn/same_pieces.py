"""Pieces that are read again in a later file stay the same pieces, and are not counted as new ones.

Letters are printed on every coupon, so a letter alone does not tell whether a piece was made anew.
A later file's piece is that of an older file where the same person gave the same letter to the same
sizes, unless it was said of that file that its pieces were made anew: who reads a piece again knows
the reading better and not the hand, and the same pieces claim less than new ones.
"""

from __future__ import annotations

import math
import statistics
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Kind, Reading
from fitcheck.learn.entries import HAND_DOF, HAND_MM
from fitcheck.uncertainty import resolution_u

LEAST_APART_MM = 0.05
"""What one person reads of a piece on two days differs by some hundredths (common practice, no
source)."""
TELLS_MM = 0.1
"""Folds and cuts made anew differ by about so much or more (common practice, no source): readings
that are less sure do not tell."""
CHANCE = 0.001
"""Readings of the same pieces are further apart in so few of all files."""
LEAST_SHARED = 3
"""So many strips of the same letters are no strips that somebody else read again."""
MOST_NAMED = 12
_PART = "/"
"""No name of a record holds it."""
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


class Pieces:
    """The pieces in the readings of several records; those ``anew`` have pieces of their own.

    Records follow each other as their names do.
    """

    def __init__(self, readings: Sequence[Reading], anew: Collection[str] = ()) -> None:
        self._readings = readings
        self._parts = _parts(readings)
        self._found: dict[_Name, _Piece] = {}
        if not self._parts and len({reading.file for reading in readings}) < 2:
            return  # of one file nothing is read again
        for reading in readings:
            name = self._name(reading)
            piece = self._found.get(name)
            if piece is None:
                piece = self._found[name] = _Piece(reading.file, str(name[1]))
            piece.people.add(_who(reading))
            piece.sizes[reading.feature].add(_rounded(reading.nominal_mm))
        known: dict[tuple[str, _Name], list[_Piece]] = defaultdict(list)
        for name, piece in sorted(self._found.items(), key=lambda one: _order(one[1].file)):
            own = [known[who, name[2:]] for who in sorted(piece.people)]
            older = [one for each in own for one in each if piece.is_like(one)]
            older = [] if piece.file in anew else sorted(older, key=lambda one: _order(one.file))
            piece.of = older[-1].of if older else piece.file + piece.part
            for each in own:
                each.append(piece)

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
        if not files:
            return {}
        values: dict[_Size, list[float]] = defaultdict(list)
        steps: dict[_Size, float] = defaultdict(float)
        for reading in self._readings:
            if reading.reading_mm is not None and reading.feature is not Feature.STACK:
                what = (reading.feature, _rounded(reading.nominal_mm), reading.grain)
                size = (self._name(reading), what)
                values[size].append(reading.reading_mm)
                steps[size] = max(steps[size], reading.resolution_mm)
        return {file: self._again(file, names, values, steps) for file, names in files.items()}

    def _again(
        self,
        file: str,
        names: Sequence[_Name],
        values: Mapping[_Size, Sequence[float]],
        steps: Mapping[_Size, float],
    ) -> Again:
        from scipy.special import fdtrc

        older = max((_record(self._found[name].of) for name in names), key=_order)
        letters = tuple(dict.fromkeys(str(name[2]) for name in names if name[2] is not None))
        before: dict[tuple[object, ...], list[_Size]] = defaultdict(list)
        for size in values:
            if _order(self._found[size[0]].file) < _order(file):
                before[self._same(size)].append(size)
        s2, dof = _scatter(values.values())
        offs, ratios, u2s = [], [], []
        for size in (one for one in values if self._found[one[0]].file == file):
            others = before.get(self._same(size), [])
            own, read = values[size], [value for one in others for value in values[one]]
            if read:
                offs.append(statistics.fmean(own) - statistics.fmean(read))
                step = max(steps[one] for one in (size, *others))
                u2 = s2 * (1 / len(own) + 1 / len(read)) + 2 * resolution_u(step) ** 2
                ratios.append(offs[-1] ** 2 / u2)
                u2s.append(u2)
        if not offs:  # of stacks alone nothing more is known either way
            stacks = all(self._found[name].sizes.keys() <= {Feature.STACK} for name in names)
            return Again(older, letters, None, alike=stacks)
        apart = math.sqrt(statistics.fmean(off**2 for off in offs))
        if apart < LEAST_APART_MM:
            return Again(older, letters, apart, alike=True)
        if float(fdtrc(len(offs), dof, statistics.fmean(ratios))) <= CHANCE:
            return Again(older, letters, apart, alike=False)
        u = math.sqrt(statistics.fmean(u2s))
        return Again(older, letters, apart if u <= TELLS_MM else None, alike=u <= TELLS_MM)

    def _same(self, size: _Size) -> tuple[object, ...]:
        """What is alike in readings of one size of one piece, in whatever file."""
        name, what = size
        return (self._found[name].of, name[2:], what)

    def _name(self, reading: Reading) -> _Name:
        """File, whose part of it, letter; without a letter what was measured is the piece."""
        letter = reading.piece
        part = self._parts.get((reading.file, _who(reading)), "")
        if letter is not None:
            return (reading.file, part, letter[1])
        what = (reading.feature, _rounded(reading.nominal_mm), reading.count, reading.grain)
        return (reading.file, part, None, *what)


def refuse_mixed_sets(rows: Sequence[Reading]) -> None:
    """Raise ``InputError`` for new readings of tools in which two people's strips run together.

    Somebody else may read a few strips again; who has most of them under the same letters has made
    strips, and then has to have them whole for them to be told from the others.
    """
    for people in _strips(rows).values():
        names = {_who(row): " ".join(row.by.split()) for row in reversed(rows)}
        for (one, own), (other, others) in combinations(people.items(), 2):
            letters, theirs = ({str(row[0]) for row in each} for each in (own, others))
            both = len(letters & theirs)
            if own == others or both < LEAST_SHARED or 2 * both < len(letters | theirs):
                continue
            letter, feature, nominal = min(own ^ others, key=str)
            who = other if (letter, feature, nominal) in own else one
            raise InputError(
                f"{rows[0].file}: by: read {names[one]} and {names[other]} with strips of the same "
                f"letters, and {names[who]} has no '{feature}' of {nominal:g} mm of piece "
                f"{letter}; allowed: a whole set each, or one person's strips; write in 'by' who "
                "cut and scored a strip, or give each person's strips a file of their own"
            )


def _parts(readings: Iterable[Reading]) -> dict[tuple[str, str], str]:
    """Whose strips are apart in a file: of tools, where people have the same strips each.

    Who stands in ``by`` has cut and scored them; of two whole sets under the same letters each is
    somebody's own.
    """
    return {
        (file, who): _PART + who
        for file, people in _strips(readings).items()
        for place, who in enumerate(people)
        if place > 0 and any(people[who] == people[other] for other in people if other != who)
    }


def _strips(readings: Iterable[Reading]) -> dict[str, dict[str, set[_Name]]]:
    """What each person has of each strip of tools, by file and person."""
    own: dict[str, dict[str, set[_Name]]] = defaultdict(lambda: defaultdict(set))
    for reading in readings:
        if reading.kind is Kind.TOOLS and reading.piece is not None:
            row = (reading.piece[1], reading.feature, _rounded(reading.nominal_mm))
            own[reading.file][_who(reading)].add(row)
    return own


def _scatter(sets: Iterable[Sequence[float]]) -> tuple[float, float]:
    """Variance of one reading by its repeats in one file, mm2, and its degrees of freedom."""
    squares, dof = HAND_DOF * HAND_MM**2, HAND_DOF
    for values in sets:
        mean = statistics.fmean(values)
        squares += math.fsum((value - mean) ** 2 for value in values)
        dof += len(values) - 1
    return squares / dof, dof


def _who(reading: Reading) -> str:
    return " ".join(reading.by.split()).casefold()


def _rounded(mm: float | None) -> float | None:
    return None if mm is None else round(mm, 2)


def _record(pieces: str) -> str:
    return pieces.partition(_PART)[0]


def _order(file: str) -> tuple[int, str]:
    return len(file), file
