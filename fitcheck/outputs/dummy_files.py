"""A checked design becomes the files of its stand-ins: contents, blocks, box, folded parts."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from fitcheck.errors import MissingLibraryError
from fitcheck.findings import Finding
from fitcheck.fit.assembly import Part
from fitcheck.fit.check import Check
from fitcheck.fit.stood import neck_of, stood_in
from fitcheck.outputs.dummy_kinds import DummyKind
from fitcheck.plain import joined
from fitcheck.solids import write_3mf, write_step, write_stl
from fitcheck.solids.blocks import Side
from fitcheck.solids.body_solid import solid_of
from fitcheck.solids.correction import Correction, uncovered
from fitcheck.solids.dummies import (
    ContentDummy,
    Dummy,
    InsideBlock,
    OutsideBlock,
    Request,
    WalledBox,
    make_dummies,
)
from fitcheck.solids.envelope import envelope_of
from fitcheck.solids.finishing import Bed
from fitcheck.solids.folded import folded_mesh
from fitcheck.solids.folded_solids import folded_solids
from fitcheck.solids.libraries import load_modeller
from fitcheck.solids.meshes import Mesh
from fitcheck.stock.printer import Printer
from fitcheck.workspace.filenames import distinct_stems, safe_stem
from fitcheck.workspace.progress import Progress

Size: TypeAlias = tuple[float, float, float]
"""Width, length and height, mm."""


@dataclass(frozen=True)
class Made:
    """One stand-in, as it is told to the maker."""

    stem: str
    name: str
    size_mm: tuple[float, float, float]
    mass_g: float | None
    """None for what is not meant for the printer."""
    corrected_by: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class DummyFiles:
    """The files of all stand-ins and what to tell about them."""

    files: dict[str, bytes]
    """Contents by file name."""
    made: tuple[Made, ...]
    left_out: MissingLibraryError | None = None
    """Why the STEP files that were wanted are not among them."""


@dataclass(frozen=True)
class DummyOrder:
    """What to make, and how."""

    kinds: Collection[DummyKind]
    true: Side
    """Which side of the walled box is true."""
    wall_mm: float
    bed: Bed
    correction: Correction
    step: bool
    """Write STEP files of the dummies too; those of the folded parts are always wanted."""
    printer: Printer | None = None
    """The profile behind the correction, to tell what it does not cover."""


def dummy_files(check: Check, order: DummyOrder, progress: Progress) -> DummyFiles:
    """Make everything that was ordered for a design.

    Raises InputError for what cannot be printed, MissingLibraryError without the mesh library;
    without the solid modeller only the STEP files are left out.
    """
    requests = _requests(check, order)
    dummies = make_dummies(requests, order.correction, order.bed, progress)
    stems = distinct_stems(tuple(f"dummy-{dummy.name}" for dummy in dummies))
    files: dict[str, bytes] = {}
    made: list[Made] = []
    for stem, request, dummy in zip(stems, requests, dummies, strict=True):
        files |= _printable(stem, dummy.name, dummy.mesh)
        made.append(
            Made(
                stem,
                dummy.name,
                dummy.size_mm,
                dummy.mass_g,
                "" if order.correction.is_identity else dummy.corrected_by,
                (*dummy.findings, *_beyond(order.printer, request, dummy)),
            )
        )
    folded = check.assembly.parts if DummyKind.FOLDED in order.kinds else ()
    for part in folded:
        name = part.recipe.part
        files |= _printable(_folded_stem(part), name, folded_mesh(part.folded, progress))
        made.append(_folded_made(part))
    named = dict(zip(stems, dummies, strict=True)) if order.step else {}
    try:
        files |= _step_files(named, folded, check.design.title, progress)
    except MissingLibraryError as error:
        return DummyFiles(files, tuple(made), error)
    return DummyFiles(files, tuple(made))


def _beyond(printer: Printer | None, request: Request, dummy: Dummy) -> tuple[Finding, ...]:
    """What of a dummy the printer's gauge did not cover."""
    if printer is None:
        return ()
    width, length, height = dummy.size_mm
    inside: tuple[float, ...] = ()
    if isinstance(request, WalledBox) and request.true is Side.INSIDE:
        inside = (request.width_mm, request.length_mm)
    return uncovered(printer, dummy.name, (width, length), inside, (height,))


