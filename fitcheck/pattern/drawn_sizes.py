"""The floor and the walls of a pattern as they are drawn, to hold against its recipe."""

from __future__ import annotations

from fitcheck.pattern.pattern import Panel, Pattern, Role


def floor_mm(pattern: Pattern) -> tuple[float, float] | None:
    """The width and the length of the floor that all else hangs on, mm; None where it is none."""
    root = pattern.panels[0]
    if root.role is not Role.FLOOR:
        return None
    outline = pattern.outline(root, {})
    width, length = (outline.max(axis=0) - outline.min(axis=0)).tolist()
    return width, length


def wall_mm(pattern: Pattern) -> float | None:
    """How high the highest wall on such a floor is from its score on, mm; None without one."""
    root = pattern.panels[0]
    if root.role is not Role.FLOOR:
        return None
    on_it = {line.child for line in pattern.creases if line.parent == root.name}
    walls = [one for one in pattern.panels if one.role is Role.WALL and one.name in on_it]
    return max((_high_mm(pattern, wall) for wall in walls), default=None)


def _high_mm(pattern: Pattern, wall: Panel) -> float:
    """How far a wall's outline goes away from its score."""
    import numpy as np

    start, stop = pattern.score(pattern.crease_to(wall.name), {})
    along = (stop - start) / np.hypot(*(stop - start))
    over = (pattern.outline(wall, {}) - start) @ np.array([-along[1], along[0]])
    return float(np.abs(over).max())
