"""The one change that helps most: sizes on the hand's own steps, scores in grooves, surer hands.

All are tried on the same drawn boxes by the limits' gradients, so hundreds of changes cost no
folding. The best is folded anew before it is given, and the next taken where it does not hold.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from fitcheck.design.model import Design
from fitcheck.design.rules import design_problems
from fitcheck.fit.right import Flags
from fitcheck.odds.change_words import change_words
from fitcheck.odds.hands import Hands
from fitcheck.odds.ideas import Idea, one_way, others, roomier, sizes_beside
from fitcheck.odds.inputs import with_u
from fitcheck.odds.intervals import chance_of, surely_more
from fitcheck.odds.outlook import judged_contents
from fitcheck.odds.prospect import Prospect, counted_right, take_prospect
from fitcheck.odds.relined import Relined
from fitcheck.odds.remarks import goes_over, slides_over
from fitcheck.odds.resized import folded_anew
from fitcheck.odds.result import Advice
from fitcheck.odds.rounded import as_told
from fitcheck.odds.shares import cures_for
from fitcheck.odds.start import let_in, widened
from fitcheck.workspace.progress import SILENT, Progress

ROUGH_BOXES, FEWEST_ROUGH = 4_000, 1_000
"""Changes are ranked on so many boxes, and the first few tried on all; on fewer where very
many pieces stand in each."""
ROUGH_STANDS = 32_000
"""So many pieces and piles are moved about in boxes to rank a change."""
WELL = 0.98
"""A box that comes out right this often is left as it is."""
LEAST_GAIN = 0.02
"""What helps fewer boxes than this is not worth a sentence."""
ALIKE = 0.01
"""Changes whose odds are nearer than this help alike: the simpler comes first."""
NOTHING = 0.0025
"""What changes the odds by less, on the same boxes, does nothing."""
MOST_FOLDED = 5
"""So many changes are folded anew at the most."""


def advise(prospect: Prospect, hands: Hands, progress: Progress = SILENT) -> Advice | None:
    """The change that helps most, tried on the boxes of `hands`.

    None where nothing helps, or contents have no place to follow whatever the depth.
    """
    design = prospect.check.design
    before = hands.right(prospect)
    if before.mean() >= WELL:
        return None
    if prospect.check.contents and not judged_contents(prospect.check):
        return _roomier(prospect, before, hands, progress)
    start = _start(prospect, progress)
    if start is None:
        return None
    looking = _Looking(prospect, start, before, hands, progress)
    sizes, rest = list(sizes_beside(start.check, design)), list(others(start.check))
    if start is prospect:
        cures = [Idea((5, 0.0, False, 0.0), cure=cure) for cure in cures_for(start.workshop.inputs)]
        return looking.best([*sizes, *rest, *cures])
    # with a lid that has to be wider in any case, what else is changed comes after that alone
    return looking.best(sizes) or looking.best(rest)


def _roomier(prospect: Prospect, before: Flags, hands: Hands, progress: Progress) -> Advice | None:
    """A deeper base or a larger floor, the smaller box where both help alike."""
    design, found = prospect.check.design, None
    for room in let_in(prospect.check):
        there = take_prospect(room, prospect.humidity, progress)
        looking = _Looking(prospect, there, before, hands, progress)
        one = looking.best(list(roomier(room, design)))
        if one and (found is None or one.after.share > found.after.share + ALIKE):
            found = one
    return found


@dataclass(frozen=True, eq=False)
class _Looking:
    """What changes are tried with."""

    whole: Prospect
    """The design as it is."""
    start: Prospect
    """What they are changes of, which may have a wider lid."""
    before: Flags
    """(n,) which boxes of the design are right."""
    hands: Hands
    progress: Progress

    @property
    def design(self) -> Design:
        """As it is."""
        return self.whole.check.design

    @cached_property
    def relined(self) -> Relined:
        """What other lengths do to what changes are tried from."""
        return Relined.of(self.start)

    @cached_property
    def told(self) -> float:
        """The share of boxes that are right where they are made as the steps round them."""
        return self._told(self.whole, self.before)

    def _told(self, prospect: Prospect, right: Flags) -> float:
        """The same of another prospect, of whose boxes as drawn these are right."""
        told = as_told(prospect)
        return float((right if told is prospect else self.hands.right(told)).mean())

    def best(self, ideas: Sequence[Idea]) -> Advice | None:
        """The most helpful one that holds; None where none helps.

        It has to help those as well who cut and score as the steps round it.
        """
        found: Advice | None = None
        wanted, told = float(self.before.mean()) + LEAST_GAIN, self.told + LEAST_GAIN
        for rough, idea in self._ranked(ideas)[:MOST_FOLDED]:
            if rough < (wanted if found else wanted - ALIKE):
                break
            again = self._again(idea)
            if again is None:
                continue
            after = self.hands.right(again)
            if after.mean() < wanted or not surely_more(self.before, after):
                continue
            share = self._told(again, after)
            if share >= told:
                chances = counted_right(self.whole, self.before), chance_of(after)
                found = Advice(_words(self.design, idea), *chances, idea.design)
                wanted, told = float(after.mean()) + ALIKE, share + ALIKE
        return found

    def _ranked(self, ideas: Sequence[Idea]) -> list[tuple[float, Idea]]:
        """Ideas with their rough share of right boxes, the most helpful first.

        Of those that help alike the simplest come first. Where both sizes of a part help most,
        others of one of them are tried beside it.
        """
        found = self._rated(ideas)
        if not found:
            return []
        _, best = max(found, key=lambda one: one[0])
        flush = self.start.check.flush and best.part == "lid"
        if best.part and best.design is not None and not flush:
            known = {idea.design.part(best.part) for _, idea in found if idea.design is not None}
            found += self._rated(
                [
                    idea
                    for idea in one_way(self.start.check, best.design, best.part, self.design)
                    if idea.design is not None and idea.design.part(best.part) not in known
                ]
            )
        most = max(rate for rate, _ in found)
        sizes = {(idea.part, own): rate for rate, idea in found if (own := _own(idea)) is not None}

        def behind(one: tuple[float, Idea]) -> tuple[float, tuple[float, ...]]:
            rate, idea = one
            kind, by, uneven, whole = idea.effort
            effort = kind, by, uneven or self._idle(idea, rate, sizes), whole
            return 0.0 if rate > most - ALIKE else most - rate, effort

        return sorted(found, key=behind)

    def _idle(
        self, idea: Idea, rate: float, sizes: Mapping[tuple[str, tuple[float, float]], float]
    ) -> bool:
        """Whether one of two sizes that an idea changes does nothing: the other alone does it."""
        own, was = _own(idea), self.design.part(idea.part)
        if own is None or was is None:
            return False
        wide, long = _same(was.size_mm)
        alone = ((wide, own[1]), (own[0], long))
        return any(
            one != own and sizes.get((idea.part, one), 0.0) > rate - NOTHING for one in alone
        )

    def _rated(self, ideas: Sequence[Idea]) -> list[tuple[float, Idea]]:
        """Those ideas that can be tried, each with its rough share of right boxes."""
        there: list[tuple[Idea, Prospect]] = []
        for index, idea in enumerate(ideas):
            self.progress.step(index, len(ideas), "looking for what helps")
            changed = _changed(self.relined, idea)
            if changed is not None:
                there.append((idea, changed))
        # beside the design itself, so that only what is changed of it is worked out
        designs = [self.start, *(changed for _, changed in there)]
        rates = self.hands.first(_rough_boxes(self.start)).rates(designs)[1:]
        return [(rate, idea) for rate, (idea, _) in zip(rates, there, strict=True)]

    def _again(self, idea: Idea) -> Prospect | None:
        """A change that was folded anew; None where it is not right."""
        if idea.design is None:
            return _cured(self.start, idea)
        if any(design_problems(idea.design)):
            return None
        again = folded_anew(self.start, idea.design)
        return again if again is not None and again.check.fits else None


def _own(idea: Idea) -> tuple[float, float] | None:
    """The sizes that an idea gives a part, mm; None where it changes something else."""
    spec = idea.design.part(idea.part) if idea.design is not None and idea.part else None
    return None if spec is None else _same(spec.size_mm)


def _same(size_mm: tuple[float, float]) -> tuple[float, float]:
    """Sizes that are found again however they were added up, mm."""
    return round(size_mm[0], 6), round(size_mm[1], 6)


def _rough_boxes(start: Prospect) -> int:
    """How many boxes changes of a design are ranked on."""
    arranged = start.outlook.arranged
    stands = 1 if arranged is None else arranged.stands
    return min(ROUGH_BOXES, max(FEWEST_ROUGH, ROUGH_STANDS // stands))


def _start(prospect: Prospect, progress: Progress) -> Prospect | None:
    """What changes are looked for from: a lid that does not slide over its base is wider there."""
    if slides_over(prospect.check):
        return prospect
    wide = widened(prospect.check)
    if wide is not None:
        return take_prospect(wide, prospect.humidity, progress)
    return prospect if goes_over(prospect.check) else None


def _words(design: Design, idea: Idea) -> str:
    if idea.design is not None:
        return change_words(design, idea.design)
    assert idea.cure is not None, "an idea is a design or a cure"
    return idea.cure.what


def _changed(relined: Relined, idea: Idea) -> Prospect | None:
    if idea.design is not None:
        return relined.tried(idea.design)
    return _cured(relined.prospect, idea)


def _cured(prospect: Prospect, idea: Idea) -> Prospect:
    assert idea.cure is not None, "an idea is a design or a cure"
    inputs = with_u(prospect.workshop.inputs, idea.cure.changed)
    return replace(prospect, workshop=replace(prospect.workshop, inputs=inputs))
