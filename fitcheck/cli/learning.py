"""How the options of `fitcheck learn` become a session in the workspace at hand."""

from __future__ import annotations

import math
from collections.abc import Iterable
from pathlib import Path

from fitcheck.cli.workplace import place_here
from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.learn.needs import WANTED
from fitcheck.learn.session import Outcome, learn_from
from fitcheck.learn.session import rebuild as rebuild_profile
from fitcheck.plain import shown
from fitcheck.stock.files import find_tools
from fitcheck.units import Unit, parse_length
from fitcheck.workspace.designs import find_design
from fitcheck.workspace.names import Shelf, names_on
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.paths import is_file

USUAL_TOOLS = "score-board-metric"


def learn_now(
    name: str,
    readings: Path | None,
    *,
    tools: str | None = None,
    joint: str | None = None,
    setback: str | None = None,
) -> Outcome:
    """Learn from a file, or rebuild when there is none."""
    place = place_here()
    kit = find_tools(tools or USUAL_TOOLS, place.roots)
    if readings is None:
        if tools or joint or setback:
            raise InputError(
                "--rebuild: takes tools, joint and setback from the profile; leave them out"
            )
        return rebuild_profile(name, place, kit)
    return learn_from(
        name,
        readings,
        place,
        kit,
        chosen=tools is not None,
        joint_mm=_length("--joint", joint),
        setback_mm=_length("--setback", setback),
    )


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


def lid_of(design: Path, name: str) -> Path:
    """The file of a design whose lid a stock's new profile can change.

    Raises InputError for another, before anything is learnt; of a stock that is not known yet no
    design can be read, only that there is one.
    """
    path = find_design(design)
    if is_file(path) and name not in names_on(Shelf.STOCK, place_here().roots):
        return path
    found = read_design(path)
    papers = {part.stock.name for part in (found.base, found.lid) if part is not None}
    if found.lid is None or name not in papers:
        raise InputError(
            f"--design: read {shown(str(design))}, which has no lid or no part of {shown(name)}; "
            f"it is made of {', '.join(sorted(papers))}; allowed: a design with a lid and a "
            "part of that stock; name one, or leave it out"
        )
    return path


def _length(option: str, text: str | None) -> float | None:
    if text is None:
        return None
    try:
        found = parse_length(text, Unit.MM)
    except ValueError as error:
        raise InputError(f"{option}: read {shown(text)}: {error}; allowed: 0 to 5 mm") from None
    if not 0 <= found <= 5:
        raise InputError(f"{option}: read {shown(text)}; allowed: 0 to 5 mm; measure it again")
    return found
