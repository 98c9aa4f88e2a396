"""The kinds of contents that there are."""

from __future__ import annotations

from functools import partial
from typing import Any

from pydantic import BaseModel

from fitcheck.kinds.block import Block
from fitcheck.kinds.card import Card, CardKeys
from fitcheck.kinds.cylinder import Cylinder
from fitcheck.kinds.guarded import Guarded
from fitcheck.kinds.kind import Kind
from fitcheck.kinds.mesh import MeshFile, MeshKeys
from fitcheck.kinds.sphere import Sphere
from fitcheck.workspace.registers import Register

CARD, BLOCK, CYLINDER, SPHERE, MESH = Card(), Block(), Cylinder(), Sphere(), MeshFile()
COMMON = ("kind", "unit", "size", "size_u", "range", "source", "hazards")
"""The keys that every item has."""


def _itself(kind: Kind) -> Kind:
    return kind


def _fault(kind: Any) -> str:
    """What keeps a value from being a kind."""
    if not isinstance(kind, Kind):
        return f"read a value of the type {type(kind).__name__}; allowed: an instance of a Kind"
    lacking = [key for key in ("name", "summary", "sizes") if not hasattr(kind, key)]
    if lacking:
        return f"has no {' and no '.join(lacking)}; allowed: a kind with all that Kind names"
    count = len(kind.sizes)
    if not 1 <= count <= 3 or len(kind.sides) != 3 or not set(kind.sides) <= set(range(count)):
        return (
            f"read the sizes {', '.join(kind.sizes)} and the sides {kind.sides}; allowed: one to "
            "three sizes, and for width, length and height the place of each among them"
        )
    return _fault_of_keys(kind.keys)


def _fault_of_keys(keys: Any) -> str:
    """The same of the model of its own keys, if it has any."""
    if keys is None:
        return ""
    if not (isinstance(keys, type) and issubclass(keys, BaseModel)):
        return "read keys that are no model; allowed: a strict pydantic model"
    taken = {*COMMON, *CardKeys.model_fields, *MeshKeys.model_fields}
    clash = [key for key in keys.model_fields if key in taken]
    needed = [key for key, field in keys.model_fields.items() if field.is_required()]
    if clash or needed:
        return f"read the keys {', '.join(clash or needed)}; allowed: new ones with a default"
    return ""


OURS: tuple[Kind, ...] = (CARD, BLOCK, CYLINDER, SPHERE, MESH)
KINDS: Register[Kind] = Register(
    "kind", "fitcheck.kinds", {one.name: partial(_itself, one) for one in OURS}, _fault, Guarded
)
"""Another package names its kinds in that group of entry points."""
