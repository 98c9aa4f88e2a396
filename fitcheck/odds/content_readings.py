"""The walls that contents meet are read pair by pair, one content by itself with its own size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import Content
from fitcheck.fit.contents import ContentFit
from fitcheck.fit.outline import content_piece, content_pieces, placed_body
from fitcheck.fit.passage import Way
from fitcheck.fit.rounded import Ball, Rod, Upright
from fitcheck.fit.walls import Walls
from fitcheck.fit.way_in import CLEAR_MM
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.pose import UP, Array, translation
from fitcheck.kinds.kind import lays
from fitcheck.kinds.poses import Pose, Shape
from fitcheck.odds.bodies import AXES, Body, reached, resized, sides_of, standing
from fitcheck.odds.making import Made, walls_inside, walls_round
from fitcheck.odds.paths import Path, middle_of
from fitcheck.odds.readings import SIDES, Readings, Wanted, family_name
from fitcheck.packing.placing import Placement
from fitcheck.pattern.sheet import Axis

WALL = "contents' wall"
SAME_FACE_DIGITS = 5
"""Pieces that meet the same pieces of the base at the same face, to 1e-5 mm, stand alike."""


ALIKE_WITHIN_MM = 3.0
"""Faces further behind the first than this come first in no box that anyone makes."""


def content_label(index: int) -> str:
    """The word that starts the families of a content line."""
    return f"content {index + 1}"


HEIGHT = f"{content_label(0)} height"
"""The family of how high the one content stands."""


@dataclass(frozen=True, eq=False)
class SingleReader:
    """One content by itself, in the pose and the turn in which it fits best as designed."""

    content: Content
    pose: Pose
    turn_deg: float
    slide: Path
    round_it: tuple[str, ...] = ("base",)
    """The parts whose walls it meets."""

    @property
    def moved_by(self) -> frozenset[str]:
        """What stands round it and its own sizes."""
        return frozenset([*self.round_it, self.content.item.name])

    def read_all(
        self, boxes: Sequence[Made], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """Its lateral limits between the base's pieces, and its height."""
        poses = [self.pose_of(made) for made in boxes]
        if is_round(self.pose):
            ways = [
                self._way(own, pose, wanted)
                for own, pose in zip(walls_round(boxes), poses, strict=True)
            ]
            found = self.slide.read_ways(ways, within_mm, wanted)
        else:
            floors = np.array([made.base.caliper_mm for made in boxes])
            bodies = content_pieces("content", poses, self.turn_deg, floors)
            walls = walls_inside(boxes).named(self.slide.names(wanted)[0])
            found = self.slide.read_all(walls, bodies, len(boxes), within_mm, wanted)
        for own, pose in zip(found, poses, strict=True):
            own[HEIGHT] = {("height", ""): -pose.height_mm}
        return found

    def _way(self, base: Walls, pose: Pose, wanted: Wanted | None) -> Way | None:
        pieces = base.pieces.named(self.slide.names(wanted)[0])
        body = alone(pose, self.turn_deg, base)
        return Way(pieces, [body], self.slide.path) if pieces else None

    def pose_of(self, made: Made) -> Pose:
        """The pose with the sizes that the content came out with."""
        return resized(self.pose, sides_of(self.content.item, self.pose), made.sizes_mm[0][0])


def single_reader(base: Walls, fit: ContentFit, round_it: tuple[str, ...]) -> SingleReader:
    """The reader of a content that is alone in its base, between the walls of some parts."""
    poses = {pose.name: pose for pose in lays(fit.content.item, fit.content.lay)}
    pose = poses[fit.orientation]
    piece = content_piece("content", pose, fit.turn_deg, base.caliper_mm)
    path = _way_in(base, piece)
    slide = Path(content_label(0), path, middle_of(base.pieces, [piece], path))
    return SingleReader(fit.content, pose, fit.turn_deg, slide, round_it)


def is_round(pose: Pose) -> bool:
    """Whether it is round where it meets walls, as a ball or a lying cylinder is."""
    return pose.shape in (Shape.BALL, Shape.ALONG_WIDTH, Shape.ALONG_LENGTH)


def alone(pose: Pose, turn_deg: float, base: Walls) -> Upright | Rod | Ball:
    """A content by itself over the middle of the floor, as what it is."""
    place = Placement("content", pose, 0.0, 0.0, 0.0, turn_deg)
    return placed_body(place, UP * base.caliper_mm)


def _way_in(base: Walls, piece: ConvexPiece) -> Array:
    lift = base.height_mm + float(piece.high[2] - piece.low[2]) + CLEAR_MM
    return -UP * lift


@dataclass(frozen=True)
class Face:
    """The face of the base that a pile may move up to, on one side of it along one axis."""

    family: str
    at_mm: float
    """Where it would be if the family's least member were 0."""
    sign: float
    """Which way the least member moves it."""
    designed_mm: float
    """Where it is as designed."""


