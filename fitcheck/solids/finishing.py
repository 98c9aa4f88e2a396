"""What every print needs last: a chamfered first layer, a flat stand, a bed and a mass."""

from dataclasses import dataclass, replace

import numpy as np

from fitcheck.findings import Finding, Severity
from fitcheck.solids.body import Body
from fitcheck.solids.correction import Correction
from fitcheck.solids.meshes import Mesh

CHAMFER_MM = 0.3
"""Takes up the usual spread of a first layer (common practice, no source)."""
CHAMFER_SHARE = 1 / 4
"""A thin body loses at most this share of its least size."""
DENSITY_G_MM3 = 1.24e-3
"""PLA as data sheets have it: 1.24 g/cm3 (1.22 to 1.26 are seen)."""
FLAT_MM = 1e-3
"""Corners this near to a plane lie in it."""
TALL = 5.0
"""Prints more times as high as wide sway (common practice, no source)."""


@dataclass(frozen=True)
class Bed:
    """What a printer can hold."""

    width_mm: float = 180.0
    length_mm: float = 180.0
    height_mm: float = 180.0


def chamfer_first_layer(
    body: Body, name: str, correction: Correction
) -> tuple[Body, tuple[Finding, ...]]:
    """The body with its lowest edges cut off at 45 degrees, and a note that says so.

    The chamfer is ``CHAMFER_MM``, or as much as the printer's first layer is known to spread.
    """
    wanted = max(CHAMFER_MM, correction.first_layer_mm)
    chamfer = min(wanted, min(body.size_mm) * CHAMFER_SHARE)
    note = Finding(
        "first-layer-chamfer",
        f"{name}: its lowest edges are cut off by {chamfer:.2f} mm against the spread of the first "
        "layer: measure above them",
        Severity.NOTE,
        numbers={"chamfer_mm": chamfer},
    )
    return replace(body, chamfer_mm=chamfer), (note,)


def lay_flat(mesh: Mesh) -> Mesh:
    """The mesh turned with its largest flat side down, standing on z = 0, centred in x and y.

    A flat side is one of the hull's: what lies on the bed need not be one face of the body. A
    mesh that lies flat already is not turned.
    """
    turned = mesh.vertices @ _downward(_largest_flat(mesh.vertices)).T
    low, high = turned.min(axis=0), turned.max(axis=0)
    middle = np.array([*((low + high) / 2)[:2], low[2]])
    return Mesh(turned - middle, mesh.faces)


def bed_findings(name: str, size_mm: tuple[float, float, float], bed: Bed) -> tuple[Finding, ...]:
    """A fault when the body does not go on the bed, also not turned a quarter."""
    x, y, z = size_mm
    flat = (x <= bed.width_mm and y <= bed.length_mm) or (y <= bed.width_mm and x <= bed.length_mm)
    if flat and z <= bed.height_mm:
        return ()
    return (
        Finding(
            "bed-too-small",
            f"{name} measures {x:.1f} x {y:.1f} x {z:.1f} mm and the bed holds {bed.width_mm:g} x "
            f"{bed.length_mm:g} x {bed.height_mm:g} mm: print it in pieces or on a larger printer",
            Severity.FAULT,
            numbers={"x_mm": x, "y_mm": y, "z_mm": z},
        ),
    )


def mass_g(volume_mm3: float) -> float:
    """Grams of a print filled to 100 %, at 1.24 g/cm3.

    >>> round(mass_g(85.60 * 53.98 * 10), 4)
    57.2965
    """
    return volume_mm3 * DENSITY_G_MM3


def tall_findings(name: str, size_mm: tuple[float, float, float]) -> tuple[Finding, ...]:
    """A note on a print so much higher than wide that it sways while it is printed."""
    x, y, z = size_mm
    times = z / min(x, y)
    if times <= TALL:
        return ()
    return (
        Finding(
            "stands-tall",
            f"{name}: it stands {times:.2g} times as high as it is wide, so that it sways and may "
            "come off the bed: print it slowly and with a broad brim, or in pieces that are glued "
            "end to end",
            Severity.NOTE,
            numbers={"times": times},
        ),
    )


def _largest_flat(points: np.ndarray) -> np.ndarray:
    """Outward normal of the hull's side of greatest area; ties go to the lowest."""
    from scipy.spatial import ConvexHull

    hull = ConvexHull(points)
    areas: dict[tuple[float, ...], float] = {}
    planes: dict[tuple[float, ...], np.ndarray] = {}
    for triangle, plane in zip(hull.simplices, hull.equations, strict=True):
        a, b, c = points[triangle]
        side = (*np.round(plane[:3], 6).tolist(), round(float(plane[3]), 3))
        areas[side] = areas.get(side, 0.0) + float(np.linalg.norm(np.cross(b - a, c - a))) / 2
        planes.setdefault(side, plane)
    most = max(areas.values())
    largest = [side for side, area in areas.items() if area >= most * (1 - 1e-9)]
    normal: np.ndarray = planes[min(largest, key=lambda side: side[2])][:3]
    return normal


def _downward(normal: np.ndarray) -> np.ndarray:
    """The shortest rotation that turns a unit normal to -z, (3, 3)."""
    down = np.array([0.0, 0.0, -1.0])
    axis, cosine = np.cross(normal, down), float(normal @ down)
    if np.linalg.norm(axis) < 1e-9:
        return np.eye(3) if cosine > 0 else np.diag([1.0, -1.0, -1.0])
    k = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    turn: np.ndarray = np.eye(3) + k + k @ k / (1 + cosine)
    return turn
