"""Whether each part can be cut in one piece from a sheet that the workshop has."""

from __future__ import annotations

from fitcheck.design.model import Design
from fitcheck.findings import Finding, Severity
from fitcheck.fit.assembly import Assembly, Part
from fitcheck.fit.held import half_of, held_half, is_held, needs_mm
from fitcheck.pattern.counted import sheet_by_hand_mm
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.pattern.plan import plan_of
from fitcheck.plain import joined
from fitcheck.stock.bought_sheets import LARGER_SHEETS, SHEET_NAMES, USUAL_SHEETS, Bought, largest
from fitcheck.styles.sleeve import SleeveRecipe, strip_of_two_mm
from fitcheck.units import Unit, hand_unit, show_hands

TOO_LARGE = "sheet-too-large"
NEEDS_LARGER = "sheet-needs-larger"
OVERLAP_MM = 12.7
"""Two halves of a floor are glued over at least so much (1/2 in; common practice, no source)."""


def sheet_findings(assembly: Assembly) -> list[Finding]:
    """A caution for each part that is larger than every sheet; the box itself may be right."""
    return [_finding(part, assembly.design) for part in larger_parts(assembly)]


def bought_findings(assembly: Assembly) -> list[Finding]:
    """A note for each part that the sheet most have at hand is too small for, where another does.

    Whoever listed sheets of their own, or says what is bought, knows them.
    """
    tools = assembly.design.tools
    if tools.papers_known or tools.bought:
        return []
    usual = usual_sheet(assembly.design.unit).name
    found = []
    for part in assembly.parts:
        sides = needs_mm(part.pattern, assembly.design)
        held = [paper.name for paper in tools.papers if paper.holds(*sides)]
        if held and usual not in held:
            few = [paper.name for paper in tools.papers if paper.name not in held]
            message = (
                f"the {part.recipe.part}'s sheet comes from {' or '.join(held)}: "
                f"{joined(few)} {'is' if len(few) == 1 else 'are'} too small for it"
            )
            found.append(Finding(NEEDS_LARGER, message, Severity.NOTE, part.recipe.part))
    return found


def counted_sheets(assembly: Assembly) -> tuple[Bought, ...]:
    """The sheets that parts are counted from where none are named: the workshop's, and where it
    does not say those in common use that a part needs."""
    design = assembly.design
    cut = [cut_pattern(part, design) for part in assembly.parts]
    wanted = [paper for pattern in cut for paper in _larger_holding(pattern, design)]
    return tuple(dict.fromkeys((*design.tools.papers, *wanted)))


def _larger_holding(pattern: Pattern, design: Design) -> list[Bought]:
    """Sheets in common use that hold what none holds that most have at hand.

    Whoever listed sheets of their own has no others.
    """
    if design.tools.papers_known or is_held(pattern, design):
        return []
    return [paper for paper in LARGER_SHEETS if paper.holds(*needs_mm(pattern, design))]


def usual_sheet(unit: Unit) -> Bought:
    """The sheet that most who measure in a unit have at hand."""
    name = "letter" if hand_unit(unit) is Unit.IN else "A4"
    return next(paper for paper in USUAL_SHEETS if paper.name == name)


def larger_parts(assembly: Assembly) -> list[Part]:
    """The parts that no sheet of the workshop holds in one piece."""
    return [part for part in assembly.parts if not is_held(part.pattern, assembly.design)]


def unheld_parts(assembly: Assembly) -> list[Part]:
    """The parts that no sheet of the workshop holds, in one piece or as the strips of a ring."""
    design = assembly.design
    return [one for one in larger_parts(assembly) if held_half(one.recipe, design) is None]


def unheld_words(assembly: Assembly, where: str = "here") -> str:
    """That no sheet holds some parts, as a clause; nothing where sheets hold all."""
    names = [part.recipe.part for part in unheld_parts(assembly)]
    return f"no sheet {where} holds the {' or the '.join(names)}" if names else ""


def cut_pattern(part: Part, design: Design) -> Pattern:
    """What is cut for a part: half a ring where no sheet holds it whole, otherwise all of it."""
    if is_held(part.pattern, design):
        return part.pattern
    return held_half(part.recipe, design) or part.pattern


