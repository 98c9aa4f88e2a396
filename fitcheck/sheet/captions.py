"""Names on the drawing: of the edges with their sizes, of the panels, and of the part itself."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from fitcheck.drawing.label_placer import Placer
from fitcheck.drawing.shapes import Anchor, Box, Label, LineKind, Stroke
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.sheet import Fence, Sheet

NAME_TYPES_MM = ((2.6, 2.2), (1.8,), (1.5,))
"""Heights of type; a name stands in two lines rather than in smaller type than the next ones."""
EDGE_TYPE_MM = 2.3
EDGE_OFF_MM = 1.0
BLOCK_CLEAR_MM = 2.0
"""White round a block of lines, where there is room for it."""
LINE_STEP = 1.25
"""From one line of a name to the next, in heights of its type."""
CLOSE = tuple(np.linspace(0.05, 0.95, 21).tolist())
TRIED = 12
"""So many places in a triangle are tried, of those close together."""
SLIDES = (0.5, 0.35, 0.65, 0.25, 0.75, 0.15, 0.85)


def edge_names(
    sheet: Sheet, sizes: dict[Fence, str], *, inside: bool = False
) -> dict[Fence, list[Label]]:
    """Where each edge's name and length may stand: along the edge, beside the sheet.

    Inside it they could be read as the size of the panel that they stand in, and say so where there
    is room for that.
    """
    found = {}
    for fence in Fence:
        text = f"{fence.value} edge, {sizes[fence]}"
        beside = itertools.product((EDGE_OFF_MM, *range(4, 120, 2)), SLIDES)
        labels = [_edge_label(sheet, fence, text, *place) for place in beside]
        if inside:
            within = list(itertools.product((-3.4, -5.9, -8.4, -10.9), SLIDES))
            texts = f"sheet's {text}", text
            own = [_edge_label(sheet, fence, one, *place) for one in texts for place in within]
            labels = [*own, *labels]
        found[fence] = labels
    return found


def _edge_label(sheet: Sheet, fence: Fence, text: str, off_mm: float, share: float) -> Label:
    """A text along an edge, so far outside it (inside when negative)."""
    up, down = 0.8 * EDGE_TYPE_MM, 0.25 * EDGE_TYPE_MM
    if fence.upright:
        x = sheet.width_mm + off_mm + up if fence.far else -off_mm - down
        return Label(text, (x, share * sheet.length_mm), EDGE_TYPE_MM, Anchor.MIDDLE, upright=True)
    y = sheet.length_mm + off_mm + down if fence.far else -off_mm - up
    return Label(text, (share * sheet.width_mm, y), EDGE_TYPE_MM, Anchor.MIDDLE)


def panel_places(
    pattern: Pattern, panel: Panel, names: tuple[tuple[str, ...], ...]
) -> Iterator[tuple[Label, ...]]:
    """Where a panel's name may stand inside it, along its longer side, in one line or in two."""
    outline = pattern.outline(panel, {})
    low, high = outline.min(axis=0), outline.max(axis=0)
    upright = bool(high[1] - low[1] > high[0] - low[0])
    texts = names[::-1] if len(outline) == 3 else names
    tried = (
        (lines, height, turned)
        for types in NAME_TYPES_MM
        for lines, height, turned in itertools.product(texts, types, (upright, not upright))
    )
    for lines, height, turned in tried:
        if len(outline) == 3:
            labels = _middled(lines, (0.0, 0.0), height, turned)
            for x, y in _in_triangle(outline, labels):
                yield tuple(label.moved(x, y) for label in labels)
            continue
        for along, across in itertools.product(SLIDES, SLIDES):
            shares = (across, along) if turned else (along, across)
            x, y = (low + (high - low) * np.array(shares)).tolist()
            yield _middled(lines, (x, y), height, turned)


def _in_triangle(
    outline: NDArray[np.float64], labels: tuple[Label, ...]
) -> list[tuple[float, float]]:
    """Where texts round nought may go in a triangle (3, 2), furthest from its sides first."""
    boxes = [label.box for label in labels]
    half = (
        0.5 * (max(box.right for box in boxes) - min(box.left for box in boxes)),
        0.5 * (max(box.top for box in boxes) - min(box.bottom for box in boxes)),
    )
    sides = np.roll(outline, -1, axis=0) - outline
    inward = np.stack([-sides[:, 1], sides[:, 0]], axis=1) / np.hypot(*sides.T)[:, None]
    low, high = outline.min(axis=0), outline.max(axis=0)
    spots = low + (high - low) * np.array(list(itertools.product(CLOSE, CLOSE)))
    room = np.einsum("sid,id->si", spots[:, None] - outline, inward) - np.abs(inward) @ half
    least = room.min(axis=1)
    best = np.argsort(-least, kind="stable")[:TRIED]
    return [(float(x), float(y)) for x, y in spots[best[least[best] > 0.0]]]


