"""What a learning session is asked, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from fitcheck.learn.bench_readings import Kind
from fitcheck.learn.learning import Learnt
from fitcheck.learn.model_stock import Given
from fitcheck.stock.paper import Stock
from fitcheck.stock.printer import Printer


@dataclass(frozen=True, eq=False)
class Outcome:
    """What a session did."""

    name: str
    learnt: Learnt
    old: Stock | Printer | None
    new: Stock | Printer
    given: Given | None
    """What a paper's readings were fitted with; None for a printer."""
    profile: Path
    record: str | None
    """The record that was added; None when there was nothing new."""
    records: tuple[str, ...]
    notes: tuple[str, ...]
    changed: bool
    """Whether the profile's text is another one than before."""

    @property
    def kind(self) -> Kind:
        """What was learnt about."""
        return self.learnt.kind


@dataclass(frozen=True)
class Turn:
    """Records that begin to count, or no longer do, in a session; names or texts of an option."""

    aside: tuple[str, ...] = ()
    back: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        """Whether there is any."""
        return bool(self.aside or self.back)


@dataclass(frozen=True)
class Emptied:
    """No record of a name counts any more, so that no profile is made of its readings."""

    name: str
    kind: Kind
    aside: tuple[str, ...]
    profile: Path | None
    """The profile that was taken away; None where none had been made of the records."""
    base: Path | None
    """What the name stands for now; None for nothing."""
