"""The printed gauge: a nest of square rings, each with an outside, an inside and a height.

Rings of five sizes stand one within the other and print at once. Each is measured along x and
along y, outside and inside, and in height: linear features in the spirit of ISO/ASTM 52902, the
geometry is its own. The wall with the letters is the front: it runs along the printer's x axis.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from fitcheck.findings import Finding
from fitcheck.solids.blocks import outer_minus
from fitcheck.solids.correction import IDENTITY
from fitcheck.solids.finishing import chamfer_first_layer
from fitcheck.solids.labels import Patch, label
from fitcheck.solids.meshes import Mesh, tessellate
from fitcheck.solids.modeller import load_cadquery

WALL_MM = 3.0
"""Stiff under the jaws of a caliper, and whole passes of a 0.4 mm nozzle."""


@dataclass(frozen=True)
class Ring:
    """One square ring of the nest."""

    inside_mm: float
    height_mm: float
    square_foot: bool
    """True when its lowest edge is left sharp, to measure the spread of the first layer."""

    @property
    def outside_mm(self) -> float:
        """Its outside, along x and y."""
        return self.inside_mm + 2 * WALL_MM

    @property
    def label(self) -> str:
        """What is engraved: outside, inside, height."""
        return f"x {self.outside_mm:g}/{self.inside_mm:g}/{self.height_mm:g}"


RINGS = (
    Ring(100.0, 8.0, True),
    Ring(75.0, 12.0, True),
    Ring(50.0, 16.0, False),
    Ring(25.0, 22.0, False),
    Ring(12.0, 30.0, False),
)
"""From the largest to the smallest: each leaves the next room to print apart."""


@dataclass(frozen=True, eq=False)
class GaugePart:
    """One printed piece of a gauge."""

    name: str
    shape: Any
    """The cadquery solid."""
    mesh: Mesh
    findings: tuple[Finding, ...]
    corrected_by: str = IDENTITY.name


def gauge_rings() -> tuple[GaugePart, ...]:
    """The rings in their places, standing on z = 0 about the z axis.

    Never corrected: they show what the printer does. Raises ``ModelError`` or
    ``MissingLibraryError``.
    """
    return tuple(_part(ring) for ring in RINGS)


def nested(parts: tuple[GaugePart, ...]) -> Mesh:
    """All pieces as one mesh, each in its place: what is printed at once."""
    offsets = np.cumsum([0, *(len(part.mesh.vertices) for part in parts[:-1])])
    return Mesh(
        np.concatenate([part.mesh.vertices for part in parts]),
        np.concatenate(
            [part.mesh.faces + start for part, start in zip(parts, offsets, strict=True)]
        ),
    )


def gauge_features() -> tuple[tuple[str, float], ...]:
    """Every reading to take of the nest: feature and nominal in mm, ring by ring."""
    rows: list[tuple[str, float]] = []
    for ring in RINGS:
        rows += [(f"outside-{axis}", ring.outside_mm) for axis in "xy"]
        rows += [(f"inside-{axis}", ring.inside_mm) for axis in "xy"]
        rows.append(("height", ring.height_mm))
        if ring.square_foot:
            rows.append(("first-layer", ring.outside_mm))
    return tuple(rows)


def _part(ring: Ring) -> GaugePart:
    name = f"ring {ring.outside_mm:g}"
    shape = ring_solid(ring)
    found: tuple[Finding, ...] = ()
    if not ring.square_foot:
        shape, found = chamfer_first_layer(shape, name, IDENTITY)
    low, high = _front_of(shape, ring)
    patch = Patch(ring.label, (0.0, 0.0), ring.outside_mm, high - low)
    origin = (0.0, -ring.outside_mm / 2, (low + high) / 2)
    shape = label(shape, (patch,), origin, (0.0, -1.0, 0.0))
    return GaugePart(name, shape, tessellate(shape, name), found)


def _front_of(shape: Any, ring: Ring) -> tuple[float, float]:
    """Where the flat front begins and ends in height: a chamfer takes off its lowest part."""
    y = -ring.outside_mm / 2
    boxes = [face.BoundingBox() for face in shape.Faces()]
    front = next(box for box in boxes if abs(box.ymin - y) < 1e-6 and abs(box.ymax - y) < 1e-6)
    return front.zmin, front.zmax


def ring_solid(ring: Ring) -> Any:
    """The bare ring, a cadquery solid."""
    outer = _square(ring.outside_mm, 0.0, ring.height_mm)
    return outer_minus(outer, _square(ring.inside_mm, -1.0, ring.height_mm + 2.0))


def _square(side_mm: float, z_mm: float, height_mm: float) -> Any:
    cadquery = load_cadquery()
    corner = cadquery.Vector(-side_mm / 2, -side_mm / 2, z_mm)
    return cadquery.Solid.makeBox(side_mm, side_mm, height_mm, corner)
