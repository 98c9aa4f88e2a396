"""What is said before the camera at each step: one short sentence."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

from fitcheck.pattern.bonds import Face
from fitcheck.pattern.sheet import Sheet
from fitcheck.plain import joined
from fitcheck.sheet.actions import (
    CloseLid,
    Closing,
    CutAway,
    CutToSize,
    FoldAll,
    GlueCorner,
    GlueSeam,
    LayIn,
    PutIn,
    PutOver,
    RollSide,
    SlideIn,
    StandIn,
    StandStrips,
    Step,
    TuckIn,
)
from fitcheck.sheet.cutout_text import called
from fitcheck.sheet.cuts import CutOutline, ScoreSlants
from fitcheck.sheet.cutting_out import CutOut, RoundCorners, RoundEdge, Shape
from fitcheck.sheet.instructions import Instruction
from fitcheck.sheet.layers import FoldDown, TurnInCorner
from fitcheck.sheet.left_folded import LeaveFolded, from_flat
from fitcheck.sheet.score_text import score_card
from fitcheck.sheet.scoring import ScoreSides, TurnOver
from fitcheck.units import Unit, show_hands

MOST_SIDES = 2
"""Of more sides that are scored in different ways the distances are shown, not said."""
BRACKET = re.compile(r" \([^)]*\)")
Steps = Sequence[Step | Closing]


def cue_line(told: Instruction, sheet: Sheet | None, unit: Unit) -> str:
    """One sentence for an instruction; ``sheet`` is the part's, None where parts come together."""
    for step in told.steps:
        if not isinstance(step, TurnOver):
            return LINES[type(step)](told.steps, step, sheet, unit) + "."
    raise AssertionError("an instruction does something")


def _said(lengths: Sequence[float], unit: Unit, word: str) -> str:
    """Lengths in the one unit that is spoken."""
    return show_hands(lengths, unit, word).partition(" (")[0]


def _cut_sheet(steps: Steps, step: CutToSize, sheet: Sheet | None, unit: Unit) -> str:
    size = _said(step.told_mm, unit, " x ")
    if step.copies > 1:
        return f"Cut {step.copies} pieces of {step.stock}, each {size}"
    return f"Cut {step.stock} to {size} and pencil on it which edge is which"


def _score(steps: Steps, step: ScoreSides, sheet: Sheet | None, unit: Unit) -> str:
    verb = "cut half through" if step.half_cut else "score"
    over = f"Turn it over and {verb}" if isinstance(steps[0], TurnOver) else verb.capitalize()
    assert sheet is not None
    sides: dict[str, list[str]] = {}
    for name, sizes in score_card(step, sheet, unit):
        sides.setdefault(name.partition(", ")[0], []).append(f"at {BRACKET.sub('', sizes)}")
    if len(sides) > MOST_SIDES:
        return f"{over} {joined(sides)}, as the card shows"
    return f"{over} {', and '.join(f'{name} {joined(at)}' for name, at in sides.items())}"


def _slants(steps: Steps, step: ScoreSlants, sheet: Sheet | None, unit: Unit) -> str:
    verb = "cut half through" if step.half_cut else "score"
    over = f"Turn it over and {verb}" if isinstance(steps[0], TurnOver) else verb.capitalize()
    return f"{over} across the corners from point to point"


def _cut(steps: Steps, step: CutOutline, sheet: Sheet | None, unit: Unit) -> str:
    away = [one for one in steps if isinstance(one, CutAway)]
    tabs = sum(len(one.tabs) for one in away)
    pieces = sum(len(one.places) for one in away)
    keep = f", keeping the {tabs} tabs marked x" if tabs else ""
    if pieces == 4:
        return f"Cut out the four corners{keep}"
    return f"Cut along the lines{f' and take the {_pieces(pieces)} away' if pieces else ''}{keep}"


def _pieces(count: int) -> str:
    return "hatched piece" if count == 1 else f"{count} hatched pieces"


def _away(steps: Steps, step: CutAway, sheet: Sheet | None, unit: Unit) -> str:
    return f"Take the {_pieces(len(step.places))} away"


