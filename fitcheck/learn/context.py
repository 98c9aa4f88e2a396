"""What lies ready for one name before its readings are fitted, and what is made of them there."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Kind, Reading
from fitcheck.learn.counted_records import (
    Kept,
    as_records,
    chosen_records,
    features_in,
    kept_of,
    read_counted,
    read_left_out,
)
from fitcheck.learn.drafting import Known, Profile, drafted, given_for, without_readings_of
from fitcheck.learn.hand_profile import HandOutcome, hand_outcome
from fitcheck.learn.model_stock import Given
from fitcheck.learn.profiles import UNNAMED
from fitcheck.learn.questions import Doubt
from fitcheck.learn.same_pieces import Again, Pieces
from fitcheck.learn.session_results import Emptied, Outcome, Turn
from fitcheck.learn.set_aside import ANEW, ASIDE, BACK, SAME, list_of, taken_away, with_words
from fitcheck.learn.writing import Change
from fitcheck.stock.paper import Stock
from fitcheck.stock.profile_files import find_tools, read_given, read_printer, read_stock
from fitcheck.stock.tools import Tools
from fitcheck.stock.tools_files import read_tools
from fitcheck.workspace.names import Shelf, names_on
from fitcheck.workspace.paths import CALIBRATION, Workplace, is_file
from fitcheck.workspace.reading import Most, read_bounded

SHELVES = {Kind.STOCK: Shelf.STOCK, Kind.PRINTER: Shelf.PRINTER, Kind.TOOLS: Shelf.TOOLS}
Glue = tuple[float | None, float | None]
"""Joint and setback of a coupon's tray in mm, each None where it is not said."""
NOT_SAID: Glue = (None, None)
SAME_JOINT_MM = 1e-6


