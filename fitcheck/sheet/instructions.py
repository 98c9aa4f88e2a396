"""The steps in words, one instruction for all that is done alike, in the design's unit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from fitcheck.pattern.bonds import Face
from fitcheck.plain import lowered
from fitcheck.sheet.actions import (
    Closing,
    CutAway,
    CutToSize,
    FoldAll,
    GlueCorner,
    RollSide,
    Step,
)
from fitcheck.sheet.cut_text import cut_words, slant_words
from fitcheck.sheet.cutout_text import cutting_words
from fitcheck.sheet.cuts import CutOutline, ScoreSlants
from fitcheck.sheet.cutting_out import CutOut, CuttingOut, RoundCorners, RoundEdge, cut_alike
from fitcheck.sheet.gluing_text import alike, put_together, rolls_words, tabs_words
from fitcheck.sheet.layers import FoldDown, TurnInCorner, corner_words, down_words, same_way
from fitcheck.sheet.left_folded import LeaveFolded, angle_lines, left_words
from fitcheck.sheet.score_text import score_words, sheet_note
from fitcheck.sheet.scoring import ScoreSides, TurnOver
from fitcheck.units import Unit, hand_unit, show_hands

OVER = "Turn the sheet over, like the page of a book"
CORNERS = ["bottom left", "bottom right", "top left", "top right"]
PENCIL = "its edges: left, right, top, bottom"


@dataclass(frozen=True)
class Instruction:
    """One instruction: a line, and lines that belong under it."""

    text: str
    details: tuple[str, ...] = ()
    steps: tuple[Step | Closing, ...] = ()
    """What it tells to do, as values."""


Same = TypeVar("Same")


def instructions_for(steps: Sequence[Step], unit: Unit) -> tuple[Instruction, ...]:
    """The instructions; the first step is to cut the sheet."""
    unit = hand_unit(unit)
    first = steps[0]
    assert isinstance(first, CutToSize)
    return tuple(_Words(first, unit, list(steps)).all())


@dataclass
class _Words:
    """Takes the steps one after the other, and those that are told with them."""

    cut: CutToSize
    unit: Unit
    rest: list[Step]

    def all(self) -> list[Instruction]:
        found = []
        while self.rest:
            before = list(self.rest)
            told = self._told(self.rest.pop(0))
            steps = tuple(before[: len(before) - len(self.rest)])
            found.append(replace(told, steps=steps))
        return found

    def _told(self, step: Step) -> Instruction:
        """A step at the board or with the knife."""
        sheet, unit = self.cut.sheet, self.unit
        match step:
            case CutToSize():
                return Instruction(_size(step, unit), (*_best_grain(step), *_square(step, unit)))
            case TurnOver():
                return self._turned_over(step)
            case ScoreSides():
                told = score_words(step, sheet, unit)
            case ScoreSlants():
                told = slant_words(step, sheet, unit)
            case CutOutline():
                return self._cut(step)
            case CutOut() | RoundCorners() | RoundEdge():
                told = cutting_words([step, *self._cut_alike(step)], unit, self.cut)
            case _:
                return self._folded(step)
        return Instruction(*told)

    def _folded(self, step: Step) -> Instruction:
        """A step at the table."""
        told: tuple[str, tuple[str, ...]]
        match step:
            case CutAway():
                told = _cut_away(step), ()
            case FoldAll():
                away = step.away if len(step.away) < step.scores else ()
                lines = (*away, *angle_lines(step.oblique, step.scores))
                told = _fold(step), (*lines, *_paned(step, self.unit))
            case LeaveFolded():
                told = left_words(step)
            case GlueCorner():
                told = tabs_words([step, *self._next(GlueCorner)])
            case TurnInCorner():
                told = corner_words([step, *self._next(TurnInCorner)])
            case FoldDown():
                downs = [step, *self._next(FoldDown, lambda own: same_way(step, own))]
                told = down_words(downs), ()
            case RollSide():
                rolls = [step, *self._next(RollSide, lambda own: alike([step, own]))]
                told = rolls_words(rolls), ()
            case _:
                told = put_together(step, self.unit), ()
        return Instruction(*told)

    def _cut_alike(self, step: CuttingOut) -> list[CuttingOut]:
        """Take what comes next and is cut in one go with a step."""
        taken: list[CuttingOut] = []
        while self.rest and isinstance(own := self.rest[0], CuttingOut) and cut_alike(step, own):
            taken.append(own)
            del self.rest[0]
        return taken

    def _next(self, kind: type[Same], also: Callable[[Same], bool] = lambda _: True) -> list[Same]:
        """Take the steps of a kind that come next."""
        taken: list[Same] = []
        while self.rest and isinstance(step := self.rest[0], kind) and also(step):
            taken.append(step)
            del self.rest[0]
        return taken

    def _turned_over(self, step: TurnOver) -> Instruction:
        """What is scored on the other face, and back again."""
        text = f"{OVER}, so that its {step.up} is up. "
        made: list[Instruction] = []
        while isinstance(self.rest[0], ScoreSides | ScoreSlants):
            made.append(self._told(self.rest.pop(0)))
        back = f"leave it so, its {step.up} up"
        for turn in self._next(TurnOver):
            back = f"then turn it back, its {turn.up} up"
        details = made[0].details
        for more in made[1:]:
            details = (*details, more.text, *more.details)
        return Instruction(f"{text}{made[0].text}", (*details, back))

    def _cut(self, step: CutOutline) -> Instruction:
        """The outline's cuts; what falls off is told with them where nothing is cut in between."""
        text, details = cut_words(step, self.cut.sheet, self.unit)
        away = self._next(CutAway)
        tail = tuple(_within(_cut_away(one)) for one in away)
        return Instruction(text, (*details, *tail))


