"""What boxes of a design as it is now say against its odds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from fitcheck.design.model import Design
from fitcheck.design.versions import Ingredient, changed_since, own_file, sizes_of, versions_of
from fitcheck.errors import InputError
from fitcheck.learn.boxes_file import BOXES_FILE, read_boxes
from fitcheck.learn.forecast import FrozenForecast
from fitcheck.learn.forecast_files import KeptForecast, forecast_paths, read_forecast
from fitcheck.learn.scored_boxes import beside
from fitcheck.learn.standing import MOST_BOXES
from fitcheck.learn.watch import Alarm, watch
from fitcheck.plain import folded
from fitcheck.workspace.records import records_folder


@dataclass(frozen=True)
class SpokenAgainst:
    """Boxes that came out otherwise than was said of them."""

    boxes: int
    """Boxes of these sizes, papers and tools with a forecast."""
    right: int
    """How many of them came out right."""
    alarm: Alarm


def spoken_against(design: Design, root: Path, by: str | None = None) -> SpokenAgainst | None:
    """What the records of a workspace say against the odds of a design; None where nothing.

    Only boxes count whose frozen forecast was of the same sizes, papers, tools and hand: what was
    learnt since then makes other odds. Records that cannot be read say nothing here.
    """
    if not (records_folder(root) / BOXES_FILE).is_file():
        return None
    try:
        own = [box for box in read_boxes(root) if box.design == design.name and box.frozen]
        scored, _ = beside(own, dict(_forecasts(root, design.name)) if own else {})
        of_now = Now(design, by)
        alike = [one for one in scored if of_now.is_of(one.forecast)][-MOST_BOXES:]
    except (InputError, OSError):
        return None
    last = watch(alike).last
    if last is None:
        return None
    return SpokenAgainst(len(alike), sum(one.right.happened for one in alike), last)


def _forecasts(root: Path, design: str) -> Iterator[tuple[str, KeptForecast | InputError]]:
    for path in forecast_paths(root, design):
        try:
            yield path.name, read_forecast(path)
        except InputError as error:
            yield path.name, error


class Now:
    """A design as it is now, in some hands."""

    def __init__(self, design: Design, by: str | None) -> None:
        self._by = folded(by or "")
        self._stocks = {part.name: part.stock.name for part in design.parts}
        self._sizes, self._own, self._made_of = (
            sizes_of(design),
            own_file(design),
            versions_of(design),
        )

    def is_of(self, forecast: FrozenForecast) -> bool:
        """Whether a forecast is of the same sizes, papers, tools and hands."""
        if (folded(forecast.by or ""), forecast.stocks) != (self._by, self._stocks):
            return False
        before = forecast.sizes is None and self._own in forecast.made_of
        if forecast.sizes != self._sizes and not before:
            return False
        changed = changed_since(forecast.made_of, self._made_of)
        return all(version.what is Ingredient.DESIGN for version in changed)
