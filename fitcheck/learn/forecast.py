"""A forecast as it is frozen before the box is made: a plain file that shows if it was changed."""

from __future__ import annotations

import datetime
import itertools
import json
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, Field

from fitcheck.design.model import NEVER_LOOSE_MM
from fitcheck.design.versions import Ingredient, Version
from fitcheck.errors import InputError
from fitcheck.learn.play_law import PlayLaw
from fitcheck.units import Unit
from fitcheck.workspace.digests import digest_of_bytes
from fitcheck.workspace.lengths import problem
from fitcheck.workspace.strict import STRICT, FormatNumber, Title, Words, validate

SEAL = "sha256"
"""The key of the digest of everything else in the file."""
Share = Annotated[float, Field(ge=0.0, le=1.0)]
Sha256 = Annotated[str, Field(pattern="^[0-9a-f]{64}$")]
Name = Annotated[str, Field(max_length=300)]
MOST_MM = 10_000.0
Length = Annotated[float, Field(ge=-MOST_MM, le=MOST_MM)]
Levels = Annotated[tuple[Share, ...], Field(strict=False, min_length=2, max_length=500)]
Lengths = Annotated[tuple[Length, ...], Field(strict=False, min_length=2, max_length=500)]
Band = Literal["binds", "tight", "snug", "slides", "loose"]


def _day(text: str) -> str:
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError:
        raise problem("is no day", "a day as YYYY-MM-DD", "bring the file back") from None


class VersionRow(BaseModel):
    """One thing that the box is made of, as it was when the forecast was frozen."""

    model_config = STRICT
    what: Annotated[Ingredient, Field(strict=False)]
    name: Name
    sha256: Sha256


class Bands(BaseModel):
    """Where the verdict of what closes it changes."""

    model_config = STRICT
    tight_mm: Annotated[float, Field(ge=0.0, le=MOST_MM)]
    snug_mm: Annotated[float, Field(gt=0.0, le=MOST_MM)]
    loose_mm: Annotated[float, Field(gt=0.0, le=MOST_MM)]


class BandShares(BaseModel):
    """The shares of boxes whose play lies in each band."""

    model_config = STRICT
    binds: Share
    tight: Share
    snug: Share
    slides: Share
    loose: Share

    def of(self, band: str) -> float:
        """The share of one band."""
        return float(getattr(self, band))


class Chances(BaseModel):
    """The shares of boxes."""

    model_config = STRICT
    right: Share
    """All that makes a box right."""
    lid_right: Share
    """The same, whatever the contents do."""
    fits: Share | None
    """All contents go in; null for a design without any."""
    bands: BandShares
    """Of each band of the lid's play."""

    @property
    def slid(self) -> float:
        """The lid goes on by itself and is not loose."""
        return self.bands.snug + self.bands.slides


class PlayTable(BaseModel):
    """How the smaller play comes out, mm."""

    model_config = STRICT
    mean: Length
    u: Annotated[float, Field(ge=0.0, le=MOST_MM)]
    levels: Levels
    values: Lengths


class ContentRow(BaseModel):
    """How often one line of contents goes in."""

    model_config = STRICT
    item: Title
    count: int
    fits: Share


class InputRow(BaseModel):
    """One thing that may be off, and what it does: what explains outcomes afterwards."""

    model_config = STRICT
    name: Name
    source: Title
    of: Name
    """The paper, item or tool profile that it belongs to."""
    in_groove: bool
    u: Annotated[float, Field(gt=1e-9, le=MOST_MM)]
    """Its standard uncertainty, mm (of humidity: % relative humidity)."""
    play_mm: Length
    """How much the mean play rises with the input by ``u``."""
    fits: Length
    """How much the share of boxes that take their contents rises with it."""
    fits_spread: Length
    """How much that share rises with the logarithm of ``u``."""
    least: Length | None = None
    """How far below what was said it can lie, 0 or less, in the units of ``u``; null where nothing
    says."""
    most: Length | None = None
    """How far above."""


