"""The room that contents have is read pair by pair for one of them, by rows for several."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import Content
from fitcheck.fit.contents import Cavity, ContentFit
from fitcheck.fit.outline import content_piece
from fitcheck.fit.way_in import CLEAR_MM, PROBE_GAP_MM, PROBE_HEIGHT_MM, UP
from fitcheck.folding.fold import FoldedPart
from fitcheck.folding.pieces import ConvexPiece, prism
from fitcheck.folding.pose import Array, translation
from fitcheck.odds.making import Made
from fitcheck.odds.readings import Path, Readings, Wanted, middle_of
from fitcheck.packing.bodies import Pose, lays
from fitcheck.packing.placing import Placement, extents

APART_MM = 1e-6


def content_label(index: int) -> str:
    """The word that starts the families of a content line."""
    return f"content {index + 1}"


def size_family(index: int, direction: str) -> str:
    """The family of what a content line takes up along a direction."""
    return f"{content_label(index)} {direction}"


@dataclass(frozen=True, eq=False)
class SingleReader:
    """One content by itself, in the pose and the turn in which it fits best as designed."""

    content: Content
    pose_name: str
    turn_deg: float
    slide: Path

    @property
    def moved_by(self) -> frozenset[str]:
        """The base and its own sizes."""
        return frozenset(["base", self.content.item.name])

    def read(self, made: Made, within_mm: float, wanted: Wanted | None) -> Readings:
        """Its lateral limits between the base's pieces, and its height."""
        nominal = made.assembly.design.contents[0]
        pose = pose_named(made.contents[0], self.pose_name, nominal)
        piece = content_piece("content", pose, self.turn_deg, made.base.caliper_mm)
        found = self.slide.read(made.base.pieces, [piece], within_mm, wanted)
        found[size_family(0, "height")] = {("height", ""): -pose.height_mm}
        return found


def single_reader(base: FoldedPart, fit: ContentFit) -> SingleReader:
    """The reader of a content that is alone in its base."""
    pose = pose_named(fit.content, fit.orientation, fit.content)
    piece = content_piece("content", pose, fit.turn_deg, base.caliper_mm)
    path = _way_in(base, piece)
    slide = Path(content_label(0), path, middle_of(base.pieces, [piece], path))
    return SingleReader(fit.content, fit.orientation, fit.turn_deg, slide)


def _way_in(base: FoldedPart, piece: ConvexPiece) -> Array:
    lift = base.height_mm + float(piece.high[2] - piece.low[2]) + CLEAR_MM
    return -UP * lift


def pose_named(content: Content, name: str, nominal: Content) -> Pose:
    """The pose of that name, told by the sizes as designed: it lies as it was meant to lie.

    Raises KeyError when the content has no such pose.
    """
    for pose in lays(content.item, content.lay, nominal.item):
        if pose.name == name:
            return pose
    raise KeyError(name)


@dataclass(frozen=True, eq=False)
class SeveralReader:
    """Several contents as they were arranged: the clear room, and what they take up of it.

    When their sizes change they move up to each other in the same order. That is one way to put
    them in, so the odds of fitting are not too high by it.
    """

    contents: tuple[Content, ...]
    placements: tuple[Placement, ...]
    probe: ConvexPiece
    slide: Path

    @property
    def moved_by(self) -> frozenset[str]:
        """The base and the sizes of all items."""
        return frozenset(["base", *(content.item.name for content in self.contents)])

    def read(self, made: Made, within_mm: float, wanted: Wanted | None) -> Readings:
        """The limits of the probe, the room the contents take sideways, and their tops."""
        found = self.slide.read(made.base.pieces, [self._probe(made.base)], within_mm, wanted)
        now = tuple(self._resized(made, place) for place in self.placements)
        for axis, direction in enumerate(("width", "length")):
            used, least = _used(self.placements, axis), _ends(self.placements, axis).max()
            found[f"{PROBE} {direction}"] = {
                (why, ""): -(used + float(ends.max()) - float(least))
                for why, ends in moved_up(self.placements, now, axis).items()
            }
        tops = moved_up(self.placements, now, 2)
        for index, content in enumerate(self.contents):
            own = [place.item == content.item.name for place in self.placements]
            found[size_family(index, "height")] = {
                (why, ""): -float(ends[own].max()) for why, ends in tops.items()
            }
        return found

    def _probe(self, base: FoldedPart) -> ConvexPiece:
        return self.probe.moved(translation(UP * base.caliper_mm))

    def _resized(self, made: Made, place: Placement) -> Placement:
        pairs = zip(made.contents, made.assembly.design.contents, strict=True)
        content, nominal = next(pair for pair in pairs if pair[0].item.name == place.item)
        try:
            return replace(place, pose=pose_named(content, place.pose.name, nominal))
        except KeyError:  # two sizes came out alike, and their poses with them
            return place


