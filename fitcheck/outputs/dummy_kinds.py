"""The kinds of stand-ins that can be made for a design."""

from __future__ import annotations

import enum


class DummyKind(enum.StrEnum):
    """What can be made for a design."""

    CONTENTS = "contents"
    OUTSIDE = "outside"
    INSIDE = "inside"
    BOX = "box"
    FOLDED = "folded"
