"""The check of a design: every part folded, the lid lowered, the contents put in, all judged."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from fitcheck.cautions import content_cautions
from fitcheck.design.model import Design
from fitcheck.errors import FitcheckError
from fitcheck.findings import Finding
from fitcheck.fit.assembly import Assembly, assemble
from fitcheck.fit.contents import Cavity, ContentFit, ContentVerdict, fit_contents
from fitcheck.fit.grids import Compartments
from fitcheck.fit.heavy import heavy_findings
from fitcheck.fit.lid import LidFit
from fitcheck.fit.mate_remarks import grid_findings, mate_findings, pane_findings
from fitcheck.fit.mates import AnyFit, cover_name, cover_of, fit_mates
from fitcheck.fit.neck import fit_lid_of
from fitcheck.fit.paper_remarks import paper_findings, thick_findings
from fitcheck.fit.placed import Placed, parts_of
from fitcheck.fit.remarks import (
    content_findings,
    fold_findings,
    lid_findings,
    press_findings,
)
from fitcheck.fit.right import Deciding, right
from fitcheck.fit.rooms import cavity_in, ceiling_of
from fitcheck.fit.selffit import Press, ease_of, self_fit
from fitcheck.fit.sheets import bought_findings, sheet_findings
from fitcheck.fit.stood import neck_of, stood_in
from fitcheck.fit.turn_fit import TurnFit
from fitcheck.fit.typed_units import fraction_findings, typed_findings
from fitcheck.styles.mates import Over
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
    over_grid_mm: float | None = None
    """How much lower the strips in the base are than what closes it; None without either."""

    @property
    def compartments(self) -> Compartments | None:
        """Those that the base is divided into, each of which takes all contents; None without."""
        return stood_in(self.assembly).compartments

    @property
    def room(self) -> str:
        """What bounds the contents within the base, in words; nothing where the base does."""
        return room_words(self.assembly)

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
    def lifted_mm(self) -> float:
        """How far the table holds the lid up over the rim that it should rest on; 0 without."""
        return _lifted_mm(self.assembly, self.lid)

    @property
    def flush(self) -> bool:
        """Whether its lid's rim is to meet the base's, so that both have one outline."""
        return self.lid is not None and self.lid.line_mm is not None

    @property
    def neck(self) -> Placed | None:
        """What stands in the base for the lid to go over, in place; None without it."""
        return neck_of(self.assembly)

    def below_lid(self, piece: str) -> str:
        """The part that the lid meets a piece of: the base, or the neck that stands in it."""
        part = None if self.neck is None else self.assembly.part(self.neck.mate.mover)
        panels = set() if part is None else {panel.name for panel in part.pattern.panels}
        return part.recipe.part if part and panels.issuperset(piece.split(" / ")) else "base"

    @property
    def steps_mm(self) -> tuple[float, float]:
        """How far the lid's outside stands out over the base's at their rims, on each side of the
        width and of the length, both in the middle of their play; negative where it stands back."""
        lid, base = self.assembly.lid, self.assembly.base
        assert lid is not None, "there is a lid"
        (wide, long), (width, length) = lid.sizes.outside_mm, base.sizes.outside_mm
        return 0.5 * (wide - width), 0.5 * (long - length)

    @property
    def most_step_mm(self) -> float:
        """The same at the most, with lid and neck pushed to one side as far as they go."""
        assert self.lid is not None and self.neck is not None, "a lid goes over a neck"
        (neck,) = (one for one in self.mates if one.mate == self.neck.mate)
        plays = [
            sum(max(0.0, own.travels[k].play_mm) for own in (self.lid.slide, neck.slide))
            for k in (0, 1)
        ]
        return max(abs(step) + 0.5 * play for step, play in zip(self.steps_mm, plays, strict=True))

    @property
    def deciding(self) -> Deciding:
        """The lengths that decide whether the box is right."""
        lid = self.lid
        placed = [fit.verdict is ContentVerdict.FITS for fit in self.contents]
        wider_mm = max(
            (max(one.plays.values()) for one in self.mates if one.mate.steadied), default=-math.inf
        )
        found = Deciding(
            slacks_mm=tuple(0.0 if there else -math.inf for there in placed),
            ease_mm=tuple(ease_of(presses) for presses in self.presses.values()),
            wider_mm=wider_mm,
            mates_mm=tuple(one.play_mm for one in self.mates),
        )
        if self.over_grid_mm is not None:
            found = replace(found, slacks_mm=(*found.slacks_mm, self.over_grid_mm))
        if lid is None:
            return found
        return replace(
            found,
            play_mm=-math.inf if lid.slide.blocked_by else lid.slide.play_mm,
            wider_mm=max(lid.slide.wider.play_mm, wider_mm),
            rim_mm=lid.rim_mm,
            lands_mm=None if lid.lands_mm is None else max(lid.lands_mm),
        )

    @property
    def fits(self) -> bool:
        """True when the box as drawn is right."""
        return bool(right(self.deciding, self.design.bands, self.design.want))


def check(design: Design, progress: Progress = SILENT, *, ways: bool = True) -> Check:
    """Check a design. Raises InputError or ModelError when it cannot be folded at all.

    `ways` looks for the way in of what is tucked in, too.
    """
    return check_assembly(assemble(design, progress), progress, ways=ways)


def checked(design: Design, *, ways: bool = True) -> Check | None:
    """The check of a design; None when it cannot be folded at all."""
    try:
        return check(design, ways=ways)
    except FitcheckError:
        return None


def check_assembly(assembly: Assembly, progress: Progress = SILENT, *, ways: bool = True) -> Check:
    """Check parts that are folded already."""
    design = assembly.design
    lid = fit_lid_of(assembly, design.bands)
    mates = fit_mates(assembly, design.bands, ways=ways)
    ceiling = ceiling_of(assembly, lid)
    cavity = cavity_in(assembly, ceiling)
    contents = fit_contents(cavity, design.contents, progress) if design.contents else ()
    presses = {part.recipe.part: self_fit(part.folded) for part in assembly.parts}
    unit = design.unit
    over_grid = _over_grid(assembly, ceiling)
    findings = (
        *(_lid_findings(assembly, lid, contents) if lid else ()),
        *(one for mate in mates for one in mate_findings(mate, assembly)),
        *grid_findings(assembly, mates, over_grid),
        *pane_findings(assembly, contents),
        *content_findings(contents, assembly.rooms, room_words(assembly)),
        *(one for p in assembly.parts for one in press_findings(p, presses[p.recipe.part], unit)),
        *(one for part in assembly.parts for one in fold_findings(part, unit)),
        *paper_findings(assembly),
        *thick_findings(assembly),
        *sheet_findings(assembly),
        *bought_findings(assembly),
        *typed_findings(assembly),
        *fraction_findings(assembly),
        *content_cautions(content.item for content in design.contents),
        *heavy_findings(assembly),
    )
    return Check(assembly, lid, mates, cavity, contents, presses, findings, over_grid)


def _lid_findings(
    assembly: Assembly, lid: LidFit, contents: tuple[ContentFit, ...]
) -> Iterator[Finding]:
    """What is wrong with how a lid goes on, beside the sizes of what it goes over."""
    design = assembly.design
    under = next((mate.holder for mate in design.mates if isinstance(mate, Over)), "base")
    own, holder = assembly.lid, assembly.part(under)
    over = (math.inf, math.inf)
    if own is not None and holder is not None:
        inside, outside = own.sizes.inside_mm, holder.sizes.outside_mm
        over = inside[0] - outside[0], inside[1] - outside[1]
    yield from lid_findings(lid, design, _deeper_mm(assembly, lid, contents), over)


def room_words(assembly: Assembly) -> str:
    """What bounds the contents within the base; nothing where the base does."""
    stood = stood_in(assembly)
    if stood.compartments is not None:
        return "a compartment"
    return "" if stood.inside_mm is None else "the insert's window"


def _over_grid(assembly: Assembly, ceiling_mm: float | None) -> float | None:
    """How much lower the strips in the base are than what closes it, mm."""
    stood = stood_in(assembly)
    if ceiling_mm is None or not (stood.raised or stood.inside_mm):
        return None
    tops = [own.tops_mm([parts_of(own.mate, assembly)])[0] for own in stood.mates]
    return ceiling_mm + assembly.base.folded.caliper_mm - max(tops)


def _lifted_mm(assembly: Assembly, lid: LidFit | None) -> float:
    if lid is None or lid.reveal_mm >= 0.0 or neck_of(assembly) is not None:
        return 0.0
    ceiling = ceiling_of(assembly, lid)
    assert ceiling is not None, "there is a lid"
    return ceiling + assembly.base.folded.caliper_mm - assembly.base.sizes.height_mm


def _deeper_mm(assembly: Assembly, lid: LidFit, contents: tuple[ContentFit, ...]) -> float:
    """How much deeper the base has to be for what goes in, where the table holds up its lid; 0
    where nothing is too high."""
    heights = [fit.slack.height_mm for fit in contents if fit.slack is not None]
    short = -min(heights, default=0.0)
    return _lifted_mm(assembly, lid) + short if 0.0 < short < math.inf else 0.0
