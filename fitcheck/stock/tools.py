"""Tools are what a sheet is scored, cut and glued with, and how far each of them may be off."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fitcheck.plain import folded
from fitcheck.stock.bought_sheets import USUAL_SHEETS, Bought
from fitcheck.units import MM_PER, Unit, hand_unit, is_set_by_hand

USUAL_TOOLS = "score-board-metric"
"""The profile of whoever names no tools and does not work in inches."""
USUAL_TOLERANCE_MM = 0.02
"""Of a workshop's caliper up to 150 mm; plainer ones have 0.03 (common practice, no source)."""
ON_GRID_MM = 0.05
"""A score this near to a groove is made in the groove."""
BOARD_SCALE_U = 0.003
"""Earlier belief of a board's scale error: moulded or printed scales are true to some tenths of
a per cent (common practice, no source)."""
USUAL_SCORE_FACE = "outside"
"""A score raises a ridge on the far face, and paper folds towards the ridge: so the outside of a
fold is pressed (a paperboard maker's public guidance on creasing)."""
KNIFE_U_MM = 0.30
"""Of a cut made with a knife along a rule at a pencil mark: a third less sure than a trimmer's stop
(common practice, no source)."""


@dataclass(frozen=True)
class Habits:
    """What a trimmer, a board and a hand always do alike, as it was measured; mm."""

    cut_mm: float = 0.0
    """How much too large every sheet is cut."""
    cut_u_mm: float = 0.0
    fence_mm: float = 0.0
    """How much too far from its fence every score lies, at ``scale_from_mm``."""
    between_mm: float = 0.0
    """How much further still every score between grooves lies."""
    between_u_mm: float = 0.0
    scale: float = 0.0
    """The board's scale error: 0.001 is a millimetre too far for each metre from the fence."""
    scale_u: float = 0.0
    scale_from_mm: float = 0.0
    """The distance at which ``fence_mm`` holds: there it and the scale are independent."""

    @property
    def known(self) -> bool:
        """Whether anything is known of them."""
        return self != Habits()

    @property
    def believed_scale(self) -> tuple[float, float]:
        """The board's scale error and its standard uncertainty: as measured, or as boards are."""
        return (self.scale, self.scale_u) if self.scale_u > 0.0 else (0.0, BOARD_SCALE_U)

    def score_mm(self, at_mm: float, *, in_groove: bool) -> float:
        """How much too far from its fence a score lies that was meant ``at_mm`` from it.

        >>> board = Habits(fence_mm=0.1, scale=0.002, scale_from_mm=100)
        >>> round(board.score_mm(50, in_groove=True), 3)
        0.0
        """
        found = self.fence_mm + self.scale * (at_mm - self.scale_from_mm)
        return found if in_groove else found + self.between_mm


