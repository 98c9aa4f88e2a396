"""One learning session: readings are kept as a record, fitted with the older ones, and written.

The record is safe on the disk before the profile that names it is replaced, and both happen under
the lock of the records, so that a loss of power or a second learner at work leaves the old profile
or the new one, and every reading.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.learn.csv_rows import Sheet, read_sheet, same_row, write_sheet
from fitcheck.learn.learning import Learnt, learn_printer, learn_stock
from fitcheck.learn.model_stock import Before, Given
from fitcheck.learn.profiles import printer_profile, stock_profile
from fitcheck.learn.readings import Kind, Reading
from fitcheck.learn.stacks import check_stacks
from fitcheck.stock.files import read_given, read_printer, read_stock
from fitcheck.stock.paper import Stock
from fitcheck.stock.printer import Printer
from fitcheck.stock.tools import Tools
from fitcheck.workspace.atomic import write_whole
from fitcheck.workspace.locking import locked
from fitcheck.workspace.names import Shelf, is_name, names_on
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.paths import CALIBRATION
from fitcheck.workspace.records import (
    add_record,
    clear_leftovers,
    find_records,
    records_folder,
    records_of,
    settle,
)

SHELVES = {Kind.STOCK: Shelf.STOCK, Kind.PRINTER: Shelf.PRINTER}


@dataclass(frozen=True)
class Place:
    """Where a session works."""

    root: Path
    """The workspace that is written to."""
    roots: tuple[Path, ...]
    """Where names are looked up, the workspace first."""


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


def learn_from(
    name: str,
    file: Path,
    place: Place,
    tools: Tools,
    *,
    chosen: bool = False,
    joint_mm: float | None = None,
    setback_mm: float | None = None,
) -> Outcome:
    """Keep the readings of a file and fit the profile anew from all records.

    ``tools`` made the coupon; unless ``chosen`` they give way to those the profile was learnt with
    before. Raises ``InputError`` for what cannot be read or true; records stay.
    """
    _check_name(name)
    sheet = read_sheet(file)
    kind = sheet.kind
    with locked(records_folder(place.root)):
        clear_leftovers(records_folder(place.root))
        _check_kind(name, kind, place)
        profile, old = _old(name, kind, place)
        check_stacks(name, sheet.readings, old.caliper_mm if isinstance(old, Stock) else None)
        older = _older(name, kind, old, place)
        rows, notes = _new_rows(sheet, older)
        record, new = _keep(name, kind, rows, place)
        given = _given(kind, profile, tools, chosen, (joint_mm, setback_mm))
        known = list(dict.fromkeys([*older, *records_of(place.root, kind, name)]))
        if not new:
            notes = (*notes, f"{file}: nothing new: its readings are in the records already")
        return _fitted(name, kind, place, known, given, old, record if new else None, notes)


def rebuild(name: str, place: Place, tools: Tools) -> Outcome:
    """Fit the profile anew from the records that it names (or from all, if it is lost)."""
    _check_name(name)
    kind = _kind_of(name, place)
    with locked(records_folder(place.root)):
        profile, old = _old(name, kind, place)
        named = old.records if old is not None else ()
        own = records_of(place.root, kind, name)
        known = list(find_records(named, place.roots)) if named else list(own)
        if not known:
            raise InputError(
                f"{name}: has no records to rebuild it from; allowed: a {kind} learnt from "
                f"readings; measure it: fitcheck {'coupon' if kind is Kind.STOCK else 'gauge'} "
                f"{name} -o DIR"
            )
        notes = tuple(
            f"{path.name} is kept but not in this profile: fitcheck learn {name} {path} adds it"
            for path in own
            if path not in known
        )
        given = _given(kind, profile, tools, False, (None, None))
        return _fitted(name, kind, place, known, given, old, None, notes)


def _fitted(
    name: str,
    kind: Kind,
    place: Place,
    records: Sequence[Path],
    given: Given,
    old: Stock | Printer | None,
    record: str | None,
    notes: tuple[str, ...],
) -> Outcome:
    sheets = [read_sheet(path) for path in records]
    readings = [reading for sheet in sheets for reading in sheet.readings]
    names = tuple(path.name for path in records)
    path = place.root / CALIBRATION / SHELVES[kind].value / f"{name}.toml"
    if kind is Kind.STOCK:
        paper = old if isinstance(old, Stock) else None
        learnt = learn_stock(readings, given, _before(name, paper, readings))
        text = stock_profile(learnt, paper, given, names, name)
    else:
        learnt = learn_printer(readings, old if isinstance(old, Printer) else None)
        text = printer_profile(learnt, names, name)
    changed = not path.is_file() or path.read_text(encoding="utf-8") != text
    if changed:
        write_whole(path, text)
        settle(path.parent)
    new = read_stock(path) if kind is Kind.STOCK else read_printer(path)
    return Outcome(
        name=name,
        learnt=learnt,
        old=old,
        new=new,
        given=given if kind is Kind.STOCK else None,
        profile=path,
        record=record,
        records=names,
        notes=notes,
        changed=changed,
    )


def _check_name(name: str) -> None:
    if not is_name(name):
        raise InputError(
            f"NAME: read '{name}'; allowed: letters, digits, dots, hyphens and underscores, as in "
            "cardstock-270; choose another name"
        )


def _check_kind(name: str, kind: Kind, place: Place) -> None:
    """A name that is a printer's is not given to a paper, nor the other way round."""
    other = Kind.PRINTER if kind is Kind.STOCK else Kind.STOCK
    if name in names_on(SHELVES[other], place.roots) and name not in names_on(
        SHELVES[kind], place.roots
    ):
        raise InputError(
            f"NAME: read '{name}', which is a {other}, and the readings are of a {kind}; allowed: "
            f"a {kind}; check the file or choose another name"
        )


