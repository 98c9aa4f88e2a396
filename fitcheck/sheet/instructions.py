"""The steps in words, in the design's unit with the other in brackets."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.pattern.bonds import Face
from fitcheck.sheet.actions import (
    CloseLid,
    Cut,
    CutAway,
    CutToSize,
    FoldAll,
    GlueCorner,
    GlueSeam,
    LayIn,
    LaySheet,
    RollSide,
    Score,
    SlantedCut,
    SlantedScore,
    StandIn,
    StandStrips,
    Step,
    TuckIn,
    TurnSheet,
)
from fitcheck.sheet.cutout_text import cutting_words
from fitcheck.sheet.cutting_out import CutOut, RoundCorners, RoundEdge
from fitcheck.sheet.layers import FoldDown, TurnInCorner, corner_words, down_words
from fitcheck.units import Unit, show_length, show_one

TURNS = {
    1: "a quarter turn anticlockwise",
    -1: "a quarter turn clockwise",
    2: "half a turn",
}


@dataclass(frozen=True)
class Instruction:
    """One instruction: a line, and lines that belong under it."""

    text: str
    details: tuple[str, ...] = ()


def instructions_for(steps: Sequence[Step], unit: Unit) -> tuple[Instruction, ...]:
    """The instructions, lines of the same kind gathered under the one that they follow."""
    unit = unit if unit is Unit.IN else Unit.MM
    found: list[Instruction] = []
    rest = list(steps)
    while rest:
        step = rest.pop(0)
        if isinstance(step, LaySheet | TurnSheet):
            found.append(_at_fence(_start(step), _same_kind(rest), unit))
        elif isinstance(step, Cut | Score):
            same = [step, *_same_kind(rest, type(step))]
            found.append(_at_fence("Leave the sheet as it lies", same, unit))
        elif isinstance(step, SlantedCut):
            found.append(_slants(_slanted_alike(step, rest), unit))
        elif isinstance(step, CutOut | RoundCorners | RoundEdge):
            found.append(Instruction(*cutting_words(step, unit)))
        elif isinstance(step, GlueCorner):
            corners = [step, *itertools.takewhile(lambda s: isinstance(s, GlueCorner), rest)]
            del rest[: len(corners) - 1]
            found.append(_corners([c for c in corners if isinstance(c, GlueCorner)]))
        elif isinstance(step, TurnInCorner):
            turned = [step, *itertools.takewhile(lambda s: isinstance(s, TurnInCorner), rest)]
            del rest[: len(turned) - 1]
            whole = [one for one in turned if isinstance(one, TurnInCorner)]
            found.append(Instruction(*corner_words(whole)))
        elif isinstance(step, FoldDown):
            found.append(Instruction(down_words(step)))
        else:
            found.append(_single(step, unit))
    return tuple(found)


def _same_kind(rest: list[Step], kind: type[Step] | None = None) -> list[Score | Cut]:
    """Take the scores, or the cuts, that come next."""
    taken: list[Score | Cut] = []
    while rest and isinstance(rest[0], Score | Cut):
        if not isinstance(rest[0], kind or type(rest[0])):
            break
        kind = type(rest[0])
        taken.append(rest.pop(0))  # type: ignore[arg-type]
    return taken


def _slanted_alike(step: SlantedCut, rest: list[Step]) -> list[SlantedCut]:
    """A slanted line and those that come next and are made alike, taken."""
    taken = [step]
    while rest and isinstance(following := rest[0], SlantedCut):
        if type(following) is not type(step):
            break
        taken.append(following)
        del rest[0]
    return taken


def _start(step: LaySheet | TurnSheet) -> str:
    if isinstance(step, LaySheet):
        start = f"Lay the sheet with its {step.fence} edge against the fence at your left"
    else:
        start = (
            f"Turn the sheet {TURNS[step.quarter_turns]}, not over: "
            f"its {step.fence} edge is against the fence"
        )
    return f"{start}, its {step.nearest} edge nearest you"


def _at_fence(start: str, lines: Sequence[Score | Cut], unit: Unit) -> Instruction:
    verb = "score" if isinstance(lines[0], Score) else "cut"
    text = f"{start}. Then {verb}, at these distances from the fence:"
    return Instruction(text, tuple(_ruled(line, unit) for line in lines))


def _ruled(line: Score | Cut, unit: Unit) -> str:
    text = f"at {show_length(line.at_mm, unit)}, {_stretch(line, unit)}"
    if isinstance(line, Score) and line.off_groove is not None:
        groove = line.off_groove
        way = "beyond" if groove.beyond_mm > 0 else "short of"
        place = (
            "the fence" if groove.at_mm == 0 else f"the groove at {show_one(groove.at_mm, unit)}"
        )
        text += f"; off the grooves: {show_one(abs(groove.beyond_mm), unit)} {way} {place}"
    if isinstance(line, Score) and line.cut_face is not None:
        lies = "up" if line.cut_face is Face.INSIDE else "down"
        text += f"; not pressed: cut half through the face that lies {lies}, guided by a steel rule"
    return text


def _stretch(line: Score | Cut, unit: Unit) -> str:
    if line.from_edge and line.to_edge:
        return "from edge to edge"
    if line.from_edge:
        return f"from the near edge to {show_length(line.stop_mm, unit)}"
    start = f"from {show_length(line.start_mm, unit)}"
    return (
        f"{start} to the far edge"
        if line.to_edge
        else (f"{start} to {show_length(line.stop_mm, unit)}")
    )


def _slants(cuts: Sequence[SlantedCut], unit: Unit) -> Instruction:
    """Equal slants of several corners on one line."""
    details = []
    for _, same in itertools.groupby(cuts, key=_ends):
        group = list(same)
        where = ", ".join(f"{c.level} {c.upright}" for c in group)
        start, stop = (
            f"{show_length(point[0], unit)} and {show_length(point[1], unit)}"
            for point in (group[0].start_mm, group[0].stop_mm)
        )
        details.append(f"{group[0].what}, {where}: from {start} to {stop}")
    do = "Score" if isinstance(cuts[0], SlantedScore) else "Cut"
    return Instruction(
        f"{do} the slanted lines. Each point is given by its distance from the left or right edge, "
        "then from the top or bottom edge, whichever the corner is named after:",
        tuple(details),
    )


def _ends(cut: SlantedCut) -> tuple[str | float, ...]:
    return (cut.what, *(round(v, 3) for v in (*cut.start_mm, *cut.stop_mm)))


def _corners(corners: Sequence[GlueCorner]) -> Instruction:
    return Instruction(
        "Stand the walls up. Put adhesive on the outside face of each tab, turn the tab in behind "
        "its wall and press, the edges flush:",
        tuple(f"{c.tab}: onto the inside of the {c.wall}" for c in corners),
    )


def _single(step: Step, unit: Unit) -> Instruction:
    if isinstance(step, CutToSize):
        grain = f", the grain along its {step.grain}" if step.grain else ""
        size = (
            f"{show_length(step.width_mm, unit)} wide and {show_length(step.length_mm, unit)} long"
        )
        one = f"cut a sheet {size}{grain}. Lay it with the face up that will be inside the box, and"
        text = (
            f"cut {step.copies} sheets, all alike, each {size}{grain}. Pencil the edges of each: "
            "left, right, top, bottom. Do all that follows with each of them."
            if step.copies > 1
            else f"{one} pencil its edges: left, right, top, bottom."
        )
        return Instruction(f"From {step.stock}, {text}")
    if isinstance(step, CutAway):
        places = ", ".join(
            f"{count} at the {place}" if count > 1 else place
            for place, count in _counted(step.places)
        )
        keep = " Keep the tabs:" if step.tabs else ""
        return Instruction(
            f"Take the {len(step.places)} hatched pieces away ({places}).{keep}",
            tuple(step.tabs),
        )
    if isinstance(step, FoldAll):
        way = ", but these away from it" if step.away else ""
        return Instruction(
            f"Fold all {step.scores} creases towards the face that is up{way}, one after the "
            "other, sharpen each with a bone folder and open it again" + (":" if way else "."),
            step.away,
        )
    return _put_together(step)


def _put_together(step: Step) -> Instruction:
    """What is glued, rolled, stood up or closed when all is cut and scored."""
    if isinstance(step, GlueSeam):
        return Instruction(
            f"Put adhesive on the {step.face} face of the {step.flap}. Fold the strip round into a "
            f"tube, lay the {step.flap} onto the {step.side} of the {step.onto}, its crease along "
            "that panel's edge, and press it flat, the tube folded flat over it. Let it dry before "
            "you open the tube.",
        )
    if isinstance(step, RollSide):
        path = ", then the ".join(step.panels)
        over = (
            f" Its frame comes to lie over the {' and the '.join(step.over)}." if step.over else ""
        )
        return Instruction(
            f"Put adhesive on the outside face of the {step.flap}. Roll inwards: fold the {path}, "
            f"and press the flap onto the {step.onto}, tight in the corner.{over}"
        )
    if isinstance(step, StandIn | StandStrips | LayIn):
        return Instruction(_stand_in(step))
    if isinstance(step, TuckIn):
        return Instruction(_tucked_in(step))
    if isinstance(step, CloseLid):
        first = f"fold the {' and the '.join(step.hung)} in and " if step.hung else ""
        return Instruction(
            f"When the adhesive holds, {first}close the {step.lid} until it lies on the walls."
        )
    raise TypeError(f"no words for {type(step).__name__}")


def _tucked_in(step: TuckIn) -> str:
    under = " and the ".join(step.under)
    text = (
        f"Turn the {under} in. Close the {step.lid} over them: bend the {step.flap} in and slide "
        f"it down behind the {step.behind}"
    )
    if step.locks:
        text += ", until the shoulders beside its ends come to lie in its slits"
    if step.above:
        return f"When the contents are in: {text[0].lower()}{text[1:]}."
    return f"Open the tube and square it. {text}."


def _stand_in(step: StandIn | StandStrips | LayIn) -> str:
    if isinstance(step, LayIn):
        if not step.on_legs:
            return f"Lay the {step.part} on the base's floor."
        return (
            f"Fold the legs of the {step.part} to a right angle, turn it over and stand it on them "
            "on the base's floor."
        )
    if isinstance(step, StandIn):
        return (
            f"When the seam holds, stand the {step.part} up on a long edge, square it between your "
            "hands and press it down into the base until it stands on the floor all round. Leave "
            "it loose to take it out again, or glue its walls to the base's, below the rim."
        )
    if not step.crossed:
        return (
            f"Stand the {step.part} upright in the base, as far apart as the compartments are "
            "wide, and glue their ends to its walls: nothing else holds them."
        )
    if step.slots_up:
        return (
            f"Stand the {step.part} on their bottom edges, slots up, as the others come onto them "
            "from above."
        )
    return (
        f"Turn the {step.part} slots down and push each slot over one of the strips below, until "
        "all bottom edges are level. Let the grid down into the base; the strips fold flat "
        "together when it is taken out."
    )


def _counted(places: Sequence[str]) -> list[tuple[str, int]]:
    return [(place, places.count(place)) for place in dict.fromkeys(places)]
