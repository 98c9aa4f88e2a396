"""What is forecast of a design's boxes, as it is frozen: the odds handed on as plain values."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

import fitcheck
from fitcheck.errors import InputError
from fitcheck.plain import folded

if TYPE_CHECKING:
    from collections.abc import Mapping

    from fitcheck.design.model import Design
    from fitcheck.learn.forecast import FrozenForecast, InputRow
    from fitcheck.learn.forecast_files import KeptForecast
    from fitcheck.odds.effects import Effect
    from fitcheck.odds.inputs import Humidity, Input


def freeze(
    design: Design,
    boxes: int,
    seed: int,
    humidity: Humidity | None = None,
    instead: Mapping[str, str] | None = None,
    by: str | None = None,
) -> FrozenForecast:
    """The forecast of a design as it is now, some of its papers told in place of its own.

    ``by`` is the person in whose hands; None for anybody's.
    Raises InputError for one that cannot be forecast.
    """
    from fitcheck.cli.odds_options import in_hands_of
    from fitcheck.cli.progress_bar import Bar
    from fitcheck.design.versions import sizes_of, versions_of
    from fitcheck.fit.check import check
    from fitcheck.learn import forecast as file
    from fitcheck.learn.play_law import PlayLaw
    from fitcheck.odds.closing import as_drawn, closing_of
    from fitcheck.odds.effects import outcomes_of
    from fitcheck.odds.odds import odds_from, prospect_of

    closing = closing_of(design)
    held = in_hands_of(design, by)
    checked = check(held)
    with Bar() as bar:
        prospect = prospect_of(checked, boxes, seed, humidity, progress=bar)
        odds = odds_from(prospect, boxes, seed, folded_again=0, progress=bar)
        drawn_as = as_drawn(checked, closing)
        if drawn_as is None or closing.play not in prospect.outlook.names:
            raise InputError(
                f"{design.path or design.name}: its {closing.called} cannot go where it belongs, "
                f"whatever the hands do; allowed: a design whose {closing.called} does; nothing is "
                "forecast: see fitcheck check"
            )
        drawn = outcomes_of(prospect, boxes, seed, closing.play)
    (verdict, play_mm), bands = drawn_as, closing.bands
    law, lid_right = PlayLaw.of(drawn.play_mm), float(drawn.lid_right.mean())
    followed = bool(odds.contents)
    # contents for which no arrangement was found are not forecast: the lid alone is
    return file.FrozenForecast(
        design=design.name,
        title=design.title,
        unit=design.unit,
        frozen=datetime.date.today().isoformat(),
        program=fitcheck.__version__,
        boxes=boxes,
        seed=seed,
        humidity=None if humidity is None else (humidity.low, humidity.high),
        versions=[
            file.VersionRow(what=one.what, name=one.name, sha256=one.sha256)
            for one in versions_of(design)
        ],
        sizes=sizes_of(design),
        by=None if by is None else _spelt(by, design),
        people=[name for name, _ in design.tools.people],
        stocks=dict(_stocks(design)),
        instead=dict(instead or {}),
        tools=design.tools.name,
        bands=file.Bands(tight_mm=bands.tight_mm, snug_mm=bands.snug_mm, loose_mm=bands.loose_mm),
        closes=closing.called,
        want=sorted(one.value for one in closing.want),
        verdict=verdict.value,
        nominal_play_mm=play_mm,
        chances=file.Chances(
            right=odds.good.share if followed or not design.contents else lid_right,
            lid_right=lid_right,
            fits=float(drawn.fits.mean()) if followed and drawn.fits is not None else None,
            bands=file.BandShares(
                **{one.value: share for one, share in closing.shares(drawn.play_mm).items()}
            ),
        ),
        contents=[
            file.ContentRow(item=c.content.item.name, count=c.content.count, fits=c.fits.share)
            for c in odds.contents
        ],
        play_mm=file.PlayTable(
            mean=law.mean_mm, u=law.u_mm, levels=law.levels, values=law.values_mm
        ),
        inputs=[_row(effect, held) for effect in drawn.effects if effect.cause.variate.u > 0.0],
    )


def _spelt(person: str, design: Design) -> str:
    """A person's name as the tools profile spells it."""
    return next(name for name, _ in design.tools.people if folded(name) == folded(person))


def _stocks(design: Design) -> Mapping[str, str]:
    return {part.name: part.stock.name for part in design.parts}


def _row(effect: Effect, design: Design) -> InputRow:
    from fitcheck.learn.forecast import InputRow

    cause = effect.cause
    of = cause.item or design.tools.name
    least, most = _limits(cause, design)
    return InputRow(
        name=cause.label,
        source=cause.source.value,
        of="the air" if cause.source.value == "humidity" else of,
        in_groove=cause.in_groove,
        u=cause.variate.u,
        play_mm=effect.play_mm,
        fits=effect.fits,
        fits_spread=effect.fits_spread,
        least=least,
        most=most,
    )


def _limits(cause: Input, design: Design) -> tuple[float | None, float | None]:
    """How far a caliper, crease or joint can be off to either side, mm; None where unlimited.

    No sheet and no glue is thinner than nothing, and a crease adds from nothing to twice the sheet.
    """
    from fitcheck.odds.inputs import Source
    from fitcheck.stock.crease import LARGEST_SHARE

    if cause.source is Source.JOINT:
        return -design.joint_mm, None
    stock = next((part.stock for part in design.parts if part.stock.name == cause.item), None)
    if stock is None or cause.source not in (Source.CALIPER, Source.CREASE):
        return None, None
    if cause.source is Source.CALIPER:
        return -stock.caliper_mm, None
    added, _ = stock.allowance(cause.along)
    return -added, max(LARGEST_SHARE * stock.caliper_mm - added, 0.0)


def changed_words(design: Design | None, kept: KeptForecast) -> tuple[str, ...]:
    """What of a frozen forecast is another one now, in words."""
    from fitcheck.design.versions import changed_since, versions_of

    if design is None:
        return ("the design's own file, which cannot be read any more",)
    changed = changed_since(kept.forecast.made_of, versions_of(design))
    return tuple(dict.fromkeys(version.words for version in changed))
