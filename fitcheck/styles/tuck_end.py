"""A carton as a style: its keys, what it settles by itself, and what cannot be folded.

A tube that is glued shut and tucked in at both ends; `carton` draws it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import Field

from fitcheck.pattern.pattern import Pattern
from fitcheck.stock.tools import Tools
from fitcheck.styles.carton import EASE_MM, LID, TUCK_EASE_MM, LockKind, TuckEndRecipe, carton
from fitcheck.styles.keys import PartFile, Sides
from fitcheck.styles.mates import Mate, Tucked
from fitcheck.styles.own_lengths import OwnLength
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.styles.style import FEW_CALIPERS, Problem, Problems, Style
from fitcheck.styles.walls import usual_seam_mm
from fitcheck.units import Unit, show_length
from fitcheck.workspace.lengths import Length

USUAL_TUCK_MM = 15.9
"""Five eighths of an inch hold a lid (common practice, no source)."""
TUCK_SHARE = 0.5
"""Of the way from the back to the front wall, at the most, so that the flap goes in by hand."""
CLEAR_MM = 1.6
"""What lid and tuck flap are narrower than the box, both sides together (about 1/16 in)."""
USUAL_SLIT_MM = 4.8
"""A slit of three sixteenths of an inch holds (common practice, no source)."""
DEEP_SHARE = 0.4
"""Of the walls, so that the tuck flaps of both ends do not meet."""
SHOULDER_SHARE = 0.4
"""Of the side flaps, so that they are more than shoulders."""
SLIT_SHARE = 0.12
"""Of the lid's width, so that most of the crease is left."""
OPEN_RAD = 0.0
"""The lid stands up from the back wall."""


class TuckEndFile(PartFile):
    """The keys of a carton."""

    style: Literal["tuck-end"] = Field(description='The style: "tuck-end".')
    floor: Sides | None = Field(default=None, description="A list [width, length], score to score.")
    inside: Sides | None = Field(
        default=None, description="A list [width, length] between what stands inside the walls."
    )
    depth: Length = Field(
        description="The side walls, a length from score to score; the back wall, which carries "
        "the lids, is a caliper higher at each end."
    )
    tuck: Length | None = Field(
        default=None,
        description="How deep the tuck flaps are, a length from score to cut edge; default: five "
        "eighths of an inch, or half the length of a shorter box.",
    )
    dust_flap: Length | None = Field(
        default=None,
        description="How long the flaps at the side walls' ends are, a length from score to cut "
        "edge; default: they nearly meet, or are as long as the lid.",
    )
    lock: Annotated[LockKind, Field(strict=False)] = Field(
        default=LockKind.SLIT,
        description='What holds the lids: "slit", or "none" for friction alone.',
    )
    slit: Length | None = Field(
        default=None,
        description="How far the lids' creases are slit at each end, a length; default: three "
        "sixteenths of an inch, or what a narrow lid has room for.",
    )
    clear: Length = Field(
        default=CLEAR_MM,
        description="How much narrower the lids are than the room between the side walls, both "
        f"sides together, a length; default {CLEAR_MM:g} mm.",
    )
    short: Length | None = Field(
        default=None,
        description="How much shorter the lids are than the floor, score to score, a length; "
        f"default: the paper's thickness and {TUCK_EASE_MM:g} mm.",
    )
    seam: Length | None = Field(
        default=None,
        description="The glued flap's width, a length; default: half an inch, or what a narrow "
        "back wall has room for; it is cut wider by the paper and the glue that the wall on it is "
        "shorter by.",
    )


@dataclass(frozen=True, kw_only=True)
class TuckEndSpec(PartSpec):
    """What a design says about a carton; None where it leaves a length to the style."""

    tuck_mm: float | None
    dust_flap_mm: float | None
    lock: LockKind
    slit_mm: float | None
    clear_mm: float
    seam_mm: float | None
    short_mm: float | None = None

    gaps = (OwnLength("clear", "clear"), OwnLength("short", "short"))
    still = ("tuck_mm", "dust_flap_mm", "seam_mm")


