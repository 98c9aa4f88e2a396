"""FOLD files by the format's own definitions: faces, assignments, and a folding that keeps lengths.

Source: the FOLD specification, version 1.2 (keys, the meaning of B, V, M, F and C, fold angles from
-180 to 180 degrees, valleys positive), from memory. The folded frame is checked by what folding
means, with numpy: no edge changes its length, no face bends, and the angle between two faces is the
one that the file states.
"""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
import shapely

from fitcheck.design.read import read_design
from fitcheck.fit.assembly import Part, assemble
from fitcheck.outputs.write_fold import fold_file
from fitcheck.sheet.areas import paper_of
from fitcheck.sheet.fold_form import fold_form
from tests.cli.commands import ROOT

PARTS = [
    (path.stem, part)
    for path in sorted((ROOT / "models").glob("*.toml"))
    if path.stem != "items"
    for part in assemble(read_design(path)).parts
]
NAMES = [f"{stem}-{part.recipe.part}" for stem, part in PARTS]


def written(part: Part) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(fold_file("a box", fold_form(part)))
    return data


@pytest.mark.parametrize(("stem", "part"), PARTS, ids=NAMES)
def test_the_flat_frame_is_the_sheet(stem: str, part: Part) -> None:
    data = written(part)
    points = np.array(data["vertices_coords"])
    count = len(points)
    edges = [tuple(edge) for edge in data["edges_vertices"]]
    assert len(edges) == len(data["edges_assignment"]) == len(data["edges_foldAngle"])
    assert all(0 <= a < b < count for a, b in edges) and len(set(edges)) == len(edges)
    faces = [shapely.Polygon(points[list(face)]) for face in data["faces_vertices"]]
    assert all(face.is_valid and face.exterior.is_ccw for face in faces)
    paper = [paper_of(part.pattern, panel) for panel in part.pattern.panels]
    assert sum(face.area for face in faces) == pytest.approx(sum(p.area for p in paper), rel=1e-6)
    whole = shapely.union_all(faces, grid_size=1e-5)
    assert whole.symmetric_difference(shapely.union_all(paper, grid_size=1e-5)).area < 1e-2
    used: dict[tuple[int, int], int] = {}
    for face in data["faces_vertices"]:
        for a, b in zip(face, [*face[1:], face[0]], strict=True):
            used[min(a, b), max(a, b)] = used.get((min(a, b), max(a, b)), 0) + 1
    for edge, kind in zip(edges, data["edges_assignment"], strict=True):
        assert used.get(edge, 0) == {"B": 1, "C": 0}.get(kind, 2)
    assert set(used) <= set(edges)


@pytest.mark.parametrize(("stem", "part"), PARTS, ids=NAMES)
def test_the_folded_frame_keeps_lengths_and_folds_by_the_angles(stem: str, part: Part) -> None:
    data = written(part)
    flat = np.array(data["vertices_coords"])
    (frame,) = data["file_frames"]
    assert (frame["frame_parent"], frame["frame_inherit"]) == (0, True)
    folded = np.array(frame["vertices_coords"])
    for face in data["faces_vertices"]:
        one, other = flat[face], folded[face]
        apart, after = (np.linalg.norm(p[:, None] - p[None], axis=2) for p in (one, other))
        assert after == pytest.approx(apart, abs=1e-4)
    beside: dict[tuple[int, int], list[list[int]]] = {}
    for face in data["faces_vertices"]:
        for a, b in zip(face, [*face[1:], face[0]], strict=True):
            beside.setdefault((min(a, b), max(a, b)), []).append(face)
    for edge, kind, angle in zip(
        data["edges_vertices"], data["edges_assignment"], data["edges_foldAngle"], strict=True
    ):
        if kind in "BC":
            assert angle is None
            continue
        assert {"V": angle > 0, "M": angle < 0, "F": angle == 0}[kind]
        # half a turn is the same either way
        off = signed_fold(folded, edge, beside[tuple(edge)]) - angle
        assert abs((off + 180.0) % 360.0 - 180.0) < 0.02


def signed_fold(points: np.ndarray, edge: list[int], faces: list[list[int]]) -> float:
    """How far two faces are from lying flat, degrees: positive where their upper sides approach."""
    one, other = faces
    normals = [normal(points[face]) for face in (one, other)]
    along = points[edge[1]] - points[edge[0]]
    along /= np.linalg.norm(along)
    k = one.index(edge[0])
    if one[(k + 1) % len(one)] != edge[1]:
        along = -along
    # seen from above, the first face lies at the left of its edge; a valley turns the other one up
    sine = float(np.dot(np.cross(normals[1], normals[0]), along))
    return math.degrees(math.atan2(sine, float(np.dot(*normals))))


def normal(points: np.ndarray) -> np.ndarray:
    """By Newell's method, so that a concave face has one too."""
    found = np.zeros(3)
    for a, b in zip(points, np.roll(points, -1, axis=0), strict=True):
        found += np.cross(a, b)
    return found / np.linalg.norm(found)


def test_a_box_that_folds_up_is_all_valleys_seen_on_its_inside() -> None:
    part = dict(zip(NAMES, (part for _, part in PARTS), strict=True))["lantern-base"]
    data = written(part)
    kinds = data["edges_assignment"]
    assert kinds.count("V") == 8 and "M" not in kinds
    assert data["frame_classes"] == ["creasePattern"] and data["file_spec"] == 1.2
