"""What is known about a content in a base: the values that judging gives and outputs show."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from fitcheck.design.model import Content
from fitcheck.fit.fingers import FingerRoom
from fitcheck.kinds.kind import lays
from fitcheck.kinds.poses import Pose
from fitcheck.packing.placing import Placement


class ContentVerdict(enum.StrEnum):
    """What is known about a content."""

    FITS = "fits"
    DOES_NOT_FIT = "does not fit"
    """Proved by a bound that holds in every attitude that its lay allows."""
    NONE_FOUND = "none found"
    """No arrangement was found, and nothing proves that there is none."""


@dataclass(frozen=True)
class Slack:
    """Free travel of a content, mm; negative where it is too large by that much."""

    width_mm: float
    length_mm: float
    height_mm: float
    """Under the lid; without a lid, below the rim."""


@dataclass(frozen=True)
class ContentFit:
    """How one line of contents fits."""

    content: Content
    verdict: ContentVerdict
    slack: Slack | None
    """What the whole arrangement is left by the base; None when no arrangement was found."""
    orientation: str
    turn_deg: float
    protrudes_mm: float
    """How far it stands out above the rim."""
    fingers: FingerRoom
    reason: str
    """Why it does not fit, or how several were arranged."""
    placements: tuple[Placement, ...]
    """In the frame of the cavity's clear room, which is centred over the middle of the floor."""
    own: Slack | None
    """What it has itself, pushing along what stands in its way and with what lies on it; None where
    `slack` is."""

    @property
    def poses(self) -> tuple[Pose, ...]:
        """How each piece lies; of one that does not fit how it came nearest, of several nothing."""
        if self.placements:
            return tuple(place.pose for place in self.placements)
        own = lays(self.content.item, self.content.lay)
        return tuple(pose for pose in own if pose.name == self.orientation)
