"""What `fitcheck record` does: a forecast is frozen, or a box is kept beside the frozen one."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.cli.common_options import free_text, stock_overrides
from fitcheck.cli.odds_options import BOXES, box_count, read_humidity
from fitcheck.cli.record_options import (
    corners_of,
    day_of,
    play_of,
    refuse_by_what_closes,
    refuse_right,
)
from fitcheck.design.model import Design
from fitcheck.errors import InputError
from fitcheck.learn.made import BoxOutcome, BoxRecord, Forecast
from fitcheck.plain import one_line
from fitcheck.units import Unit
from fitcheck.workspace.names import of_each

if TYPE_CHECKING:
    from fitcheck.learn.forecast import FrozenForecast


@dataclass(frozen=True)
class BoxAnswers:
    """What was told of a box, as it was typed."""

    outcome: BoxOutcome
    play: str | None
    contents: str
    fitted: str | None
    split: Sequence[str] | None
    right: str | None
    by: str
    date: str | None
    note: str
    sink: Sequence[str] | None = None
    before: Sequence[str] | None = None


def frozen_now(
    design: Path,
    stock: list[str] | None,
    odds: int | None,
    seed: int | None,
    humidity: str | None,
    by: str | None = None,
) -> str:
    """Freeze the forecast of a design in anybody's hands or in those of one person, and say so."""
    from fitcheck.cli.freezing import freeze
    from fitcheck.design.read import read_design
    from fitcheck.learn.forecast_files import add_forecast
    from fitcheck.outputs.forecast_text import frozen_text
    from fitcheck.workspace.designs import find_design
    from fitcheck.workspace.paths import workplace_here

    boxes = BOXES if odds is None else box_count(odds)
    air, stocks = read_humidity(humidity), stock_overrides(stock)
    found = read_design(find_design(design), stocks=stocks)
    instead = of_each(stocks, [part.place for part in found.parts])
    forecast = freeze(found, boxes, seed or 0, air, instead, by)
    return frozen_text(forecast, add_forecast(workplace_here().root, forecast), design)


def recorded_now(
    design: Path, stock: list[str] | None, against: str | None, answers: BoxAnswers
) -> str:
    """Keep a box that was made, with the forecast that it is scored against, and say so."""
    from fitcheck.cli.freezing import changed_words
    from fitcheck.design.versions import own_file, sizes_of
    from fitcheck.learn.boxes_file import add_box, read_boxes
    from fitcheck.learn.forecast_files import chosen
    from fitcheck.learn.held_plays import check_play
    from fitcheck.learn.unscored import otherwise
    from fitcheck.outputs.record_text import Against, recorded_text
    from fitcheck.workspace.paths import workplace_here

    day, root = day_of(answers.date), workplace_here().root
    contents, by, note = (
        free_text(option, text)
        for option, text in (
            ("--contents", answers.contents), ("--by", answers.by), ("--note", answers.note),
        )
    )  # fmt: skip
    split, stocks = corners_of(answers.split), stock_overrides(stock)
    found, name = design_or_name(design, stocks, root)
    own, sizes = (None, None) if found is None else (own_file(found), sizes_of(found))
    choice = chosen(root, name, day, stocks, against, own, sizes=sizes, by=by)
    kept = choice.kept
    unit = kept.forecast.unit if kept is not None else found.unit if found else Unit.MM
    if found is not None:
        refuse_by_what_closes(found, answers.outcome, answers.play, answers.sink)
    go, nogo = play_of(answers.play, unit, answers.outcome)
    check_play(answers.play, answers.outcome, (go, nogo), kept.forecast if kept else found)
    if (told := kept.forecast if kept is not None else found) is not None:
        refuse_right(answers.right, answers.outcome, answers.fitted, wanted_of(told))
    timed = Timing.of(answers, found)
    if answers.play is None and timed.play_mm is not None:
        go, nogo = timed.play_mm
    note = timed.noted(note)
    changed = changed_words(found, kept) if kept is not None else ()
    box = BoxRecord(
        date=day,
        by=by,
        design=name,
        title=kept.forecast.title if kept is not None else found.title if found else name,
        outcome=answers.outcome,
        go_mm=go,
        nogo_mm=nogo,
        contents=contents,
        forecast=said_of(kept.forecast) if kept is not None else said_now(found, design),
        note=note,
        fitted=None if answers.fitted is None else answers.fitted == "yes",
        split=split,
        right=None if answers.right is None else answers.right == "yes",
        frozen=kept.frozen if kept is not None else None,
    )
    place = add_box(root, box)
    boxes = read_boxes(root)
    if kept is None:
        far = next((one for one in otherwise(boxes) if one.design == name), None)
        return recorded_text(box, place, choice.why, design, far) + timed.text
    so_far = sum(one.frozen == kept.frozen and not one.aside for one in boxes)
    measured = found is not None and bool(by) and found.tools.held_by(by) is not None
    against_ = Against(
        kept,
        so_far,
        choice.others,
        changed,
        said_against(root, boxes),
        for_anybody=measured and kept.forecast.by is None,
    )
    return recorded_text(box, place, against_, design) + timed.text


def said_against(root: Path, boxes: Sequence[BoxRecord]) -> str:
    """What all boxes of a workspace say against the odds; empty where they say nothing."""
    from fitcheck.learn.forecast_files import all_forecasts
    from fitcheck.learn.scored_boxes import beside
    from fitcheck.learn.standing import MOST_BOXES
    from fitcheck.learn.watch import watch
    from fitcheck.outputs.score_text import against_words

    scored, _ = beside(boxes, dict(all_forecasts(root)))
    return against_words(watch(scored[-MOST_BOXES:]))


