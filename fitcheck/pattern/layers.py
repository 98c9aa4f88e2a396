"""A layer is a panel of another sheet that is glued flat inside one of this sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fitcheck.pattern.pattern import Panel


@dataclass(frozen=True)
class Layer:
    """A convex panel of another sheet that is glued inside a panel of this one.

    It is drawn where it comes to lie on that panel; it is on no sheet, only folding sees it.
    """

    panel: Panel
    onto: str
