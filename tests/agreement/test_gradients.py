"""What the limits' gradients say of one input off, against boxes folded and fitted as a whole.

The other route knows no limits and no pairs: each box is folded with one input off to both sides,
its lid is lowered by its own fit and its content put in by itself; the difference of the two over
the distance is the slope (the central difference of any textbook on numerical analysis).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitcheck import kinds
from fitcheck.design.model import Content, Design, Item, Lay
from fitcheck.fit.check import check
from fitcheck.fit.lid import fit_lids
from fitcheck.odds.content_readings import SingleReader
from fitcheck.odds.landing import play_name
from fitcheck.odds.prospect import Prospect, take_prospect
from fitcheck.odds.quantities import RIM, slack_name
from fitcheck.odds.refitted import height_under, put_alone
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.paper import Stock
from fitcheck.styles.part import SizeBy
from fitcheck.styles.rolled import RolledSpec
from fitcheck.styles.walled import WalledSpec
from tests.agreement.test_odds_closed_forms import design
from tests.boxes import as_tray, paper

SAME_MM = 1e-9
FEW, MANY = 10, 200
"""Designs by default, and in the long tier."""


def _stock(name: str, caliper: float, share: float, *, measured: bool) -> Stock:
    found = paper(caliper, share * caliper if measured else None)
    u = 0.01 if measured else 0.15 * caliper
    return replace(found, name=name, caliper_u_mm=0.006, crease_allowance_u_mm=u)


def whole_model(prospect: Prospect, offsets: list[dict[str, float]]) -> list[dict[str, float]]:
    """What folding and fitting says of boxes with those errors, by the quantities' names."""
    found = prospect.check
    boxes = [made for made in prospect.workshop.make_all(offsets) if made is not None]
    assert len(boxes) == len(offsets)
    lids = fit_lids([(made.base, made.lid) for made in boxes if made.lid], found.design.bands)
    lengths: list[dict[str, float]] = []
    for lid in lids:
        plays = {play_name(axis): lid.slide.travel(axis).play_mm for axis in Axis}
        lengths.append(plays | {RIM: lid.rim_mm})
    single = [one for one in prospect.outlook.readers if isinstance(one, SingleReader)]
    if single:
        ceilings = [height_under(made, lid) for made, lid in zip(boxes, lids, strict=True)]
        for own, put in zip(
            lengths, put_alone(found, boxes, ceilings, single[0].pose), strict=True
        ):
            own[slack_name(0, Axis.WIDTH)] = put.width_mm
            own[slack_name(0, Axis.LENGTH)] = put.length_mm
    return lengths


def slopes_of(box: Design) -> tuple[np.ndarray, np.ndarray, list[str]]:
    """Slopes of each length with each input by the forms and by the whole model, (q, k)."""
    prospect = take_prospect(check(box))
    forms = prospect.forms()
    u = np.array([one.variate.u for one in forms.inputs])
    moved = np.flatnonzero(u > 0.0)
    trials = [{forms.inputs[k].name: sign * u[k]} for k in moved.tolist() for sign in (1.0, -1.0)]
    lengths = whole_model(prospect, trials)
    names = [name for name in lengths[0] if name in prospect.outlook.names]
    offsets = np.zeros((len(u), len(trials)))
    offsets[moved.repeat(2), np.arange(len(trials))] = np.tile([1.0, -1.0], len(moved)) * (
        u[moved].repeat(2)
    )
    said = prospect.outlook.evaluate(forms, offsets)
    ours, theirs = (
        np.array([[(row[2 * n] - row[2 * n + 1]) for n in range(len(moved))] for row in rows])
        for rows in (
            [said[prospect.outlook.row(name)] for name in names],
            [[own[name] for own in lengths] for name in names],
        )
    )
    steps = 2.0 * u[moved]
    return ours / steps, theirs / steps, names


def departures(seeds: range) -> np.ndarray:
    """How far all slopes of generated designs are from those of whole boxes."""
    apart = []
    for seed in seeds:
        ours, theirs, names = slopes_of(generated(seed))
        assert len(names) >= 2, seed
        apart.append(np.abs(ours - theirs).ravel())
    every = np.concatenate(apart)
    print(
        f"\n{len(every)} slopes of {len(seeds)} designs: median {np.median(every):.1e}, "
        f"999 of 1000 within {np.quantile(every, 0.999):.1e}, furthest {every.max():.1e}"
    )
    return every


def test_slopes_are_those_of_whole_boxes() -> None:
    every = departures(range(FEW))
    assert len(every) > 500
    assert np.median(every) < SAME_MM and every.max() < 1e-3


@pytest.mark.long
def test_slopes_of_very_many_designs() -> None:
    """A few bend by more over one standard uncertainty; 0.01 of 0.25 mm is still no play."""
    every = departures(range(1_000, 1_000 + MANY))
    assert np.median(every) < SAME_MM
    assert np.quantile(every, 0.999) < 2e-3 and every.max() < 0.02


def generated(seed: int) -> Design:
    """A lidded box of any style with or without a block in it, no two lengths alike."""
    rng = np.random.default_rng(seed)
    style = ("shadow-box", "tray")[seed % 2]
    wide, long = (float(x) for x in rng.uniform([55.0, 85.0], [80.0, 130.0]))
    depth = float(rng.uniform(16.0, 26.0))
    base_stock, lid_stock = (
        _stock(f"{name} paper", caliper, share, measured=bool(rng.random() < 0.6))
        for name, caliper, share in (
            ("base", float(rng.uniform(0.25, 0.4)), float(rng.uniform(0.3, 0.9))),
            ("lid", float(rng.uniform(0.15, 0.3)), float(rng.uniform(0.3, 0.9))),
        )
    )
    framed = style == "shadow-box"
    frame = float(rng.uniform(8.0, 11.0)) if framed else None
    rolled = {"frame_mm": frame, "inner_wall_mm": None, "flap_mm": 0.85 * (frame or 0.0)}
    base = (RolledSpec if framed else WalledSpec)(  # type: ignore[call-arg]
        name="base",
        style=style,
        stock=base_stock,
        size_by=SizeBy.FLOOR,
        size_mm=(wide, long),
        depth_mm=depth,
        tabs=list(Axis)[int(rng.integers(2))],
        **(rolled if framed else {}),
    )
    lid = replace(
        as_tray(base),
        name="lid",
        stock=lid_stock,
        size_by=SizeBy.OVERSIZE,
        size_mm=(float(rng.uniform(1.6, 3.2)), float(rng.uniform(1.6, 3.2))),
        depth_mm=float(rng.uniform(10.0, 14.0)),
        tabs=list(Axis)[int(rng.integers(2))],
    )
    room = 2.0 * (frame or 1.0) + 4.0
    block = Item(
        name="block",
        kind=kinds.BLOCK,
        size_mm=(wide - room, long - room, 0.5 * depth),
        corner_radius_mm=0.0,
        mesh_path=None,
        size_u_mm=(0.1, 0.12, 0.15),
        size_range_mm=None,
        source="invented for tests",
        hazards=frozenset(),
    )
    held = (Content(block, 1, Lay.FLAT),) if rng.random() < 0.5 else ()
    return replace(design(style, 2.0), contents=held).with_parts(base, lid)