@dataclass(frozen=True)
class Beside:
    """Where else the same piles stand, as in another compartment of a grid."""

    away_mm: tuple[float, float] = (0.0, 0.0)
    """From where they were placed."""
    axes: tuple[Axis, ...] = tuple(Axis)
    """Along which the walls there are read."""


HERE = Beside()
"""Where they were placed."""


@dataclass(frozen=True, eq=False)
class _Probe:
    """One pile where it stands, and which of its limits are read."""

    piece: ConvexPiece
    slide: Path
    families: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class WallsReader:
    """Reads how far piles of contents may move up to the walls from where they were placed.

    A tab or a round crease is in the way of those piles alone that stand beside it. The pieces'
    own sizes are no matter of the walls: whoever asks adds what they reach.
    """

    probes: tuple[_Probe, ...]
    round_it: tuple[str, ...] = ("base",)
    """The parts whose walls they meet."""

    @property
    def moved_by(self) -> frozenset[str]:
        """What stands round them."""
        return frozenset(self.round_it)

    def read_all(
        self, boxes: Sequence[Made], within_mm: float, wanted: Wanted | None
    ) -> list[Readings]:
        """The limits of each pile that stands in for those like it."""
        found: list[Readings] = [{} for _ in boxes]
        inside = walls_inside(boxes)
        lifts = np.array([made.base.caliper_mm for made in boxes])
        for probe in self.probes:
            if wanted is not None and not any(family in wanted for family in probe.families):
                continue
            walls = inside.named(probe.slide.names(wanted)[0])
            bodies = Pieces.joined([[probe.piece]] * len(boxes)).moved(np.eye(4), lifts)
            read = probe.slide.read_all(walls, bodies, len(boxes), within_mm, wanted)
            for own, one in zip(found, read, strict=True):
                own |= {family: one[family] for family in probe.families}
        return found


Faces = dict[tuple[int, Axis, str], Face]
"""By pile, axis and side."""


def walls_reader(
    base: Walls,
    piles: Sequence[Sequence[Body]],
    round_it: tuple[str, ...],
    places: Sequence[Beside] = (HERE,),
) -> tuple[WallsReader, list[Faces]]:
    """The reader of the walls round piles, and the face that each of them meets on each side.

    There are such faces in each of the places where they stand, seen from where the piles were
    placed. Piles that meet the same faces of the base's pieces are read once for all.
    """
    probes: list[_Probe] = []
    found = []
    for number, place in enumerate(places):
        own, faces = _probes(base, piles, place, f"{WALL} {number}." if number else f"{WALL} ")
        probes += own
        found.append(faces)
    return WallsReader(tuple(probes), round_it), found


def _probes(
    base: Walls, piles: Sequence[Sequence[Body]], place: Beside, label: str
) -> tuple[list[_Probe], Faces]:
    """What reads the walls round piles in one place, and the faces that they meet there."""
    away = np.array([*place.away_mm, 0.0])
    known: dict[object, Face] = {}
    faces: Faces = {}
    probes = []
    for index, pile in enumerate(piles):
        piece = _pile_piece(pile).moved(translation(away))
        slide = Path(f"{label}{index}", _way_in(base, piece), np.zeros(3), middle=away)
        at_rest = Pieces.joined([[piece.moved(translation(UP * base.caliper_mm))]])
        (read,) = slide.read_all(base.pieces, at_rest, 1, ALIKE_WITHIN_MM, None)
        own = []
        for k, axis in enumerate(Axis):
            for side, sign in zip(SIDES, (-1.0, 1.0), strict=True):
                if axis not in place.axes:
                    continue
                family = family_name(slide.what, axis, side)
                reach = max(
                    float(reached(b.reach(sign * AXES[k]), b.size[:, None])[0]) for b in pile
                )
                at = float(pile[0].middle[k]) + sign * reach
                places = [
                    (outer, round(at + sign * value, SAME_FACE_DIGITS))
                    for (outer, _), value in read[family].items()
                ]
                key = (axis, side, tuple(sorted(places)))
                if key not in known:
                    designed = at + sign * min(read[family].values())
                    known[key] = Face(family, at, sign, designed)
                    own.append(family)
                faces[index, axis, side] = known[key]
        if own:
            probes.append(_Probe(piece, slide, tuple(own)))
    return probes, faces


def _pile_piece(pile: Sequence[Body]) -> ConvexPiece:
    """A pile as one upright piece over the floor's inside face, all of it in the lowest's pose."""
    lowest = pile[0].place
    height = pile[-1].place.top_mm - lowest.z_mm
    return standing(replace(lowest, pose=replace(lowest.pose, height_mm=height)), 0.0)
