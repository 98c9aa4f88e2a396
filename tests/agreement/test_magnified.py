"""The magnified gap: its outline against sections by trimesh, and measured as one would a print."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
import trimesh

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.fit.frames import DIRECTIONS
from fitcheck.fit.lid import lid_pieces
from fitcheck.fit.stood import stood_parts
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.outputs.report.magnified import Magnified
from fitcheck.outputs.report.places import places_of
from fitcheck.outputs.report.section import Section, section_of
from fitcheck.outputs.report.views.hiding import seen_faces
from fitcheck.outputs.report.views.projection import camera
from fitcheck.outputs.report.views.scenes import OPENED, _solids, folded_view, magnified_gap
from fitcheck.outputs.report.views.view import _front
from fitcheck.pattern.sheet import Axis
from tests.cli.commands import FRAMED

MODELS = Path(__file__).resolve().parents[2] / "models"
LIDDED = ["harbour", "lantern", "rope", "picnic", "boathouse", "ferry", "slipway"]
WINDOW_MM = 6.0
"""So far from the gap, on either side and in height, the outlines are compared."""


@pytest.fixture(scope="module", params=[*LIDDED, "tight"])
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Check:
    if request.param != "tight":
        return check(read_design(MODELS / f"{request.param}.toml"))
    path = tmp_path_factory.mktemp("designs") / "tight.toml"
    path.write_text(FRAMED.read_text().replace('"1/16"', '"1/32"'))
    return check(read_design(path))


def sectioned(pieces: Sequence[ConvexPiece], axis: Axis, at_mm: float) -> shapely.Geometry:
    """The outline of pieces in a plane: along the axis, and height; by trimesh."""
    other = DIRECTIONS[Axis.LENGTH if axis is Axis.WIDTH else Axis.WIDTH]
    found = []
    for piece in pieces:
        body = trimesh.convex.convex_hull(piece.vertices)
        path = body.section(plane_origin=other * at_mm, plane_normal=other)
        if path is not None:
            for loop in path.discrete:
                flat = np.column_stack([loop @ DIRECTIONS[axis], loop[:, 2]])
                found.append(shapely.convex_hull(shapely.multipoints(flat)))
    return shapely.union_all(found)


def both(found: Check) -> tuple[Section, Magnified]:
    section = section_of(found)
    assert section is not None
    return section, magnified_gap(found, section)


def test_the_outlines_are_the_section_of_another_library(made: Check) -> None:
    section, shown = both(made)
    side = section.low
    middle = 0.5 * (side.nearest.outer_mm + side.nearest.inner_mm)
    lid, lid_part = made.lid, made.assembly.lid
    assert lid is not None and lid_part is not None
    pieces = list(made.assembly.base.folded.pieces)
    for part, pose in stood_parts(made.assembly):
        pieces += part.pieces.moved(pose)
    aside = lid.slide.tighter.middle_mm
    window = shapely.box(-WINDOW_MM, shown.level_mm - WINDOW_MM, WINDOW_MM, shown.level_mm + 3.0)
    for ours, own, by in (
        (shown.base, pieces, aside),
        (shown.lid, lid_pieces(lid_part.folded, lid.seat_mm), 0.0),
    ):
        raw = sectioned(own, section.axis, side.nearest.at_mm)
        theirs = shapely.transform(raw, lambda p, by=by: p * (-1.0, 1.0) + (middle - by, 0.0))
        seen, wanted = (shapely.intersection(shape, window) for shape in (ours, theirs))
        assert shapely.area(wanted) > 0.5
        assert shapely.area(shapely.symmetric_difference(seen, wanted)) < 5e-3


def numbers(mark: str) -> list[float]:
    return [float(v) for v in re.findall(r"-?\d+\.?\d*", re.sub(r"#\w+|data-\w+", "", mark))]


def test_the_drawn_gap_is_half_the_play_at_the_stated_scale(made: Check) -> None:
    section, shown = both(made)
    centre, radius = (60.0, 40.0), 20.0
    for outward in (1.0, -1.0):
        marks = shown.marks(centre, radius, outward)
        scale = shown.scale(radius)
        assert shown.label(radius)[1].endswith(f", {scale:g} : 1")
        edges = {}
        for part in ("lid", "base"):
            (mark,) = [m for m in marks if f'data-glass="{part}"' in m]
            d = re.search(r' d="([^"]*)"', mark)
            assert d is not None
            shapes = [
                shapely.Polygon(np.array(numbers(run)).reshape(-1, 2))
                for run in d[1].split("Z")
                if run.strip()
            ]
            edges[part] = shapely.union_all(shapes)
            far = shapely.get_coordinates(edges[part]) - centre
            assert np.hypot(*far.T).max() <= radius + 1e-3, "nothing outside the glass"
        tips = [m for m in marks if 'class="mark-tip"' in m]
        (x0, y0), (x1, y1) = (numbers(tip)[:2] for tip in tips)
        assert y0 == y1
        assert (x0 - x1) * outward == pytest.approx(0.5 * section.play_mm * scale, abs=1e-3)
        # the paper's faces at the arrows' height are where the arrows point, a leaning one near it
        base = shapely.intersection(edges["base"], shapely.box(0, y0 - 1e-3, 200, y0 + 1e-3))
        reach = base.bounds[2] if outward > 0 else base.bounds[0]
        assert reach == pytest.approx(x1, abs=0.02 * scale)


def test_the_place_is_seen_in_the_picture_and_an_arrow_leads_to_it(made: Check) -> None:
    """No face lies before it, and the arrow's head touches the ring round it."""
    (place, *_), lift = places_of(made), OPENED * max(made.assembly.base.sizes.outside_mm)
    seen = camera()
    _, faces, _ = _front(_solids(made, 0.0, lift), seen)
    at = np.array([place.at_mm]) @ seen.axes.T
    point, near = shapely.Point(at[0, :2]), at[0, 2]
    for face, shape in zip(faces, seen_faces(faces), strict=True):
        if shape.is_empty or not shapely.contains(shape, point):
            continue
        assert face.nearness(at[:, :2])[0] < near + 1.0, "it lies on what is seen there"
    section, _ = both(made)
    drawing = folded_view(made, (place,), section)
    rings = [numbers(m) for m in drawing.marks if m.startswith("<circle")]
    (x, y, r), *glass = rings
    assert r < 5.0 and len(glass) == 2 and glass[-1][2] >= 17.0
    tip = next(numbers(m)[:2] for m in drawing.marks if 'class="mark-tip"' in m)
    assert np.hypot(tip[0] - x, tip[1] - y) == pytest.approx(r, abs=0.02)
    cx, cy, radius = glass[-1]
    assert cx - radius > 0 and cx + radius < drawing.width and cy - radius > 0
    faces_on_paper = [m for m in drawing.marks if 'class="face"' in m]
    spots = np.array([numbers(m.split(" fill")[0])[:2] for m in faces_on_paper])
    assert np.hypot(spots[:, 0] - cx, spots[:, 1] - cy).min() > radius, "it covers nothing"


def test_a_wrong_scale_would_be_seen(made: Check) -> None:
    _, shown = both(made)
    wrong = replace(shown, gap_mm=shown.gap_mm + 0.05)
    right, other = (own.marks((60.0, 40.0), 20.0, 1.0) for own in (shown, wrong))
    tips = [[numbers(m)[0] for m in marks if 'class="mark-tip"' in m] for marks in (right, other)]
    assert abs(tips[0][0] - tips[1][0]) > 0.2
