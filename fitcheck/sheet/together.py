"""What is done when all parts are made: contents in, what closes the box shut, the lid on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitcheck.design.model import Content, Design
from fitcheck.fit.assembly import Assembly
from fitcheck.kinds.kind import Lay, lays
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.plain import joined
from fitcheck.sheet.actions import CloseLid, Closing, PutIn, PutOver, SlideIn, TuckIn
from fitcheck.sheet.gluing_text import tuck_words
from fitcheck.styles.mates import Along, Over, Turned


def closing_steps(design: Design, assembly: Assembly) -> tuple[Closing, ...]:
    """Contents in, what closes the box shut, the lid on."""
    compartments = any(part.pattern.row is not None for part in assembly.parts)
    return (
        *((PutIn(design.contents, compartments),) if design.contents else ()),
        *(step for part in assembly.parts for step in _closed(part.pattern, design)),
        *(_mated(assembly)),
    )


def _closed(pattern: Pattern, design: Design) -> Iterator[CloseLid | TuckIn]:
    """What is closed when the contents are in, in one piece with the walls."""
    tucks = tuple(tucked_in(pattern))
    yield from (tuck for tuck in tucks if tuck.above)
    for panel in () if tucks else pattern.panels:
        if panel.role is Role.LID:
            over = (
                mate.over
                for mate in design.mates
                if isinstance(mate, Turned) and mate.panel == panel.name
            )
            yield CloseLid(panel.name, pattern.beyond(panel.name)[1:], next(over, None))


def tucked_in(pattern: Pattern) -> Iterator[TuckIn]:
    """The ends of a carton, as they are closed."""
    for tuck in pattern.tucks:
        yield TuckIn(
            tuck.lid,
            tuck.flap,
            tuck.behind,
            tuck.under,
            tuck.shoulder_mm is not None,
            pattern.panel(tuck.lid).role is Role.LID,
        )


def _mated(assembly: Assembly) -> Iterator[PutOver | SlideIn]:
    for part in assembly.parts:
        for mate in assembly.design.mates:
            if mate.mover == part.recipe.part and isinstance(mate, Over):
                yield PutOver(mate.mover, mate.holder)
            elif mate.mover == part.recipe.part and isinstance(mate, Along):
                yield SlideIn(mate.mover, mate.holder)


def closing_words(step: Closing) -> str:
    """One instruction."""
    match step:
        case PutIn():
            where = "into each compartment" if step.compartments else "the contents in"
            return f"Put {where}: {joined(_contents(step.contents))}."
        case PutOver():
            return f"Lower the {step.part} over the {step.holder}, level all round, until it rests."
        case SlideIn():
            return f"Slide the {step.part} into the {step.holder}."
        case CloseLid():
            first = f"fold the {' and the '.join(step.hung)} down and " if step.hung else ""
            text = f"{first}close the {step.lid} until it lies on the walls"
            if step.over is not None and step.hung:
                side = "outside" if step.over else "behind"
                text += f", the {step.hung[0]} {side} the wall that it meets"
            text += "."
        case TuckIn():
            text = f"{tuck_words(step)}."
    return text[0].upper() + text[1:]


def _contents(contents: Sequence[Content]) -> Iterator[str]:
    """What goes in; what two tables say alike is counted together."""
    counts: dict[tuple[str, str], int] = {}
    for one in contents:
        key = one.item.name, _lay_words(one)
        counts[key] = counts.get(key, 0) + one.count
    for (name, lay), count in counts.items():
        yield f"{count} x {name}{lay}"


def _lay_words(content: Content) -> str:
    """How it lies; nothing for what lies alike any way."""
    poses = lays(content.item, content.lay)
    asked, any_way = ({pose.name for pose in own} for own in (poses, lays(content.item, Lay.ANY)))
    return "" if asked == any_way else f", {poses[0].words}"
