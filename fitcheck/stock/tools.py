"""Tools are what a sheet is scored, cut and glued with, and how far each of them may be off."""

from dataclasses import dataclass

from fitcheck.stock.sheets import USUAL_SHEETS, Bought

USUAL_TOOLS = "score-board-metric"
"""The profile of whoever names no tools and does not work in inches."""
USUAL_TOLERANCE_MM = 0.02
"""Of a workshop's caliper up to 150 mm; plainer ones have 0.03 (common practice, no source)."""
ON_GRID_MM = 0.05
"""A score this near to a groove is made in the groove."""


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

    @property
    def papers_known(self) -> bool:
        """Whether the workshop says which sheets it has."""
        return bool(self.sheets)

    @property
    def papers(self) -> tuple[Bought, ...]:
        """The workshop's sheets, the usual ones when it does not say."""
        return self.sheets or USUAL_SHEETS

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
