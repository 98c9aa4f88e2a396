"""What can hardly be true of readings is asked about, and nothing is kept until it is confirmed."""

from __future__ import annotations

import enum
import math
import statistics
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from fitcheck.errors import InputError
from fitcheck.learn.aside_words import new_batch
from fitcheck.learn.bench_readings import Feature, Kind, Reading
from fitcheck.learn.crease_share import crease_share
from fitcheck.learn.learning import Learnt
from fitcheck.learn.model_stock import GIVE
from fitcheck.learn.other_hands import OtherHand
from fitcheck.learn.same_pieces import Again

GAP_MM = 0.3
"""Folds of two days, and prints of one printer, differ by some hundredths of a millimetre (common
practice, no source)."""
GAP_U = 4.0
ALIKE = 6
"""So many readings that are the same to the last digit are no second measurement."""
SCALE_ERROR, OFFSET_MM = 0.02, 0.6
"""A printer that is off by more is not ready to be measured (common practice, no source)."""


class Doubt(enum.StrEnum):
    """What is asked, by the word that confirms it."""

    CHANNELS = "channels"
    SHEETS = "sheets"
    STACKS = "stacks"
    AGAIN = "again"
    GAP = "gap"
    CORNER = "corner"
    PRINTER = "printer"
    KNIFE = "knife"
    GROOVES = "grooves"
    ANEW = "anew"
    SAME = "same"
    """The other answer to what ANEW answers."""


@dataclass(frozen=True)
class Question:
    """One thing that can hardly be true."""

    doubt: Doubt
    doubtful: str
    """Where, what was read and why it can hardly be."""
    cure: str
    """What to do where it is not so."""

    @property
    def line(self) -> str:
        """The question as one line."""
        asked = f"{self.doubtful}: is that so?"
        return f"{asked} if not, {self.cure}; if it is, add --confirm {self.doubt}"


def ask(questions: Iterable[Question], confirmed: Collection[Doubt]) -> None:
    """Raise ``InputError`` with every question that nobody has confirmed."""
    lines = [one.line for one in questions if one.doubt not in confirmed]
    if lines:
        raise InputError(lines)


def of_pieces(again: Again, file: str) -> Question:
    """Pieces that have the letters of older ones and hardly their sizes."""
    return Question(
        Doubt.ANEW,
        f"{file}: {again.pieces} are in {again.older} too, and {again.why}: they are new pieces, "
        "made anew",
        f"add --confirm {Doubt.SAME}, for the same pieces read again",
    )


def of_other_hands(hands: Sequence[OtherHand], file: str) -> Iterator[Question]:
    """People in one file who may each have made pieces under the same letters."""
    for one in hands[:1]:
        before, own = one.names
        why = (
            "what they read is further apart than readings of the same pieces"
            if one.clear
            else "what is read cannot tell whether these are the same"
        )
        yield Question(
            Doubt.ANEW,
            f"{file}: pieces {', '.join(one.letters)} are there by {before} and by {own}, and "
            f"{why}: each has made their own",
            f"add --confirm {Doubt.SAME}, for the same pieces read by several",
        )


def of_repeats(
    rows: Sequence[Reading], sheets: Mapping[str, Sequence[Reading]]
) -> Iterator[Question]:
    """Readings that are the same as older ones but for who took them, when and with what.

    ``sheets`` are the readings of every record by its name.
    """
    said = Counter(row.measured for row in rows) if sheets else Counter()
    for name, readings in sheets.items():
        older = Counter(row.measured for row in readings)
        if _many(older) and not older - said:
            yield _again(rows[0].file, f"the {len(readings)} readings of {name}")
    half, odd = divmod(len(rows), 2)
    pairs = zip(rows[:half], rows[half:], strict=False)
    copied = not odd and all(one.measured == other.measured for one, other in pairs)
    if copied and _many(Counter(row.measured for row in rows[:half])):
        yield _again(rows[0].file, "the first half of its rows")


def _again(file: str, which: str) -> Question:
    return Question(
        Doubt.AGAIN,
        f"{file}: says the same as {which}, to the last digit, but for who, when or with what",
        "leave the copy out: readings count once",
    )