def _within(text: str) -> str:
    return lowered(text).removesuffix(".")


def _size(step: CutToSize, unit: Unit) -> str:
    grain = f", the grain along its {step.grain}" if step.grain else ""
    size = f"{show_hands(step.told_mm, unit, ' x ')}, width x length{grain}"
    up = "either face up"
    if not step.flat:
        up = f"the face up that will be the {step.up} of the {step.part}"
    pencil = f"{PENCIL}, on both faces" if step.both_faces else PENCIL
    note = "".join(f" {text}" for text in sheet_note(step, unit))
    if step.copies > 1:
        return (
            f"From {step.stock}, cut {step.copies} sheets, all alike, each {size}. Lay each with "
            f"{up}, and pencil {pencil}. Do all that follows with each of them.{note}"
        )
    sided = " Walls are named as they stand in the box: the right one lies at the left edge."
    return (
        f"From {step.stock}, cut a sheet {size}. Lay it with {up}, and pencil {pencil}."
        f"{sided if step.sided else ''}{note}"
    )


def _best_grain(step: CutToSize) -> Iterator[str]:
    """How the grain runs best; common practice, no source."""
    if step.best_grain is not None:
        best = step.best_grain
        yield f"the grain is best along the sheet's {best.along}: {best.reason.value}"


def _square(step: CutToSize, unit: Unit) -> Iterator[str]:
    """How to see that the sheet is square, and what it costs where it is not."""
    if step.askew is not None:
        diagonal = show_hands([math.hypot(*step.told_mm)], unit)
        yield (
            f"square if both its diagonals are {diagonal}: for each millimetre that they differ, "
            f"what goes into the box or over it has up to {step.askew:.1f} mm less play"
        )


def _cut_away(step: CutAway) -> str:
    count = len(step.places)
    pieces = "the hatched piece" if count == 1 else f"the {count} hatched pieces"
    places = [
        f"{step.places.count(place)} at the {place}" if step.places.count(place) > 1 else place
        for place in dict.fromkeys(step.places)
    ]
    where = "one at each corner" if sorted(places) == CORNERS else ", ".join(places)
    keep = f"; keep the {len(step.tabs)} tabs marked x" if step.tabs else ""
    return f"Take {pieces} away ({where}){keep}."


def _paned(step: FoldAll, unit: Unit) -> Iterator[str]:
    if step.pane_mm is not None:
        size = show_hands(step.pane_mm, unit, " x ")
        yield f"then glue a clear sheet of {size} behind the window, on the inside, in its middle"


def _fold(step: FoldAll) -> str:
    over = f"{OVER}, so that its inside is up. " if step.up is Face.OUTSIDE else ""
    what = "the crease" if step.scores == 1 else f"all {step.scores} creases"
    bead = ", towards the bead that its score raised" if step.beaded else ""
    if step.half_cut == step.scores:
        bead = f", away from {'its' if step.scores == 1 else 'each'} cut"
    elif step.half_cut:
        bead += " (what is cut half through: away from its cut)"
    away = len(step.away)
    way = "down" if away == step.scores else "up, but these down" if away else "up"
    text = f"{over}Fold {what} {way}{bead}, one after the other"
    # what is cut half through has no ridge to press flat
    cut = step.half_cut == step.scores
    text += ", and open it again" if cut else ", sharpen each with a bone folder and open it again"
    return text + (":" if 0 < away < step.scores else ".")