def _requests(check: Check, order: DummyOrder) -> list[Request]:
    outside, outside_words = _outside(check)
    inside, inside_words = _inside(check)
    name = check.design.name
    items = {content.item.name: content.item for content in check.design.contents}
    requests: list[Request] = []
    if DummyKind.CONTENTS in order.kinds:
        requests += [ContentDummy(item) for item in items.values()]
    if DummyKind.OUTSIDE in order.kinds:
        requests.append(OutsideBlock(*outside, f"{name} outside", outside_words))
    if DummyKind.INSIDE in order.kinds:
        requests.append(InsideBlock(*inside, f"{name} inside", inside_words))
    if DummyKind.BOX in order.kinds:
        size = outside if order.true is Side.OUTSIDE else inside
        requests.append(WalledBox(*size, order.true, order.wall_mm, name=f"{name} box"))
    return requests


def _outside(check: Check) -> tuple[Size, str]:
    """What a lid goes over: the base, or the neck that stands in it, as high as its top lies."""
    base, neck = check.assembly.base, _neck(check)
    envelope = envelope_of(base.folded, base.sizes)
    if neck is None:
        return envelope.size_mm, envelope.words
    name, sizes = neck.recipe.part, neck.sizes
    height = base.sizes.height_mm - base.sizes.depth_mm + sizes.height_mm
    width, length, rim = envelope.size_mm
    words = (
        f"as wide as the {name} that the lid goes over, and as high as its top lies; the base "
        f"below, whose rim the lid's is to meet, is {width:.2f} x {length:.2f} x {rim:.2f} mm"
    )
    return (*sizes.outside_mm, height), words


def _inside(check: Check) -> tuple[Size, str]:
    """The room that contents have: between the walls of the base, or of a neck in it."""
    sizes, neck = check.assembly.base.sizes, _neck(check)
    bare = *sizes.inside_mm, sizes.depth_mm
    if neck is not None:
        name, own = neck.recipe.part, neck.sizes
        width, length, depth = bare
        words = (
            f"the room within the {name}, which stands on the base's floor; to form the base alone "
            f"its inside is {width:.2f} x {length:.2f} x {depth:.2f} mm"
        )
        return (*own.inside_mm, own.depth_mm), words
    stood = stood_in(check.assembly)
    if not stood.mates:
        return bare, ""
    called = joined([f"the {one.mate.called}" for one in stood.mates])
    return bare, f"the inside of the empty base, without {called}: contents have less room"


def _neck(check: Check) -> Part | None:
    """What stands in the base and has the lid over it."""
    neck = neck_of(check.assembly)
    return None if neck is None else check.assembly.part(neck.mate.mover)


def _printable(stem: str, name: str, mesh: Mesh) -> dict[str, bytes]:
    meshes = {name: mesh}
    return {f"{stem}.stl": write_stl.encode(meshes), f"{stem}.3mf": write_3mf.encode(meshes)}


def _step_files(
    dummies: dict[str, Dummy], folded: Sequence[Part], title: str, progress: Progress
) -> dict[str, bytes]:
    """Exact solids for other programs. Raises MissingLibraryError without the solid modeller."""
    if dummies or folded:
        load_modeller()
    files = {
        f"{stem}.step": write_step.encode({one.name: solid_of(one.body, one.name)}, one.name)
        for stem, one in dummies.items()
        if one.body is not None
    }
    for part in folded:
        name = part.recipe.part
        solids = folded_solids(part.folded, progress)
        files[f"{_folded_stem(part)}.step"] = write_step.encode(solids, f"{title}: {name}")
    return files


def _folded_stem(part: Part) -> str:
    """What all files of a folded part are called, without their endings."""
    return safe_stem(f"folded-{part.recipe.part}")


def _folded_made(part: Part) -> Made:
    name, pattern = part.recipe.part, part.pattern
    called, size = f"the folded {name}", envelope_of(part.folded, part.sizes).size_mm
    if pattern.flat:
        sheet = pattern.sheet
        called, size = (
            f"the {name}, flat",
            (sheet.width_mm, sheet.length_mm, part.recipe.stock.caliper_mm),
        )
        if pattern.row is not None:
            of = f"one of {pattern.copies} strips" if pattern.copies > 1 else "the strip"
            called = f"{of}, {name}, flat"
    return Made(_folded_stem(part), f"{called}, as paper", size, None, "", ())
