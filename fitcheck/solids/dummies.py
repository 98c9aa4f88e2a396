"""What was asked for becomes dummies: body, mesh, size, mass and what to know about each."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from fitcheck.cautions import swallowing_cautions
from fitcheck.design.model import Item
from fitcheck.findings import Finding, Severity
from fitcheck.kinds import BLOCK
from fitcheck.kinds.poses import Shape
from fitcheck.solids.blocks import Side, block, walled_box, walled_sizes
from fitcheck.solids.body import Body, Printed
from fitcheck.solids.body_mesh import mesh_of
from fitcheck.solids.correction import IDENTITY, Correction
from fitcheck.solids.engraving import Face, engrave
from fitcheck.solids.finishing import (
    Bed,
    bed_findings,
    chamfer_first_layer,
    mass_g,
    tall_findings,
)
from fitcheck.solids.meshes import Mesh
from fitcheck.solids.placeholders import placeholder, read_item, square_share
from fitcheck.workspace.progress import SILENT, Progress

WALL_MM = 2.0
"""Wall of a printed box when none is given: stiff, and whole passes of a 0.4 mm nozzle."""


@dataclass(frozen=True)
class ContentDummy:
    """A content to its true size."""

    item: Item

    @property
    def name(self) -> str:
        """What is engraved."""
        return self.item.name


@dataclass(frozen=True)
class OutsideBlock:
    """A full block as wide as what a lid goes over is anywhere, to try the lid on."""

    width_mm: float
    length_mm: float
    height_mm: float
    name: str = "outside"
    words: str = ""
    """Where the base is as wide as that, and where it is narrower; told when given."""


@dataclass(frozen=True)
class InsideBlock:
    """A full block as large as a cavity, to press or roll the paper round."""

    width_mm: float
    length_mm: float
    height_mm: float
    name: str = "inside"
    words: str = ""
    """Which room that is; told when given."""


@dataclass(frozen=True)
class WalledBox:
    """A box with thick walls, true on one side."""

    width_mm: float
    length_mm: float
    height_mm: float
    true: Side
    """Which side the sizes are of."""
    wall_mm: float = WALL_MM
    name: str = "box"


Request = ContentDummy | OutsideBlock | InsideBlock | WalledBox


@dataclass(frozen=True, eq=False)
class Dummy:
    """One thing to print."""

    name: str
    body: Printed | None
    """None for a content that is a mesh file."""
    mesh: Mesh
    size_mm: tuple[float, float, float]
    """Extents along the printer's x, y, z that the print should have."""
    mass_g: float
    """Filled to 100 %."""
    findings: tuple[Finding, ...]
    corrected_by: str
    """Name of the printer profile its sizes were corrected by."""


@dataclass(frozen=True)
class _Draft:
    body: Printed
    size_mm: tuple[float, float, float]
    face: Face | None
    size_text: str
    findings: tuple[Finding, ...] = field(default=())


def make_dummies(
    requests: Iterable[Request],
    correction: Correction = IDENTITY,
    bed: Bed | None = None,
    progress: Progress = SILENT,
) -> tuple[Dummy, ...]:
    """Make every dummy asked for, in order.

    Raises ``InputError`` for sizes that cannot be printed or mesh files that are no solids,
    ``ModelError`` when a mesh stays open, ``MissingLibraryError`` when the mesh library is missing.
    """
    asked = tuple(requests)
    made = []
    for number, request in enumerate(asked):
        progress.step(number, len(asked), f"dummy of {request.name}")
        made.append(make_dummy(request, correction, bed or Bed()))
    progress.step(len(asked), len(asked), "dummies done")
    return tuple(made)


def make_dummy(request: Request, correction: Correction, bed: Bed) -> Dummy:
    """Model, engrave, chamfer, mesh, weigh and check one dummy.

    It weighs what comes off the bed, which has its true sizes whatever is modelled for them.
    """
    name = request.name
    body, mesh, size, found = _modelled(request, correction)
    true = mesh
    if not correction.is_identity:
        _, true, _, _ = _modelled(request, IDENTITY)
    found += bed_findings(name, mesh.size_mm, bed) + tall_findings(name, mesh.size_mm)
    found += tuple(swallowing_cautions(_as_item(request, size), f"the dummy '{name}'"))
    return Dummy(name, body, mesh, size, mass_g(true.volume_mm3), found, correction.name)