class TuckEnd(Style[TuckEndSpec, TuckEndRecipe]):
    """A carton that brings its own lid."""

    name = "tuck-end"
    summary = "a carton in one piece: a glued tube, a lid at each end that is tucked in"
    places = ("base",)
    file = TuckEndFile
    sizes = (SizeBy.FLOOR, SizeBy.INSIDE)
    closes_itself = True
    draws_floor = False  # its ends close over flaps, so that they are smaller than its room

    def spec(self, common: Mapping[str, Any], file: TuckEndFile) -> TuckEndSpec:
        """What a table says."""
        return TuckEndSpec(
            **common,
            tuck_mm=file.tuck,
            dust_flap_mm=file.dust_flap,
            lock=file.lock,
            slit_mm=file.slit,
            clear_mm=file.clear,
            short_mm=file.short,
            seam_mm=file.seam,
        )

    def recipe(
        self, spec: TuckEndSpec, size_mm: tuple[float, float], joint_mm: float, tools: Tools | None
    ) -> TuckEndRecipe:
        """The recipe on a floor of that size."""
        own = {f"{key}_mm": mm for key, mm in settled(spec, size_mm).items()}
        return TuckEndRecipe.of(
            spec, size_mm, joint_mm, tools, lock=spec.lock, clear_mm=spec.clear_mm, **own
        )

    def draw(self, recipe: TuckEndRecipe) -> Pattern:
        """From the left fence: seam flap, right, front, left and back wall, which carries lids."""
        return carton(recipe)

    def mates(self, spec: TuckEndSpec) -> tuple[Mate, ...]:
        """Its lid is tucked in."""
        return (Tucked(spec.name, spec.name, LID, OPEN_RAD),)

    def floor_problems(
        self,
        spec: TuckEndSpec,
        floor: tuple[float, float] | None,
        joint_mm: float,
        unit: Unit,
    ) -> Problems:
        """A box too narrow for its flaps, and flaps that have no room in it."""
        caliper = spec.stock.caliper_mm
        few = FEW_CALIPERS * caliper
        if spec.depth_mm <= few:
            yield _too_small(spec, "depth", "is too low a wall to fold", spec.depth_mm, few, unit)
            return
        if floor is None:
            return
        width, length = floor
        least = few + 3.0 * (caliper + EASE_MM) + joint_mm
        if min(floor) <= least:
            yield (
                f"{spec.name}.{spec.size_by}",
                "leaves nothing of the flaps at the side walls' ends",
                f"read a smaller side of {show_length(min(floor), unit)}",
                f"allowed: above {show_length(least, unit)}",
                "make it larger",
            )
            return
        own = settled(spec, floor)
        inset = spec.bite_mm + 0.5 * spec.clear_mm
        shoulder = inset + own["slit"] if spec.lock is LockKind.SLIT else 0.0
        most = {
            "clear": width - 2.0 * caliper - few,
            "short": length - few,
            "tuck": min(length, 0.5 * spec.depth_mm - few),
            "slit": 0.5 * width - inset - few,
            "dust_flap": min(0.5 * width, own["tuck"] + length) - caliper,
            "seam": width - few,
        }
        words = {
            "clear": "leaves nothing of the lids",
            "short": "leaves nothing of the lids",
            "tuck": "is too deep: both ends' tuck flaps meet, or are longer than the lid",
            "slit": "leaves nothing of the lid's crease",
            "dust_flap": "is too long: the flaps of both walls meet, or reach beyond the sheet",
            "seam": "is wider than the wall that it is glued to",
        }
        for key, allowed in most.items():
            read = own.get(key, spec.clear_mm)
            if read > allowed:
                yield (
                    f"{spec.name}.{key}",
                    words[key],
                    f"read {show_length(read, unit)}",
                    f"allowed: up to {show_length(max(0.0, allowed), unit)}",
                    "make it smaller" if getattr(spec, f"{key}_mm") else "give a smaller one",
                )
                return
        for key, allowed in {"tuck": few, "dust_flap": shoulder + few}.items():
            if own[key] <= allowed:
                what = "is too short to fold" if key == "tuck" else "is all shoulder"
                yield _too_small(spec, key, what, own[key], allowed, unit)


def _too_small(
    spec: TuckEndSpec, key: str, what: str, read_mm: float, above_mm: float, unit: Unit
) -> Problem:
    return (
        f"{spec.name}.{key}",
        what,
        f"read {show_length(read_mm, unit)}",
        f"allowed: above {show_length(above_mm, unit)}",
        "make it larger",
    )


def settled(spec: TuckEndSpec, floor_mm: tuple[float, float]) -> dict[str, float]:
    """Its lengths by their keys, what is left to the style settled."""
    width, length = floor_mm
    flap = min(0.5 * width - EASE_MM, length) if spec.dust_flap_mm is None else spec.dust_flap_mm
    usual = {
        "tuck": min(USUAL_TUCK_MM, TUCK_SHARE * length, DEEP_SHARE * spec.depth_mm),
        "dust_flap": flap,
        "slit": min(USUAL_SLIT_MM, SLIT_SHARE * width, SHOULDER_SHARE * flap),
        "seam": usual_seam_mm(width),
        "short": spec.stock.caliper_mm + TUCK_EASE_MM,
    }
    said = {key: getattr(spec, f"{key}_mm") for key in usual}
    return {key: usual[key] if mm is None else float(mm) for key, mm in said.items()}
