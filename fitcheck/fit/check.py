"""The check of a design: every part folded, the lid lowered, the contents put in, all judged."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.design.model import Design
from fitcheck.findings import Finding, Severity
from fitcheck.fit.assembly import Assembly, assemble
from fitcheck.fit.cautions import content_cautions
from fitcheck.fit.contents import Cavity, ContentFit, ContentVerdict, cavity_of, fit_contents
from fitcheck.fit.lid import LidFit, LidVerdict, fit_lid
from fitcheck.fit.selffit import Press, self_fit
from fitcheck.fit.sheets import sheet_findings
from fitcheck.workspace.progress import SILENT, Progress


@dataclass(frozen=True, eq=False)
class Check:
    """All that is known about a design."""

    assembly: Assembly
    lid: LidFit | None
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
    def fits(self) -> bool:
        """True when nothing stands against making it."""
        return not any(finding.severity is Severity.FAULT for finding in self.findings)


def check(design: Design, progress: Progress = SILENT) -> Check:
    """Check a design. Raises InputError or ModelError when it cannot be folded at all."""
    return check_assembly(assemble(design, progress), progress)


def check_assembly(assembly: Assembly, progress: Progress = SILENT) -> Check:
    """Check parts that are folded already."""
    design, base = assembly.design, assembly.base
    lid = fit_lid(base, assembly.lid, design.bands) if assembly.lid else None
    ceiling = _ceiling(assembly, lid)
    cavity = cavity_of(base.folded, base.sizes.inside_mm, base.sizes.depth_mm, ceiling)
    contents = fit_contents(cavity, design.contents, progress) if design.contents else ()
    presses = {part.recipe.part: self_fit(part.folded) for part in assembly.parts}
    findings = (
        *_lid_findings(lid),
        *(_content_finding(fit) for fit in contents if fit.verdict is not ContentVerdict.FITS),
        *(_press_finding(part, press) for part, found in presses.items() for press in found),
        *_paper_findings(assembly),
        *sheet_findings(assembly),
        *content_cautions(content.item for content in design.contents),
    )
    return Check(assembly, lid, cavity, contents, presses, findings)


def _ceiling(assembly: Assembly, lid: LidFit | None) -> float | None:
    """Height of the closed lid's inside face above the floor's; None without a lid.

    A lid that falls into the base, or is held up by the table, leaves at least the base's depth.
    """
    if lid is None or assembly.lid is None:
        return None
    base = assembly.base
    closed = lid.closed_height_mm - assembly.lid.folded.caliper_mm
    return max(closed, base.sizes.height_mm) - base.folded.caliper_mm


def _lid_findings(lid: LidFit | None) -> list[Finding]:
    if lid is None:
        return []
    found = []
    if lid.slide.blocked_by:
        outer, inner = lid.slide.blocked_by
        found.append(
            Finding(
                "lid-blocked",
                f"the lid's {outer} runs into the base's {inner} on its way down",
                Severity.FAULT,
                "lid",
            )
        )
    elif lid.verdict is LidVerdict.BINDS:
        found.append(
            Finding(
                "lid-binds",
                "the lid is too small: it presses on the base instead of sliding over it",
                Severity.FAULT,
                "lid",
                {"play_mm": lid.slide.play_mm},
            )
        )
    if lid.verdict is LidVerdict.LOOSE:
        found.append(
            Finding(
                "lid-loose",
                "the lid goes on but has so much play that it may fall off",
                Severity.CAUTION,
                "lid",
                {"play_mm": lid.slide.play_mm},
            )
        )
    if lid.reveal_mm < -1e-9:
        found.append(
            Finding(
                "lid-too-deep",
                "the lid's rim meets the table before the lid rests on the base: make the lid "
                "shallower or the base deeper",
                Severity.FAULT,
                "lid",
                {"by_mm": -lid.reveal_mm},
            )
        )
    return found


def _content_finding(fit: ContentFit) -> Finding:
    count = f"{fit.content.count} x " if fit.content.count > 1 else ""
    return Finding(
        "content-does-not-fit"
        if fit.verdict is ContentVerdict.DOES_NOT_FIT
        else "content-not-placed",
        f"{count}{fit.content.item.name}: {fit.reason}",
        Severity.FAULT,
        fit.content.item.name,
    )


def _press_finding(part: str, press: Press) -> Finding:
    cure = (
        f"cut {press.trim.by_mm:.2f} mm off the {press.trim.panel}"
        if press.trim
        else "change the depths or the frame"
    )
    return Finding(
        "self-press",
        f"the {part}'s {press.pieces[0]} presses {press.press_mm:.2f} mm into its "
        f"{press.pieces[1]}: {cure}",
        Severity.FAULT,
        part,
        {"press_mm": press.press_mm},
    )


def _paper_findings(assembly: Assembly) -> list[Finding]:
    """A paper whose crease was never measured is judged by a rule, and that has to be said."""
    guessed = {p.recipe.stock.name: p.recipe.stock for p in assembly.parts}
    return [
        Finding(
            "crease-not-measured",
            f"{stock.name}: its crease was not measured; {stock.crease_allowance_mm:.2f} mm of "
            f"allowance is a rule of thumb, give or take {stock.crease_allowance_u_mm:.2f} mm: "
            "fold a coupon to know",
            Severity.NOTE,
            stock.name,
        )
        for stock in guessed.values()
        if not stock.calibrated
    ]
