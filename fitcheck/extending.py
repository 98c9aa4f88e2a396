"""What a package needs that adds a style or a kind of content.

It names an instance of `Style` in the group `fitcheck.styles` of its entry points, or one of `Kind`
in `fitcheck.kinds`, each under the name that design files and items files will say:

    [project.entry-points."fitcheck.styles"]
    strip-tray = "my_boxes:STRIP_TRAY"

A style has no geometry of its own: it places panels, creases and bonds on a sheet. A kind gives the
poses in which its items may stand. `fitcheck guide a-style-of-your-own` shows a whole package.
"""

from fitcheck.errors import InputError
from fitcheck.kinds.block import rectangular
from fitcheck.kinds.kind import Item, Kind, Lay, Solid, Standing
from fitcheck.kinds.poses import Disc, Polygon, Pose, Rectangle, Shape
from fitcheck.pattern.bonds import Bond, Face, JointKind, corner, roll, seam
from fitcheck.pattern.creases import CreaseKind, CreaseLine
from fitcheck.pattern.cutouts import Cutout, CutoutKind
from fitcheck.pattern.pattern import Lap, Panel, Pattern, Role
from fitcheck.pattern.rows import Row
from fitcheck.pattern.sheet import Axis, Corner, Fence, Knife, Rule, Sheet
from fitcheck.pattern.tucks import Tuck
from fitcheck.stock.paper import Stock
from fitcheck.stock.tools import Tools
from fitcheck.styles.canvas import Canvas, Edge
from fitcheck.styles.keys import AxisName, Name, PartFile, Sides
from fitcheck.styles.mates import Along, Into, Mate, Over, Tucked, Turned
from fitcheck.styles.own_lengths import OwnLength
from fitcheck.styles.part import PartSpec, Recipe, SizeBy
from fitcheck.styles.style import Problems, Style
from fitcheck.styles.walled import Walled, WalledFile, WalledRecipe, WalledSpec
from fitcheck.styles.walls import Drawn, floor, plain_wall, tabbed_wall
from fitcheck.units import Unit
from fitcheck.workspace.lengths import Length
from fitcheck.workspace.strict import STRICT

__all__ = [
    "STRICT",
    "Along",
    "Axis",
    "AxisName",
    "Bond",
    "Canvas",
    "Corner",
    "CreaseKind",
    "CreaseLine",
    "Cutout",
    "CutoutKind",
    "Disc",
    "Drawn",
    "Edge",
    "Face",
    "Fence",
    "InputError",
    "Into",
    "Item",
    "JointKind",
    "Kind",
    "Knife",
    "Lap",
    "Lay",
    "Length",
    "Mate",
    "Name",
    "Over",
    "OwnLength",
    "Panel",
    "PartFile",
    "PartSpec",
    "Pattern",
    "Polygon",
    "Pose",
    "Problems",
    "Recipe",
    "Rectangle",
    "Role",
    "Row",
    "Rule",
    "Shape",
    "Sheet",
    "Sides",
    "SizeBy",
    "Solid",
    "Standing",
    "Stock",
    "Style",
    "Tools",
    "Tuck",
    "Tucked",
    "Turned",
    "Unit",
    "Walled",
    "WalledFile",
    "WalledRecipe",
    "WalledSpec",
    "corner",
    "floor",
    "plain_wall",
    "rectangular",
    "roll",
    "seam",
    "tabbed_wall",
]
