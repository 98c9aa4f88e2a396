"""3MF: what a package builds, put together where it stands, in millimetres by its own unit.

After the 3MF Core Specification 1.3: the model part that the package names, its build items, and
components of components with their transforms. What is built together is one thing.
"""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from fitcheck.errors import InputError
from fitcheck.meshes.bounded_xml import read_xml
from fitcheck.meshes.model_part import (
    SCAFFOLDING,
    UNITS_MM,
    ModelPart,
    Object,
    Placed,
    check_placed,
    read_model_part,
)
from fitcheck.meshes.package import Package
from fitcheck.meshes.triangles import EXPORT_AGAIN, Triangles, check_counts, check_indices
from fitcheck.plain import shown

RELATIONS = "_rels/.rels"
DEEPEST = 32
"""Components of components."""
_MODEL_RELATION = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"

Key = tuple[str, str]
"""The name of a model part and the id of an object in it."""


class _Size(NamedTuple):
    """What an object comes to, its components and theirs counted as often as they are placed."""

    vertices: int
    triangles: int
    placed: int
    height: int
    """Components of components, itself included."""


def read(raw: bytes) -> Triangles:
    """The triangles of a 3MF file, mm; raises ``InputError`` whose line lacks the file's name."""
    package = Package(raw)
    return _Assembly(package, _root_name(package)).triangles()


def _root_name(package: Package) -> str:
    """The model part that the package's own relations name."""
    names: list[str] = []

    def started(_: str, attributes: Mapping[str, str]) -> None:
        if attributes.get("Type") == _MODEL_RELATION:
            names.append(attributes.get("Target", ""))

    if RELATIONS in package:
        read_xml(package.pieces(RELATIONS), started)
    if not names or names[0] not in package:
        raise InputError(f"is an archive without a 3MF model; {EXPORT_AGAIN}")
    return names[0]


class _Assembly:
    """Objects of one or more model parts, counted before they are put together."""

    def __init__(self, package: Package, root: str) -> None:
        self._package, self._root = package, root
        self._parts: dict[str, ModelPart] = {}
        self._sizes: dict[Key, _Size] = {}
        self._found: list[Triangles] = []

    def triangles(self) -> Triangles:
        """Everything that is built, in place; raises ``InputError``."""
        root = self._part(self._root)
        built = [(self._key(item, self._root), item) for item in root.items]
        sizes = [self._size(key, 0) for key, _ in built]
        check_counts(sum(size.vertices for size in sizes), sum(size.triangles for size in sizes))
        check_placed(sum(size.placed for size in sizes))
        for key, item in built:
            self._place(key, item.transform)
        return self._joined(UNITS_MM[root.unit])

    def _part(self, name: str) -> ModelPart:
        name = name.lstrip("/").lower()
        if name not in self._parts:
            if name not in self._package:
                raise InputError(f"names a part {shown(name)} that it lacks; {EXPORT_AGAIN}")
            self._parts[name] = read_model_part(self._package.pieces(name))
            self._check_unit()
        return self._parts[name]

    def _check_unit(self) -> None:
        units = {one.unit for one in self._parts.values()}
        if len(units) > 1:
            raise InputError(
                f"is drawn in {' and '.join(sorted(units))} at once; allowed: one unit; "
                f"{EXPORT_AGAIN}"
            )

    def _key(self, placed: Placed, inside: str) -> Key:
        part, number = placed.key
        return (part or inside), number

    def _object(self, key: Key) -> Object:
        part, number = key
        found = self._part(part).objects.get(number)
        if found is None:
            raise InputError(f"places an object {shown(number)} that it lacks; {EXPORT_AGAIN}")
        return found

    def _size(self, key: Key, depth: int) -> _Size:
        """What an object comes to with all its components; raises ``InputError``."""
        if depth > DEEPEST:
            raise _too_deep()
        if key not in self._sizes:
            self._sizes[key] = self._counted(key, depth)
        return self._sizes[key]

    def _counted(self, key: Key, depth: int) -> _Size:
        one = self._object(key)
        if one.kind in SCAFFOLDING:
            return _Size(0, 0, 1, 1)
        components = (self._key(component, key[0]) for component in one.components)
        sizes = [self._size(component, depth + 1) for component in components]
        height = 1 + max((size.height for size in sizes), default=0)
        if height > DEEPEST:
            raise _too_deep()
        return _Size(
            sum(size.vertices for size in sizes) + (len(one.mesh.vertices) if one.mesh else 0),
            sum(size.triangles for size in sizes) + (len(one.mesh.faces) if one.mesh else 0),
            sum(size.placed for size in sizes) + 1,
            height,
        )

    def _place(self, key: Key, transform: np.ndarray) -> None:
        one = self._object(key)
        if one.kind in SCAFFOLDING:
            return
        if one.mesh is not None:
            self._found.append(_moved(one.mesh, transform, key[1]))
        for component in one.components:
            self._place(self._key(component, key[0]), _after(component.transform, transform))

    def _joined(self, unit_mm: float) -> Triangles:
        starts = np.cumsum([0, *(len(mesh.vertices) for mesh in self._found)])
        faces = [mesh.faces + start for mesh, start in zip(self._found, starts, strict=False)]
        return Triangles(
            np.concatenate([np.empty((0, 3)), *(mesh.vertices for mesh in self._found)]) * unit_mm,
            np.concatenate([np.empty((0, 3), dtype=np.int64), *faces]),
            unit_mm,
        )


def _moved(mesh: Triangles, transform: np.ndarray, number: str) -> Triangles:
    """In place; a mirrored object keeps its outside outside."""
    check_indices(mesh, f"object {shown(number)}, ")
    mirrored = np.linalg.det(transform[:3]) < 0
    return Triangles(
        mesh.vertices @ transform[:3] + transform[3],
        mesh.faces[:, ::-1] if mirrored else mesh.faces,
    )


def _after(first: np.ndarray, then: np.ndarray) -> np.ndarray:
    """One transform after another, both (4, 3)."""
    combined: np.ndarray = first @ then[:3]
    combined[3] += then[3]
    return combined


def _too_deep() -> InputError:
    return InputError(
        f"has components more than {DEEPEST} deep, or an object that holds itself; {EXPORT_AGAIN}"
    )
