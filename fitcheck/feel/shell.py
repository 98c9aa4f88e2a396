"""The walls of a part as springs that its papers, its folds and its glued corners set."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.feel.bow import Sheet, bow_mm, buckling_n, spring
from fitcheck.feel.profile import SIDES
from fitcheck.fit.assembly import Part
from fitcheck.folding.pose import Array
from fitcheck.pattern.pattern import Role
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.gives import Gives, Known, Property


@dataclass(frozen=True, eq=False)
class Papers:
    """How one part's paper gives in many boxes, (b,) each."""

    along: Array
    across: Array
    permeance: Array
    friction: Array
    crease_mm: Array
    rest_deg: Array

    @classmethod
    def known(cls, gives: Gives, boxes: int) -> Papers:
        """As they are known, all alike."""
        return cls(
            *(
                np.full(boxes, value)
                for value in (
                    gives.along.value,
                    gives.across.value,
                    gives.permeance.value,
                    gives.friction.value,
                    gives.crease.value,
                    gives.rest_deg,
                )
            )
        )

    @classmethod
    def drawn(cls, gives: Gives, boxes: int, rng: np.random.Generator) -> Papers:
        """As they may be: each property errs by a factor, stiffness both ways by one."""

        def factors(own: Property) -> Array:
            return np.exp(own.log_u * rng.standard_normal(boxes))

        stiffer = factors(gives.along)
        return cls(
            along=gives.along.value * stiffer,
            across=gives.across.value * stiffer,
            permeance=gives.permeance.value * factors(gives.permeance),
            friction=gives.friction.value * factors(gives.friction),
            crease_mm=gives.crease.value * factors(gives.crease),
            rest_deg=gives.rest_deg + gives.rest_u_deg * rng.standard_normal(boxes),
        )


@dataclass(frozen=True)
class Shell:
    """A part's four walls, in the order of `SIDES`."""

    gives: Gives
    caliper_mm: float
    lengths_mm: tuple[float, ...]
    """Of its walls from corner to corner, (4,)."""
    height_mm: float
    """From its folds to its rim."""
    leans_deg: tuple[float, ...]
    """How far each wall is held leaning outwards by its glued corners, (4,)."""
    grain: Axis | None
    stiff: bool
    """Whether its walls do not give: frames, doubled walls, walls backed by another part."""
    leak_mm2: float
    """What of it lets air through."""
    hinged: bool = False
    """Whether its folds have no spring, as board has that is cut half through or grooved: the usual
    crease length is that of pressed card, none was found for those, and no file says one."""

    def springs(self, papers: Papers) -> Array:
        """K of each wall at mid-rim, (b, 4) N/mm; inf where it does not give."""
        if self.stiff:
            return np.full((len(papers.along), len(SIDES)), np.inf)
        return np.stack(
            [
                spring(self._sheet(papers, side), length, self.height_mm)
                for side, length in enumerate(self.lengths_mm)
            ],
            axis=1,
        )

    def bows_mm(self, papers: Papers) -> Array:
        """How far the middle of each wall stands out by itself, (b, 4) mm."""
        if self.stiff:
            return np.zeros((len(papers.along), len(SIDES)))
        return np.stack(
            [
                bow_mm(
                    self._sheet(papers, side),
                    length,
                    self.height_mm,
                    np.radians(90.0 - lean - papers.rest_deg),
                )
                for side, (length, lean) in enumerate(
                    zip(self.lengths_mm, self.leans_deg, strict=True)
                )
            ],
            axis=1,
        )

    def buckling_n(self, papers: Papers) -> Array:
        """The force at a corner from which a wall bows in, of the weakest, (b,) N."""
        if self.stiff:
            return np.full(len(papers.along), np.inf)
        each = [
            buckling_n(self._sheet(papers, side), length, self.height_mm)
            for side, length in enumerate(self.lengths_mm)
        ]
        found: Array = np.min(each, axis=0)
        return found

    def _sheet(self, papers: Papers, side: int) -> Sheet:
        """The paper of a wall; between both ways where nobody says how the grain runs."""
        runs = Axis.LENGTH if SIDES[side][0] == 0 else Axis.WIDTH
        along, up = papers.along, papers.across
        if self.grain is None:
            along = up = np.sqrt(along * up)
        elif self.grain is not runs:
            along, up = up, along
        crease = np.full_like(papers.crease_mm, np.inf) if self.hinged else papers.crease_mm
        return Sheet(along, up, crease)


def shell_of(part: Part, leak_mm2: float, *, backed: bool = False, turned: bool = False) -> Shell:
    """The walls of a part; `turned` over about its width as a lid is."""
    recipe, folded = part.recipe, part.folded
    doubled = any(joint.lined for joint in folded.pattern.joints)
    gives = recipe.stock.gives
    return Shell(
        gives=gives,
        caliper_mm=folded.caliper_mm,
        lengths_mm=tuple((recipe.length_mm, recipe.width_mm)[axis] for axis, _ in SIDES),
        height_mm=folded.height_mm,
        leans_deg=_leans(part, turned=turned),
        grain=recipe.grain,
        stiff=backed or folded.hollow or doubled,
        leak_mm2=leak_mm2,
        hinged=recipe.stock.half_cut and gives.crease.known is Known.ASSUMED,
    )


def _leans(part: Part, *, turned: bool) -> tuple[float, ...]:
    """How far the walls of each side lean outwards, degrees.

    A lid is turned over about its width, so that its sides along the length change places.
    """
    found = [0.0] * len(SIDES)
    leans, layout = part.folded.leans_deg, part.folded.layout
    for panel in part.pattern.panels:
        if panel.role is Role.WALL and panel.name in leans:
            outward = layout.outward(panel.name)[0]
            axis = int(np.argmax(np.abs(outward[:2])))
            ahead = (outward[axis] > 0.0) != (turned and axis == 1)
            found[2 * axis + (0 if ahead else 1)] = leans[panel.name]
    return tuple(found)
