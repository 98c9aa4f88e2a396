"""How the options of `fitcheck learn` become a session in the workspace at hand."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from fitcheck.cli.workplace import place_here
from fitcheck.errors import InputError
from fitcheck.learn.needs import WANTED
from fitcheck.learn.results import Outcome
from fitcheck.learn.session import learn_from
from fitcheck.learn.session import rebuild as rebuild_profile
from fitcheck.stock.files import find_tools
from fitcheck.units import Unit, parse_length
from fitcheck.workspace.nearest import did_you_mean

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
                f"--want: read '{text}'; allowed: PROPERTY=U with one of {', '.join(WANTED)}; "
                f"{did_you_mean(name.strip(), WANTED)}"
            )
        try:
            wanted[name.strip()] = float(u)
        except ValueError:
            wanted[name.strip()] = 0.0
        if not wanted[name.strip()] > 0:
            raise InputError(f"--want: read '{text}'; allowed: a standard uncertainty above 0")
    return wanted


def _length(option: str, text: str | None) -> float | None:
    if text is None:
        return None
    try:
        found = parse_length(text, Unit.MM)
    except ValueError as error:
        raise InputError(f"{option}: read '{text}': {error}; allowed: 0 to 5 mm") from None
    if not 0 <= found <= 5:
        raise InputError(f"{option}: read '{text}'; allowed: 0 to 5 mm; measure it again")
    return found
