"""What is glued, rolled, stood up or closed when all is cut and scored, in a maker's words."""

from __future__ import annotations

from collections.abc import Sequence

from fitcheck.plain import joined
from fitcheck.sheet.actions import (
    GlueCorner,
    GlueSeam,
    LayIn,
    RollSide,
    StandIn,
    StandStrips,
    Step,
    TuckIn,
)
from fitcheck.units import NUDGE, Unit, show_hands


def tabs_words(corners: Sequence[GlueCorner]) -> tuple[str, tuple[str, ...]]:
    """One instruction for all tabs."""
    carriers = list(dict.fromkeys(corner.tab.partition("'s ")[0] for corner in corners))
    walls = list(dict.fromkeys(corner.wall for corner in corners))
    text = (
        "Stand the walls up. Put adhesive on the outside face of each tab, turn the tab in behind "
        "its wall and press, the edges flush"
    )
    if all("'s tab" in corner.tab for corner in corners):
        return f"{text}: those of {_the(carriers)} onto the inside of {_the(walls)}.", ()
    return f"{text}:", tuple(f"{one.tab}: onto the inside of the {one.wall}" for one in corners)


def alike(rolls: Sequence[RollSide]) -> bool:
    """Whether sides are rolled alike: the same pieces over the same others, each its own."""
    return len({(_pieces(roll), roll.onto, frozenset(roll.over)) for roll in rolls}) == 1


def rolls_words(rolls: Sequence[RollSide]) -> str:
    """One instruction for sides that are rolled alike."""
    first = rolls[0]
    over = f" Its frame comes to lie over {_the(first.over)}." if first.over else ""
    flaps, path = _the([roll.flap for roll in rolls]), ", then the ".join(first.panels)
    if len(rolls) == 1:
        return (
            f"Put adhesive on the outside face of {flaps}. Roll inwards: fold the {path}, and "
            f"press the flap onto the {first.onto}, tight in the corner.{over}"
        )
    path = ", then its ".join(_pieces(first))
    return (
        f"Put adhesive on the outside face of {flaps}. Roll one side after the other inwards: fold "
        f"its {path}, and press the flap onto the {first.onto}, tight in the corner.{over}"
    )


def _pieces(roll: RollSide) -> tuple[str, ...]:
    """What is rolled, without the name of the side."""
    return tuple(panel.partition(" ")[2] for panel in roll.panels)


def _the(names: Sequence[str]) -> str:
    return joined(f"the {name}" for name in names)


def put_together(step: Step, unit: Unit) -> str:
    """What is glued, rolled, stood up or closed when all is cut and scored."""
    if isinstance(step, GlueSeam):
        return (
            f"Put adhesive on the {step.face} face of the {step.flap}. Fold the strip round into a "
            f"tube, lay the {step.flap} onto the {step.side} of the {step.onto}, its crease along "
            "that panel's edge, and press it flat, the tube folded flat over it. Let it dry before "
            "you open the tube."
        )
    if isinstance(step, StandIn | StandStrips | LayIn):
        return _stand_in(step, unit)
    if isinstance(step, TuckIn):
        words = tuck_words(step)
        return f"Open the tube and square it. {words[0].upper()}{words[1:]}."
    raise TypeError(f"no words for {type(step).__name__}")


def tuck_words(step: TuckIn) -> str:
    """How an end of a carton is closed."""
    under = " and the ".join(step.under)
    text = (
        f"turn the {under} in. Close the {step.lid} over them: bend the {step.flap} in and slide "
        f"it down behind the {step.behind}"
    )
    if step.locks:
        text += ", until the shoulders beside its ends come to lie in its slits"
    return text


def _from_middle(at_mm: Sequence[float], unit: Unit) -> str:
    """Where strips stand that lie alike on both sides of the middle of the base.

    >>> _from_middle([-20.0, 0.0, 20.0], Unit.MM)
    'one in the middle and one 20 mm (25/32 in) from it on either side'
    """
    beside = [mm for mm in at_mm if mm > NUDGE]
    found = ["one in the middle"] if len(beside) * 2 < len(at_mm) else []
    if beside:
        middle = "it" if found else "its middle"
        found.append(f"one {show_hands(beside, unit)} from {middle} on either side")
    return " and ".join(found)


def _stand_in(step: StandIn | StandStrips | LayIn, unit: Unit) -> str:
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
            f"Stand the {step.part} upright in the base, {_from_middle(step.at_mm, unit)}, and "
            "glue their ends to its walls: nothing else holds them."
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
