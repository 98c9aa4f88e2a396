"""A ring that no sheet holds in one piece is made from two strips, each half of it with a flap.

The half is drawn like any other pattern and cut twice; what two strips need beside its own steps
is told here. What is folded and judged has both flaps; its scores come out as those of one strip.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fitcheck.pattern.bonds import Face
from fitcheck.sheet.actions import GlueSeam, StandIn
from fitcheck.sheet.instructions import Instruction

GLUED = GlueSeam("flap of each strip", "other strip's end", Face.OUTSIDE, Face.INSIDE)


def told_of_two(part: str, told: Sequence[Instruction]) -> tuple[Instruction, ...]:
    """The instructions of a half, and how two of them become the part before it is stood in."""
    first, *between = told
    last = between.pop()
    assert any(isinstance(step, StandIn) for step in last.steps), "a ring is stood into its base"
    why = f"no sheet holds the {part} in one piece, so it is made from two strips"
    odds = "inside sizes and odds count both flaps; cut and score both strips at one setting"
    glued = Instruction(
        f"Put adhesive on the {GLUED.face} face of each flap. Stand the two strips up as a ring, "
        f"lay each flap onto the {GLUED.side} of the other strip's free end, its crease along that "
        "end's edge, the long edges flush, and press it flat. Let both seams dry.",
        steps=(GLUED,),
    )
    begun = replace(first, details=(*first.details, why, odds))
    stood = replace(last, text=last.text.replace("When the seam holds", "When both seams hold"))
    return (begun, *between, glued, stood)
