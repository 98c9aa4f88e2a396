"""The making of a box as the turning view shows it: a state for each step, with its sentence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from fitcheck.fit.assembly import Part
from fitcheck.fit.check import Check
from fitcheck.pattern.laid import laid
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.plan import plan_of
from fitcheck.sheet.actions import Closing, FoldAll, PutIn, Step
from fitcheck.sheet.instructions import Instruction, instructions_for
from fitcheck.sheet.progress import folded_by
from fitcheck.sheet.steps import steps_for
from fitcheck.sheet.thick import as_made
from fitcheck.sheet.together import closing_steps, closing_words

FOLDED = 0.85
"""By this share of the making all is folded; the rest puts the parts together."""
Window = tuple[float, float]


@dataclass(frozen=True)
class State:
    """How far the making has gone after a step."""

    part: str
    words: str
    share: float
    """0 for flat sheets, 1 for the closed box."""
    creased: str | None = None
    """The part whose creases are sharpened meanwhile, all of them folded a little."""
    filled: bool = False
    """Whether the contents are put in then; from there on they are in."""

    def data(self) -> dict[str, object]:
        """For the page's script."""
        return {
            "part": self.part,
            "words": self.words,
            "share": round(self.share, 4),
            **({"creased": self.creased} if self.creased else {}),
            **({"filled": True} if self.filled else {}),
        }


@dataclass(frozen=True)
class Making:
    """The states, and when each crease turns between them."""

    states: tuple[State, ...]
    windows: Mapping[str, Mapping[str, Window]]
    """By part and panel: from where to where of the folding, 0 to 1, its crease turns."""


@dataclass
class _Told:
    part: Part
    words: str
    panels: frozenset[str]
    creased: bool
    putting_in: bool = False


def making_of(check: Check) -> Making:
    """The making of a checked box, part by part and then together."""
    told = list(_told(check))
    folds = max(1, sum(bool(one.panels) for one in told))
    windows: dict[str, dict[str, Window]] = {}
    states: list[State] = []
    done = 0
    for one in told:
        name = one.part.recipe.part
        own = windows.setdefault(name, {})
        if one.panels:
            own.update(dict.fromkeys(one.panels, (done / folds, (done + 1) / folds)))
            done += 1
        share = FOLDED * done / folds
        creased = name if one.creased else None
        states.append(State(name, one.words, share, creased, one.putting_in))
    name = "together" if len(check.assembly.parts) > 1 else states[-1].part
    states[-1] = replace(states[-1], part=name, share=1.0)
    return Making(tuple(states), windows)


def _told(check: Check) -> Iterator[_Told]:
    """Each step of folding and closing, with the panels that it newly puts in place."""
    design = check.design
    placed: dict[str, set[str]] = {}
    for part in check.assembly.parts:
        made = as_made(part.pattern, part.recipe.stock)
        pattern = laid(made, design.tools.score_face)
        stock, grain = part.recipe.stock.name, part.recipe.grain
        tools, unit, knife = design.tools, design.unit, part.recipe.stock.half_cut
        steps = steps_for(pattern, plan_of(pattern), stock, grain, tools, unit, knife=knife)
        placed[part.recipe.part] = set()
        told = instructions_for(steps, design.unit)
        yield from _part(part, told, placed[part.recipe.part])
    base = check.assembly.base
    for step in closing_steps(design, check.assembly):
        new = _new(base.pattern, [step], placed[base.recipe.part])
        yield _Told(base, closing_words(step), new, False, isinstance(step, PutIn))


def _part(part: Part, told: Sequence[Instruction], placed: set[str]) -> Iterator[_Told]:
    """The flat part with what was cut last, then each step that folds it."""
    flat = [one for one in told if not _folds(part.pattern, one)]
    yield _Told(
        part, f"The {part.recipe.part}, scored and cut: {len(flat)} steps.", frozenset(), False
    )
    for one in told:
        if any(isinstance(step, FoldAll) for step in one.steps):
            yield _Told(part, one.text, frozenset(), not part.pattern.webs)
        elif _folds(part.pattern, one):
            yield _Told(part, one.text, _new(part.pattern, one.steps, placed), False)
    # what no step names, such as the legs of what is only laid in, goes with the last one
    closing = {panel for panel in part.pattern.hung} | _tucked(part.pattern)
    rest = {line.child for line in part.pattern.creases} - placed - closing
    if rest:
        placed |= rest
        yield _Told(part, told[-1].text, frozenset(rest), False)


def _tucked(pattern: Pattern) -> set[str]:
    return {panel for tuck in pattern.tucks for panel in (tuck.lid, tuck.flap, *tuck.under)}


def _folds(pattern: Pattern, told: Instruction) -> bool:
    return any(folded_by(pattern, step) is not None for step in told.steps)


def _new(pattern: Pattern, steps: Sequence[Step | Closing], placed: set[str]) -> frozenset[str]:
    """The panels that these steps put in place and none before them did."""
    found = {panel for step in steps for panel in folded_by(pattern, step) or ()}
    new = frozenset(found - placed)
    placed |= new
    return new
