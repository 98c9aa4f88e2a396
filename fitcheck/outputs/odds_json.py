"""The odds as plain data for `check --json`; lengths in mm, keys stable within a format number."""

from __future__ import annotations

import json
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
from fitcheck.outputs.json_lengths import rounded


def check_odds_json(check: Check, odds: Odds) -> str:
    """A whole check with its odds and the change that helps most, as indented JSON text."""
    advice = advice_words(odds.advice) if odds.advice is not None else None
    data = check_data(check, odds.uprights) | {"odds": odds_data(odds), "advice": advice}
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
                "goes": rounded(one.goes.share),
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
            "fits": rounded(odds.above.fits.share),
            "fits_bounds": _bounds(odds.above.fits),
            "room_mm": _spread(odds.above.room),
        }
    data["contents"] = [
        {
            "item": one.content.item.name,
            "count": one.content.count,
            "fits": rounded(one.fits.share),
            "fits_bounds": _bounds(one.fits),
            "slack_mm": _spread(one.slack),
        }
        for one in odds.contents
    ]
    data["good"] = _chance(odds.good)
    if odds.at_ease is not None:
        data["at_ease"] = _chance(odds.at_ease)
    if odds.assumed is not None:
        data["assumed_hand"] = _chance(odds.assumed)
    if odds.rounded is not None:
        data["rounded"] = _chance(odds.rounded)
    data["about"] = odds.about
    data["shares"] = [{"input": one.name, "share": rounded(one.share)} for one in odds.shares]
    # of the variance, what no input has by itself: which side and axis happens to bind
    data["shares_rest"] = rounded(remainder(odds.shares)) if odds.shares else None
    data["gains"] = [
        {
            "what": gain.what,
            "share": rounded(gain.share),
            "before": rounded(gain.before.share),
            "after": rounded(gain.after.share),
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
    steady = {**_chance(lid.steady), "below_mm": rounded(lid.shifty_mm)}
    return {
        "lid": {str(verdict): rounded(chance.share) for verdict, chance in lid.chances.items()},
        "lid_bounds": {str(verdict): _bounds(chance) for verdict, chance in lid.chances.items()},
        "rim_clear": _chance(lid.rim_clear),
        "steady": steady,
        "play_mm": {str(axis): _spread(spread) for axis, spread in lid.plays.items()},
        "smaller_play_mm": _spread(lid.smaller),
    } | _line(lid.line)


def _feel(feel: FeelOdds) -> dict[str, Any]:
    """How often the lid feels how."""
    data: dict[str, Any] = {str(touch): rounded(c.share) for touch, c in feel.chances.items()}
    span = feel.sink_s
    sinks = None if span is None else {"low": rounded(span.low), "high": rounded(span.high)}
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
        "low": rounded(spread.interval.low),
        "high": rounded(spread.interval.high),
        "low_error": rounded(spread.interval.low_error),
        "high_error": rounded(spread.interval.high_error),
        "mean": rounded(spread.mean_mm),
        "u": rounded(spread.u_mm),
    }


def _agreement(agreement: Agreement) -> dict[str, Any]:
    return {
        "trusted": agreement.trusted,
        "linear_enough": agreement.linear_enough,
        "laws": [
            {
                "quantity": one.name,
                "linear_mean_mm": rounded(one.linear_mean_mm),
                "linear_u_mm": rounded(one.linear_u_mm),
                "sampled_mean_mm": rounded(one.sampled_mean_mm),
                "sampled_u_mm": rounded(one.sampled_u_mm),
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
                    "bias_mm": rounded(one.bias_mm),
                    "rms_mm": rounded(one.rms_mm),
                    "worst_mm": rounded(one.worst_mm),
                }
                for one in agreement.refolded
            ],
        },
    }


def _chance(chance: Chance) -> dict[str, Any]:
    if not chance.known:
        return {"share": None, "bounds": None}
    return {"share": rounded(chance.share), "bounds": _bounds(chance)}


def _bounds(chance: Chance) -> list[float | None]:
    return [rounded(end) for end in chance.bounds]