class FrozenForecast(BaseModel):
    """What the program forecast of a design's boxes, before they were made."""

    model_config = STRICT
    format: FormatNumber = 1
    design: Name
    title: Title
    unit: Annotated[Unit, Field(strict=False)]
    frozen: Annotated[str, AfterValidator(_day)]
    """The day."""
    program: Title
    """The version of fitcheck."""
    boxes: Annotated[int, Field(ge=1, le=10_000_000)]
    """How many virtual boxes were counted."""
    seed: Annotated[int, Field(ge=0)]
    humidity: Annotated[tuple[Length, Length], Field(strict=False)] | None = None
    versions: list[VersionRow]
    sizes: Sha256 | None = None
    """A digest of the sizes of its parts; None in files from before it was kept."""
    by: Words | None = None
    """In whose hands, one of the people whose hands were measured; None for anybody's."""
    people: Annotated[list[Words], Field(max_length=200)] = Field(default_factory=list)
    """Whose hands had been measured apart."""
    stocks: dict[str, Title]
    """The paper of each part."""
    instead: dict[str, Title] = Field(default_factory=dict)
    """Those of them that were told in place of the design's own."""
    tools: Title
    bands: Bands
    want: Annotated[list[Band], Field(min_length=1, max_length=5)]
    closes: Title = "lid"
    """What closes the box, of which verdict, bands and play are."""
    verdict: Title
    """Of the drawing, without any error."""
    nominal_play_mm: Length
    chances: Chances
    contents: Annotated[list[ContentRow], Field(max_length=200)]
    play_mm: PlayTable
    inputs: Annotated[list[InputRow], Field(max_length=5000)]

    @property
    def turned(self) -> bool:
        """Whether it closes about its own crease: never loose, and no plug measures it."""
        return self.bands.loose_mm >= NEVER_LOOSE_MM

    @property
    def law(self) -> PlayLaw:
        """The law of the smaller play of what closes it."""
        table = self.play_mm
        return PlayLaw(table.mean, table.u, table.levels, table.values)

    @property
    def made_of(self) -> tuple[Version, ...]:
        """What the box is made of, as it was."""
        return tuple(Version(row.what, row.name, row.sha256) for row in self.versions)

    def chance(self, share: float) -> float:
        """A share as a chance: never surer than so many virtual boxes can say."""
        least = 0.5 / self.boxes
        return min(max(share, least), 1.0 - least)


def forecast_text(forecast: FrozenForecast) -> str:
    """The file of a forecast: its seal last, so that a change of anything else is seen."""
    said = forecast.model_dump(mode="json")
    return _text(said | {SEAL: _seal(said)})


def forecast_from(raw: bytes, place: object) -> FrozenForecast:
    """The forecast in a file's bytes; raises InputError for one that is spoilt or was changed."""
    cure = "bring the file back as it was, or keep the box apart: --against none"
    try:
        said = json.loads(raw.decode("utf-8"))
    except (ValueError, RecursionError) as error:
        raise InputError(
            f"{place}: is not JSON ({str(error)[:80]}); allowed: a forecast as 'fitcheck record "
            f"DESIGN --forecast' writes it; {cure}"
        ) from None
    seal = said.pop(SEAL, None) if isinstance(said, dict) else None
    forecast = validate(FrozenForecast, said, place)
    if seal != _seal(said):
        raise InputError(
            f"{place}: was changed after it was frozen, so it is no forecast any more; {cure}"
        )
    law = forecast.play_mm
    rising = all(a <= b for row in (law.levels, law.values) for a, b in itertools.pairwise(row))
    if not rising or len(law.levels) != len(law.values):
        raise InputError(f"{place}: play_mm: levels and values do not rise together; {cure}")
    return forecast


def _seal(said: dict[str, Any]) -> str:
    return digest_of_bytes(_text(said).encode())


def _text(said: dict[str, Any]) -> str:
    return json.dumps(said, indent=1, ensure_ascii=False) + "\n"
