"""Lengths that only one style has: their keys, and what a maker calls them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class OwnLength:
    """A length that only one style has."""

    key: str
    """As it is written in a design file; the attribute is called ``key_mm``."""
    words: str
    """What a maker calls it."""
    left_open: str = ""
    """What the file says where the style settles it; nothing where it has to be given."""
    negative: bool = False
    """Whether it may be less than 0."""

    @property
    def attribute(self) -> str:
        """Its name in a spec and in a recipe."""
        return f"{self.key}_mm"