@dataclass(frozen=True, eq=False)
class LearnContext:
    """What lies ready for one name before anything is fitted."""

    name: str
    kind: Kind
    place: Workplace
    known: Known
    kept: Kept
    aside: tuple[str, ...]
    """Records that no longer count from this session on."""
    back: tuple[str, ...]
    """Records that count again."""
    anew: tuple[str, ...] = ()
    """Records of which it is said in this session that their pieces were made anew."""
    same: tuple[str, ...] = ()
    """Those of which it is said that they are older pieces, read again."""
    chosen: bool = False
    """Whether the tools are chosen in this session."""

    @property
    def profile(self) -> Path:
        """Where its profile belongs."""
        shelf = SHELVES[self.kind].value
        return self.place.root / CALIBRATION / shelf / f"{self.name}.toml"

    @property
    def away(self) -> Path:
        """Where the profile is kept that was taken away when no record counted any more."""
        return taken_away(self.place.root, self.kind, self.name)

    @property
    def learnt_with(self) -> Path | None:
        """The profile that says what the records that count were learnt with."""
        value = self.known.value
        learnt = self.known.profile == self.profile and value is not None and bool(value.records)
        return (
            self.away if not learnt and self.counted and is_file(self.away) else self.known.profile
        )

    @property
    def counted(self) -> list[Path]:
        """The records that count in this session."""
        out = (self.kept.aside | set(self.aside)) - set(self.back)
        return [path for path in self.kept.paths if path.name not in out]

    @property
    def left_out(self) -> list[Path]:
        """Those that do not."""
        return [path for path in self.kept.paths if path not in self.counted]

    @property
    def made_anew(self) -> frozenset[str]:
        """The records whose pieces were made anew, by all that was said."""
        return (self.kept.anew - set(self.same)) | set(self.anew)

    def refitted(
        self, records: Sequence[Path], tools: Tools, notes: tuple[str, ...], own: Glue = NOT_SAID
    ) -> tuple[Change, Outcome | HandOutcome]:
        """The profile from records alone, with what it was learnt with before or is said now."""
        sheets = read_counted(records, self.name)
        readings = [reading for sheet in sheets.values() for reading in sheet.readings]
        return self.fitted(readings, self.given(tools, own), None, notes)

    def given(self, tools: Tools, own: Glue) -> Given:
        """What the fit takes as given; ``own`` are joint and setback as they are said now, mm.

        Where other tools are named, a setback and a joint that had been said stay the coupon's.
        """
        before = self.learnt_with
        said = None
        if self.chosen and self.kind is Kind.STOCK and before is not None:
            said = read_given(before)
        if said is not None:
            joint, setback = own
            with contextlib.suppress(InputError):
                usual = find_tools(said["tools"], self.place.roots).joint_mm
                apart = abs(said["joint_mm"] - usual) > SAME_JOINT_MM
                joint = said["joint_mm"] if joint is None and apart else joint
            own = (joint, said["setback_mm"] if setback is None else setback)
        return given_for(self.kind, before, tools, self.chosen, own)

    def fitted(
        self,
        readings: Sequence[Reading],
        given: Given,
        record: tuple[Path, str] | None,
        notes: tuple[str, ...],
    ) -> tuple[Change, Outcome | HandOutcome]:
        """What is to be written, and what to tell of it."""
        if not readings:
            raise InputError([*notes, self.no_records()])
        records = tuple(dict.fromkeys(reading.file for reading in readings))
        pieces = Pieces(readings, self.made_anew)
        notes = (*notes, *self._doubtful(pieces.read_again(), record))
        readings = pieces.placed()
        del pieces
        if self.kind is Kind.TOOLS:
            return self._fitted_hands(readings, given, record, notes)
        old = self.known.value
        assert not isinstance(old, Tools), "the readings are of what the profile is of"
        draft = drafted(self.name, self.profile, self.known, given, readings, records)
        change = self._change(draft.text, record)
        outcome = Outcome(
            name=self.name,
            learnt=draft.learnt,
            old=old,
            new=draft.new,
            given=given if self.kind is Kind.STOCK else None,
            profile=self.profile,
            record=record[0].name if record else None,
            records=records,
            notes=(*self._turned(), *notes),
            changed=change.profile is not None,
        )
        return change, outcome

    def _fitted_hands(
        self,
        readings: Sequence[Reading],
        given: Given,
        record: tuple[Path, str] | None,
        notes: tuple[str, ...],
    ) -> tuple[Change, HandOutcome]:
        """The same for tools; new ones begin as those that are given."""
        old = self.known.value if isinstance(self.known.value, Tools) else None
        base = old or find_tools(given.tools, self.place.roots)
        if self.chosen and given.tools != self.name:
            base = find_tools(given.tools, self.place.roots)
        elif self.learnt_with == self.away:
            away = read_tools(self.away)
            base = away.assumed or away
            base = replace(base, name=self.name) if base.name == away.name else base
        name = None if record is None else record[0].name
        outcome, text = hand_outcome(self.name, self.profile, base, readings, name)
        change = self._change(text, record)
        all_notes = (*self._turned(), *notes)
        return change, replace(outcome, notes=all_notes, changed=change.profile is not None)

    def emptied(self) -> tuple[Change, Emptied]:
        """Nothing is left to fit: what records made is taken away, what else there was stays."""
        value, own = self.known.value, self.known.profile == self.profile
        made = self.profile if own and value is not None and value.records else None
        roots = self.place.roots[1:] if made else self.place.roots
        base = names_on(SHELVES[self.kind], roots).get(self.name)
        if made is not None and base is None and _typed_by_hand(value):
            raise InputError(
                f"{self.name}: {' and '.join(self.aside)} is all that counts, and {made} holds "
                "what no record gives back (its kind, grammage or hygroexpansion); allowed: "
                "another record that counts; give new readings in the same command: fitcheck "
                f"learn {self.name} READINGS.csv --set-aside {self.aside[0]}; nothing was written"
            )
        found = Emptied(self.name, self.kind, self.aside, made, base)
        text = None if made is None else _bytes_of(made)
        away = None if text is None else (self.away, text.decode())
        return Change(self._turn(), None, away, made), found

    def no_records(self) -> str:
        """One line for a name of which no record counts."""
        if self.left_out:
            name = self.left_out[-1].name
            return (
                f"{self.name}: all its records are set aside; allowed: {self.kind.one} with a "
                "record that counts; take one back: fitcheck learn "
                f"{self.name} --take-back {name}"
            )
        sheet = "gauge" if self.kind is Kind.PRINTER else "coupon"
        return (
            f"{self.name}: has no records to rebuild it from; allowed: {self.kind.one} learnt from "
            f"readings; measure it: fitcheck {sheet} {self.name} -o DIR"
        )

    def _doubtful(
        self, again: Mapping[str, Again], record: tuple[Path, str] | None
    ) -> Iterator[str]:
        """What to say of older records of which nobody was asked whether their pieces are new."""
        for name, found in again.items():
            answered = self.kept.same | {*self.same, *([record[0].name] if record else ())}
            path = next((path for path in self.counted if path.name == name), None)
            if not found.alike and name not in answered and path is not None:
                yield (
                    f"{name}: {found.pieces} are in {found.older} too, and {found.why}: counted as "
                    "the same pieces, read again; if they were made anew: fitcheck learn "
                    f"{self.name} {path} "
                    f"--confirm {Doubt.ANEW}, otherwise the same with --confirm {Doubt.SAME}"
                )

    def _change(self, text: str, record: tuple[Path, str] | None) -> Change:
        same = _bytes_of(self.profile) == text.encode()
        away = self.away if is_file(self.away) else None
        return Change(self._turn(), record, None if same else (self.profile, text), away)

    def _turn(self) -> tuple[Path, str] | None:
        words = ((self.aside, ASIDE), (self.back, BACK), (self.anew, ANEW), (self.same, SAME))
        if not any(records for records, _ in words):
            return None
        path = list_of(self.place.root, self.kind, self.name)
        text = with_words(path, words)
        return None if text is None else (path, text)

    def _turned(self) -> Iterator[str]:
        for record in self.aside:
            yield f"{record} is set aside: it stays as it is and does not count"
        for record in self.back:
            yield f"{record} is taken back: it counts again"
        for record in self.anew:
            yield f"{record}: its pieces count as new ones, made anew"
        for record in self.same:
            yield f"{record}: its pieces count as those of older records, read again"


