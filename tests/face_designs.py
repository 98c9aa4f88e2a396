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
    "sleeve": {"style": "sleeve", "stock": "cover-65", "ease": [1.7, 1.2], "along": "length"},
}