def drawn_names(
    pattern: Pattern, panel: Panel, *, tabs_by_name: bool
) -> tuple[tuple[str, ...], ...]:
    """What a panel is called on the drawing, line by line, best first.

    Tabs are marked by an x, and named besides where steps do so. A corner that is folded in is two
    that stay without a mark.
    """
    webbed = any(panel.name in (web.parent, web.child) for web in pattern.webs)
    marked = panel.role is Role.TAB and not webbed
    if marked and not tabs_by_name:
        return ("x tab",), ("x",)
    words = panel.name.split()
    if marked:
        words = ["x", *words]
    if len(words) == 1:
        return ((panel.name,),)
    half = (len(words) + marked) // 2
    return (" ".join(words),), (" ".join(words[:half]), " ".join(words[half:]))


def _middled(
    lines: tuple[str, ...], middle: tuple[float, float], height: float, upright: bool
) -> tuple[Label, ...]:
    labels = []
    for row, text in enumerate(lines):
        drop = 0.27 * height + (row - 0.5 * (len(lines) - 1)) * LINE_STEP * height
        at = (middle[0] + drop, middle[1]) if upright else (middle[0], middle[1] - drop)
        labels.append(Label(text, at, height, Anchor.MIDDLE, upright))
    return tuple(labels)


def place_block(placer: Placer, box: Box, lines: tuple[str, ...]) -> list[Label] | None:
    """Lines of text together in a box, the type as large as it goes; None when none goes."""
    for clear, height in itertools.product((BLOCK_CLEAR_MM, 0.0), (3.6, 3.0, 2.4, 2.0)):
        step = 1.4 * height
        tall = step * len(lines)
        for along, across in itertools.product(SLIDES, SLIDES):
            x = box.left + across * (box.right - box.left)
            y = box.bottom + along * (box.top - box.bottom) + 0.5 * tall - height
            labels = [
                Label(text, (x, y - step * row), height, Anchor.MIDDLE)
                for row, text in enumerate(lines)
            ]
            boxes = [label.box for label in labels]
            if all(own.inside(box) and placer.is_free(own.grown(clear)) for own in boxes):
                for label in labels:
                    placer.add_label(label)
                return labels
    return None


def block_below(placer: Placer, lines: tuple[str, ...]) -> list[Label]:
    """Lines of text under everything that is on the drawing."""
    height = 2.6
    base = placer.lowest_mm() - 2.0 - height
    labels = [
        Label(text, (0.0, base - 1.4 * height * row), height) for row, text in enumerate(lines)
    ]
    for label in labels:
        placer.add_label(label)
    return labels


def place_grain(placer: Placer, box: Box, along_length: bool) -> Stroke | None:
    """A double arrow along the grain wherever a box has room for one."""
    for size in (30.0, 20.0, 12.0):
        width, height = (2.0, size) if along_length else (size, 2.0)
        for x_share, y_share in itertools.product((0.85, 0.15, 0.7, 0.3), (0.5, 0.2, 0.8)):
            x = box.left + x_share * (box.right - box.left)
            y = box.bottom + y_share * (box.top - box.bottom)
            place = Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
            if place.inside(box) and placer.is_free(place):
                return grain_arrow(place, along_length)
    return None


def grain_arrow(box: Box, along_length: bool) -> Stroke:
    """A double-headed arrow in a box, along the grain."""
    x, y = 0.5 * (box.left + box.right), 0.5 * (box.bottom + box.top)
    half = 0.5 * ((box.top - box.bottom) if along_length else (box.right - box.left))
    head = [(half - 2.0, 0.7), (half, 0.0), (half - 2.0, -0.7)]
    tail = [(-half + 2.0, 0.7), (-half, 0.0), (-half + 2.0, -0.7)]
    path = [head[0], head[1], head[2], head[1], tail[1], tail[0], tail[1], tail[2]]
    points = tuple((x + b, y + a) if along_length else (x + a, y + b) for a, b in path)
    return Stroke(LineKind.THIN, points)
