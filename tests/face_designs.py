"""Designs for the face as mappings: nothing in them is square or symmetric."""

from __future__ import annotations

from typing import Any

LIDDED: dict[str, Any] = {
    "format": 1,
    "title": "Toffees and a pencil",
    "unit": "mm",
    "base": {"style": "tray", "stock": "cardstock-270", "floor": [71, 96.5], "depth": 26},
    "lid": {"style": "tray", "stock": "cover-80", "oversize": [2.1, 2.6], "depth": 17},
    "content": [{"item": "toffee-wrapped", "count": 3, "lay": "flat"}],
}
EMPTY = {key: value for key, value in LIDDED.items() if key != "content"}
DRAWER: dict[str, Any] = {
    "format": 1,
    "title": "Drawer",
    "unit": "mm",
    "base": {"style": "tray", "stock": "cover-80", "floor": [52, 83], "depth": 19},
    "sleeve": {
        "style": "sleeve",
        "stock": "cover-65",
        "ease": [1.7, 1.2],
        "along": "length",
        "notch": 9,
    },
}


def lidded_tray(base: dict[str, Any], lid_depth: float, content: dict[str, Any]) -> dict[str, Any]:
    """A tray of those sizes with one thing in it, under a lid."""
    part = {"style": "tray", "stock": "cover-80"}
    return {
        "format": 1,
        "title": "Box",
        "unit": "mm",
        "tools": "score-board-metric",
        "base": {**part, **base},
        "lid": {**part, "oversize": [1.5, 2], "depth": lid_depth},
        "content": [content],
    }
