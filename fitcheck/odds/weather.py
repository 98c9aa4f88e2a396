"""Humidity is taken by the direction of the grain; what is not known is said, never guessed."""

from __future__ import annotations

import itertools

from fitcheck.findings import Finding, Severity
from fitcheck.fit.assembly import Assembly
from fitcheck.odds.making import Grains
from fitcheck.pattern.sheet import Axis

USUAL_SWELLING = "a tag card's maker gives up to 0.000045 along its grain, 0.000127 across"
"""From the specification that the shipped tag card's file names: 0.25 and 0.70 % over 55 %."""


def possible_grains(assembly: Assembly) -> tuple[Grains, ...]:
    """Every way in which the grain may run in the parts whose paper moves with the weather."""
    ways: list[list[tuple[str, Axis]]] = []
    for part in assembly.parts:
        if part.recipe.stock.hygroexpansion is not None:
            given = grain_of(assembly, part.recipe.part)
            ways.append([(part.recipe.part, axis) for axis in ([given] if given else Axis)])
    return tuple(dict(way) for way in itertools.product(*ways))


def grain_of(assembly: Assembly, part: str) -> Axis | None:
    """The grain that the design gives for a part."""
    spec = assembly.design.part(part)
    return None if spec is None else spec.grain


def weather_findings(assembly: Assembly, taken: Grains) -> list[Finding]:
    """What is missing to judge the weather, and which way the grain was taken to run."""
    found = []
    unknown = dict.fromkeys(
        part.recipe.stock.name
        for part in assembly.parts
        if part.recipe.stock.hygroexpansion is None
    )
    found += [
        Finding(
            "humidity-not-known",
            f"{name}: how much it swells with humidity is not known, so these odds leave it out; "
            "add hygroexpansion = {along = ..., across = ...} to "
            f"calibration/stocks/{name}.toml: the share of its length that it grows for "
            f"each % of relative humidity; {USUAL_SWELLING}; learning the paper keeps it "
            "(fitcheck explain hygroexpansion)",
            Severity.CAUTION,
            name,
        )
        for name in unknown
    ]
    found += [
        Finding(
            "grain-not-given",
            f"the {part}'s grain is not given; taken along its {axis}, the worse of the two: "
            f'add grain = "{Axis.WIDTH}" or "{Axis.LENGTH}"',
            Severity.NOTE,
            part,
        )
        for part, axis in taken.items()
        if grain_of(assembly, part) is None
    ]
    return found
