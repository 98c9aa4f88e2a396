"""A profile is written as TOML from what was learnt: the same text from the same records."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from fitcheck.learn.bench_readings import Feature
from fitcheck.learn.entries import Entry
from fitcheck.learn.evaluate import what_is_possible
from fitcheck.learn.learning import Learnt, Property
from fitcheck.learn.model_printer import NAMES
from fitcheck.learn.model_stock import ACROSS, ALONG, GIVE, A, B, F, Given, T
from fitcheck.stock.crease import LARGEST_SHARE
from fitcheck.stock.learnt_files import MOST_GIVE_U
from fitcheck.stock.paper import Stock
from fitcheck.uncertainty import rectangular_u

UNNAMED = "paper"
"""The kind of a stock of which nobody has said more."""
DIGITS = 5
"""A hundredth of a micrometre: far below any uncertainty, and the same on every machine."""
HEAD = (
    "# Fitted from readings. Do not edit it: add readings with 'fitcheck learn', or make it again "
    "from\n# its records with 'fitcheck learn {name} --rebuild'.\n"
)


def stock_profile(
    learnt: Learnt, old: Stock | None, given: Given, records: Sequence[str], name: str
) -> str:
    """The text of calibration/stocks/NAME.toml."""
    caliper = _one(learnt, T)
    lines = ["format = 1", f"kind = {text(old.kind if old else UNNAMED)}"]
    if old is not None and old.grammage_gsm is not None:
        lines.append(f"grammage_gsm = {number(old.grammage_gsm)}")
    lines += [f"caliper_mm = {number(caliper.value)}", f"caliper_u_mm = {number(caliper.u)}"]
    lines += _allowance_lines(learnt, old, caliper.value)
    give = learnt.known(GIVE)
    if give is not None and give.u <= MOST_GIVE_U:
        lines.append(f"corner_give = {_table(value=give.value, u=give.u)}")
    elif old is not None and old.corner_give_u is not None:
        lines.append(f"corner_give = {_table(value=old.corner_give, u=old.corner_give_u)}")
    scale, fence = _one(learnt, B), _one(learnt, F)
    board = _table(scale=scale.value, scale_u=scale.u, fence_mm=fence.value, fence_u_mm=fence.u)
    lines.append(f"board = {board}")
    if old is not None and old.hygroexpansion is not None:
        strain = old.hygroexpansion
        table = _table(along=strain.along, across=strain.across, digits=7)
        lines.append(f"hygroexpansion = {table}")
    numbers = {key: getattr(given, key) for key in _GIVEN}
    lines.append(f"learnt = {{tools = {text(given.tools)}, {_table(**numbers)[1:]}")
    return _whole(name, lines, records)


_GIVEN = ("score_u_mm", "fence_u_mm", "joint_mm", "joint_u_mm", "setback_mm", "tolerance_mm")


def printer_profile(learnt: Learnt, records: Sequence[str], name: str) -> str:
    """The text of calibration/printers/NAME.toml."""
    lines = ["format = 1"]
    for key in NAMES:
        found = _one(learnt, key)
        if key.startswith("scale"):
            lines += [f"{key} = {number(1 + found.value, 7)}", f"{key}_u = {number(found.u, 7)}"]
        else:
            stem = key.removesuffix("_mm")
            lines += [f"{key} = {number(found.value)}", f"{stem}_u_mm = {number(found.u)}"]
    spans = {
        "outside": _span(learnt.entries, (Feature.OUTSIDE_X, Feature.OUTSIDE_Y)),
        "inside": _span(learnt.entries, (Feature.INSIDE_X, Feature.INSIDE_Y)),
        "height": _span(learnt.entries, (Feature.HEIGHT,)),
    }
    covered = ", ".join(
        f"{key} = [{number(span[0])}, {number(span[1])}]" for key, span in spans.items() if span
    )
    if covered:
        lines.append(f"covered_mm = {{{covered}}}")
    return _whole(name, lines, records)


def _allowance_lines(learnt: Learnt, old: Stock | None, caliper_mm: float) -> list[str]:
    one, along, across = learnt.known(A), learnt.known(ALONG), learnt.known(ACROSS)
    # The profile's reader goes by the caliper as it is written there.
    most = LARGEST_SHARE * float(number(caliper_mm))

    def possible(value: float, u: float) -> tuple[float, float]:
        return what_is_possible(value, u, most)

    if one is not None:
        return _pair(*possible(one.value, one.u))
    if along is not None and across is not None:
        (along_mm, along_u), (across_mm, across_u) = (
            possible(way.value, way.u) for way in (along, across)
        )
        table = _table(
            along_mm=along_mm,
            along_u_mm=along_u,
            across_mm=across_mm,
            across_u_mm=across_u,
        )
        mean, u = both_ways(
            replace(along, value=along_mm, u=along_u), replace(across, value=across_mm, u=across_u)
        )
        return [*_pair(mean, u), f"crease_allowance_by_grain = {table}"]
    if old is not None and old.calibrated:
        return _pair(*possible(old.crease_allowance_mm, old.crease_allowance_u_mm))
    return []


def both_ways(along: Property, across: Property) -> tuple[float, float]:
    """One allowance for folds either way: half-way, and anywhere between the two (JCGM 100, 4.3.7).

    The uncertainties of the two are taken as fully correlated, which errs on the safe side.
    """
    mean, apart = (along.value + across.value) / 2, abs(along.value - across.value) / 2
    return mean, math.hypot((along.u + across.u) / 2, rectangular_u(apart))


def _pair(allowance_mm: float, u_mm: float) -> list[str]:
    return [
        f"crease_allowance_mm = {number(allowance_mm)}",
        f"crease_allowance_u_mm = {number(u_mm)}",
    ]


def _one(learnt: Learnt, name: str) -> Property:
    found = learnt.get(name)
    if found is None:
        raise KeyError(name)
    return found


def _span(entries: Iterable[Entry], features: tuple[Feature, ...]) -> tuple[float, float] | None:
    sizes = [entry.nominal_mm for entry in entries if entry.feature in features]
    return (min(sizes), max(sizes)) if sizes else None


def _whole(name: str, lines: Sequence[str], records: Sequence[str]) -> str:
    listed = ", ".join(text(record) for record in records)
    return HEAD.format(name=name) + "\n".join([*lines, f"records = [{listed}]"]) + "\n"


def number(value: float, digits: int = DIGITS) -> str:
    """A number as the profile has it, at least one decimal.

    >>> number(0.2), number(-0.0000001), number(270.0)
    ('0.2', '0.0', '270.0')
    """
    shown = f"{value:.{digits}f}".rstrip("0")
    shown = shown + "0" if shown.endswith(".") else shown
    return shown.removeprefix("-") if float(shown) == 0 else shown


def text(words: str) -> str:
    """A TOML basic string.

    >>> print(text('12" board'))
    "12\\" board"
    """
    escaped = "".join(_ESCAPES.get(sign, sign) for sign in words)
    return f'"{escaped}"'


_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def _table(*, digits: int = DIGITS, **values: float) -> str:
    return "{" + ", ".join(f"{key} = {number(v, digits)}" for key, v in values.items()) + "}"
