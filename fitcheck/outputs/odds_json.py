"""The odds as plain data for `check --json`; lengths in mm, keys stable within a format number."""

from __future__ import annotations

import json
import math
from typing import Any

from fitcheck.fit.check import Check
from fitcheck.odds.agreement import Agreement
from fitcheck.odds.feel import FeelOdds
from fitcheck.odds.inputs import BASE_HUMIDITY
from fitcheck.odds.intervals import Chance
from fitcheck.odds.result import LidOdds, LineOdds, Odds, Spread
from fitcheck.odds.shares import remainder
from fitcheck.outputs.bench_words import advice_words
from fitcheck.outputs.check_json import check_data

DIGITS = 6


def check_odds_json(check: Check, odds: Odds) -> str:
    """A whole check with its odds and the change that helps most, as indented JSON text."""
    advice = advice_words(odds.advice) if odds.advice is not None else None
    data = check_data(check) | {"odds": odds_data(odds), "advice": advice}
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def odds_data(odds: Odds) -> dict[str, Any]:
    """The value of the key `odds`."""
    data: dict[str, Any] = {"boxes": odds.boxes, "seed": odds.seed}
    if odds.humidity is not None:
        air = odds.humidity
        data["humidity"] = {"low": air.low, "high": air.high}
        if air.made != BASE_HUMIDITY:
            data["humidity"]["made"] = air.made
    if odds.lid is not None:
        data |= _lid(odds.lid)
    if odds.feel is not None:
        data["feel"] = _feel(odds.feel)
    if odds.mates:
        data["mates"] = [
            {
                "mover": one.mate.mover,
                "holder": one.mate.holder,
                "goes": _number(one.goes.share),
                "goes_bounds": _bounds(one.goes),
                "play_mm": {way: _spread(spread) for way, spread in one.plays.items()},
                "smaller_play_mm": _spread(one.smaller),
            }
            | ({} if one.steady is None else {"steady": _chance(one.steady)})
            for one in odds.mates
        ]
    if odds.above is not None:
        data["room_above"] = {
            "what": odds.above.mate.called,
            "fits": _number(odds.above.fits.share),
            "fits_bounds": _bounds(odds.above.fits),
            "room_mm": _spread(odds.above.room),
        }
    data["contents"] = [
        {
            "item": one.content.item.name,
            "count": one.content.count,
            "fits": _number(one.fits.share),
            "fits_bounds": _bounds(one.fits),
            "slack_mm": _spread(one.slack),
        }
        for one in odds.contents
    ]
    data["good"] = {"share": _number(odds.good.share), "bounds": _bounds(odds.good)}
    if odds.at_ease is not None:
        data["at_ease"] = {
            "share": _number(odds.at_ease.share),
            "bounds": _bounds(odds.at_ease),
        }
    if odds.assumed is not None:
        data["assumed_hand"] = {
            "share": _number(odds.assumed.share),
            "bounds": _bounds(odds.assumed),
        }
    if odds.rounded is not None:
        data["rounded"] = {"share": _number(odds.rounded.share), "bounds": _bounds(odds.rounded)}
    data["about"] = odds.about
    data["shares"] = [{"input": one.name, "share": _number(one.share)} for one in odds.shares]
    # of the variance, what no input has by itself: which side and axis happens to bind
    data["shares_rest"] = _number(remainder(odds.shares)) if odds.shares else None
    data["gains"] = [
        {
            "what": gain.what,
            "share": _number(gain.share),
            "before": _number(gain.before.share),
            "after": _number(gain.after.share),
            "boxes": gain.after.boxes,
        }
        for gain in odds.gains
    ]
    data["agreement"] = _agreement(odds.agreement)
    data["findings"] = [
        {"code": f.code, "severity": str(f.severity), "piece": f.piece, "message": f.message}
        for f in odds.findings
    ]
    return data


def _lid(lid: LidOdds) -> dict[str, Any]:
    steady = {**_chance(lid.steady), "below_mm": _number(lid.shifty_mm)}
    return {
        "lid": {str(verdict): _number(chance.share) for verdict, chance in lid.chances.items()},
        "lid_bounds": {str(verdict): _bounds(chance) for verdict, chance in lid.chances.items()},
        "rim_clear": _chance(lid.rim_clear),
        "steady": steady,
        "play_mm": {str(axis): _spread(spread) for axis, spread in lid.plays.items()},
        "smaller_play_mm": _spread(lid.smaller),
    } | _line(lid.line)


def _feel(feel: FeelOdds) -> dict[str, Any]:
    """How often the lid feels how."""
    data: dict[str, Any] = {str(touch): _number(c.share) for touch, c in feel.chances.items()}
    span = feel.sink_s
    sinks = None if span is None else {"low": _number(span.low), "high": _number(span.high)}
    data = {"lid": data, "sink_s": sinks}
    if feel.wanted is not None:
        data["wanted"] = _chance(feel.wanted)
    return data


def _line(line: LineOdds | None) -> dict[str, Any]:
    """What shows between lid and base, where they are to meet."""
    if line is None:
        return {}
    return {"line_closed": _chance(line.closed), "gap_mm": _spread(line.gap)}


def _spread(spread: Spread) -> dict[str, float | None]:
    return {
        "low": _number(spread.interval.low),
        "high": _number(spread.interval.high),
        "low_error": _number(spread.interval.low_error),
        "high_error": _number(spread.interval.high_error),
        "mean": _number(spread.mean_mm),
        "u": _number(spread.u_mm),
    }


def _agreement(agreement: Agreement) -> dict[str, Any]:
    return {
        "trusted": agreement.trusted,
        "linear_enough": agreement.linear_enough,
        "laws": [
            {
                "quantity": one.name,
                "linear_mean_mm": _number(one.linear_mean_mm),
                "linear_u_mm": _number(one.linear_u_mm),
                "sampled_mean_mm": _number(one.sampled_mean_mm),
                "sampled_u_mm": _number(one.sampled_u_mm),
            }
            for one in agreement.laws
        ],
        "folded_again": {
            "boxes": agreement.boxes,
            "verdicts_alike": agreement.verdicts_alike,
            "unfoldable": agreement.unfoldable,
            "close_calls": {
                "boxes": agreement.close.boxes,
                "verdicts_alike": agreement.close.verdicts_alike,
                "strays": agreement.close.strays,
            },
            "departures": [
                {
                    "quantity": one.name,
                    "bias_mm": _number(one.bias_mm),
                    "rms_mm": _number(one.rms_mm),
                    "worst_mm": _number(one.worst_mm),
                }
                for one in agreement.refolded
            ],
        },
    }


def _chance(chance: Chance) -> dict[str, Any]:
    return {"share": _number(chance.share), "bounds": _bounds(chance)}


def _bounds(chance: Chance) -> list[float | None]:
    return [_number(end) for end in chance.bounds]


def _number(value: float) -> float | None:
    return round(value, DIGITS) + 0.0 if math.isfinite(value) else None
