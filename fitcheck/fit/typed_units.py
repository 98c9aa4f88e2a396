"""Lengths that may have been mistyped: millimetres in a file in inches, fractions on no rule."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.design.typed import HEIGHTS, ROOMS, Typed
from fitcheck.findings import Finding, Severity
from fitcheck.fit.assembly import Assembly
from fitcheck.fit.sheets import unheld_parts

LEAST_ROOM = 1.0
"""So many inches of play between parts are none that is wanted (own rule)."""
LEAST_HEIGHT, LEAST_SIDE = 5.0, 20.0
"""So many inches make a part too large for its sheet that is small in millimetres (own rule)."""


def typed_findings(assembly: Assembly) -> Iterator[Finding]:
    """A caution for each length that was probably meant in millimetres."""
    large = {part.recipe.part for part in unheld_parts(assembly)}
    places = {spec.place for spec in assembly.design.parts if spec.name in large}
    for one in assembly.design.typed:
        if _doubtful(one, one.place in places):
            yield Finding(
                "unit-doubtful",
                f"the {one.place}'s {one.key} = {one.written} is read in inches, as a number "
                f"without a unit is in this file: write {one.in_mm} if millimetres were meant",
                Severity.CAUTION,
                one.place,
            )


def fraction_findings(assembly: Assembly) -> Iterator[Finding]:
    """A note for each fraction of an inch that no rule is divided into: it is read as it stands."""
    for one in assembly.design.fractions:
        was = " or ".join(one.meant)
        question = f"; was {was} meant?" if was else ""
        yield Finding(
            "fraction-doubtful",
            f"the {one.place}'s {one.key} = {one.written} is read as {one.mm:.2f} mm, and no inch "
            f"rule shows parts of 1/{one.under}: rules show 1/2, 1/4, 1/8, 1/16, 1/32 and "
            f"1/64{question}",
            Severity.NOTE,
            one.place,
        )


def _doubtful(one: Typed, large: bool) -> bool:
    most = max(abs(number) for number in one.numbers)
    if one.key in ROOMS:
        return most >= LEAST_ROOM
    return large and most >= (LEAST_HEIGHT if one.key in HEIGHTS else LEAST_SIDE)
