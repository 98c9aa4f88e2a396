"""Flat letters are sunk into a flat face by rebuilding that face, not by cutting.

The letters lie inside one face and do not touch, so the result is known: the face with holes, the
letters' walls and floors, and an island where a letter has a hole. A cut of solids finds the same
in many times the time.
"""

from typing import Any

from fitcheck.errors import ModelError
from fitcheck.solids.modeller import load_cadquery

NEAR_MM = 1e-6
SHARE = 1e-6
"""Greatest share by which the removed volume may differ from the letters' own."""


def sink(shape: Any, plane: Any, letters: list[Any], depth_mm: float) -> Any:
    """The solid with letters sunk into its face in a plane.

    ``plane`` is a cadquery plane whose normal points out of the material; ``letters`` are
    cadquery faces on z = 0 of that plane's own frame. Raises ``ModelError`` when the solid has no
    such face or the letters do not lie within it.
    """
    from OCP.BRep import BRep_Builder
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.TopoDS import TopoDS_Shell

    cadquery = load_cadquery()
    (solid,) = shape.Solids()
    target = _face_in(solid, plane)
    maker = BRepBuilderAPI_MakeFace(target.wrapped)
    recesses: list[Any] = []
    removed = 0.0
    for letter in letters:
        placed = letter.moved(plane.location)
        recess, volume = _recess(placed, plane.zDir * -depth_mm)
        maker.Add(placed.outerWire().wrapped)
        recesses += recess
        removed += volume
    builder, shell = BRep_Builder(), TopoDS_Shell()
    builder.MakeShell(shell)
    kept = [face.wrapped for face in solid.Faces() if not face.isSame(target)]
    for face in (*kept, _turned_right(maker.Face()), *recesses):
        builder.Add(shell, face)
    sunk = cadquery.Solid.makeSolid(cadquery.Shell(shell))
    # The modeller's own check of validity takes longer than all the rest; the volume tells.
    if abs(solid.Volume() - removed - sunk.Volume()) > SHARE * solid.Volume():
        raise ModelError("the engraving does not lie within its face")
    return sunk


def _face_in(solid: Any, plane: Any) -> Any:
    """The flat face of a solid that holds the plane's origin and looks the same way."""
    for face in solid.Faces():
        if face.geomType() != "PLANE" or face.normalAt().dot(plane.zDir) < 1 - NEAR_MM:
            continue
        if abs((face.Center() - plane.origin).dot(plane.zDir)) < NEAR_MM:
            return face
    raise ModelError("there is no flat face to engrave")


def _recess(letter: Any, down: Any) -> tuple[list[Any], float]:
    """Walls, floor and islands of one sunk letter, and its volume."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism

    cadquery = load_cadquery()
    prism = cadquery.Shape.cast(BRepPrimAPI_MakePrism(letter.wrapped, down.wrapped).Shape())
    # A recess is the prism seen from inside, without its lid.
    faces = [face.wrapped.Reversed() for face in prism.Faces() if not face.isSame(letter)]
    surface = letter._geomAdaptor()
    for hole in sorted(letter.innerWires(), key=place_of):
        faces.append(_turned_right(BRepBuilderAPI_MakeFace(surface, hole.wrapped).Face()))
    return faces, abs(prism.Volume())


def _turned_right(face: Any) -> Any:
    """The face with its wires turned so that its outline is outside and its holes are holes.

    The modeller leaves the wires in an order that changes from run to run; they are put in the
    order of their places, so that the same solid is written as the same bytes.
    """
    from OCP.BRep import BRep_Builder
    from OCP.ShapeFix import ShapeFix_Face

    fixer = ShapeFix_Face(face)
    fixer.FixOrientation()
    fixed = fixer.Face()
    ordered, builder = fixed.EmptyCopied(), BRep_Builder()
    for wire in sorted(load_cadquery().Face(fixed).Wires(), key=place_of):
        builder.Add(ordered, wire.wrapped)
    return ordered


def place_of(shape: Any) -> tuple[float, ...]:
    """Where a wire or face lies: a key to put several in an order that does not change."""
    box = shape.BoundingBox()
    return tuple(round(value, 6) for value in (box.xmin, box.ymin, box.zmin, box.xmax, box.ymax))