def _many(said: Counter[tuple[object, ...]]) -> bool:
    return said.total() >= ALIKE and len(said) > ALIKE // 2


def of_fit(
    learnt: Learnt, file: str, new: Collection[str], known: float | None = None
) -> Iterator[Question]:
    """What a fit says that can hardly be; ``new`` are the names of the records that came last.

    ``known`` is what creases of the paper were found to add, in sheets.
    """
    if learnt.kind is Kind.PRINTER:
        yield from _of_printer(learnt, file)
        yield from _of_prints_apart(learnt, file, new)
        return
    give = learnt.known(GIVE)
    if give is not None and not -give.u <= give.value <= 2 + give.u:
        yield Question(
            Doubt.CORNER,
            f"{file}: the tray's glued walls stand out by {give.value:.1f} times a sheet and the "
            "adhesive, and by about once is usual",
            "read it from front to back, at the rim",
        )
    folds = crease_share(learnt.fit)
    if folds is not None and folds.clear(known):
        yield Question(
            Doubt.CHANNELS,
            f"{file}: by its channels {folds.words}",
            folds.cure,
        )
    yield from _of_gap(learnt, file, new)


def _of_gap(learnt: Learnt, file: str, new: Collection[str]) -> Iterator[Question]:
    """A fold made lately that is much wider or narrower than those before."""
    rest = learnt.fit.residuals
    lately: list[float] = []
    before: list[float] = []
    for entry, off in zip(learnt.entries, rest, strict=True):
        if entry.feature in (Feature.CHANNEL, Feature.INSIDE, Feature.CORNER) and math.isfinite(
            off
        ):
            (lately if entry.readings[0].file in new else before).append(float(off))
    if not lately or not before:
        return
    apart = statistics.fmean(lately) - statistics.fmean(before)
    u = math.sqrt(2) * learnt.fit.noise * math.sqrt(1 / len(lately) + 1 / len(before))
    if abs(apart) > max(GAP_MM, GAP_U * u):
        side = "wider" if apart > 0 else "narrower"
        yield Question(
            Doubt.GAP,
            f"{file}: its folds are {abs(apart):.2f} mm {side} than those of older records",
            "check nominal_mm, the board and the paper; "
            + new_batch(
                e.readings[0].file for e in learnt.entries if e.readings[0].file not in new
            ),
        )


def _of_printer(learnt: Learnt, file: str) -> Iterator[Question]:
    for found in learnt.properties:
        scale = found.name.startswith("scale")
        most = SCALE_ERROR if scale else OFFSET_MM
        if not found.kept and abs(found.value) > most:
            away = f"{100 * found.value:+.1f} %" if scale else f"{found.value:+.2f} mm"
            limit = f"{100 * most:g} %" if scale else f"{most:g} mm"
            yield Question(
                Doubt.PRINTER,
                f"{file}: gives {found.name} {away}, and printers are within {limit} as a rule",
                "check nominal_mm, the axes and what was measured",
            )


def _of_prints_apart(learnt: Learnt, file: str, new: Collection[str]) -> Iterator[Question]:
    """A feature that came out much larger or smaller than the same one did before."""
    sizes: dict[tuple[Feature, float], tuple[list[float], list[float]]] = {}
    for entry in learnt.entries:
        lately, before = sizes.setdefault((entry.feature, entry.nominal_mm), ([], []))
        for reading in entry.readings:
            if reading.reading_mm is not None:
                (lately if reading.file in new else before).append(reading.reading_mm)
    found = [
        (statistics.fmean(lately) - statistics.fmean(before), feature, nominal)
        for (feature, nominal), (lately, before) in sizes.items()
        if lately and before
    ]
    apart, feature, nominal = max(found, key=lambda one: abs(one[0]), default=(0.0, "", 0.0))
    if abs(apart) > GAP_MM:
        yield Question(
            Doubt.GAP,
            f"{file}: {feature} of {nominal:g} mm is {abs(apart):.2f} mm "
            f"{'larger' if apart > 0 else 'smaller'} than in older records, and prints of one "
            "printer differ by less",
            "learn another printer under another name; where this one was set up anew, set the "
            "older records aside (--set-aside RECORD)",
        )