def by_hand_mm(pattern: Pattern, design: Design) -> tuple[float, float]:
    """The width and the length that a hand cuts a design's sheet to, mm."""
    return sheet_by_hand_mm(plan_of(pattern), design.unit, design.tools)


def _finding(part: Part, design: Design) -> Finding:
    name, sheet, tools = part.recipe.part, part.pattern.sheet, design.tools
    size = show_hands(by_hand_mm(part.pattern, design), design.unit, " by ")
    known = tools.papers_known
    holding = " or ".join(paper.name for paper in _larger_holding(part.pattern, design))
    common = LARGER_SHEETS if not (known or holding) else ()
    have = " or ".join(paper.name for paper in largest((*tools.papers, *common)))
    whose = "that the tools list" if known else "in common use"
    if holding:
        whose = "that most have at hand"
    if tools.bought:
        whose = f"that is bought or {whose}"
    without = f"{holding} holds it, and from smaller paper " if holding else ""
    larger = next((key for key, own in SHEET_NAMES.items() if own.name == holding), "")
    more = (
        f"; if you have {holding or 'larger paper'}, {tools.how_to_list(larger)}, and in the "
        'design tools = "my-sheets"'
    )
    return Finding(
        TOO_LARGE,
        f"the {name} takes a sheet of {size}, and {have} is the largest {whose}: "
        f"{without}it cannot be cut {_cure(part, design)}{'' if known else more}",
        Severity.CAUTION,
        name,
        {"width_mm": sheet.width_mm, "length_mm": sheet.length_mm},
    )


def _cure(part: Part, design: Design) -> str:
    """What can be done about a part that no sheet holds."""
    half, unit = half_of(part.recipe), design.unit
    width, length = needs_mm(part.pattern, design)
    if half is not None and held_half(part.recipe, design) is None:
        each = show_hands(by_hand_mm(half, design), unit, " by ")
        return (
            f"in one piece, nor from two strips, which would be {each} each: make it smaller; "
            "steps for more strips are not told"
        )
    if isinstance(part.recipe, SleeveRecipe):
        return _sleeves_cure(part.recipe, design)
    if half is not None:
        return (
            "in one piece: its steps say how two strips make it, with a seam at two of its edges; "
            "or make it smaller"
        )
    whole = _has_whole_floor(part.pattern)
    if whole and any(_halves(width, length, paper) for paper in design.tools.papers):
        return (
            "in one piece: it would have to be made from two sheets, their halves glued over each "
            f"other across the floor by at least {show_hands([OVERLAP_MM], unit)}, or made smaller"
        )
    more = "nor as two halves from two sheets" if whole else "and no steps are told for more pieces"
    return f"in one piece, {more}: make it smaller"


def _sleeves_cure(recipe: SleeveRecipe, design: Design) -> str:
    """What can be done about a tube; two strips would make it, but they are not drawn."""
    sides = strip_of_two_mm(recipe)
    each = show_hands(sides, design.unit, " by ")
    if not any(paper.holds(*sides) for paper in design.tools.papers):
        return f"in one piece, nor from two strips, which would be {each} each: make it smaller"
    return (
        f"in one piece; two strips, each a face, a side and a flap, {each}, would go on a sheet, "
        "but no steps are told for them: make it smaller"
    )


def _has_whole_floor(pattern: Pattern) -> bool:
    """Whether walls rise from a floor in its middle that two halves can be glued over."""
    floor = pattern.panels[0]
    tube = any(panel.role is Role.TOP for panel in pattern.panels)
    walls = bool(pattern.lines) and floor.role is Role.FLOOR
    return walls and not (floor.cutouts or pattern.tucks or tube)


def _halves(width_mm: float, length_mm: float, paper: Bought) -> bool:
    """Whether a half with its overlap can be cut from a sheet, parted either way."""
    return paper.holds(0.5 * (width_mm + OVERLAP_MM), length_mm) or paper.holds(
        width_mm, 0.5 * (length_mm + OVERLAP_MM)
    )
