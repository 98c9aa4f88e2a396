"""Where a content, a dummy or the making itself can hurt, a short line says so.

Numbers are those of public rules (named at each); none of this replaces a maker's instructions or
the rules of the place where the box is given away.
"""

import math
from collections.abc import Iterable

import numpy as np

from fitcheck.findings import Finding, Severity
from fitcheck.kinds.kind import Item, Solid

# 16 CFR 1501.4 (small-parts cylinder). The inches govern, the millimetres there are rounded.
BORE_MM = 1.25 * 25.4
SHALLOW_MM = 1.00 * 25.4
DEEP_MM = SHALLOW_MM + BORE_MM
"""Its floor slants at 45 degrees."""
# 16 CFR 1500.18(a)(17): a ball that passes this hole is held to be small.
BALL_GAUGE_MM = 1.75 * 25.4

HEAVY_G = 250.0
"""What goes into a carton and weighs more wants a bottom that is glued (common practice, no
source)."""

DEFER = "follow the makers' instructions and the rules of your place"

_TILTS = np.radians(np.arange(0.0, 180.0))
_RIM_POINTS = 72
# Touching counts as going in; without this, rounding would decide.
_TOUCH_MM = 1e-9


def fits_small_parts_cylinder(item: Item) -> bool | None:
    """Whether the item goes wholly into the small-parts cylinder; None when it cannot be told.

    Poses: edges along the axes in every order, and each of those tilted along the slanted floor
    in steps of one degree. Every pose is judged exactly, so True is certain; False is certain
    only for poses of that kind. What is only known to lie within its sizes is judged by the box of
    them: a box that fits proves it, one that does not proves nothing.
    """
    solid = item.kind.solid
    if solid is Solid.BALL:
        return ball_fits_cylinder(item.size_mm[0])
    if solid is Solid.ROD:
        return _any_pose_fits(_rod_points(*item.size_mm))
    fits = _any_pose_fits(_block_points(*item.kind.extents(item)))
    return None if solid is Solid.WITHIN and not fits else fits


def ball_fits_cylinder(diameter_mm: float) -> bool:
    """A ball fits when it passes the bore and, on the slanted floor, stays below the rim.

    >>> ball_fits_cylinder(31.0), ball_fits_cylinder(32.0)
    (True, False)
    """
    radius = diameter_mm / 2
    # The ball touches the wall on the deep side and the floor at 45 degrees.
    top = radius * (2 + math.sqrt(2))
    return diameter_mm <= BORE_MM and top <= DEEP_MM


def content_cautions(items: Iterable[Item]) -> tuple[Finding, ...]:
    """Cautions about things that go in a box, one of a kind for each item."""
    found: list[Finding] = []
    for item in {item.name: item for item in items}.values():
        found += swallowing_cautions(item, item.name)
        if item.hazards & {"coin", "button-cell"}:
            kind = "a button cell" if "button-cell" in item.hazards else "a coin"
            found.append(
                _caution(
                    "swallow",
                    f"{item.name} is {kind}: dangerous to swallow, and no box is child-proof; "
                    f"keep it from small children; {DEFER}",
                    item.name,
                )
            )
        if "food" in item.hazards:
            found.append(
                _caution(
                    "food-contact",
                    f"{item.name} is food: wrap it; cardstock, inks, glues and prints carry no "
                    f"food-contact promise; {DEFER}",
                    item.name,
                )
            )
        if "sharp" in item.hazards:
            found.append(
                _caution(
                    "sharp-content",
                    f"{item.name} is sharp: cap it before it goes in the box; {DEFER}",
                    item.name,
                )
            )
    return tuple(found)


def swallowing_cautions(item: Item, called: str) -> list[Finding]:
    """Whether it is a small part: the ball gauge for spheres, the cylinder for all other shapes.

    ``called`` is what the reader knows it by. At most one caution.
    """
    if item.kind.solid is Solid.BALL:
        if item.size_mm[0] > BALL_GAUGE_MM:
            return []
        return [
            _caution(
                "small-ball",
                f"{called} passes the {BALL_GAUGE_MM:.2f} mm ball gauge (16 CFR 1500.18): a "
                f"choking hazard; keep it from small children; {DEFER}",
                item.name,
                diameter_mm=item.size_mm[0],
                gauge_mm=BALL_GAUGE_MM,
            )
        ]
    fits = fits_small_parts_cylinder(item)
    if fits is None:
        return [
            _caution(
                "small-parts-unknown",
                f"{called} may or may not fit the small-parts cylinder (16 CFR 1501.4): its box "
                f"alone cannot tell; try it in one before it is near small children; {DEFER}",
                item.name,
            )
        ]
    if not fits:
        return []
    return [
        _caution(
            "small-parts",
            f"{called} fits the small-parts cylinder ({BORE_MM:.2f} mm bore, 16 CFR 1501.4): a "
            f"choking hazard; keep it from children under three; {DEFER}",
            item.name,
            bore_mm=BORE_MM,
        )
    ]