def _cut_out(steps: Steps, step: CutOut, sheet: Sheet | None, unit: Unit) -> str:
    cuts = [one for one in steps if isinstance(one, CutOut)]
    if step.shape is Shape.SLOT and len(cuts) > 1:
        return f"Cut {len(cuts)} slots into the {step.panel}"
    return f"Cut {called(step)} into {joined(f'the {one.panel}' for one in cuts)}"


def _round(steps: Steps, step: RoundCorners, sheet: Sheet | None, unit: Unit) -> str:
    panels = joined(f"the {one.panel}" for one in steps if isinstance(one, RoundCorners))
    return f"Round the corners of {panels}"


def _fold(steps: Steps, step: FoldAll, sheet: Sheet | None, unit: Unit) -> str:
    what = "the score" if step.scores == 1 else f"all {step.scores} scores"
    over = "Turn the sheet over and fold" if step.up is Face.OUTSIDE else "Fold"
    bead = " towards the bead" if step.beaded else ""
    half = ", away from a cut half through" if step.half_cut else ""
    angles = joined(from_flat(deg) for deg, _ in step.oblique)
    end = f"; in the end {'some' if _partly(step) else 'all'} stand at {angles}" if angles else ""
    if step.half_cut == step.scores:
        what = "the cut" if step.scores == 1 else f"all {step.scores} cuts"
        return f"{over} on {what}, away from the knife's side, and open again{end}"
    return f"{over} {what}{bead}{half}, sharpen and open again{end}"


def _partly(step: FoldAll) -> bool:
    """Whether some creases are folded to a right angle or half a turn, and some are not."""
    return sum(len(names) for _, names in step.oblique) < step.scores


def _roll(steps: Steps, step: RollSide, sheet: Sheet | None, unit: Unit) -> str:
    flaps = joined(f"the {one.flap}" for one in steps if isinstance(one, RollSide))
    return f"Roll the sides inwards and press {flaps} onto the {step.onto}"


def _fold_down(steps: Steps, step: FoldDown, sheet: Sheet | None, unit: Unit) -> str:
    count = sum(isinstance(one, FoldDown) for one in steps)
    what = f"{count} inner walls" if count > 1 else f"the {step.panel}"
    return f"Fold {what} down inside{' and glue them' if step.glued and count > 1 else ''}"


def _put_in(steps: Steps, step: PutIn, sheet: Sheet | None, unit: Unit) -> str:
    inside = joined(f"{one.count} x {one.item.name}" for one in step.contents)
    return f"Put {inside} {'into each compartment' if step.compartments else 'in'}"


def _strips(steps: Steps, step: StandStrips, sheet: Sheet | None, unit: Unit) -> str:
    if step.crossed and not step.slots_up:
        return "Push the strips together, slot into slot, and let them down into the base"
    if step.crossed:
        return "Stand the strips on edge, their slots up"
    return "Stand the strips in the base"


def _always(line: str) -> Callable[[Steps, Any, Sheet | None, Unit], str]:
    """A step that is always said alike."""
    return lambda steps, step, sheet, unit: line.format(step=step)


LINES: dict[type, Callable[[Steps, Any, Sheet | None, Unit], str]] = {
    CutToSize: _cut_sheet,
    ScoreSides: _score,
    ScoreSlants: _slants,
    CutOutline: _cut,
    CutOut: _cut_out,
    RoundCorners: _round,
    RoundEdge: _always("Cut the {step.panel} round"),
    CutAway: _away,
    FoldAll: _fold,
    LeaveFolded: _always("Fold it all up again, leave it so and tape it where walls meet"),
    GlueCorner: _always("Glue each tab behind its wall, the edges flush"),
    GlueSeam: _always("Glue the {step.flap} inside the {step.onto} and let it dry flat"),
    RollSide: _roll,
    TurnInCorner: _always("Pinch each corner along its diagonal and glue it behind its wall"),
    FoldDown: _fold_down,
    StandIn: _always("Stand the {step.part} up and press it down into the base"),
    StandStrips: _strips,
    LayIn: _always("Set the {step.part} in on the base's floor"),
    TuckIn: _always("Turn the flaps in, and tuck the {step.lid} in behind the {step.behind}"),
    PutIn: _put_in,
    PutOver: _always("Lower the {step.part} over the {step.holder}"),
    SlideIn: _always("Slide the {step.part} into the {step.holder}"),
    CloseLid: _always("Close the {step.lid}"),
}
"""For each kind of step what is said of it."""
