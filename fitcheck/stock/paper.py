"""A stock is a paper as bought, each of its properties with a standard uncertainty."""

from dataclasses import dataclass
from functools import cached_property

from fitcheck.stock.crease import Crease, crease_from_allowance, is_half_cut
from fitcheck.stock.gives import NOTHING_SAID, Gives, Said, gives_of, grammage_of
from fitcheck.stock.tools import BOARD_SCALE_U
from fitcheck.workspace.colours import Print

LEAST_SCALE_U = 1e-6
"""Nobody knows a board's scale better than this: a micrometre for each metre."""


@dataclass(frozen=True)
class Hygroexpansion:
    """Strain per 1 % of relative humidity, along and across the grain."""

    along: float
    across: float


@dataclass(frozen=True)
class GrainAllowance:
    """Crease allowances of folds along and across the grain, measured apart."""

    along_mm: float
    along_u_mm: float
    across_mm: float
    across_u_mm: float
    not_measured: str | None = None
    """``along`` or ``across``: folds that nobody measured have what is usual of any paper."""


@dataclass(frozen=True)
class SeenBoard:
    """A scoring board's scale as a paper's coupon showed it."""

    tools: str
    """The tools that the coupon was made with."""
    scale: float
    """0.001 is a millimetre too far for each metre from the fence."""
    scale_u: float
    fence_mm: float = 0.0
    """How much too far from its fence every score lay."""
    fence_u_mm: float | None = None
    """None where nobody measured."""
    believed: tuple[float, float] = (0.0, BOARD_SCALE_U)
    """The scale that its readings were fitted with, and its standard uncertainty."""
    allowance_by_scale_mm: float = 0.0
    """How much larger its crease allowance is where the board's scale is larger, for each 1: wide
    folds are as they were read, so that one makes up for the other."""
    along_by_scale_mm: float | None = None
    across_by_scale_mm: float | None = None

    def by_scale_mm(self, along: bool | None) -> float:
        """The same for folds along or across the grain, or either way."""
        own = {True: self.along_by_scale_mm, False: self.across_by_scale_mm, None: None}[along]
        return self.allowance_by_scale_mm if own is None else own

    @property
    def told(self) -> tuple[float, float]:
        """What the readings alone said of the scale: their weight, and that times the scale."""
        belief, belief_u = self.believed
        least = max(min(self.scale_u, belief_u), LEAST_SCALE_U)
        weight = 1 / least**2 - 1 / belief_u**2
        return weight, self.scale / least**2 - belief / belief_u**2


@dataclass(frozen=True)
class Stock:
    """One paper; every ``..._u_mm`` is a standard uncertainty (k = 1)."""

    name: str
    """The name it is looked up by: its file's name without the ending."""
    kind: str
    """What it is sold as: index, cover, cardstock, text ..."""
    caliper_mm: float
    """Thickness t of one sheet."""
    caliper_u_mm: float
    crease_allowance_mm: float
    """How far the outside of a wall stands beyond its score line after a 90 degree fold."""
    crease_allowance_u_mm: float
    calibrated: bool
    """False when the crease allowance comes from the uncalibrated rule."""
    grammage_gsm: float | None = None
    """Mass per area, g/m2."""
    hygroexpansion: Hygroexpansion | None = None
    """None when no source gives it."""
    source: str = ""
    """Where the values come from; may be empty when ``records`` name the readings."""
    records: tuple[str, ...] = ()
    """The records of readings the values were fitted from."""
    lost_records: tuple[str, ...] = ()
    """Those of them that are not beside its file."""
    by_grain: GrainAllowance | None = None
    """None unless folds along the grain, across it or both were measured apart."""
    corner_give: float = 1.0
    """Measured push-out of a glued corner over t + g - s; 1 where nobody measured."""
    corner_give_u: float | None = None
    """None where nobody measured."""
    board: SeenBoard | None = None
    """What its coupon showed of the board it was scored on; None where it was not learnt."""
    score_face: str | None = None
    """The face of its coupon's folds that was pressed, as in a tools file; None if not known."""
    colour: str | None = None
    """As `#rrggbb`, for pictures; None where nobody says."""
    printed: Print | None = None
    """What is printed on its outside, for pictures."""
    said: Said = NOTHING_SAID
    """What its file says of how it gives."""

    @cached_property
    def gives(self) -> Gives:
        """How it gives: what its file says, and for the rest what is usual."""
        return gives_of(self.said, self.grammage_gsm, self.caliper_mm)

    @property
    def mass_gsm(self) -> float:
        """Mass per area, g/m2; from its caliper where no file says it."""
        return grammage_of(self.grammage_gsm, self.caliper_mm)

    @property
    def half_cut(self) -> bool:
        """Whether its folds are cut half through, as it is too thick to press."""
        return is_half_cut(self.caliper_mm)

    @property
    def bite_mm(self) -> float:
        """How far a wall's inside face stands inside its score line, t - a, mm."""
        return self.caliper_mm - self.crease_allowance_mm

    @property
    def how_known(self) -> str:
        """Where its crease allowance comes from, in words."""
        if not self.calibrated:
            return "rule of thumb"
        unread = None if self.by_grain is None else self.by_grain.not_measured
        return "measured" if unread is None else f"rule of thumb {unread} the grain"

    def allowance(self, along: bool | None) -> tuple[float, float]:
        """Crease allowance and its standard uncertainty, mm, of folds along or across the grain.

        With None, or where the two were not measured apart, of folds either way.
        """
        grain = self.by_grain
        if grain is None or along is None:
            return self.crease_allowance_mm, self.crease_allowance_u_mm
        if along:
            return grain.along_mm, grain.along_u_mm
        return grain.across_mm, grain.across_u_mm

    def crease_by(self, along: bool | None) -> Crease:
        """The crease of folds along or across the grain, as `allowance` has them."""
        return self.creased(self.allowance(along)[0], self.caliper_mm)

    def creased(self, allowance_mm: float, caliper_mm: float) -> Crease:
        """Its crease where allowance and caliper, mm, come out so, made as all its creases are."""
        return crease_from_allowance(allowance_mm, caliper_mm, half_cut=self.half_cut)

    @cached_property
    def crease(self) -> Crease:
        """The crease that gives this stock's allowance."""
        return self.creased(self.crease_allowance_mm, self.caliper_mm)