def tucked_bottom_cautions(contents: Iterable[tuple[int, Item]]) -> tuple[Finding, ...]:
    """A caution where what stands on a bottom that is only tucked in is heavy.

    ``contents`` are counts and items; what has no mass counts as nothing.
    """
    mass_g = sum(count * (item.mass_g or 0.0) for count, item in contents)
    if mass_g <= HEAVY_G:
        return ()
    return (
        _caution(
            "heavy-for-bottom",
            f"what goes in weighs {mass_g:.0f} g, and the bottom is only tucked in: above "
            f"{HEAVY_G:.0f} g glue it shut, or glue a second floor inside (common practice, no "
            "source), and try it over a table before anybody carries it",
            "base",
            mass_g=mass_g,
        ),
    )


def printing_cautions() -> tuple[Finding, ...]:
    """Cautions about printing stand-ins, whatever they stand for."""
    return (
        _caution(
            "hot-end",
            "a printer's nozzle and bed burn at once and stay hot after the job: let them cool, "
            f"and air the room; {DEFER}",
            None,
        ),
        _caution(
            "print-food",
            "prints are not for food: layers hold soil, and brass nozzles can shed lead",
            None,
        ),
    )


def cutting_cautions() -> tuple[Finding, ...]:
    """Cautions about cutting a box out by hand (common practice, no source)."""
    return (
        _caution(
            "blade",
            "cut away from the hand, on a mat, along a metal rule, with a fresh blade; cap it "
            f"afterwards; adults cut for children; {DEFER}",
            None,
        ),
    )


def _caution(code: str, message: str, piece: str | None, **numbers: float) -> Finding:
    return Finding(code, message, Severity.CAUTION, piece, numbers)


def _block_points(x_mm: float, y_mm: float, z_mm: float) -> list[np.ndarray]:
    """Corners of the block, once for each way of putting its edges along the axes."""
    signs = np.array([(a, b, c) for a in (-0.5, 0.5) for b in (-0.5, 0.5) for c in (-0.5, 0.5)])
    size = np.array([x_mm, y_mm, z_mm])
    orders = ((0, 1, 2), (1, 0, 2), (0, 2, 1), (2, 0, 1), (1, 2, 0), (2, 1, 0))
    return [signs * size[list(order)] for order in orders]


def _rod_points(diameter_mm: float, height_mm: float) -> list[np.ndarray]:
    """Points on both rims, standing up and lying across the tilt's axis."""
    angle = np.linspace(0.0, 2 * np.pi, _RIM_POINTS, endpoint=False)
    x, y = diameter_mm / 2 * np.cos(angle), diameter_mm / 2 * np.sin(angle)
    half = np.full_like(x, height_mm / 2)
    upright = np.concatenate([np.stack([x, y, half], 1), np.stack([x, y, -half], 1)])
    return [upright, upright[:, [0, 2, 1]]]


def _any_pose_fits(clouds: list[np.ndarray]) -> bool:
    return any(
        _pose_fits(_tilted(points, tilt))
        for points in clouds
        if not _too_large(points)
        for tilt in _TILTS
    )


def _too_large(points: np.ndarray) -> bool:
    """Whether no tilt of points (n, 3), symmetric about the origin, can fit.

    Tilted or not it is as broad; and what is to stand between bore and rim is no longer, seen
    from the side, than the diagonal of the two.
    """
    x, y, z = points.T
    broad, long = 2.0 * np.abs(y).max(), 2.0 * np.hypot(x, z).max()
    return bool(broad > BORE_MM + 1e-6 or long > math.hypot(BORE_MM, DEEP_MM) + 1e-6)


def _tilted(points: np.ndarray, angle: float) -> np.ndarray:
    """Turned about y, the level line of the slanted floor."""
    cos, sin = math.cos(angle), math.sin(angle)
    x, y, z = points.T
    return np.stack([cos * x + sin * z, y, cos * z - sin * x], 1)


def _pose_fits(points: np.ndarray) -> bool:
    """Whether points (n, 3), symmetric in y, go in without turning; exact.

    The floor is z = x + bore / 2, the rim z = ``DEEP_MM``. Slid along x the body is lowest when
    it is furthest to the deep side, so only that place is tried.
    """
    radius = BORE_MM / 2
    x, y, z = points.T
    if np.abs(y).max() > radius + _TOUCH_MM:
        return False
    chord = np.sqrt(np.maximum(radius**2 - y**2, 0.0))
    furthest = float((-x - chord).max())
    if furthest > float((chord - x).min()) + _TOUCH_MM:
        return False
    lowest = float((x - z).max()) + furthest + radius
    return lowest + float(z.max()) <= DEEP_MM
