"""The two views of a checked box: closed up as folded, and taken apart along its parts' paths."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fitcheck.fit.assembly import Part
from fitcheck.fit.check import Check
from fitcheck.folding.hinges import chosen, refolded
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import UP, translation
from fitcheck.outputs.report.bodies import bodies_of
from fitcheck.outputs.report.magnified import Magnified, inset_drawing, magnified
from fitcheck.outputs.report.places import Place
from fitcheck.outputs.report.section import Section
from fitcheck.outputs.report.standing import standing
from fitcheck.outputs.report.svg import Drawing
from fitcheck.outputs.report.views.projection import camera
from fitcheck.outputs.report.views.solids import (
    BASE,
    CONTENT,
    LID,
    Solid,
    Tones,
    body_solid,
    part_solids,
)
from fitcheck.outputs.report.views.view import outward, view
from fitcheck.stock.paper import Stock
from fitcheck.workspace.colours import rgb

OPENED = 0.55
"""How far the folded view opens the lid, as a share of the base's footprint."""
APART_MM = 12.0
HOW = {"lid": "lifted"}
AJAR = 0.25
"""How far a lid in one piece with the base is closed in the views, of the whole way."""


def folded_view(check: Check, places: tuple[Place, ...], section: Section | None = None) -> Drawing:
    """The folded base with its contents, what closes it moved so far that they are seen.

    With a section its gap is shown magnified beside the box.
    """
    base = check.assembly.base
    lift = OPENED * max(base.sizes.outside_mm)
    opened = check.cover or "lid"
    how = "open" if check.turns else f"{HOW.get(opened, 'moved')} along its path"
    words = _words(check, f"with the {opened} {how}")
    shown = tuple(place for place in places if place.part == "base")
    glass = None if section is None else magnified_gap(check, section)
    solids = _solids(check, 0.0, lift)
    return view("folded", f"{check.design.title}: folded", words, solids, shown, glass)


def magnified_gap(check: Check, section: Section) -> Magnified:
    """The gap of a section in the colours of the two papers."""
    stocks = {part.recipe.part: part.recipe.stock for part in check.assembly.parts}
    tones = [
        tones_of(stocks[name], usual)
        for name, usual in ((section.over, LID), (section.under, BASE))
    ]
    return magnified(section, (shade(tones[0]), shade(tones[1])))


def inset_view(check: Check, section: Section) -> Drawing:
    """The gap of a section magnified, its sides as the usual view has them."""
    shown = magnified_gap(check, section)
    return inset_drawing(shown, outward(shown, camera()))


def shade(tones: Tones) -> str:
    """The colour of a paper's outside in full light, `#rrggbb`."""
    return "#" + "".join(f"{round(255 * tones.outside * own):02x}" for own in tones.tint)


def exploded_view(check: Check) -> Drawing:
    """Base, contents and what closes it drawn apart along the path that they go together by."""
    base = check.assembly.base
    bodies = bodies_of(check)
    height = base.sizes.height_mm
    tall = max((float(np.ptp(body.vertices[:, 2])) for body in bodies), default=0.0)
    out = height + APART_MM + 0.45 * max(base.sizes.outside_mm)
    taken_out = out
    tops = [
        float(one.part.pieces.moved(one.pose).bounds[1][:, 2].max()) + APART_MM
        for one in standing(check)
        if one.stays
    ]
    out += max(tops, default=0.0)
    lift = out + tall + APART_MM + (0.45 * max(base.sizes.outside_mm) if bodies else 0.0)
    words = _words(check, f"drawn apart, contents between base and {check.cover or 'lid'}")
    solids = _solids(check, out, lift, taken_out)
    return view("exploded", f"{check.design.title}: taken apart", words, solids)


def _solids(
    check: Check, content_lift: float, cover_lift: float, inner_lift: float = 0.0
) -> list[Solid]:
    base, *others = standing(check)
    stocks = {part.recipe.part: part.recipe.stock for part in check.assembly.parts}
    solids = part_solids(opened_base(check), base.pose, tones_of(stocks[base.name], BASE))
    for one in others:
        if one.stays:
            tones = tones_of(stocks[one.name], BASE)
            solids += part_solids(one.part, translation(UP * inner_lift) @ one.pose, tones)
    for body in bodies_of(check):
        solids.append(
            body_solid(body.vertices + UP * content_lift, body.faces, body.smooth, CONTENT)
        )
    for one in others:
        if one.stays:
            continue
        tones = tones_of(stocks[one.name], LID)
        solids += part_solids(one.part, one.led(cover_lift), tones)
    return solids


def tones_of(stock: Stock, usual: Tones) -> Tones:
    """The tones of a paper in its colour and print; without a colour those of its part."""
    if stock.colour is None:
        return replace(usual, printed=stock.printed)
    return Tones(BASE.outside, BASE.inside, BASE.edge, rgb(stock.colour), stock.printed)


def opened_base(check: Check) -> FoldedPart:
    """The base, a lid that it brings turned open, and what is turned in below that lid."""
    part = check.assembly.base.folded
    ajar = {
        fit.mate.panel: np.array(
            [fit.mate.start_rad + AJAR * (fit.closed_rad - fit.mate.start_rad)]
        )
        for fit in check.turns
    }
    for tuck in part.pattern.tucks:
        if tuck.lid in ajar:
            # lid and flap straight up, out of the way of what is turned in below
            ajar |= {tuck.lid: np.zeros(1), tuck.flap: np.zeros(1)}
            ajar |= {name: np.array([AJAR * part.angles[name]]) for name in tuck.under}
    if not ajar:
        return part
    return refolded(chosen(part.among, np.array([part.box])), ajar).part(0)


def _words(check: Check, how: str) -> str:
    each = check.assembly.rooms
    named = [f"{each * fit.content.count} x {fit.content.item.name}" for fit in check.contents]
    inside = f" holding {', '.join(named)}" if named else ""
    parts = " and ".join(_called(part) for part in check.assembly.parts)
    return f"A {parts}{inside}, {how}."


def _called(part: Part) -> str:
    """A part by its style and what it is to the others; strips have their style's name already."""
    style, name = part.recipe.style, part.recipe.part
    return name if style == name or part.pattern.row is not None else f"{style} {name}"
