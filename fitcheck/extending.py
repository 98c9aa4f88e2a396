"""What a package needs that adds a style or a kind of content.

It names an instance of `Style` in the group `fitcheck.styles` of its entry points, or one of `Kind`
in `fitcheck.kinds`, each under the name that design files and items files will say:

    [project.entry-points."fitcheck.styles"]
    strip-tray = "my_boxes:STRIP_TRAY"

A style has no geometry of its own: it places panels, creases and bonds on a sheet. A kind gives the
poses in which its items may stand.
"""

from fitcheck.kinds.block import rectangular
from fitcheck.kinds.kind import Item, Kind, Lay, Solid, Standing
from fitcheck.kinds.poses import Disc, Polygon, Pose, Rectangle, Shape
from fitcheck.pattern.bonds import corner, roll, seam
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.pattern import Lap, Panel, Pattern, Role
from fitcheck.pattern.sheet import Axis, Corner, Fence, Knife, Rule, Sheet
from fitcheck.pattern.tucks import Tuck
from fitcheck.styles.canvas import Canvas, Edge
from fitcheck.styles.keys import AxisName, Name, PartFile, Sides
from fitcheck.styles.mates import Along, Into, Mate, Over, Tucked, Turned
from fitcheck.styles.own_lengths import OwnLength
from fitcheck.styles.part import PartSpec, Recipe, SizeBy
from fitcheck.styles.style import Problems, Style
from fitcheck.styles.walled import Walled, WalledFile, WalledRecipe, WalledSpec
from fitcheck.styles.walls import Drawn, floor, plain_wall, tabbed_wall
from fitcheck.workspace.lengths import Length
from fitcheck.workspace.strict import STRICT

__all__ = [
    "STRICT",
    "Along",
    "Axis",
    "AxisName",
    "Canvas",
    "Corner",
    "CreaseLine",
    "Disc",
    "Drawn",
    "Edge",
    "Fence",
    "Into",
    "Item",
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
    "Rule",
    "Shape",
    "Sheet",
    "Sides",
    "SizeBy",
    "Solid",
    "Standing",
    "Style",
    "Tuck",
    "Tucked",
    "Turned",
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
