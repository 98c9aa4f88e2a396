"""A value from outside beside ours, to be tested and to be printed as a table."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """One published value and what the program says."""

    source: str
    """Where the value is printed."""
    quantity: str
    """What it is, with its unit."""
    says: float
    """As printed there."""
    we_say: float
    """As the program has it."""
    digits: int
    """Decimals printed there; half of the last one is the tolerance."""

    @property
    def difference(self) -> float:
        """Ours less theirs."""
        return self.we_say - self.says

    @property
    def agrees(self) -> bool:
        """Whether ours rounds to theirs."""
        return abs(self.difference) <= 0.5 * 10.0**-self.digits + 1e-12

    def __str__(self) -> str:
        ours, digits = f"{self.we_say:.{self.digits + 2}f}", self.digits
        return f"{self.quantity}: {self.source} says {self.says:.{digits}f}, we say {ours}"