def _kind_of(name: str, place: Place) -> Kind:
    for kind in Kind:
        own = records_of(place.root, kind, name)
        if own or name in names_on(SHELVES[kind], place.roots):
            return kind
    known = [name for kind in Kind for name in names_on(SHELVES[kind], place.roots)]
    raise InputError(
        f"NAME: read '{name}', no such stock or printer; {did_you_mean(name, known)}; "
        "correct the name"
    )


def _old(name: str, kind: Kind, place: Place) -> tuple[Path | None, Stock | Printer | None]:
    path = names_on(SHELVES[kind], place.roots).get(name)
    if path is None:
        return None, None
    return path, read_stock(path) if kind is Kind.STOCK else read_printer(path)


def _older(name: str, kind: Kind, old: Stock | Printer | None, place: Place) -> list[Path]:
    named = find_records(old.records, place.roots) if old is not None else ()
    return list(dict.fromkeys([*named, *records_of(place.root, kind, name)]))


def _new_rows(sheet: Sheet, older: Sequence[Path]) -> tuple[tuple[Reading, ...], tuple[str, ...]]:
    """The rows of a sheet without those of records that it holds in full, and what to say."""
    rows, notes = list(sheet.readings), list(sheet.notes)
    for path in older:
        said = Counter(same_row(reading) for reading in read_sheet(path).readings)
        here = Counter(same_row(reading) for reading in rows)
        if len(rows) == said.total() or any(here[row] < count for row, count in said.items()):
            continue
        kept = []
        for reading in rows:
            if said[same_row(reading)] > 0:
                said[same_row(reading)] -= 1
            else:
                kept.append(reading)
        rows = kept
        notes.append(f"the rows of {path.name} are in this file again: counted once")
    return tuple(rows), tuple(notes)


def _keep(name: str, kind: Kind, rows: Sequence[Reading], place: Place) -> tuple[str | None, bool]:
    path, new = add_record(place.root, kind, name, write_sheet(rows))
    return path.name, new


def _given(
    kind: Kind,
    profile: Path | None,
    tools: Tools,
    chosen: bool,
    own: tuple[float | None, float | None],
) -> Given:
    """What the fit takes as given: of the options, of the profile, of the tools."""
    before = read_given(profile) if profile is not None and kind is Kind.STOCK else None
    if before is not None and not chosen:
        given = Given(**before)
    else:
        given = Given(
            tools=tools.name,
            score_u_mm=tools.score_u_on_grid_mm,
            fence_u_mm=tools.fence_u_mm,
            joint_mm=tools.joint_mm,
            joint_u_mm=tools.joint_u_mm,
        )
    joint, setback = own
    return Given(
        given.tools,
        given.score_u_mm,
        given.fence_u_mm,
        given.joint_mm if joint is None else joint,
        given.joint_u_mm,
        given.setback_mm if setback is None else setback,
    )


def _before(name: str, old: Stock | None, readings: Sequence[Reading]) -> Before:
    if old is None:
        if not any(reading.feature.value == "stack" for reading in readings):
            raise InputError(
                f"{name}: too few readings: there is no stack and no such stock is known; allowed: "
                "a new stock with its caliper measured; measure a stack of ten sheets"
            )
        return Before(0.0, 1.0, None, None)
    return Before(
        old.caliper_mm,
        old.caliper_u_mm,
        old.crease_allowance_mm if old.calibrated else None,
        old.crease_allowance_u_mm if old.calibrated else None,
        old.corner_give if old.corner_give_u is not None else None,
        old.corner_give_u,
    )