def turned_now(design: Path, set_aside: str | None, take_back: str | None) -> str:
    """Set a recorded box aside, or take it back, and say so."""
    from fitcheck.cli.record_options import number_of
    from fitcheck.learn.boxes_file import turn_box
    from fitcheck.outputs.record_text import turned_text
    from fitcheck.workspace.paths import workplace_here

    aside = set_aside is not None
    number = number_of(set_aside if set_aside is not None else take_back or "", aside=aside)
    root = workplace_here().root
    _, name = design_or_name(design, {}, root, kept=True)
    return turned_text(turn_box(root, name, number, aside=aside), design)


@dataclass(frozen=True)
class Timing:
    """What a stopwatch told of the box."""

    play_mm: tuple[float, float] | None = None
    """Between which lengths the smaller play lies; None where nothing is told."""
    text: str = ""
    readings: str = ""

    @classmethod
    def of(cls, answers: BoxAnswers, design: Design | None) -> Timing:
        """Of times as they were typed. Raises InputError for those that no such box can have."""
        from fitcheck.cli.sink_options import refuse_pairs, timed_of, told_of

        timed, before = timed_of(answers.sink), timed_of(answers.before, "--before")
        refuse_pairs(timed, before)
        if not timed:
            return cls()
        if answers.outcome in (BoxOutcome.BOUND, BoxOutcome.TIGHT):
            raise InputError(
                f"--sink: read it with --outcome {answers.outcome}, and a lid that has to be "
                "pushed does not sink; allowed: with slid or loose; leave one out"
            )
        if design is None:
            raise InputError(
                "--sink: read it for a design that can no longer be read; allowed: with its file, "
                "as times say nothing without it; leave it out, or bring the file back"
            )
        from fitcheck.outputs.sink_text import sink_text, timed_words

        told, change = told_of(design, timed, before)
        play = None if told is None else (max(0.0, told.smaller.low), told.smaller.high)
        return cls(play, sink_text(timed, told, change), timed_words(timed))

    def noted(self, note: str) -> str:
        """A note with the readings behind it."""
        return "; ".join(
            text for text in (note, self.readings and f"sank: {self.readings}") if text
        )


def design_or_name(
    given: Path, stocks: Mapping[str, str], root: Path, *, kept: bool = False
) -> tuple[Design | None, str]:
    """The design as it is now, and its name; of one that can no longer be read only the name.

    Raises InputError where it cannot be read and nothing of that name was ever frozen, unless
    boxes of it may have been `kept`.
    """
    from fitcheck.design.read import read_design
    from fitcheck.learn.forecast_files import forecast_paths
    from fitcheck.workspace.designs import find_design

    try:
        found = read_design(find_design(given), stocks=stocks)
    except InputError:
        name = one_line(given.stem if given.suffix == ".toml" else given.name)
        if not kept and (stocks or not forecast_paths(root, name)):
            raise
        return None, name
    return found, found.name


def said_of(forecast: FrozenForecast) -> Forecast:
    """What a frozen forecast said, as it stands beside the box."""
    bands = forecast.chances.bands
    bound, loose = bands.binds, bands.loose
    return Forecast(
        forecast.verdict,
        forecast.nominal_play_mm,
        (bound, 1.0 - bound - loose, loose),
        forecast.chances.right,
    )


def said_now(design: Design | None, given: Path) -> Forecast:
    """What is said of a box that had no frozen forecast, after it was made: it scores nothing."""
    if design is None:
        raise InputError(
            f"{given}: cannot be read any more, and no frozen forecast of it is to be scored; "
            "allowed: a design that can be read, or one of its forecasts; bring the file back"
        )
    return forecast_of(design)


def forecast_of(design: Design) -> Forecast:
    """What is predicted of a design now: verdict, play and odds.

    Raises InputError for one that stays open.
    """
    from fitcheck.cli.progress_bar import Bar
    from fitcheck.design.model import LidVerdict
    from fitcheck.fit.check import check
    from fitcheck.odds.closing import as_drawn, closing_of
    from fitcheck.odds.effects import outcomes_of
    from fitcheck.odds.odds import prospect_of

    closing = closing_of(design)
    found = check(design)
    verdict, play_mm = as_drawn(found, closing) or (LidVerdict.BINDS, -math.inf)
    with Bar() as progress:
        prospect = prospect_of(found, BOXES, 0, progress=progress)
    if closing.play not in prospect.outlook.names:
        return Forecast(verdict.value, play_mm, None, 0.0)
    drawn = outcomes_of(prospect, BOXES, 0, closing.play)
    shares = closing.shares(drawn.play_mm)
    bound, loose = shares[LidVerdict.BINDS], shares[LidVerdict.LOOSE]
    chances = bound, 1.0 - bound - loose, loose
    return Forecast(verdict.value, play_mm, chances, float(drawn.right.mean()))


def wanted_of(told: FrozenForecast | Design) -> Collection[str]:
    """The bands that what closes a box is right in, by its forecast or as its design has them."""
    from fitcheck.design.model import Design
    from fitcheck.odds.closing import closing_of

    return closing_of(told).want if isinstance(told, Design) else told.want
