"""The steps and the yields as lines of text, and as Markdown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitcheck.outputs.bench_words import AS_ROUNDED
from fitcheck.outputs.markdown import escaped
from fitcheck.plain import joined
from fitcheck.sheet.instructions import Instruction
from fitcheck.sheet.job import PartSheet, SheetJob
from fitcheck.sheet.yields import PartYield, Purchase
from fitcheck.stock.bought_sheets import Bought
from fitcheck.units import TIMES, Unit, hand_unit, show_inches, show_number

ROUNDED = f"Sizes are rounded: `fitcheck check` tells how often boxes come out right {AS_ROUNDED}."
"""A sheet works out no odds, and rounded sizes can cost most of them."""
GRAIN = (
    "The grain of a bought sheet is taken along the side named second (common practice, no "
    "source): 450 x 640 is long grain, 640 x 450 short grain, along the shorter side. See the "
    "paper's label, and name its sides to suit."
)
AROUND = "Ribbon, mats, label and liners, to the sizes of the closed box"


def steps_text(job: SheetJob) -> str:
    """All parts' steps as plain text."""
    return "\n".join(plain_lines(job)) + "\n"


def plain_lines(job: SheetJob) -> list[str]:
    """The steps of all parts, line by line; also what the PDF's text pages show."""
    lines = [job.design.title, ""]
    lines += [f"Caution: {finding.message}" for finding in job.cautions]
    lines += [ROUNDED] if job.rounded else []
    for heading, told in _chapters(job):
        lines += ["", heading, ""]
        for number, step in enumerate(told, start=1):
            lines.append(f"{number}. {step.text}")
            lines += [f"    - {detail}" for detail in step.details]
    lines += ["", AROUND, "", *job.around]
    lines += ["", "What comes out of bought sheets, with a trimmer (edge to edge cuts)", ""]
    lines += yield_lines(job)
    return lines


def steps_markdown(job: SheetJob) -> str:
    """All parts' steps as Markdown."""
    lines = [f"# {escaped(job.design.title)}: steps", ""]
    lines += [f"Caution: {escaped(finding.message)}" for finding in job.cautions]
    lines += ["", ROUNDED] if job.rounded else []
    for heading, told in _chapters(job):
        lines += ["", f"## {escaped(heading)}", ""]
        for number, step in enumerate(told, start=1):
            lines.append(f"{number}. {escaped(step.text)}")
            lines += [f"    - {escaped(detail)}" for detail in step.details]
    lines += ["", f"## {AROUND}", "", *(f"- {escaped(text)}" for text in job.around)]
    lines += ["", "## Sheets to buy", ""]
    lines += [f"- {escaped(text)}" for text in yield_lines(job)]
    return "\n".join(lines) + "\n"


def _chapters(job: SheetJob) -> Iterator[tuple[str, tuple[Instruction, ...]]]:
    """Each part's steps under a heading, then those that put the parts together."""
    for sheet in job.sheets:
        yield _heading(sheet), sheet.instructions
    if job.together:
        yield "together", job.together


def yield_lines(job: SheetJob) -> Iterator[str]:
    """What comes out of bought sheets, a line for each count."""
    if any(found.with_grain is not None for found in job.yields.parts):
        yield GRAIN
    for found in job.yields.parts:
        yield _part_line(job, found)
    kits = job.yields.kits
    for buy in job.yields.purchases:
        yield _buy_line(buy, kits, job.yields.parts)


def _why_not(buy: Purchase, counts: Sequence[PartYield]) -> str:
    """Which of its parts a bought sheet does not hold, and whether the grain is why."""
    own = [one for one in counts if one.bought == buy.bought and one.piece.part in buy.parts]
    small = [f"the {one.piece.part}" for one in own if not one.any_way]
    across = [f"the {one.piece.part}" for one in own if one.any_way and one.with_grain == 0]
    said = [f"the sheet is too small for {joined(small)}"] if small else []
    if across:
        wants = "short grain" if buy.bought.grain_words == "long grain" else "long grain"
        they = "it wants" if len(across) == 1 else "they want"
        said.append(f"{joined(across)} would lie across the grain ({they} {wants})")
    return " and ".join(said)


def _grained(bought: Bought, counts: Sequence[PartYield]) -> str:
    """Which grain a bought sheet is taken to have, where a part asks for one."""
    asked = any(one.with_grain is not None and one.bought == bought for one in counts)
    return f", {bought.grain_words}" if asked and bought.grain_words else ""


def _heading(sheet: PartSheet) -> str:
    turns = {0: "no turn", 1: "1 turn"}.get(sheet.turns, f"{sheet.turns} turns")
    return f"{sheet.name}: from {sheet.stock}, {turns} of the sheet"


def _sheet(job: SheetJob, bought: Bought, stock: str) -> str:
    """A bought sheet in words."""
    across = show_exact((bought.width_mm, bought.length_mm), hand_unit(job.design.unit))
    return f"{bought.name} {stock}, {across}"


def _part_line(job: SheetJob, found: PartYield) -> str:
    sheet = _sheet(job, found.bought, found.piece.stock)
    one = f"one sheet ({sheet}{_grained(found.bought, [found])})"
    least = "" if found.exact else "at least "
    many = f", {found.piece.count} to a box," if found.piece.count > 1 else ""
    text = f"Parts for the {found.piece.part}{many} from {one}: {least}"
    if found.with_grain is None:
        return f"{text}{found.any_way}"
    return (
        f"{text}{found.with_grain} with the grain along the {found.piece.grain}, "
        f"{found.any_way} with the grain ignored"
    )


def _buy_line(buy: Purchase, kits: int, parts_of: Sequence[PartYield]) -> str:
    parts = " and ".join(buy.parts)
    own = [found for found in parts_of if found.piece.part in buy.parts]
    sheet = f"{buy.bought.name} {buy.stock}{_grained(buy.bought, own)}"
    start = f"For 1 box, the {parts}: " if kits == 1 else f"For {kits} boxes, the {parts} of each: "
    if buy.sheets is None:
        return f"{start}not from {sheet}: {_why_not(buy, parts_of)}"
    mixed = ", different parts sharing a sheet" if buy.mixed else ""
    sheets = "sheet" if buy.sheets == 1 else "sheets"
    most = "" if buy.exact else "at most "
    return f"{start}{most}{buy.sheets} {sheets} of {sheet}{mixed}"


def show_exact(lengths_mm: Sequence[float], unit: Unit) -> str:
    """Lengths across each other as they are, to a hundredth, which no hand sets.

    >>> from fitcheck.units import Unit
    >>> show_exact([215.9, 279.4], Unit.MM), show_exact([210.0, 297.0], Unit.IN)
    ('215.9 x 279.4 mm (8 1/2 x 11 in)', '8.268 x 11.693 in (210 x 297 mm)')
    """
    inches = TIMES.join(show_inches(mm).removesuffix(" in") for mm in lengths_mm) + " in"
    plain = TIMES.join(f"{float(show_number(mm, 2)):g}" for mm in lengths_mm) + " mm"
    return f"{inches} ({plain})" if unit is Unit.IN else f"{plain} ({inches})"
