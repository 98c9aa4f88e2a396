"""One model part of a 3MF package: its unit, its objects, and what is built of them.

After the 3MF Core Specification 1.3 and, for objects that stand in another part of the package,
the Production Extension 1.1.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from fitcheck.errors import InputError
from fitcheck.meshes.bounded_xml import read_xml
from fitcheck.meshes.triangles import EXPORT_AGAIN, Collected, Triangles, number
from fitcheck.plain import shown

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
PRODUCTION = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
MATERIALS = "http://schemas.microsoft.com/3dmanufacturing/material/2015/02"
UNDERSTOOD = (CORE, PRODUCTION, MATERIALS)
"""A part that requires more than these has shapes that would be missed."""
UNITS_MM: Mapping[str, float] = MappingProxyType(
    {
        "micron": 0.001,
        "millimeter": 1.0,
        "centimeter": 10.0,
        "inch": 25.4,
        "foot": 304.8,
        "meter": 1000.0,
    }
)
"""3MF Core, ST_Unit."""
SCAFFOLDING = ("support", "solidsupport", "other")
"""Types of objects that are no part of the finished thing."""
MOST_PLACED = 20_000
"""Components and build items."""

_MODEL, _OBJECT, _MESH, _VERTEX, _TRIANGLE, _COMPONENT, _ITEM = (
    f"{CORE} {name}"
    for name in ("model", "object", "mesh", "vertex", "triangle", "component", "item")
)
_PATH = f"{PRODUCTION} path"


@dataclass(frozen=True, eq=False)
class Placed:
    """An object where a component or a build item puts it."""

    key: tuple[str, str]
    """Name of the part in which it stands ("" for the same) and its id."""
    transform: np.ndarray
    """(4, 3): a point's row [x y z 1] times this."""


@dataclass
class Object:
    """An object with triangles of its own, or made of others."""

    kind: str
    mesh: Triangles | None = None
    components: list[Placed] = field(default_factory=list)


@dataclass
class ModelPart:
    """What one model part says."""

    unit: str = "millimeter"
    objects: dict[str, Object] = field(default_factory=dict)
    items: list[Placed] = field(default_factory=list)


def read_model_part(pieces: Iterator[bytes]) -> ModelPart:
    """Read a model part from its bytes; raises ``InputError`` whose line lacks the file's name."""
    reader = _Reader()
    read_xml(pieces, reader.started, reader.ended, reader.prefixed)
    return reader.part


class _Reader:
    """Takes the elements of a model part as they come."""

    def __init__(self) -> None:
        self.part = ModelPart()
        self._prefixes: dict[str, str] = {}
        self._object: Object | None = None
        self._mesh: Collected | None = None
        self._placed = 0

    def prefixed(self, prefix: str, uri: str) -> None:
        self._prefixes.setdefault(prefix, uri)

    def started(self, name: str, attributes: Mapping[str, str]) -> None:
        mesh = self._mesh
        try:
            if mesh is not None and name == _VERTEX:
                x, y, z = attributes["x"], attributes["y"], attributes["z"]
                mesh.coordinates.extend((number(x), number(y), number(z)))
            elif mesh is not None and name == _TRIANGLE:
                a, b, c = attributes["v1"], attributes["v2"], attributes["v3"]
                mesh.corners.extend((_index(a), _index(b), _index(c)))
            else:
                self._start_other(name, attributes)
        except (KeyError, ValueError, OverflowError) as error:
            if isinstance(error, InputError):
                raise
            said = shown(dict(attributes) if len(attributes) < 10 else len(attributes))
            raise InputError(
                f"its {name.rpartition(' ')[2][:40]} has {said}; allowed: what the 3MF core "
                f"specification asks of it; {EXPORT_AGAIN}"
            ) from None

    def _start_other(self, name: str, attributes: Mapping[str, str]) -> None:
        if name == _MODEL:
            self._start_model(attributes)
        elif name == _OBJECT:
            self._object = Object(attributes.get("type", "model"))
            if attributes["id"] in self.part.objects:
                raise InputError(f"has two objects {shown(attributes['id'])}; {EXPORT_AGAIN}")
            self.part.objects[attributes["id"]] = self._object
            self._count_placed()
        elif name == _MESH and self._object is not None:
            self._mesh = Collected()
        elif name == _COMPONENT and self._object is not None:
            self._object.components.append(self._place(attributes))
        elif name == _ITEM:
            self.part.items.append(self._place(attributes))

    def _start_model(self, attributes: Mapping[str, str]) -> None:
        unit = attributes.get("unit", "millimeter")
        if unit not in UNITS_MM:
            raise InputError(
                f"its unit is {shown(unit)}; allowed: {', '.join(UNITS_MM)}; {EXPORT_AGAIN}"
            )
        self.part.unit = unit
        for prefix in attributes.get("requiredextensions", "").split():
            uri = self._prefixes.get(prefix, prefix)
            if uri not in UNDERSTOOD:
                raise InputError(
                    f"needs the 3MF extension {shown(uri)}; allowed: triangles alone; export it "
                    "without that extension, as STL, OBJ or PLY"
                )

    def _place(self, attributes: Mapping[str, str]) -> Placed:
        self._count_placed()
        path = attributes.get(_PATH, "")
        return Placed((path, attributes["objectid"]), _matrix(attributes.get("transform")))

    def _count_placed(self) -> None:
        self._placed += 1
        check_placed(self._placed)

    def ended(self, name: str) -> None:
        if name == _MESH and self._mesh is not None and self._object is not None:
            self._object.mesh = self._mesh.triangles()
            self._mesh = None
        elif name == _OBJECT:
            self._object = self._mesh = None


def check_placed(count: int) -> None:
    """Raises ``InputError`` when more objects are placed than are put together."""
    if count > MOST_PLACED:
        raise InputError(
            f"places more than {MOST_PLACED:,} objects; allowed: as many as that; join them in a "
            "mesh editor"
        )


def _index(word: str) -> int:
    if len(word) > 20:
        raise ValueError("a number of more than 20 signs")
    return int(word)


def _matrix(text: str | None) -> np.ndarray:
    """Twelve numbers as a (4, 3) matrix; raises ``ValueError`` where it is none or flattens."""
    if text is None:
        return np.eye(4, 3)
    words = text.split()
    if len(words) != 12:
        raise ValueError("a transform has twelve numbers")
    matrix = np.array([number(word) for word in words]).reshape(4, 3)
    if not np.isfinite(matrix).all() or abs(np.linalg.det(matrix[:3])) < 1e-18:
        raise ValueError("a transform that flattens")
    return matrix
