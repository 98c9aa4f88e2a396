"""A design that was checked: its verdict, and everything that was worked out for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from fitcheck.errors import InputError
from fitcheck.face.contents import Content, contents_of
from fitcheck.face.designs import Design
from fitcheck.face.mates import Mate, mates_of
from fitcheck.face.odds import BOXES, Odds, odds_for
from fitcheck.face.parts import Part
from fitcheck.findings import Finding
from fitcheck.fit.check import Check
from fitcheck.fit.check import check as check_drawn
from fitcheck.fit.upright import advised
from fitcheck.frozen_map import FrozenMap
from fitcheck.outputs.check_json import check_data
from fitcheck.outputs.check_text import check_text
from fitcheck.plain import shown


@dataclass(frozen=True, eq=False)
class Checked:
    """All that is known about a design as it is drawn; lengths in mm."""

    design: Design
    _check: Check = field(repr=False)

    @property
    def fits(self) -> bool:
        """Whether the box as drawn is right: mates as wanted, contents in, no part at odds with
        itself."""
        return self._check.fits

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that was noticed, faults, cautions and notes."""
        return advised(self._check)

    @cached_property
    def parts(self) -> Mapping[str, Part]:
        """The folded parts by name, the base first."""
        drawn = self._check.design
        return FrozenMap(
            {part.recipe.part: Part(part, drawn) for part in self._check.assembly.parts}
        )

    @cached_property
    def mates(self) -> tuple[Mate, ...]:
        """How the parts go together, the lid first."""
        return mates_of(self._check)

    @cached_property
    def contents(self) -> tuple[Content, ...]:
        """What goes in, in the order of the design."""
        return contents_of(self._check)

    def odds(
        self,
        boxes: int = BOXES,
        seed: int = 0,
        humidity: tuple[float, float] | None = None,
    ) -> Odds:
        """Virtual boxes, made as exactly as the tools and papers allow; seconds of work.

        `humidity` (low, high) is the air that the box will meet, in % relative humidity; papers
        keep the size they were measured at where it is None. The same seed draws the same boxes.
        Raises InputError for numbers out of range, and where boxes that are off by their
        uncertainties cannot be folded.
        """
        return odds_for(self._check, boxes, seed, humidity)

    def data(self) -> dict[str, Any]:
        """What `check --json` writes without odds, as plain data."""
        return check_data(self._check)

    def text(self) -> str:
        """What `check` prints without odds."""
        return check_text(self._check, None)

    def __repr__(self) -> str:
        return f"Checked({self.design.name!r}, fits={self.fits})"


def check(design: Design) -> Checked:
    """Fold a design, put it together and put the contents in.

    Raises InputError for what is no design and where a part cannot be folded as it is drawn.
    """
    if not isinstance(design, Design):
        raise InputError(
            f"check: read {shown(design)}; allowed: a Design; give what fitcheck.read or "
            "fitcheck.build returns"
        )
    return Checked(design, check_drawn(design._drawn))
