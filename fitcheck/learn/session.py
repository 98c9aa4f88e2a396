"""One learning session: read, fit, judge, keep, write; a session that fails changes nothing.

Everything is worked out before anything is written. Then, under the lock of the records and only
if they are still as they were read, the new record and the profile that names it are written as
one set, so that a loss of power or a second learner at work leaves both or neither, as the next
session finds them, and every reading of before.
"""

from __future__ import annotations

import contextlib
import gc
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Kind, Reading
from fitcheck.learn.context import NOT_SAID, SHELVES, Glue, LearnContext, context_for
from fitcheck.learn.counted_records import new_rows, read_counted, read_left_out
from fitcheck.learn.csv_rows import as_recorded, pasted_twice, read_sheet, write_sheet
from fitcheck.learn.doubtful import of_readings
from fitcheck.learn.doubtful_stacks import Known, check_stacks
from fitcheck.learn.drafting import Profile
from fitcheck.learn.hand_doubtful import of_hands
from fitcheck.learn.hand_profile import HandOutcome
from fitcheck.learn.mixed_sets import refuse_mixed_sets
from fitcheck.learn.other_hands import other_hands
from fitcheck.learn.other_names import of_other_names
from fitcheck.learn.possible_readings import refuse_days_to_come
from fitcheck.learn.questions import (
    Doubt,
    Question,
    ask,
    of_fit,
    of_other_hands,
    of_pieces,
    of_repeats,
)
from fitcheck.learn.same_pieces import Pieces
from fitcheck.learn.session_results import Emptied, Outcome, Turn
from fitcheck.learn.writing import Change, write_change
from fitcheck.plain import LONGEST_SHOWN, shown
from fitcheck.stock.paper import Stock
from fitcheck.stock.tools import Tools
from fitcheck.workspace.names import check_new_name, is_name, names_on
from fitcheck.workspace.nearest import did_you_mean, misspelt
from fitcheck.workspace.paths import Workplace
from fitcheck.workspace.records import next_record, records_of

NO_TURN = Turn()
_WORD = {Kind.STOCK: "paper", Kind.PRINTER: "printer", Kind.TOOLS: "tools"}


def learn_from(
    name: str,
    file: Path,
    place: Workplace,
    tools: Tools,
    *,
    chosen: bool = False,
    joint_mm: float | None = None,
    setback_mm: float | None = None,
    turn: Turn = NO_TURN,
    confirmed: Collection[Doubt] = (),
    new: bool = False,
) -> Outcome | HandOutcome:
    """Fit the profile anew from a file and all records that count, then keep the file's readings.

    ``tools`` made the coupon; unless ``chosen`` they give way to those the profile was learnt with
    before. What can hardly be true is ``confirmed``, and a name like a known one is ``new``. Raises
    ``InputError`` for what cannot be read or true; then nothing has changed.
    """

    def work() -> tuple[Change, Outcome | HandOutcome]:
        sheet = read_sheet(file)
        kind = sheet.kind
        _check_name(name, kind, place, new)
        if kind is Kind.TOOLS and (joint_mm, setback_mm) != (None, None):
            raise InputError(
                "--joint, --setback: read for a coupon of tools; allowed: with one of a stock, "
                "whose tray is glued; leave them out"
            )
        context = replace(context_for(name, kind, place, turn), chosen=chosen)
        believed = context.known.believed
        check_stacks(
            name, sheet.readings, believed.caliper_mm if isinstance(believed, Stock) else None
        )
        sheets = read_counted(context.counted, name)
        rows, notes, held = new_rows(sheet, name, sheets, read_left_out(context.left_out))
        path = next_record(place.root, kind, name)
        if rows:
            refuse_days_to_come(rows)
            refuse_mixed_sets(rows)
            again = pasted_twice(rows, str(file))
            if again:
                raise InputError(again)
        else:
            notes = (*notes, f"{file}: nothing new: its readings are in the records already")
        readings = [reading for older in sheets.values() for reading in older.readings]
        readings += as_recorded(rows, path.name)
        record = (path, write_sheet(rows)) if rows else None
        counted = {own.name: older.readings for own, older in sheets.items()}
        context, of_letters, said = _of_pieces(
            context, readings, str(file), path.name if rows else None, held, confirmed
        )
        hardly = list(_hardly_true(believed, rows, counted, confirmed)) if rows else []
        hardly += of_other_names(rows, kind, name, place.root)
        if kind is Kind.TOOLS:
            hardly += of_hands(rows, believed if isinstance(believed, Tools) else tools)
        if any(one.doubt not in confirmed for one in hardly):
            ask((*hardly, *of_letters), confirmed)
        given = context.given(tools, (joint_mm, setback_mm))
        del sheet, rows, sheets, counted  # of a hundred thousand readings one copy is enough
        change, outcome = context.fitted(readings, given, record, (*notes, *said))
        asked = list(of_letters)
        if record and isinstance(outcome, Outcome):
            share = None
            if isinstance(believed, Stock) and believed.calibrated:
                share = believed.crease_allowance_mm / believed.caliper_mm
            asked += of_fit(outcome.learnt, str(file), {path.name}, share)
        ask(asked, confirmed)
        return change, outcome

    with _uncollected():
        return write_change(work, place.root)


