"""A window: a rectangle cut out of the middle of a panel, which leaves a frame on all sides."""

from __future__ import annotations

from fitcheck.pattern.cutouts import Cutout, CutoutKind
from fitcheck.pattern.sheet import Axis, Corner, Knife, Rule
from fitcheck.plain import shown
from fitcheck.styles.style import Problems
from fitcheck.units import Unit, show_length


def window_in(
    window_mm: tuple[float, float] | None,
    near: tuple[Rule, Rule],
    size_mm: tuple[float, float],
    *,
    takes: bool,
) -> tuple[Cutout, ...]:
    """The window in the middle of a panel of that size, cut from its near edges; none for None.

    `takes` says whether contents go into it, so that a hand makes it no smaller; another one is
    closed by a clear sheet.
    """
    if window_mm is None:
        return ()
    width, length = window_mm
    across, along = (
        Knife(f"window's {axis}", size, takes=True) if takes else Knife(f"window's {axis}")
        for axis, size in zip(Axis, (width, length), strict=True)
    )

    def corner(x: float, y: float) -> Corner:
        dx, dy = 0.5 * (size_mm[0] + x * width), 0.5 * (size_mm[1] + y * length)
        return Corner(near[0], near[1], dx, dy, across, along, 0.5 * x, 0.5 * y)

    spots = tuple(corner(x, y) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
    return (Cutout("window", CutoutKind.WINDOW, spots, paned=not takes),)


def frame_problems(
    part: str,
    window_mm: tuple[float, float],
    size_mm: tuple[float, float],
    frame_mm: float,
    unit: Unit,
    cure: str,
) -> Problems:
    """A window that leaves less than so much on each side of its panel."""
    for side, own, way in zip(size_mm, window_mm, Axis, strict=True):
        most = side - 2.0 * frame_mm
        if own > most:
            yield (
                f"{part}.window",
                f"leaves no frame along the {way}",
                f"read {show_length(own, unit)} of {shown(round(side, 2))} mm",
                f"allowed: up to {show_length(max(0.0, most), unit)}",
                cure,
            )
