"""A folded part becomes one closed mesh for the printer, joined of its pieces by a mesh library.

Its exact solids (``folded_solids``) are made another way; tests hold the volumes together.
"""

import itertools
import math
from dataclasses import replace

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.folding.bends import Bend
from fitcheck.folding.measure import standing
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.prisms import Plate
from fitcheck.solids.body_mesh import solid_mesh
from fitcheck.solids.libraries import load_manifold
from fitcheck.solids.meshes import Mesh, make_mesh
from fitcheck.workspace.progress import SILENT, Progress

SAG_MM = 1e-3
"""How far the facets of a round may lie inside it."""
REACH_MM = 2e-3
"""How far a bend's mesh reaches into its neighbours, so that they overlap and do not just touch."""
GROWTHS_MM = tuple(2e-4 * step for step in range(13))
"""How far the pieces may be grown, tried in turn; the last is 2.4 micrometres."""
GOLDEN = 0.6180339887498949
"""Its multiples never come near each other: no two pieces grow alike."""
BUBBLE_MM3 = 1e-3
"""A hollow in the paper smaller than this is none."""
CLEAN_MM = 2e-4
"""Corners of the joined mesh nearer than this to an edge or each other are dropped."""


def folded_mesh(part: FoldedPart, progress: Progress = SILENT) -> Mesh:
    """The whole part as one closed mesh; laps and touching pieces are joined.

    Paper lies on paper all over a folded part, and where two faces or edges just touch, or pass
    each other by less than the mesh can tell, their union has edges with four triangles. So each
    piece is grown by a hair, each by another, until the union is one clean solid. Raises
    ``ModelError`` when none of the growths makes it one.
    """
    for number, growth in enumerate(GROWTHS_MM):
        progress.step(number, len(GROWTHS_MM), f"joining the {part.name}")
        try:
            return _joined(part, growth)
        except ModelError:
            if growth == GROWTHS_MM[-1]:
                raise
    raise AssertionError("the last growth returns or raises")


def _joined(part: FoldedPart, growth_mm: float) -> Mesh:
    """The union of all pieces, each grown by a share of its own of ``growth_mm``."""
    manifold = load_manifold()
    bodies = []
    for number, piece in enumerate(named(part).values()):
        grown = growth_mm * (0.3 + 0.7 * (number * GOLDEN % 1.0))
        mesh = plate_mesh(piece, grown) if isinstance(piece, Plate) else bend_mesh(piece, grown)
        bodies.append(solid_mesh(mesh.vertices, mesh.faces))
    joined = manifold.Manifold.batch_boolean(bodies, manifold.OpType.Add).simplify(CLEAN_MM)
    shells = joined.decompose()
    if len(shells) > 1:
        # bubbles where many layers meet in a corner are filled
        shells = [one for one in shells if not -BUBBLE_MM3 < one.volume() < 0.0]
        joined = shells[0]
    if len(shells) != 1:
        raise ModelError(f"{part.name}: its panels do not join into one body")
    raw = joined.to_mesh64()
    return make_mesh(raw.vert_properties[:, :3], raw.tri_verts, part.name)


def plate_mesh(plate: Plate, grown_mm: float = 0.0) -> Mesh:
    """Corners and triangles of a plate, in place; exact, or grown a little on all sides."""
    if len(plate.cells) > 1:
        return _pierced_mesh(plate, grown_mm)
    outline = distinct(plate.outline)
    count = len(outline)
    outward = outline - outline.mean(axis=0)
    outline = outline + grown_mm * outward / np.linalg.norm(outward, axis=1, keepdims=True)
    fan = np.array([(0, k, k + 1) for k in range(1, count - 1)])
    return _extruded(plate, [outline], fan, grown_mm)


def _pierced_mesh(plate: Plate, grown_mm: float) -> Mesh:
    """A plate that is bounded by several rings, or by one that is not convex.

    Grown, each of its sides moves outwards by so much, and each corner by as much at least.
    """
    rings = [distinct(ring) for ring in plate.rings]
    grown = []
    for ring in rings:
        along = np.roll(ring, -1, axis=0) - ring
        out = np.column_stack([along[:, 1], -along[:, 0]])
        out /= np.linalg.norm(out, axis=1, keepdims=True)
        both = out + np.roll(out, 1, axis=0)
        both *= 2.0 / np.maximum((both**2).sum(axis=1, keepdims=True), 1.0)
        grown.append(ring + grown_mm * both)
    caps = load_manifold().triangulate(grown)
    return _extruded(plate, grown, np.asarray(caps), grown_mm)