PROBE = "room"


def several_reader(
    cavity: Cavity, inside_mm: tuple[float, float], fits: tuple[ContentFit, ...]
) -> SeveralReader:
    """The reader of contents that stand together as they were arranged."""
    size = [max(side - PROBE_GAP_MM, 0.5 * side) for side in inside_mm]
    outline = 0.5 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * size
    probe = prism("probe", frozenset(), outline, 0.0, PROBE_HEIGHT_MM)
    path = _way_in(cavity.base, probe)
    placed = probe.moved(translation(UP * cavity.base.caliper_mm))
    slide = Path(PROBE, path, middle_of(cavity.base.pieces, [placed], path))
    return SeveralReader(
        tuple(fit.content for fit in fits),
        tuple(place for fit in fits for place in fit.placements),
        probe,
        slide,
    )


def moved_up(
    before: tuple[Placement, ...], now: tuple[Placement, ...], axis: int
) -> dict[str, Array]:
    """Where each body ends along an axis, (n,) mm, when all move up to the first ones.

    Bodies that stood clear of each other along the axis stay in that order. Where bodies nestle,
    clear of each other along no axis, all are grown alike by as much as each size of each item
    grew, one answer for each: the largest is what counts.
    """
    if not _nestling(before):
        return {
            "in rows": _chain(before, now, axis)
            - _chain(before, before, axis)
            + _ends(before, axis)
        }
    found: dict[str, Array] = {}
    for old, new in zip(before, now, strict=True):
        for word, growth in _growths(old, new):
            found[f"{old.item} {old.pose.name} {word}"] = _ends(before, axis) * growth
    return found


def _chain(before: tuple[Placement, ...], now: tuple[Placement, ...], axis: int) -> Array:
    """Where bodies end that keep the order in which they stood clear of each other, (n,) mm."""
    spans = [_span(place, axis) for place in before]
    sizes = [high - low for low, high in (_span(place, axis) for place in now)]
    ends = np.zeros(len(before))
    for j in sorted(range(len(before)), key=lambda index: spans[index][0]):
        below = [i for i in range(len(before)) if i != j and _clear(spans[i], spans[j])]
        ends[j] = max((float(ends[i]) for i in below), default=0.0) + sizes[j]
    return ends


def _clear(first: tuple[float, float], second: tuple[float, float]) -> bool:
    return first[1] <= second[0] + APART_MM


def _ends(placements: tuple[Placement, ...], axis: int) -> Array:
    return np.array([_span(place, axis)[1] for place in placements])


def _span(place: Placement, axis: int) -> tuple[float, float]:
    if axis == 2:
        return place.z_mm, place.top_mm
    box = extents(place)
    return box[axis], box[axis + 2]


def _used(placements: tuple[Placement, ...], axis: int) -> float:
    spans = [_span(place, axis) for place in placements]
    return max(high for _, high in spans) - min(low for low, _ in spans)


def _nestling(placements: tuple[Placement, ...]) -> bool:
    """True when two bodies overlap in their extents along all three axes."""
    spans = [[_span(place, axis) for axis in range(3)] for place in placements]
    return any(
        all(
            one[axis][0] < other[axis][1] - APART_MM and other[axis][0] < one[axis][1] - APART_MM
            for axis in range(3)
        )
        for one, other in itertools.combinations(spans, 2)
    )


def _growths(old: Placement, new: Placement) -> list[tuple[str, float]]:
    """By how much each size of a body's pose grew, as a ratio."""
    return [
        ("width", new.pose.width_mm / old.pose.width_mm),
        ("length", new.pose.length_mm / old.pose.length_mm),
        ("height", new.pose.height_mm / old.pose.height_mm),
    ]
