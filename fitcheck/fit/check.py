"""The check of a design: every part folded, the lid lowered, the contents put in, all judged."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from fitcheck.cautions import content_cautions
from fitcheck.design.model import Design
from fitcheck.findings import Finding
from fitcheck.fit.assembly import Assembly, assemble
from fitcheck.fit.contents import Cavity, ContentFit, ContentVerdict, cavity_of, fit_contents
from fitcheck.fit.hinged import TurnFit
from fitcheck.fit.lid import LidFit, fit_lid
from fitcheck.fit.mates import AnyFit, cover_name, cover_of, fit_mates, height_below
from fitcheck.fit.remarks import (
    content_findings,
    fold_findings,
    lid_findings,
    mate_findings,
    paper_findings,
    press_findings,
)
from fitcheck.fit.right import Deciding, right
from fitcheck.fit.selffit import Press, ease_of, self_fit
from fitcheck.fit.sheets import sheet_findings
from fitcheck.workspace.progress import SILENT, Progress


@dataclass(frozen=True, eq=False)
class Check:
    """All that is known about a design."""

    assembly: Assembly
    lid: LidFit | None
    mates: tuple[AnyFit, ...]
    """How the other parts go together."""
    cavity: Cavity
    contents: tuple[ContentFit, ...]
    presses: dict[str, tuple[Press, ...]]
    """Self-fit by part."""
    findings: tuple[Finding, ...]

    @property
    def design(self) -> Design:
        """The design that was checked."""
        return self.assembly.design

    @property
    def turns(self) -> tuple[TurnFit, ...]:
        """How the lids close that are in one piece with their walls."""
        return tuple(one for one in self.mates if isinstance(one, TurnFit))

    @property
    def cover(self) -> str | None:
        """The part that lies over what is in the base; None where it stays open."""
        if self.lid is not None:
            return "lid"
        cover = cover_of(self.design)
        return None if cover is None else cover_name(cover)

    @property
    def deciding(self) -> Deciding:
        """The lengths that decide whether the box is right."""
        lid = self.lid
        placed = [fit.verdict is ContentVerdict.FITS for fit in self.contents]
        found = Deciding(
            slacks_mm=tuple(0.0 if there else -math.inf for there in placed),
            ease_mm=tuple(ease_of(presses) for presses in self.presses.values()),
            mates_mm=tuple(one.play_mm for one in self.mates),
        )
        if lid is None:
            return found
        return replace(
            found,
            play_mm=-math.inf if lid.slide.blocked_by else lid.slide.play_mm,
            wider_mm=lid.slide.wider.play_mm,
            rim_mm=lid.rim_mm,
        )

    @property
    def fits(self) -> bool:
        """True when the box as drawn is right."""
        return bool(right(self.deciding, self.design.bands, self.design.want))


def check(design: Design, progress: Progress = SILENT) -> Check:
    """Check a design. Raises InputError or ModelError when it cannot be folded at all."""
    return check_assembly(assemble(design, progress), progress)


def check_assembly(assembly: Assembly, progress: Progress = SILENT) -> Check:
    """Check parts that are folded already."""
    design, base = assembly.design, assembly.base
    lid = fit_lid(base, assembly.lid, design.bands) if assembly.lid else None
    mates = fit_mates(assembly, design.bands)
    ceiling = _ceiling(assembly, lid)
    cavity = cavity_of(base.folded.opened, base.sizes.inside_mm, base.sizes.depth_mm, ceiling)
    contents = fit_contents(cavity, design.contents, progress) if design.contents else ()
    presses = {part.recipe.part: self_fit(part.folded) for part in assembly.parts}
    unit = design.unit
    findings = (
        *(lid_findings(lid, design) if lid else ()),
        *(one for mate in mates for one in mate_findings(mate, assembly)),
        *content_findings(contents),
        *(one for p in assembly.parts for one in press_findings(p, presses[p.recipe.part], unit)),
        *(one for part in assembly.parts for one in fold_findings(part, unit)),
        *paper_findings(assembly),
        *sheet_findings(assembly),
        *content_cautions(content.item for content in design.contents),
    )
    return Check(assembly, lid, mates, cavity, contents, presses, findings)


def _ceiling(assembly: Assembly, lid: LidFit | None) -> float | None:
    """Height of what closes the box above the base's floor, inside; None where it stays open.

    A lid that falls into the base, or is held up by the table, leaves at least the base's depth.
    """
    if lid is None or assembly.lid is None:
        cover = cover_of(assembly.design)
        return None if cover is None else height_below(cover, assembly.folded)
    base = assembly.base
    closed = lid.closed_height_mm - assembly.lid.folded.caliper_mm
    return max(closed, base.sizes.height_mm) - base.folded.caliper_mm
