"""The printed gauge: a nest of square rings, each with an outside, an inside and a height.

Rings of five sizes stand one within the other and print at once. Each is measured along x and
along y, outside and inside, and in height: linear features in the spirit of ISO/ASTM 52902, the
geometry is its own. The wall with the letters is the front: it runs along the printer's x axis.
"""

from dataclasses import dataclass

import numpy as np

from fitcheck.findings import Finding
from fitcheck.solids.body import Body, Room, rectangle
from fitcheck.solids.body_mesh import mesh_of
from fitcheck.solids.correction import IDENTITY
from fitcheck.solids.engraving import Patch, label
from fitcheck.solids.finishing import chamfer_first_layer
from fitcheck.solids.meshes import Mesh

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
    body: Body
    mesh: Mesh
    findings: tuple[Finding, ...]


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
    body = ring_body(ring)
    found: tuple[Finding, ...] = ()
    if not ring.square_foot:
        body, found = chamfer_first_layer(body, name, IDENTITY)
    # The flat front begins above the chamfer.
    low, high = body.chamfer_mm, ring.height_mm
    patch = Patch(ring.label, (0.0, 0.0), ring.outside_mm, high - low)
    origin = (0.0, -ring.outside_mm / 2, (low + high) / 2)
    body = label(body, (patch,), origin, (0.0, -1.0, 0.0))
    return GaugePart(name, body, mesh_of(body, name), found)


def ring_body(ring: Ring) -> Body:
    """The bare ring."""
    hole = Room(rectangle(ring.inside_mm, ring.inside_mm), -1.0, ring.height_mm + 1.0)
    outer = rectangle(ring.outside_mm, ring.outside_mm)
    return Body(outer, ring.height_mm, rooms=(hole,))
