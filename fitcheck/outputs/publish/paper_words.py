"""Which sheets of paper, as they are sold, hold the parts of a recipe: for readers who buy some."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitcheck.fit.held import needs_mm
from fitcheck.fit.sheets import by_hand_mm
from fitcheck.pattern.counted import sheet_needs_mm
from fitcheck.plain import joined
from fitcheck.sheet.job import PartSheet, SheetJob
from fitcheck.stock.bought_sheets import LARGER_SHEETS, USUAL_SHEETS, Bought, largest
from fitcheck.units import show_hands

LARGER = "no sheet in common use holds it, it wants a larger one"


def held_words(sheet: PartSheet, job: SheetJob) -> str:
    """The usual sheets that a part's sheet is cut from, and which of them are too small for it."""
    sides = sheet_needs_mm(sheet.plan, job.design.unit, job.design.tools)
    held, small = _parted(USUAL_SHEETS, sides)
    if not held:
        larger = tuple(dict.fromkeys((*LARGER_SHEETS, *job.design.tools.sheets)))
        held, more = _parted(larger, sides)
        small += [name for name in more if any(name == one.name for one in LARGER_SHEETS)]
    own = f"{', '.join(held[:-1])} or {held[-1]}" if len(held) > 1 else "".join(held)
    if not small:
        return own
    are = "is" if len(small) == 1 else "are"
    return f"{own or 'a larger sheet'}; {joined(small)} {are} too small"


def larger_words(job: SheetJob, *, usual: bool = False) -> Iterator[tuple[str, str]]:
    """Each part that no sheet of the tools holds in one piece, with a clause that says so.

    With `usual` also those that none holds of the sheets that most have at hand. The words are for
    readers, who make what a recipe says and change no size.
    """
    tools, unit = job.design.tools, job.design.unit
    for sheet in job.sheets:
        whole = sheet.part.pattern
        sides = needs_mm(whole, job.design)
        whose = "that the tools list" if tools.papers_known else "that most have at hand"
        short: Sequence[Bought] = tools.papers
        if usual and _parted(short, sides)[0]:
            short, whose = USUAL_SHEETS, "that most have at hand"
        if _parted(short, sides)[0]:
            continue
        size = show_hands(by_hand_mm(whole, job.design), unit, " by ")
        have = " or ".join(paper.name for paper in largest(short))
        known = dict.fromkeys((*USUAL_SHEETS, *LARGER_SHEETS, *tools.papers))
        held = _parted([paper for paper in known if paper not in short], sides)[0]
        found = f"{' or '.join(held)} holds it" if held else LARGER
        if sheet.in_two:
            found = f"{found}; from smaller paper two strips make it, as the steps say"
        said = (
            f"the {sheet.name} takes a sheet of {size}, and {have} is the largest {whose}: {found}"
        )
        yield sheet.name, said


def _parted(papers: Sequence[Bought], sides: tuple[float, float]) -> tuple[list[str], list[str]]:
    """The names of sheets that hold a rectangle, mm, and of those that do not."""
    held = [paper.name for paper in papers if paper.holds(*sides)]
    return held, [paper.name for paper in papers if not paper.holds(*sides)]
