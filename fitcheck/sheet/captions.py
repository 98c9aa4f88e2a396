"""Names on the drawing: of the edges with their sizes, of the panels, and of the part itself."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np

from fitcheck.drawing.label_placer import Placer
from fitcheck.drawing.shapes import Anchor, Box, Label, LineKind, Stroke
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.sheet import Fence, Sheet

NAME_TYPES_MM = (2.6, 2.2, 1.8, 1.5)
SLIDES = (0.5, 0.35, 0.65, 0.25, 0.75, 0.15, 0.85)


def edge_names(sheet: Sheet, sizes: dict[Fence, str]) -> dict[Fence, list[Label]]:
    """Where each edge's name and length may stand: along the edge, inside it."""
    found: dict[Fence, list[Label]] = {}
    for fence in Fence:
        text = f"{fence.value} edge, {sizes[fence]}"
        labels = []
        for height, depth, share in itertools.product((2.3, 1.8), (1.0, 3.5, 6.0, 9.0), SLIDES):
            labels.append(_edge_label(sheet, fence, text, height=height, depth=depth, share=share))
        for depth in range(-4, -120, -4):
            labels.append(_edge_label(sheet, fence, text, height=2.3, depth=depth, share=0.5))
        found[fence] = labels
    return found


def _edge_label(
    sheet: Sheet, fence: Fence, text: str, *, height: float, depth: float, share: float
) -> Label:
    """A text along an edge, so far inside it (outside when negative)."""
    up, down = 0.8 * height, 0.25 * height
    if fence.upright:
        x = depth + up if not fence.far else sheet.width_mm - depth - down
        return Label(text, (x, share * sheet.length_mm), height, Anchor.MIDDLE, upright=True)
    y = depth + down if not fence.far else sheet.length_mm - depth - up
    return Label(text, (share * sheet.width_mm, y), height, Anchor.MIDDLE)


def panel_places(pattern: Pattern, panel: Panel) -> Iterator[Label]:
    """Where a panel's name may stand inside it, along its longer side."""
    outline = pattern.outline(panel, {})
    low, high = outline.min(axis=0), outline.max(axis=0)
    texts: tuple[str, ...] = (panel.name,)
    if panel.role is Role.TAB:
        webbed = any(panel.name in (web.parent, web.child) for web in pattern.webs)
        texts = ("corner",) if webbed else ("x tab", "x")
    upright = bool(high[1] - low[1] > high[0] - low[0])
    for text, height, turned in itertools.product(texts, NAME_TYPES_MM, (upright, not upright)):
        for along, across in itertools.product(SLIDES, SLIDES):
            shares = (across, along) if turned else (along, across)
            x, y = (low + (high - low) * np.array(shares)).tolist()
            yield _middled(text, (x, y), height, turned)


def _middled(text: str, middle: tuple[float, float], height: float, upright: bool) -> Label:
    drop = 0.27 * height
    at = (middle[0] + drop, middle[1]) if upright else (middle[0], middle[1] - drop)
    return Label(text, at, height, Anchor.MIDDLE, upright)


def place_block(placer: Placer, box: Box, lines: tuple[str, ...]) -> list[Label] | None:
    """Lines of text together in a box, the type as large as it goes; None when none goes."""
    for height in (3.6, 3.0, 2.4, 2.0):
        step = 1.4 * height
        tall = step * len(lines)
        for along, across in itertools.product(SLIDES, SLIDES):
            x = box.left + across * (box.right - box.left)
            y = box.bottom + along * (box.top - box.bottom) + 0.5 * tall - height
            labels = [
                Label(text, (x, y - step * row), height, Anchor.MIDDLE)
                for row, text in enumerate(lines)
            ]
            if all(label.box.inside(box) and placer.is_free(label.box) for label in labels):
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


def grain_arrow(box: Box, along_length: bool) -> Stroke:
    """A double-headed arrow in a box, along the grain."""
    x, y = 0.5 * (box.left + box.right), 0.5 * (box.bottom + box.top)
    half = 0.5 * ((box.top - box.bottom) if along_length else (box.right - box.left))
    head = [(half - 2.0, 0.7), (half, 0.0), (half - 2.0, -0.7)]
    tail = [(-half + 2.0, 0.7), (-half, 0.0), (-half + 2.0, -0.7)]
    path = [head[0], head[1], head[2], head[1], tail[1], tail[0], tail[1], tail[2]]
    points = tuple((x + b, y + a) if along_length else (x + a, y + b) for a, b in path)
    return Stroke(LineKind.THIN, points)