def rebuild(
    name: str,
    place: Workplace,
    tools: Tools,
    *,
    chosen: bool = False,
    own: Glue = NOT_SAID,
) -> Outcome | HandOutcome:
    """Fit the profile anew from the records that it names (or from all, if it is lost).

    What it was learnt with before stays but for tools that are ``chosen``, and for the joint and
    setback of the coupon's tray, ``own`` in mm.
    """

    def work() -> tuple[Change, Outcome | HandOutcome]:
        context = context_for(name, _kind_of(name, place), place, NO_TURN)
        context = replace(context, chosen=chosen)
        named = [path for path in context.counted if path.name in context.kept.named]
        rest = [path for path in context.counted if path not in named]
        if not named:
            named, rest = rest, []
        if not named:
            raise InputError(context.no_records())
        notes = tuple(
            f"{path.name} is kept but not in this profile: fitcheck learn {name} {path} adds it"
            for path in rest
        )
        return context.refitted(named, tools, notes, own)

    with _uncollected():
        return write_change(work, place.root)


def turn_records(
    name: str, turn: Turn, place: Workplace, tools: Tools
) -> Outcome | HandOutcome | Emptied:
    """Set records aside or take them back, and fit the profile from those that count then.

    Raises ``InputError`` for what is no such record, and where no profile comes of the rest.
    """

    def work() -> tuple[Change, Outcome | HandOutcome | Emptied]:
        context = context_for(name, _kind_of(name, place), place, turn)
        if not context.counted:
            return context.emptied()
        return context.refitted(context.counted, tools, ())

    with _uncollected():
        return write_change(work, place.root)


def _hardly_true(
    believed: Profile | None,
    rows: Sequence[Reading],
    counted: Mapping[str, Sequence[Reading]],
    confirmed: Collection[Doubt],
) -> Iterator[Question]:
    yield from of_repeats(rows, counted)
    if rows[0].kind is not Kind.STOCK:
        return
    known = Known()
    if isinstance(believed, Stock):
        known = Known(
            believed.caliper_mm,
            believed.crease_allowance_mm if believed.calibrated else None,
            believed.grammage_gsm,
        )
    older = [reading for own in counted.values() for reading in own]
    yield from of_readings(rows, older, known, confirmed)


def _of_pieces(
    context: LearnContext,
    readings: Sequence[Reading],
    file: str,
    record: str | None,
    held: Collection[str],
    confirmed: Collection[Doubt],
) -> tuple[LearnContext, tuple[Question, ...], tuple[str, ...]]:
    """The context with what is said of a file's pieces, what to ask of them and what to note.

    ``record`` is what its new rows become, None where it has none; ``held`` are records that it
    holds in full: somebody wrote on in the same sheet.
    """
    again = Pieces(readings, context.made_anew).read_again()
    new = record is not None
    hands = other_hands(row for row in readings if row.file == record) if new else ()
    names = [name for name in ([record] if record is not None else held) if name in again]
    if Doubt.ANEW in confirmed:
        names += [record] if record is not None and hands and record not in names else []
        return replace(context, anew=tuple(names)), (), ()
    if Doubt.SAME in confirmed:
        names += [name for name in held if not new and name in context.made_anew]
        return replace(context, same=tuple(names)), (), ()
    asked = tuple(of_other_hands(hands, file))
    if not new or not names or held:
        return context, asked, ()
    found = again[names[0]]
    if not found.alike:
        return replace(context, anew=tuple(names)), (*asked, of_pieces(found, file)), ()
    line = (
        f"{file}: {found.pieces} are in {found.older} too: counted as the same pieces, read again; "
        f"if they were made anew, give this file again with --confirm {Doubt.ANEW}"
    )
    return context, asked, (line,)


def _check_name(name: str, kind: Kind, place: Workplace, new: bool) -> None:
    """A name that can be kept everywhere, and that is no printer's when a paper is learnt."""
    on_shelf = names_on(SHELVES[kind], place.roots)
    if name in on_shelf:
        if new:
            raise InputError(
                f"--new: read it with {shown(name)}, {kind.one} that is known; allowed: a name of "
                "its own; leave --new out, or choose another name"
            )
        return
    check_new_name("NAME", name, on_shelf)
    for other in Kind:
        if other is not kind and name in names_on(SHELVES[other], place.roots):
            raise InputError(
                f"NAME: read '{name}', which is {other.one}, and the readings are of {kind.one}; "
                f"allowed: {kind.one}; check the file or choose another name"
            )
    near = None if new else misspelt(name, on_shelf)
    if near is not None and not records_of(place.root, kind, name):
        raise InputError(
            f"NAME: read {shown(name)}, no such {_WORD[kind]}: add --new to make one of that name; "
            f"or did you mean {shown(near)}? then correct the name"
        )


def _kind_of(name: str, place: Workplace) -> Kind:
    if not is_name(name):
        check_new_name("NAME", name, ())
    for kind in Kind:
        own = records_of(place.root, kind, name)
        if own or name in names_on(SHELVES[kind], place.roots):
            return kind
    known = [name for kind in Kind for name in names_on(SHELVES[kind], place.roots)]
    raise InputError(
        f"NAME: read {shown(name)}, no such stock, tools or printer; "
        f"{did_you_mean(name[:LONGEST_SHOWN], known)}; correct the name"
    )


@contextlib.contextmanager
def _uncollected() -> Iterator[None]:
    """A hundred thousand readings are no rubbish: the collector need not walk them all again."""
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()
