"""A folded part: sizes, plates, bends and convex pieces as arrays, its mesh, solid and sheet."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.design.model import Design as Drawn
from fitcheck.face.frozen import Floats, Row, frozen
from fitcheck.face.sheets import Sheet, sheet_of
from fitcheck.fit.assembly import Part as Folded
from fitcheck.folding.pose import Array, apply
from fitcheck.folding.prisms import Plate as Flat
from fitcheck.polygons import polygon_area

if TYPE_CHECKING:
    from fitcheck.solids.handed_out import Compound, Trimesh

Triple = tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class Plate:
    """What stays flat of a panel: a prism of the paper's thickness, in place."""

    name: str
    """The panel's."""
    outside: Floats
    """(n, 3) mm, the corners of the face that is outside where all folds go inward,
    counter-clockwise seen from the inside face."""
    inside: Floats
    """(n, 3) mm, the corners above them on the other face."""
    holes: tuple[Floats, ...] = ()
    """(m, 3) mm each, the corners of what is cut out of it, on the outside face, clockwise."""

    def __repr__(self) -> str:
        return f"Plate({self.name!r}, {len(self.outside)} corners)"


@dataclass(frozen=True, eq=False)
class Bend:
    """A sector of a round between two plates, in place.

    The round's axis is local y; at an angle p material lies from the inside radius to that plus
    the thickness along (sin p, 0, -cos p).
    """

    name: str
    """The crease's."""
    panels: frozenset[str]
    """The two that it joins."""
    radius_mm: float
    """Inside; 0 where the fold is sharp."""
    thickness_mm: float
    angles_rad: tuple[float, float]
    """From where to where it turns."""
    ends_mm: Floats
    """(2, 2) from where to where it reaches along its axis, at the first angle and at the second;
    in between it goes evenly from one to the other."""
    pose: Floats
    """(4, 4) carries its own place to where it stands, mm."""

    def __repr__(self) -> str:
        return f"Bend({self.name!r}, radius_mm={self.radius_mm:.3f})"


@dataclass(frozen=True, eq=False)
class Piece:
    """A convex polyhedron that a part is collided as."""

    name: str
    """The panel's or the crease's; a bend has many pieces of one name."""
    panels: frozenset[str]
    """The panel it is, or the two that it joins."""
    corners: Floats
    """(n, 3) mm; the piece is their convex hull."""

    def __repr__(self) -> str:
        return f"Piece({self.name!r}, {len(self.corners)} corners)"


@dataclass(frozen=True, eq=False)
class Part:
    """A part folded and glued, by itself: the outside of its floor lies on z = 0.

    x runs along the width, y along the length; the middle of its floor is above the origin.
    `Mate.pose` carries it to its place in the closed box.
    """

    _part: Folded = field(repr=False)
    _drawn: Drawn = field(repr=False)

    @property
    def name(self) -> str:
        """What it is to the others, such as base or lid."""
        return self._part.recipe.part

    @property
    def style(self) -> str:
        """The name of its style."""
        return self._part.recipe.style

    @property
    def stock(self) -> str:
        """The name of its paper."""
        return self._part.recipe.stock.name

    @property
    def caliper_mm(self) -> float:
        """Thickness of its paper."""
        return self._part.folded.caliper_mm

    @property
    def copies(self) -> int:
        """How often it is cut for one box; strips of a grid are cut several times."""
        return self._part.pattern.copies

    @property
    def outside_mm(self) -> Triple:
        """Width and length at the rim and height, as a caliper measures them."""
        return (*self._part.sizes.outside_mm, self._part.sizes.height_mm)

    @property
    def inside_mm(self) -> Triple:
        """Width and length between what stands inside its walls (a frame's opening), and depth."""
        return (*self._part.sizes.inside_mm, self._part.sizes.depth_mm)

    @property
    def floor_mm(self) -> tuple[float, float]:
        """Width and length of its floor, score to score."""
        return self._part.recipe.width_mm, self._part.recipe.length_mm

    @property
    def sheet_mm(self) -> tuple[float, float]:
        """Width and length of the sheet that it is cut from."""
        sheet = self._part.pattern.sheet
        return sheet.width_mm, sheet.length_mm

    @property
    def volume_mm3(self) -> float:
        """Of its paper, plates and bends together."""
        return self._part.folded.volume_mm3

    @cached_property
    def plates(self) -> tuple[Plate, ...]:
        """What stays flat of its panels, in the order of the pattern."""
        found = []
        for plate in self._part.folded.plates:
            rise = plate.thickness_mm * plate.pose[:3, 2]
            outside = _placed(plate, plate.outline)
            holes = [frozen(_placed(plate, r)) for r in plate.rings if polygon_area(r) < 0.0]
            found.append(Plate(plate.name, frozen(outside), frozen(outside + rise), tuple(holes)))
        return Row(found)

    @cached_property
    def bends(self) -> tuple[Bend, ...]:
        """Its bends, a long one in several stretches where it is cut into."""
        return Row(
            Bend(
                bend.name,
                bend.panels,
                bend.radius_mm,
                bend.thickness_mm,
                (bend.start_rad, bend.stop_rad),
                frozen([bend.ends_start, bend.ends_stop]),
                frozen(bend.pose),
            )
            for bend in self._part.folded.bends
        )

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """All plates and bends as the convex pieces that every answer is made of.

        A bend is many; its facets stand outside the true round by less than 0.001 mm.
        """
        return Row(
            Piece(one.name, one.panels, frozen(one.vertices)) for one in self._part.folded.pieces
        )

    def mesh(self) -> Trimesh:
        """The part as one closed `trimesh.Trimesh` for a printer, mm.

        Paper that lies in paper is joined, so it holds no more than `volume_mm3`; facets lie up to
        0.001 mm off the rounds. Raises MissingLibraryError without trimesh or manifold3d,
        ModelError where the pieces do not join into one body.
        """
        from fitcheck.solids.folded import folded_mesh
        from fitcheck.solids.handed_out import as_trimesh

        return as_trimesh(folded_mesh(self._part.folded))

    def solid(self) -> Compound:
        """Its plates and bends as exact solids in one `cadquery.Compound`, in
        place, mm.

        They are not joined: their volumes add up to `volume_mm3`. Raises MissingLibraryError
        without cadquery or netgen-mesher, ModelError where a solid does not close.
        """
        from fitcheck.solids.folded_solids import folded_solids
        from fitcheck.solids.handed_out import as_cadquery, load_cadquery

        load_cadquery()
        return as_cadquery(folded_solids(self._part.folded), self.name)

    def sheet(self) -> Sheet:
        """What is drawn to cut and score it by, at 1:1, as a display list.

        Raises ModelError where its texts find no place.
        """
        return sheet_of(self._drawn, self._part)

    def __repr__(self) -> str:
        return f"Part({self.name!r}, style={self.style!r})"


def _placed(plate: Flat, ring: Array) -> Array:
    """A ring (n, 2) of a plate's outside face in place, (n, 3)."""
    return apply(plate.pose, np.column_stack([ring, np.zeros(len(ring))]))
