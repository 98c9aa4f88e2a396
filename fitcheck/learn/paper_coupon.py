"""The coupon of a paper: what to cut, to fold and to read, and the empty rows for the readings."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fitcheck.learn.csv_table import HEADER
from fitcheck.stock.tools import USUAL_SCORE_FACE, Tools
from fitcheck.units import MM_PER, Unit
from fitcheck.workspace.spreadsheet import csv_text

INCH = MM_PER[Unit.IN]
SHEETS = 10
"""Strips in the stack: dust and burrs are shared by ten, and a caliper's step too."""
STACK_READINGS = 5
STRIP_MM = 20.0
"""Width of a strip."""
ENDS = 2
"""Each channel and the tray are read near either end."""
WALL_MM = (8.0, 17.0)
"""Walls that jaws reach over, and for which the page has room."""
REACH_MM, TRAY_REACH_MM = 108.5, 86.0
"""A strip and the tray's sheet are no longer, so that the page holds them."""


@dataclass(frozen=True)
class Strip:
    """One channel: a strip with two scores, folded up on either side."""

    piece: str
    floor_mm: float
    along: bool
    """True when its folds run along the grain."""


@dataclass(frozen=True)
class Coupon:
    """The pieces of a coupon; lengths in mm."""

    stock: str
    tools: str
    strips: tuple[Strip, ...]
    wall_mm: float
    hem_mm: float
    """From the cut edge to the score."""
    tray_mm: float
    """Floor of the tray, both ways."""
    unit: Unit
    score_face: str = USUAL_SCORE_FACE
    """The face of each fold that is pressed, as on a box."""
    in_grooves: bool = True
    """Whether every score lies in a groove of the board; otherwise each is made by a rule."""
    half_cut: bool = False
    """Whether its folds are cut half through, as those of its boxes are."""

    @property
    def gauged(self) -> Strip:
        """The channel whose inside is also gauged."""
        return self.strips[1]


def coupon_for(stock: str, tools: Tools, *, half_cut: bool = False) -> Coupon:
    """The coupon for a stock, its scores on the grooves of the tools at hand.

    Boards with grooves in parts of an inch get sizes in inches, all others whole 5 mm where these
    are grooves. On a board without grooves, or with grooves too far apart for walls, all is scored
    by a rule, and cut by one if it is cut half through, outside the fold.
    """
    unit = tools.grid_unit or Unit.MM
    inches = unit is Unit.IN
    floors = [INCH, 2 * INCH, 3 * INCH] if inches else [25.0, 50.0, 75.0]
    wall, hem, tray = (0.625 * INCH, INCH, 1.5 * INCH) if inches else (15.0, 25.0, 40.0)
    step = _groove(tools)
    if step is not None:
        wall = _near(wall, step, *WALL_MM)
        floors = [_near(floor, step, step, REACH_MM - 2 * wall) for floor in floors]
        hem = _near(hem, step, step, hem + step)
        tray = _near(tray, step, step, TRAY_REACH_MM - 2 * wall)
    strips = [Strip(piece, floor, True) for piece, floor in zip("BCD", floors, strict=True)]
    strips += [Strip(piece, floor, False) for piece, floor in zip("EFG", floors, strict=True)]
    face, own = USUAL_SCORE_FACE if half_cut else tools.score_face, tuple(strips)
    return Coupon(
        stock=stock,
        tools=tools.name,
        strips=own,
        wall_mm=wall,
        hem_mm=hem,
        tray_mm=tray,
        unit=unit,
        score_face=face,
        in_grooves=step is not None and not half_cut,
        half_cut=half_cut,
    )


def coupon_score_u_mm(tools: Tools) -> float:
    """Standard uncertainty of one score of a paper's coupon, made as its how-to page says, mm."""
    if _groove(tools) is None:
        return tools.score_u_off_grid_mm
    return tools.score_u_on_grid_mm


def _groove(tools: Tools) -> float | None:
    """How far apart the grooves are that a coupon is scored in; None where it is not."""
    step = tools.grid_mm
    return None if step is None or step > WALL_MM[1] else step


def _near(mm: float, step: float, least: float, most: float) -> float:
    """The groove nearest to a length, of those in between.

    >>> _near(75.0, 6.0, 6.0, 84.5), _near(15.0, 10.0, 8.0, 17.0)
    (78.0, 10.0)
    """
    lowest, highest = math.ceil(least / step - 1e-9), math.floor(most / step + 1e-9)
    return round(min(max(math.floor(mm / step + 0.5), lowest), highest) * step, 6)


def coupon_rows(coupon: Coupon) -> tuple[dict[str, str], ...]:
    """One row for each reading to take, feature, nominal, count and note filled in."""
    rows = [empty_row("stack", count=f"{SHEETS}", note="piece A")] * STACK_READINGS
    for strip in coupon.strips:
        grain = "along" if strip.along else "across"
        note = f"piece {strip.piece}, folds {grain} the grain"
        rows += [empty_row("channel", strip.floor_mm, note=note)] * ENDS
    inner = coupon.gauged
    rows.append(
        empty_row(
            "inside", inner.floor_mm, note=f"piece {inner.piece}, folds along the grain, plug"
        )
    )
    rows.append(empty_row("hem", coupon.hem_mm, note="piece H"))
    tray = "piece K, folds across the grain, front to back at the rim"
    rows += [empty_row("corner", coupon.tray_mm, note=tray)] * ENDS
    return tuple(rows)


def rim_rows(coupon: Coupon) -> tuple[dict[str, str], ...]:
    """One row for each wall that a coin is laid on; the coin is weighed and its mass filled in."""
    rows = []
    for strip in (coupon.strips[1], coupon.strips[4]):
        grain = "along" if strip.along else "across"
        note = f"piece {strip.piece}, folds {grain} the grain, wide {STRIP_MM:g} mm, coin ? g"
        rows += [empty_row("rim", coupon.wall_mm, note=note)] * ENDS
    return tuple(rows)


def gauge_rows(features: tuple[tuple[str, float], ...]) -> tuple[dict[str, str], ...]:
    """One row for each reading to take of a printed gauge."""
    return tuple(empty_row(feature, nominal) for feature, nominal in features)


def empty_row(
    feature: str, nominal_mm: float | None = None, count: str = "", note: str = ""
) -> dict[str, str]:
    """A row for one reading, not yet taken."""
    row = dict.fromkeys(HEADER, "")
    nominal = "" if nominal_mm is None else f"{nominal_mm:.10g}"
    return row | {"feature": feature, "nominal_mm": nominal, "count": count, "note": note}


def empty_sheet(rows: tuple[dict[str, str], ...]) -> str:
    """The CSV to fill in."""
    return csv_text([HEADER, *([row[name] for name in HEADER] for row in rows)])