def _modelled(
    request: Request, correction: Correction
) -> tuple[Printed | None, Mesh, tuple[float, float, float], tuple[Finding, ...]]:
    """The body, None for a mesh file, its mesh, what it should measure, and what was noticed."""
    name = request.name
    if isinstance(request, ContentDummy) and request.item.mesh_path is not None:
        mesh, size, found = read_item(request.item, correction)
        body = None
        found += (_note("engrave-mesh", f"{name}: a mesh file is not engraved: mark it by hand"),)
    else:
        draft = _draft(request, correction)
        body, size, found = draft.body, draft.size_mm, draft.findings
        # A ball stands on a point: it is neither flattened nor engraved.
        if isinstance(body, Body):
            body, chamfered = chamfer_first_layer(body, name, correction)
            found += chamfered
            if draft.face is not None:
                said = " ".join([draft.size_text, *_corrected_for(correction)])
                body, engraved = engrave(body, draft.face, name, said)
                found += engraved
        mesh = mesh_of(body, name)
    return body, mesh, size, found


def _corrected_for(correction: Correction) -> tuple[str, ...]:
    """What a corrected print says of itself, behind its size."""
    return () if correction.is_identity else (f"for {correction.name}",)


def _draft(request: Request, correction: Correction) -> _Draft:
    if isinstance(request, ContentDummy):
        return _content(request.item, correction)
    size = (request.width_mm, request.length_mm, request.height_mm)
    if isinstance(request, WalledBox):
        return _walled(request, size, correction)
    body = block(*size, correction)
    found: tuple[Finding, ...] = ()
    if request.words:
        code = "outside-widest" if isinstance(request, OutsideBlock) else "inside-room"
        found = (_note(code, f"{request.name}: {request.words}"),)
    return _Draft(body, size, _top(body), _size_text(size), found)


def _content(item: Item, correction: Correction) -> _Draft:
    pose = item.kind.printed(item)
    body = placeholder(pose, correction)
    size = (pose.width_mm, pose.length_mm, pose.height_mm)
    if pose.shape is Shape.BALL:
        note = _note(
            "sphere-supports",
            f"{item.name}: a sphere stands on a point: print it on supports, smooth their marks, "
            "and measure beside them; it is not engraved or flattened, to keep its true size",
        )
        return _Draft(body, size, None, "", (note,))
    return _Draft(body, size, _top(body, square_share(pose)), item.kind.size_text(item))


def _walled(request: WalledBox, size: tuple[float, float, float], correction: Correction) -> _Draft:
    body = walled_box(*size, wall_mm=request.wall_mm, true=request.true, correction=correction)
    outside, inside = walled_sizes(*size, request.wall_mm, request.true)
    x, y, z = body.size_mm
    if request.true is Side.OUTSIDE:
        floor = (0.0, 0.0, z - correction.depth(inside[2]))
        face = Face(floor, (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), inside[0], inside[1], request.wall_mm)
    else:
        front = (0.0, -y / 2, z / 2)
        face = Face(front, (1.0, 0.0, 0.0), (0.0, -1.0, 0.0), x, z, request.wall_mm)
    return _Draft(body, outside, face, f"{request.true} {_size_text(size)}")


def _top(body: Printed, share: float = 1.0) -> Face:
    """The upper face; ``share`` of its extents where only a part of it takes text."""
    x, y, z = body.size_mm
    return Face((0.0, 0.0, z), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), x * share, y * share, z)


def _as_item(request: Request, size_mm: tuple[float, float, float]) -> Item:
    """What the print is, seen as a thing of its own."""
    if isinstance(request, ContentDummy):
        return request.item
    return Item(
        name=request.name,
        kind=BLOCK,
        size_mm=size_mm,
        corner_radius_mm=0.0,
        mesh_path=None,
        size_u_mm=(),
        size_range_mm=None,
        source="",
        hazards=frozenset(),
    )


def _size_text(size_mm: tuple[float, ...]) -> str:
    return " × ".join(f"{size:.2f}" for size in size_mm) + " mm"


def _note(code: str, message: str) -> Finding:
    return Finding(code, message, Severity.NOTE)
