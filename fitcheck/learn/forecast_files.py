"""The frozen forecasts of a workspace: kept as they are frozen, found for the box that was made."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from fitcheck.design.versions import Version
from fitcheck.errors import InputError
from fitcheck.learn.forecast import FrozenForecast, forecast_from, forecast_text
from fitcheck.learn.made import Frozen
from fitcheck.plain import LONGEST_SHOWN, folded, shown
from fitcheck.workspace.atomic import write_whole
from fitcheck.workspace.digests import digest_of_bytes
from fitcheck.workspace.filenames import safe_stem
from fitcheck.workspace.locking import locked
from fitcheck.workspace.names import of_each
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.reading import Most, read_bounded
from fitcheck.workspace.records import (
    FORECAST,
    FORECAST_ENDING,
    check_place,
    clear_leftovers,
    is_forecast_name,
    next_record,
    records_folder,
    records_of,
)

APART = "none"
"""What is given for a forecast where a box is to be kept apart."""


@dataclass(frozen=True)
class KeptForecast:
    """A forecast and the file that keeps it."""

    forecast: FrozenForecast
    frozen: Frozen

    @property
    def name(self) -> str:
        """What it is called: its file's name without the ending."""
        return self.frozen.name.removesuffix(FORECAST_ENDING)


def add_forecast(root: Path, forecast: FrozenForecast) -> Path:
    """Keep a forecast in a file of its own; those before it stay as they are.

    Raises InputError when it cannot be written.
    """
    folder = records_folder(root)
    with locked(folder):
        clear_leftovers(folder)
        path = next_record(root, FORECAST, safe_stem(forecast.design), FORECAST_ENDING)
        write_whole(path, forecast_text(forecast))
    return path


def read_forecast(path: Path) -> KeptForecast:
    """One forecast. Raises InputError for one that is spoilt, FileNotFoundError for none."""
    check_place(path)
    raw = read_bounded(path, Most.DESIGN)
    return KeptForecast(forecast_from(raw, path), Frozen(path.name, digest_of_bytes(raw)))


def forecast_paths(root: Path, design: str) -> tuple[Path, ...]:
    """The files of a design's forecasts, the oldest first."""
    return records_of(root, FORECAST, safe_stem(design), FORECAST_ENDING)


def all_forecasts(root: Path) -> Iterator[tuple[str, KeptForecast | InputError]]:
    """Every forecast of a workspace by its file's name; one that cannot be read says why."""
    for path in sorted(records_folder(root).glob(f"{FORECAST}-*{FORECAST_ENDING}")):
        try:
            yield path.name, read_forecast(path)
        except InputError as error:
            yield path.name, error
        except FileNotFoundError:  # a link to nothing
            yield path.name, InputError(f"{path}: is not there; bring the file back")


@dataclass(frozen=True)
class Choice:
    """The forecast that a box is scored against, and those of its design that it is not."""

    kept: KeptForecast | None
    others: tuple[str, ...] = ()
    """Other forecasts of the design that were frozen in time, the newest first."""
    why: str = ""
    """Why there is none."""


def chosen(
    root: Path,
    design: str,
    day: str,
    stocks: Mapping[str, str],
    against: str | None,
    as_now: Version | None = None,
    *,
    sizes: str | None = None,
    by: str = "",
) -> Choice:
    """The newest forecast of a design that was frozen by that day and goes with the papers told.

    Only of those that were made of ``sizes`` (a digest; None where they cannot be read any more): a
    box of other sizes was never forecast. Those in the hands of ``by`` come first.

    Of those the newest that was made of the design's own file as it is ``as_now``, if there is one:
    a maker who tried another size and went back makes the box that lies there.
    With none told these are the design's own, as they were when it was frozen. ``against`` names
    another forecast, or ``none``. Raises InputError for one that there is not, that was frozen
    after the day, or that is spoilt, and where all forecasts are of papers that were told.
    """
    if against == APART:
        return Choice(None, why="it was to be kept apart (--against none)")
    paths = forecast_paths(root, design)
    if against is not None:
        return _named(paths, design, day, against)
    kept = [one for one in map(read_forecast, paths) if one.forecast.design == design]
    if not kept:
        return Choice(None, why=f"no forecast of {design} had been frozen")
    early = [one for one in kept if one.forecast.frozen <= day]
    if not early:
        return Choice(None, why=f"the first forecast of {design} was frozen after {day}")
    alike = [
        one
        for one in early
        if (told := of_each(stocks, one.forecast.stocks)).items() <= one.forecast.stocks.items()
        and one.forecast.instead.keys() <= told.keys()
    ]
    if not alike and not stocks:
        options = " ".join(f"--stock {p}={n}" for p, n in early[-1].forecast.instead.items())
        raise InputError(
            f"--stock: read nothing, and {early[-1].name} was frozen with {options}, like all of "
            f"{design}; allowed: the papers that the box was made of; say them again, or keep the "
            "box apart: --against none; nothing was written"
        )
    if not alike:
        papers = ", ".join(f"{part or 'paper'} of {name}" for part, name in stocks.items())
        return Choice(None, why=f"no forecast of {design} had been frozen with the {papers}")
    best = _of_these(alike, design, sizes, by, as_now)
    others = tuple(one.name for one in reversed(early) if one is not best)
    return Choice(None, why=best) if isinstance(best, str) else Choice(best, others)


def _of_these(
    alike: Sequence[KeptForecast], design: str, sizes: str | None, by: str, as_now: Version | None
) -> KeptForecast | str:
    """Of the forecasts that go with the papers the one for a box of these sizes; or why none."""
    told = [one for one in alike if sizes is None or one.forecast.sizes in (None, sizes)]
    if not told:
        last = alike[-1].name
        return (
            f"{design} had other sizes when {last} was frozen, and a box of these was never "
            f"forecast (if it was made before they changed: --against {last})"
        )
    person = folded(by)
    own = [one for one in told if one.forecast.by and folded(one.forecast.by) == person]
    held = own or [one for one in told if one.forecast.by is None]
    if not held:
        names = ", ".join(dict.fromkeys(shown(one.forecast.by or "") for one in told))
        return f"all forecasts of {design} are of the hands of {names} (told with --by)"
    same = [one for one in held if as_now is not None and as_now in one.forecast.made_of]
    return (same or held)[-1]


def _named(paths: tuple[Path, ...], design: str, day: str, against: str) -> Choice:
    name = against.removesuffix(FORECAST_ENDING) + FORECAST_ENDING
    known = {path.name: path for path in paths}
    if not is_forecast_name(name) or name not in known:
        near = did_you_mean(against[:LONGEST_SHOWN], [path.stem for path in paths])
        raise InputError(
            f"--against: read {shown(against)}; allowed: a frozen forecast of {design}, or "
            f"{APART}; {near}; see fitcheck list records"
        )
    kept = read_forecast(known[name])
    if kept.forecast.design != design:
        raise InputError(
            f"--against: read {shown(against)}, a forecast of {shown(kept.forecast.design)}; "
            f"allowed: one of {design}, or {APART}; choose another"
        )
    if kept.forecast.frozen > day:
        raise InputError(
            f"--against: read {shown(against)}, frozen on {kept.forecast.frozen}, after the box "
            f"was made ({day}); allowed: a forecast from before it, or {APART}; a hindsight is no "
            "score"
        )
    return Choice(kept)
