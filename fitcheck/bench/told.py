"""What the page shows of a checked design, as plain data with the words of the other outputs."""

from __future__ import annotations

from typing import Any

import numpy as np

from fitcheck.cautions import content_cautions
from fitcheck.design.model import Design
from fitcheck.design.rules import KEYS
from fitcheck.feel.feel import feel_of
from fitcheck.findings import Severity
from fitcheck.fit.check import Check
from fitcheck.fit.cures import cures_of
from fitcheck.fit.upright import advised
from fitcheck.odds.result import Odds
from fitcheck.outputs.bench_words import advice_words, of_100, right_words, rounded_costs
from fitcheck.outputs.check_text import check_text
from fitcheck.outputs.cure_text import cure_text
from fitcheck.outputs.feel_text import feel_words
from fitcheck.outputs.odds_text import counted, odds_text
from fitcheck.outputs.report.chances import shares_drawing, spread_drawing
from fitcheck.outputs.report.figures import Row, figures_of
from fitcheck.outputs.report.model import verdict_sentence
from fitcheck.outputs.report.places import places_of
from fitcheck.outputs.report.plan import outline_of
from fitcheck.outputs.report.plays import play_drawing
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.units import Unit
from fitcheck.workspace.size_texts import show_room

PULLED = (SizeBy.FLOOR, SizeBy.INSIDE, SizeBy.OPENING, SizeBy.OVERSIZE, SizeBy.CONTENTS)
"""Sizes that grow as much as the box does."""
ORDER = (Severity.FAULT, Severity.CAUTION, Severity.NOTE)


def told(check: Check) -> dict[str, Any]:
    """The verdict, what is to be heeded, and the plan that lengths are pulled on.

    What contents can do to somebody stands by itself, so that it is seen unasked.
    """
    hazards = content_cautions(content.item for content in check.design.contents)
    return {
        "fits": check.fits,
        "title": check.design.title,
        "verdict": verdict_sentence(check),
        "hazards": [finding.message for finding in hazards],
        "findings": [
            {"severity": finding.severity.value, "text": finding.message}
            for finding in sorted(advised(check), key=lambda one: ORDER.index(one.severity))
            if finding not in hazards
        ],
        "plan": plan_data(check),
    }


def told_more(check: Check) -> dict[str, Any]:
    """How the lid feels, and all figures; it may come a moment later."""
    figures, feel, bands = figures_of(check), feel_of(check), check.design.bands
    return {
        "feel": None if feel is None else f"The lid {feel_words(feel)}.",
        "short": _short(check),
        "tight": [place.words for place in places_of(check)],
        "plays": None if check.lid is None else play_drawing(check.lid, bands).inline(),
        "lid": [_row(row) for row in (*figures.plays, *figures.lid)],
        "parts": [
            {"name": name, "style": style, "rows": [_row(row) for row in rows]}
            for name, style, rows in figures.parts
        ],
        "contents": [
            {
                "what": f"{one.count} x {one.name}",
                "verdict": one.verdict,
                "lies": one.lies,
                "spare": [figure.text for figure in one.slack],
                "reason": one.reason,
            }
            for one in figures.contents
        ],
        "text": check_text(check),
    }


def _short(check: Check) -> list[str]:
    """What each line of contents that does not go in is short of, and what cures it."""
    unit = check.design.unit
    said = (
        (fit.content, "" if cure is None else cure_text(cure, fit.content.count, unit))
        for fit, cure in zip(check.contents, cures_of(check), strict=True)
    )
    return [f"{one.count} x {one.item.name}: {words}" for one, words in said if words]


def _row(row: Row) -> list[str]:
    return [row.label, " x ".join(figure.text for figure in row.figures)]


def plan_data(check: Check) -> dict[str, Any]:
    """The parts from above and from the side, and the contents in the base; mm."""
    design = check.design
    return {
        "parts": [_pulled(check, part) for part in design.parts if part.name in ("base", "lid")],
        "contents": _outlines(check),
    }


def _pulled(check: Check, spec: PartSpec) -> dict[str, Any]:
    """A part's sizes, and where its file says what is pulled."""
    part = check.assembly.part(spec.name)
    assert part is not None, "the parts of a design that stand alone are folded"
    sizes, unit = part.sizes, check.design.unit
    depth = spec.depth_mm if spec.own_depth else None
    return {
        "name": spec.name,
        "outside": [round(mm, 3) for mm in (*sizes.outside_mm, sizes.height_mm)],
        "inside": [round(mm, 3) for mm in (*sizes.inside_mm, sizes.depth_mm)],
        "said": [_said(mm, unit) for mm in (*sizes.outside_mm, sizes.height_mm)],
        "size": {"key": KEYS[spec.size_by], "mm": list(spec.size_mm)}
        if spec.size_by in PULLED
        else None,
        "depth": None if depth is None else {"key": "depth", "mm": depth},
    }


def _said(mm: float, unit: Unit) -> str:
    return show_room((mm,), unit, up=True)


def _outlines(check: Check) -> list[dict[str, Any]]:
    """The contents from above, low ones first, about the middle of the base."""
    room, rooms = check.cavity.room, check.compartments
    middles = [(0.0, 0.0)] if rooms is None else rooms.middles()
    placed = [
        (number, fit.content.item.name, place)
        for number, fit in enumerate(check.contents, start=1)
        for place in fit.placements
    ]
    corner = np.array([-0.5 * room.width_mm, -0.5 * room.length_mm])
    return [
        {
            "number": number,
            "name": name,
            "outline": [
                [round(x, 2), round(y, 2)]
                for x, y in (outline_of(place) + corner + np.array(middle)).tolist()
            ],
        }
        for middle in middles
        for number, name, place in sorted(placed, key=lambda one: one[2].z_mm)
    ]


def told_odds(check: Check, odds: Odds, better: str | None) -> dict[str, Any]:
    """How often boxes come out right, and the one change that helps most.

    `better` is the text of the design file with that change.
    """
    design: Design = check.design
    return {
        "boxes": odds.boxes,
        "right": of_100(odds.good),
        "rounded": rounded_costs(odds),
        "said": f"{right_words(odds, give=True)}.",
        "lines": [[whose, list(said)] for whose, said in counted(odds)],
        "spread": spread_drawing(odds.lid, design.bands, odds.boxes).inline() if odds.lid else None,
        "shares": drawn.inline() if (drawn := shares_drawing(odds.shares)) else None,
        "advice": None if odds.advice is None else advice_words(odds.advice),
        "better": better,
        "findings": [{"severity": f.severity.value, "text": f.message} for f in odds.findings],
        "text": odds_text(odds),
    }
