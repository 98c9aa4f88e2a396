"""Everything that the page shows, gathered from a check and, where there are any, its odds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fitcheck.design.model import LidVerdict
from fitcheck.feel.feel import feel_of
from fitcheck.findings import Finding, Severity
from fitcheck.fit.check import Check
from fitcheck.fit.mates import MateFit
from fitcheck.fit.remarks import SHOWS_MM
from fitcheck.fit.sheets import unheld_words
from fitcheck.fit.upright import advised
from fitcheck.odds.result import Odds
from fitcheck.outputs.bench_words import advice_words, right_words
from fitcheck.outputs.feel_text import feel_words
from fitcheck.outputs.odds_text import air_words, counted
from fitcheck.outputs.report.chances import shares_drawing, spread_drawing
from fitcheck.outputs.report.figures import Figures, figures_of
from fitcheck.outputs.report.inputs import Input, design_text, inputs_of
from fitcheck.outputs.report.places import Place, places_of
from fitcheck.outputs.report.plan import plan_drawing
from fitcheck.outputs.report.plays import play_drawing
from fitcheck.outputs.report.scene import scene_data
from fitcheck.outputs.report.section import section_of
from fitcheck.outputs.report.section_drawing import section_drawing
from fitcheck.outputs.report.sinking import sink_drawing
from fitcheck.outputs.report.standing import standing
from fitcheck.outputs.report.svg import Drawing
from fitcheck.outputs.report.thumbnails import Thumbnail, thumbnails_of
from fitcheck.outputs.report.views.scenes import folded_view, inset_view
from fitcheck.plain import joined, one_line
from fitcheck.workspace.progress import SILENT, Progress

GOES_ON = {
    LidVerdict.TIGHT: "the lid goes on with a push",
    LidVerdict.SNUG: "the lid goes on snugly",
    LidVerdict.SLIDES: "the lid slides on",
    LidVerdict.LOOSE: "the lid goes on, but loosely",
}
GOES_IN = {
    LidVerdict.BINDS: ("binds", "bind"),
    LidVerdict.TIGHT: ("is tight", "are tight"),
    LidVerdict.SNUG: ("is snug", "are snug"),
    LidVerdict.SLIDES: ("slides", "slide"),
    LidVerdict.LOOSE: ("is loose", "are loose"),
}
"""What one mover does, and what many do."""
STEPS = 4


@dataclass(frozen=True, eq=False)
class OddsPart:
    """The odds as the page shows them."""

    boxes: int
    lines: tuple[tuple[str, tuple[str, ...]], ...]
    """Whose, and what is said of 100 boxes, in the check's words."""
    spread: Drawing | None
    shares: Drawing | None
    about: str
    advice: str | None
    """The change that helps most, in one sentence."""
    findings: tuple[Finding, ...]


@dataclass(frozen=True, eq=False)
class Report:
    """What the page shows."""

    title: str
    fits: bool
    verdict: str
    """One sentence."""
    opened: str | None
    figures: Figures
    places: tuple[Place, ...]
    findings: tuple[Finding, ...]
    """Faults first, then cautions, then notes."""
    scene: dict[str, Any]
    still: Drawing
    inset: Drawing | None
    """The narrowest place magnified, for the corner of the turning view."""
    section: Drawing | None
    section_called: str
    """What it cuts."""
    plays: Drawing | None
    feel: str | None
    """How the lid feels, a sentence."""
    sinking: Drawing | None
    """How long it takes to sink, by its play."""
    plan: Drawing | None
    odds: OddsPart | None
    sheets: tuple[Thumbnail, ...]
    slides: bool
    """Whether what closes the box is a part that leaves along a path."""
    inputs: tuple[Input, ...]
    design_name: str
    design_text: str