@dataclass(frozen=True)
class Tools:
    """A scoring board, a trimmer and an adhesive; every ``..._u_...`` is a standard uncertainty."""

    name: str
    """The name it is looked up by."""
    grid_mm: float | None
    """Distance between the board's grooves; None for a board without grooves."""
    score_u_on_grid_mm: float
    """Of one score made in a groove."""
    score_u_off_grid_mm: float
    """Of one score made between grooves."""
    fence_u_mm: float
    """Of the board's own offset: one draw per box, shared by all its scores."""
    cut_u_mm: float
    """Of one cut sheet dimension."""
    joint_mm: float
    """Thickness of the adhesive between two glued faces."""
    joint_u_mm: float
    source: str = ""
    """Where the values come from."""
    instrument_tolerance_mm: float = USUAL_TOLERANCE_MM
    """How far the maker allows the workshop's caliper to be off, either way."""
    sheets: tuple[Bought, ...] = ()
    """The sizes of paper that the workshop has; empty when it does not say."""
    bought: tuple[Bought, ...] = ()
    """Sheets that are bought for the work in hand, beside those that the workshop has."""
    knife_u_mm: float = KNIFE_U_MM
    """Of one cut inside the sheet, made with a knife."""
    habits: Habits = Habits()
    """What they always do alike; nothing where nobody measured."""
    records: tuple[str, ...] = ()
    """The records of readings that they were measured with."""
    assumed: Tools | None = None
    """What was taken for them before they were measured; None where nobody measured."""
    score_face: str = USUAL_SCORE_FACE
    """The face of a fold that is pressed, its outside or its inside, in the words of a tools file.
    """
    people: tuple[tuple[str, Tools], ...] = ()
    """The same tools in the hands of each person who was measured apart."""

    @property
    def grid_unit(self) -> Unit | None:
        """Inches for a board whose grooves lie at parts of an inch or in whole 64ths of it,
        otherwise mm; None for a board without grooves, which tells of no unit."""
        if self.grid_mm is None:
            return None
        inches = self.grid_mm / MM_PER[Unit.IN]
        parts = (1.0 / inches, 64.0 * inches)
        return Unit.IN if any(abs(n - round(n)) < 1e-6 for n in parts) else Unit.MM

    def held_by(self, person: str) -> Tools | None:
        """These tools in one person's hands; None for whom nobody measured."""
        wanted = folded(person)
        for name, own in self.people:
            if folded(name) == wanted:
                return replace(own, records=self.records, assumed=self.assumed)
        return None

    @property
    def names(self) -> frozenset[str]:
        """What the same board is called: its name, and that of the tools they were learnt from."""
        return frozenset({self.name} if self.assumed is None else {self.name, self.assumed.name})

    @property
    def told_by(self) -> str:
        """Where its values come from, in words."""
        return self.source or f"records {', '.join(self.records)}"

    @property
    def papers_known(self) -> bool:
        """Whether the workshop says which sheets it has."""
        return bool(self.sheets)

    def how_to_list(self, larger: str = "") -> str:
        """What to write, and where, so that a sheet that the workshop has is counted on.

        ``larger`` is the name of a sheet in common use; left out, a size is shown.

        >>> Tools("mine", None, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03).how_to_list("a3").split(", ")
        ['write in calibration/tools/my-sheets.toml the lines format = 1', 'like = "mine"', \
'sheets = ["a4"', '"a3"]']
        """
        usual = "letter" if self.grid_unit is Unit.IN else "a4"
        size = '["19 in", "25 in"]' if self.grid_unit is Unit.IN else '["500 mm", "700 mm"]'
        one = f'"{larger}"' if larger else size
        if self.papers_known:
            named = one if larger else '["width", "length"]'
            return f"add it as {named} to sheets in calibration/tools/{self.name}.toml"
        return (
            "write in calibration/tools/my-sheets.toml the lines format = 1, "
            f'like = "{self.name}", sheets = ["{usual}", {one}]'
        )

    @property
    def papers(self) -> tuple[Bought, ...]:
        """What is bought and the workshop's sheets, the usual ones when it does not say."""
        return (*self.bought, *(self.sheets or USUAL_SHEETS))

    def on_grid(self, at_mm: float) -> bool:
        """Whether a score ``at_mm`` from the fence lies in a groove (to 0.05 mm).

        >>> board = Tools("board", 3.175, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)
        >>> board.on_grid(22.225), board.on_grid(23.0)
        (True, False)
        """
        if self.grid_mm is None:
            return False
        groove = round(at_mm / self.grid_mm) * self.grid_mm
        return abs(at_mm - groove) <= ON_GRID_MM

    def told_in(self, at_mm: float, unit: Unit) -> Unit:
        """The unit that a score is told in: `unit`, but that of the board's marks for one that lies
        in a groove.

        >>> board = Tools("board", 3.175, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)
        >>> str(board.told_in(22.225, Unit.MM)), str(board.told_in(22.0, Unit.MM))
        ('in', 'mm')
        """
        board = self.grid_unit
        if board in (None, hand_unit(unit)) or not self.on_grid(at_mm):
            return unit
        return board if is_set_by_hand(at_mm, board) else unit
