"""A sheet for the camera: for each step what lies on the table and one sentence to say."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.outputs.publish.cue_lines import cue_line
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
from fitcheck.sheet.cuts import CutOutline, ScoreSlants
from fitcheck.sheet.cutting_out import CutOut, RoundCorners, RoundEdge
from fitcheck.sheet.instructions import Instruction
from fitcheck.sheet.job import SheetJob
from fitcheck.sheet.layers import FoldDown, TurnInCorner
from fitcheck.sheet.left_folded import LeaveFolded
from fitcheck.sheet.scoring import ScoreSides
from fitcheck.units import hand_unit

KNIFE = ("knife", "metal rule", "mat", "scissors")
GLUE = ("adhesive", "bone folder")
TABLE: dict[type, tuple[str, ...]] = {
    CutToSize: ("trimmer", "pencil"),
    ScoreSides: ("scoring board", "scoring tool"),
    ScoreSlants: ("rule", "scoring tool"),
    CutOutline: KNIFE,
    CutOut: KNIFE,
    RoundCorners: ("scissors", "pencil"),
    RoundEdge: ("scissors", "pencil"),
    CutAway: ("scissors",),
    FoldAll: ("bone folder",),
    LeaveFolded: ("tape",),
    GlueCorner: GLUE,
    GlueSeam: GLUE,
    RollSide: GLUE,
    FoldDown: GLUE,
    TurnInCorner: GLUE,
}
"""What a step is done with; all others are done with the hands."""
INTO_BASE = (StandIn, StandStrips, LayIn)
"""Steps that need what is made already."""


@dataclass(frozen=True)
class Cue:
    """One step before the camera."""

    part: str
    number: int
    table: tuple[str, ...]
    """What lies there."""
    line: str
    """What is said."""


def cues(job: SheetJob) -> tuple[Cue, ...]:
    """All steps of a box, in order."""
    return tuple(_cues(job))


def _cues(job: SheetJob) -> Iterator[Cue]:
    made: list[str] = []
    unit = hand_unit(job.design.unit)
    for sheet in job.sheets:
        thing = f"a sheet of {sheet.stock}"
        for number, told in enumerate(sheet.instructions, start=1):
            line = cue_line(told, sheet.plan.sheet, unit)
            goes_in = any(isinstance(step, INTO_BASE) for step in told.steps)
            into = [one for one in made if one != "the lid"] if goes_in else []
            yield Cue(sheet.name, number, (thing, *_tools(told), *into), line)
            thing = f"the {sheet.name}"
        made.append(f"the {sheet.name}")
    for number, told in enumerate(job.together, start=1):
        line = cue_line(told, None, unit)
        yield Cue("together", number, (*made, *_more(job, told.steps[0])), line)


def _tools(told: Instruction) -> tuple[str, ...]:
    return tuple(dict.fromkeys(tool for step in told.steps for tool in _needed(step)))


def _needed(step: Step | Closing) -> tuple[str, ...]:
    """What a step is done with: walls that are only pressed down take no adhesive."""
    if isinstance(step, FoldDown) and not step.glued:
        return tuple(tool for tool in GLUE if tool != "adhesive")
    if (isinstance(step, CutOutline) and step.knife) or (
        isinstance(step, ScoreSides | ScoreSlants) and step.half_cut
    ):
        return tuple(tool for tool in KNIFE if tool != "scissors")
    if isinstance(step, FoldAll) and step.half_cut == step.scores:
        return ()
    return TABLE.get(type(step), ())


def _more(job: SheetJob, step: Step | Closing) -> tuple[str, ...]:
    """Contents, or the stand-ins that are printed in their place."""
    if isinstance(step, PutIn):
        each = " for each compartment" if step.compartments else ""
        inside = [f"{one.count} x {one.item.name}{each}" for one in step.contents]
        return (*inside, "or printed stand-ins for what goes in")
    assert isinstance(step, PutOver | SlideIn | CloseLid | TuckIn)
    return ()