def report_of(check: Check, odds: Odds | None = None, progress: Progress = SILENT) -> Report:
    """Gather the report of a check; with odds when they were worked out."""
    progress.step(0, STEPS, "drawing the box")
    places = places_of(check)
    section = section_of(check)
    still = folded_view(check, places, section)
    progress.step(1, STEPS, "drawing the section")
    progress.step(2, STEPS, "drawing the sheets")
    sheets = thumbnails_of(check)
    progress.step(3, STEPS, "writing the page")
    path, feel = check.design.path, feel_of(check)
    return Report(
        title=check.design.title,
        fits=check.fits,
        verdict=verdict_sentence(check) + _by_hand(odds),
        opened=check.cover,
        figures=figures_of(check),
        places=places,
        findings=_sorted(advised(check, odds.uprights if odds else None)),
        scene=scene_data(check, places),
        still=still,
        inset=inset_view(check, section) if section else None,
        section=section_drawing(section) if section else None,
        section_called=section.called.capitalize() if section else "",
        plays=play_drawing(check.lid, check.design.bands) if check.lid else None,
        feel=None if feel is None else f"The lid {feel_words(feel)}.",
        sinking=None if feel is None else sink_drawing(feel),
        plan=plan_drawing(check),
        odds=_odds_part(check, odds) if odds else None,
        sheets=sheets,
        slides=any(one.way.any() for one in standing(check)),
        inputs=inputs_of(check, _air(odds)),
        design_name=one_line(path.name) if path else check.design.name,
        design_text=design_text(check),
    )


def verdict_sentence(check: Check, where: str = "here") -> str:
    """The answer in one sentence, and another where no sheet of the workshop holds a part.

    `where` says whose workshop it is.
    """
    faults = [f for f in check.findings if f.severity is Severity.FAULT]
    if faults:
        more = len(faults) - 1
        rest = f" (and {more} more)" if more else ""
        return f"It does not go together: {faults[0].message.rstrip('.')}{rest}."
    said = []
    if check.lid is not None:
        play = check.lid.slide.tighter
        room = (
            f" with {play.play_mm:.2f} mm of play along the {play.axis}"
            if play.play_mm != float("inf")
            else ""
        )
        said.append(GOES_ON[check.lid.verdict] + room)
        if check.lid.gap_mm is not None:
            gap = check.lid.gap_mm
            shown = f"a line of {gap:.2f} mm shows below it"
            said.append(shown if gap > SHOWS_MM else "its rim meets the base")
    said += [
        f"the {fit.mate.called} {GOES_IN[fit.verdict][fit.mate.many]} in the "
        f"{fit.mate.holder} with {fit.slide.play_mm:.2f} mm of play"
        for fit in check.mates
        if isinstance(fit, MateFit)
    ]
    for turn in check.turns:
        said.append(f"the {turn.mate.called} closes with {turn.clearance_mm:.2f} mm to spare")
    if check.contents:
        said.append("the contents go in")
    unheld = unheld_words(check.assembly, where)
    but = f" But {unheld}." if unheld else ""
    return f"It goes together: {joined(said) or 'the parts fold without pressing'}.{but}"


def _by_hand(odds: Odds | None) -> str:
    """How often boxes come out right, to stand beside what the drawing gives."""
    if odds is None:
        return ""
    return f" That is as drawn; {right_words(odds)}."


def _sorted(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    order = (Severity.FAULT, Severity.CAUTION, Severity.NOTE)
    return tuple(sorted(findings, key=lambda finding: order.index(finding.severity)))


def _odds_part(check: Check, odds: Odds) -> OddsPart:
    bands = check.design.bands
    return OddsPart(
        boxes=odds.boxes,
        lines=tuple(counted(odds)),
        spread=spread_drawing(odds.lid, bands, odds.boxes) if odds.lid else None,
        shares=shares_drawing(odds.shares),
        about=odds.about,
        advice=advice_words(odds.advice) if odds.advice is not None else None,
        findings=odds.findings,
    )


def _air(odds: Odds | None) -> str | None:
    if odds is None or odds.humidity is None:
        return None
    return air_words(odds.humidity)
