"""How the options of `fitcheck learn` become a session in the workspace at hand."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from fitcheck.cli.common_options import length_given
from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.learn.compare import lid_change
from fitcheck.learn.counted_records import as_records
from fitcheck.learn.hand_profile import HandOutcome
from fitcheck.learn.needs import WANTED
from fitcheck.learn.questions import Doubt
from fitcheck.learn.session import learn_from, turn_records
from fitcheck.learn.session import rebuild as rebuild_profile
from fitcheck.learn.session_results import Emptied, Outcome, Turn
from fitcheck.outputs.learn_text import lid_text
from fitcheck.plain import shown
from fitcheck.stock.learnt_files import MOST_GIVEN_MM
from fitcheck.stock.profile_files import find_tools
from fitcheck.stock.tools import USUAL_TOOLS
from fitcheck.workspace.designs import find_design
from fitcheck.workspace.names import Shelf, names_on
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.paths import is_file, workplace_here


@dataclass(frozen=True)
class Said:
    """What the person at the bench says of readings that can hardly be true, and of the name."""

    confirmed: frozenset[Doubt]
    new: bool

    def __bool__(self) -> bool:
        """Whether anything is said."""
        return bool(self.confirmed) or self.new


def said_of(confirm: Iterable[str] | None, new: bool) -> Said:
    """What --confirm and --new say. Raises InputError for a word that confirms nothing, or two
    that contradict each other.
    """
    words = [str(doubt) for doubt in Doubt]
    for text in confirm or ():
        if text not in words:
            raise InputError(
                f"--confirm: read {shown(text)}; allowed: {', '.join(words)}; "
                f"{did_you_mean(text, words)}"
            )
    said = frozenset(map(Doubt, confirm or ()))
    if {Doubt.ANEW, Doubt.SAME} <= said:
        raise InputError(
            f"--confirm: read {Doubt.ANEW} and {Doubt.SAME}; allowed: one of the two; leave the "
            "other out"
        )
    return Said(said, new)


def learn_now(
    name: str,
    readings: Path | None,
    turn: Turn,
    said: Said,
    *,
    tools: str | None = None,
    joint: str | None = None,
    setback: str | None = None,
) -> Outcome | HandOutcome | Emptied:
    """Learn from a file; without one turn records, or rebuild when there are none to turn."""
    place = workplace_here()
    kit = find_tools(tools or USUAL_TOOLS, place.roots)
    if readings is None:
        if turn and (tools or joint or setback):
            raise InputError(
                "--set-aside, --take-back: takes tools, joint and setback from the profile; leave "
                "them out, and say them with --rebuild afterwards"
            )
        if said:
            raise InputError(
                "--confirm, --new: read without READINGS.csv; allowed: with new readings, of which "
                "something is asked; leave them out"
            )
        if turn:
            return turn_records(name, turn, place, kit)
        own = (_length("--joint", joint), _length("--setback", setback))
        return rebuild_profile(name, place, kit, chosen=tools is not None, own=own)
    return learn_from(
        name,
        readings,
        place,
        kit,
        chosen=tools is not None,
        joint_mm=_length("--joint", joint),
        setback_mm=_length("--setback", setback),
        turn=turn,
        confirmed=said.confirmed,
        new=said.new,
    )


def check_of_tools(name: str, options: dict[str, object]) -> None:
    """Raise InputError for options that say nothing about tools, when tools are learnt."""
    given = [option for option, value in options.items() if value]
    if given and name in names_on(Shelf.TOOLS, workplace_here().roots):
        raise InputError(
            f"{given[0]}: read it for {shown(name)}, which is tools; allowed: with a stock or a "
            "printer; leave it out"
        )


def turn_of(aside: Iterable[str] | None, back: Iterable[str] | None) -> Turn:
    """The records that are set aside and taken back. Raises InputError when one is both."""
    turn = Turn(tuple(aside or ()), tuple(back or ()))
    back = as_records(turn.back)
    both = [
        text for text, name in zip(turn.aside, as_records(turn.aside), strict=True) if name in back
    ]
    if both:
        raise InputError(
            f"--set-aside, --take-back: read {shown(both[0])} with both; allowed: one of the two; "
            "leave the other out"
        )
    return turn


def lid_of(design: Path, name: str) -> Path:
    """The file of a design whose lid a stock's new profile can change.

    Raises InputError for another, before anything is learnt; of a stock that is not known yet no
    design can be read, only that there is one.
    """
    path = find_design(design)
    if is_file(path) and name not in names_on(Shelf.STOCK, workplace_here().roots):
        return path
    found = read_design(path)
    papers = {part.stock.name for part in found.parts}
    if found.lid is None or name not in papers:
        raise InputError(
            f"--design: read {shown(str(design))}, which has no lid or no part of {shown(name)}; "
            f"it is made of {', '.join(sorted(papers))}; allowed: a design with a lid and a "
            "part of that stock; name one, or leave it out"
        )
    return path


def lid_shown(outcome: Outcome, design: Path) -> str:
    """What the profile, which is written already, does to a design's lid."""
    try:
        return lid_text(lid_change(outcome, design))
    except InputError as error:
        written = f"--design: the lid cannot be shown; {outcome.profile} is written all the same"
        raise InputError([*error.lines, written]) from None


def wanted_of(texts: Iterable[str] | None) -> dict[str, float]:
    """PROPERTY=U texts as a mapping. Raises InputError for a text of another form."""
    wanted = {}
    for text in texts or ():
        name, _, u = text.partition("=")
        if name.strip() not in WANTED:
            raise InputError(
                f"--want: read {shown(text)}; allowed: PROPERTY=U with one of {', '.join(WANTED)}; "
                f"{did_you_mean(name.strip(), WANTED)}"
            )
        try:
            wanted[name.strip()] = float(u)
        except ValueError:
            wanted[name.strip()] = 0.0
        if not 0.0 < wanted[name.strip()] < math.inf:
            raise InputError(
                f"--want: read {shown(text)}; allowed: PROPERTY=U with a standard uncertainty "
                "above 0, such as caliper=0.002"
            )
    return wanted


def _length(option: str, text: str | None) -> float | None:
    if text is None:
        return None
    found = length_given(option, text)
    if not 0 <= found <= MOST_GIVEN_MM:
        raise InputError(
            f"{option}: read {shown(text)}; allowed: 0 to {MOST_GIVEN_MM:g} mm; measure it again"
        )
    return found
