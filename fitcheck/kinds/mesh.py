"""A mesh counts as the upright prism over the outline of its hull, on each of its three sides."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any

from pydantic import BaseModel, Field

from fitcheck.errors import InputError
from fitcheck.kinds.kind import Item, Kind, Problem, Standing
from fitcheck.kinds.mesh_content import mesh_extents, mesh_plan
from fitcheck.kinds.poses import Polygon, Pose, Shape
from fitcheck.kinds.ranges import range_problems
from fitcheck.meshes.formats import ENDINGS
from fitcheck.plain import shown
from fitcheck.workspace.explain import line
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.paths import as_spelt, is_file
from fitcheck.workspace.strict import STRICT


class MeshKeys(BaseModel):
    """What only a mesh has."""

    model_config = STRICT
    file: Annotated[str, Field(min_length=1, max_length=1000)] | None = Field(
        default=None, description="Of a mesh: the file's path from the folder of items.toml."
    )


class MeshFile(Kind):
    """A body whose surface stands in a file."""

    name = "mesh"
    summary = "a body whose surface stands in a file"
    sizes = ("width", "length", "height")
    keys = MeshKeys
    sized = False

    def key_problems(self, table: Any, *, own: bool) -> Iterator[Problem]:
        """A file is named just where it is one."""
        if (table.file is not None) != own:
            yield (
                "file is missing" if table.file is None else f"file is given on a {table.kind}",
                f"a file ({', '.join(ENDINGS)}) on a mesh, and only there",
                "correct it",
            )

    def item(self, common: Mapping[str, Any], table: Any, at: Standing) -> Item:
        """With its file, and the file's sizes where none are written."""
        item = replace(super().item(common, table, at), mesh_path=_file(at, table.file))
        return item if item.size_mm else _sized(at.path, item)

    def upright(self, item: Item, up: int, word: str) -> tuple[Pose, ...]:
        """On one of its sides: the outline of its hull seen from above, straight and turned."""
        height, plan = item.size_mm[up], mesh_plan(item, up)
        turned = tuple((-y, x) for x, y in plan)
        return tuple(
            Pose(name, *_spans(points), height, Polygon(points), Shape.HULL)
            for name, points in ((word, plan), (f"{word}, turned 90", turned))
        )

    def printed(self, item: Item) -> Pose:
        """Its file is printed as it is: see ``solids.placeholders``."""
        raise InputError(f"{item.name} is a mesh: it is printed from its file, not modelled")


def _spans(points: tuple[tuple[float, float], ...]) -> tuple[float, float]:
    across, along = zip(*points, strict=True)
    return max(across) - min(across), max(along) - min(along)


def _sized(path: Path, item: Item) -> Item:
    """A mesh item whose size is that of its file."""
    sized = replace(item, size_mm=mesh_extents(item))
    wrong = [
        line(path, f"{item.name}.range", said, f"allowed: {allowed}", do)
        for said, allowed, do in range_problems(sized.size_mm, sized.size_range_mm or ())
    ]
    if wrong:
        raise InputError(wrong)
    return sized


def _file(at: Standing, file: str) -> Path:
    mesh = as_spelt(at.path.parent / file)
    if mesh.suffix.lower() in ENDINGS and is_file(mesh):
        return mesh
    near = sorted(other.name for ending in ENDINGS for other in at.path.parent.glob(f"*{ending}"))
    raise InputError(
        line(
            at.path,
            f"{at.table}.file",
            "no such mesh file",
            f"read {shown(file)}",
            f"allowed: a file ending in {', '.join(ENDINGS)}",
            did_you_mean(file, near),
            "correct the name",
        )
    )