def context_for(name: str, kind: Kind, place: Workplace, turn: Turn) -> LearnContext:
    """Look up what is known and kept of a name; no reading that counts is read yet.

    Raises ``InputError`` where a profile or a list is broken, or an option names no such record.
    """
    profile = names_on(SHELVES[kind], place.roots).get(name)
    value = None if profile is None else _read(kind, profile)
    named = () if value is None else value.records
    kept = kept_of(kind, name, named, place.roots, as_records(turn.aside))
    aside = chosen_records("--set-aside", turn.aside, kept)
    back = chosen_records("--take-back", turn.back, kept)
    gone = read_left_out(path for path in kept.paths if path.name in aside)
    features = features_in([*gone.values(), *([None] * (len(aside) - len(gone)))])
    base = names_on(SHELVES[kind], place.roots[1:]).get(name) if features else None
    believed = without_readings_of(value, None if base is None else _read(kind, base), features)
    return LearnContext(name, kind, place, Known(profile, value, believed), kept, aside, back)


def _read(kind: Kind, path: Path) -> Profile:
    if kind is Kind.TOOLS:
        return read_tools(path)
    return read_stock(path) if kind is Kind.STOCK else read_printer(path)


def _typed_by_hand(value: Profile | None) -> bool:
    """Whether a learnt profile holds what no record gives back."""
    return isinstance(value, Stock) and not (
        value.kind == UNNAMED and value.grammage_gsm is None and value.hygroexpansion is None
    )


def _bytes_of(path: Path) -> bytes | None:
    try:
        return read_bounded(path, Most.DESIGN)
    except (OSError, InputError):
        return None