def _extruded(plate: Plate, rings: list[np.ndarray], caps: np.ndarray, grown_mm: float) -> Mesh:
    """Walls round the rings (outside anticlockwise, holes clockwise) between two faces."""
    flat = np.vstack(rings)
    count = len(flat)
    low = np.column_stack([flat, np.full(count, -grown_mm)])
    local = np.vstack([low, low + np.array([0, 0, plate.thickness_mm + 2 * grown_mm])])
    starts = np.cumsum([0, *(len(ring) for ring in rings)])
    rim = np.arange(count)
    onward = np.concatenate([np.roll(rim[a:b], -1) for a, b in itertools.pairwise(starts)])
    sides = [
        np.column_stack([rim, onward, onward + count]),
        np.column_stack([rim, onward + count, rim + count]),
    ]
    return Mesh(placed(plate.pose, local), np.vstack([caps[:, ::-1], caps + count, *sides]))


def bend_mesh(bend: Bend, grown_mm: float = 0.0, reach_mm: float = REACH_MM) -> Mesh:
    """Corners and triangles of a bend, in place; its facets lie up to ``SAG_MM`` inside it.

    ``grown_mm`` thickens it and lengthens it along its axis; ``reach_mm`` lengthens it at both
    ends of its turn, along its tangents.
    """
    step = 2 * math.acos(1 - min(SAG_MM / bend.outer_mm, 0.5))
    count = max(1, math.ceil((bend.stop_rad - bend.start_rad) / step))
    shares = np.linspace(0.0, 1.0, count + 1)
    angles = bend.start_rad + shares * (bend.stop_rad - bend.start_rad)
    reach = np.zeros(count + 1)
    if reach_mm > 0:
        shares, angles = shares[[0, *range(count + 1), -1]], angles[[0, *range(count + 1), -1]]
        reach = np.zeros(count + 3)
        reach[0], reach[-1] = -reach_mm, reach_mm
    ends = np.array(bend.ends_start) + shares[:, None] * np.subtract(
        bend.ends_stop, bend.ends_start
    )
    ends = ends + grown_mm * np.array([-1.0, 1.0])
    inner, outer = max(0.0, bend.radius_mm - grown_mm), bend.outer_mm + grown_mm
    out = np.column_stack([np.sin(angles), -np.cos(angles)])
    along = np.column_stack([np.cos(angles), np.sin(angles)]) * reach[:, None]
    rings = []
    for radius, side in (
        (inner, 0),
        (inner, 1),
        (outer, 1),
        (outer, 0),
    ):
        at = out * radius + along
        rings.append(np.column_stack([at[:, 0], ends[:, side], at[:, 1]]))
    # station by station: inner low, inner high, outer high, outer low
    local = np.stack(rings, axis=1).reshape(-1, 3)
    return Mesh(*_without_copies(placed(bend.pose, local), _tube(len(angles))))


def _tube(stations: int) -> np.ndarray:
    """Triangles round a tube of quadrilateral stations, four corners each, closed at both ends."""
    triangles = [(0, 1, 2), (0, 2, 3)]
    for station in range(stations - 1):
        here, there = 4 * station, 4 * station + 4
        for k in range(4):
            m = (k + 1) % 4
            triangles += [(here + k, there + k, there + m), (here + k, there + m, here + m)]
    last = 4 * (stations - 1)
    triangles += [(last, last + 2, last + 1), (last, last + 3, last + 2)]
    return np.array(triangles)


def _without_copies(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Corners on a sharp axis fall together; the triangles between them vanish."""
    distinct, index = np.unique(np.round(vertices, 9), axis=0, return_inverse=True)
    joined = index.reshape(-1)[faces]
    a, b, c = joined.T
    return distinct, joined[(a != b) & (b != c) & (c != a)]


def named(part: FoldedPart) -> dict[str, Plate | Bend]:
    """Every piece by its name, numbered where several have the same, as the part stands."""
    named: dict[str, Plate | Bend] = {}
    pieces: list[Plate | Bend] = [*part.plates, *part.layers, *part.bends]
    if part.pattern.on_end:
        pose = standing(part)
        pieces = [replace(piece, pose=pose @ piece.pose) for piece in pieces]
    for piece in pieces:
        name, number = piece.name, 1
        while name in named:
            number += 1
            name = f"{piece.name} {number}"
        named[name] = piece
    return named


def distinct(outline: np.ndarray) -> np.ndarray:
    """The outline without corners that repeat the one before."""
    keep = np.linalg.norm(outline - np.roll(outline, 1, axis=0), axis=1) > 1e-9
    kept: np.ndarray = outline[keep]
    return kept


def placed(pose: np.ndarray, local: np.ndarray) -> np.ndarray:
    """Points (n, 3) of a piece's own frame in their places; ``pose`` is (4, 4)."""
    moved: np.ndarray = local @ pose[:3, :3].T + pose[:3, 3]
    return moved
