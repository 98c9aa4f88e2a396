"""A profile is written as TOML from what was learnt: the same text from the same records."""

import contextlib
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature
from fitcheck.learn.entries import Entry
from fitcheck.learn.evaluate import what_is_possible
from fitcheck.learn.learning import Learnt, Property
from fitcheck.learn.model_printer import NAMES
from fitcheck.learn.model_stock import ACROSS, ALONG, GIVE, A, B, F, Given, T, not_folded
from fitcheck.stock.crease import LARGEST_SHARE
from fitcheck.stock.gives import NOTHING_SAID, Known, log_u_of
from fitcheck.stock.gives import Property as Told
from fitcheck.stock.gives_files import said_tables
from fitcheck.stock.learnt_files import MOST_GIVE_U
from fitcheck.stock.paper import Stock
from fitcheck.stock.tools import BOARD_SCALE_U
from fitcheck.uncertainty import rectangular_u
from fitcheck.workspace.toml import fixed, toml_text

if TYPE_CHECKING:
    from tomlkit.items import Float

UNNAMED = "paper"
"""The kind of a stock of which nobody has said more."""
DIGITS = 5
"""A hundredth of a micrometre: far below any uncertainty, and the same on every machine."""
SHARE_DIGITS = 7
"""Of what is a share of a length."""
HEAD = (
    "# Fitted from readings. Do not edit it: add readings with 'fitcheck learn', or make it again "
    "from\n# its records with 'fitcheck learn {name} --rebuild'.\n"
)


COIN_SOURCE = "coins at the rims of this paper's coupons"


def stock_profile(
    learnt: Learnt,
    old: Stock | None,
    given: Given,
    records: Sequence[str],
    name: str,
    crease: tuple[float, float] | None = None,
) -> str:
    """The text of calibration/stocks/NAME.toml; `crease` is a crease length that was learnt."""
    caliper = _one(learnt, T)
    keys: dict[str, object] = {"kind": old.kind if old else UNNAMED}
    if old is not None and old.grammage_gsm is not None:
        keys["grammage_gsm"] = number(old.grammage_gsm)
    if old is not None and old.colour is not None:
        keys["colour"] = old.colour
    if old is not None and old.printed is not None:
        keys["printed"] = old.printed.value
    keys |= {"caliper_mm": number(caliper.value), "caliper_u_mm": number(caliper.u)}
    keys |= _allowances(learnt, old, caliper.value)
    give = learnt.known(GIVE)
    if give is not None and give.u <= MOST_GIVE_U:
        keys["corner_give"] = {"value": number(give.value), "u": number(give.u)}
    elif old is not None and old.corner_give_u is not None:
        keys["corner_give"] = {"value": number(old.corner_give), "u": number(old.corner_give_u)}
    scale, fence = _one(learnt, B), _one(learnt, F)
    keys["board"] = {
        **_scale(scale.value, scale.u),
        "fence_mm": number(fence.value),
        "fence_u_mm": number(fence.u),
        **_by_scale(learnt),
    }
    if old is not None and old.hygroexpansion is not None:
        strain = old.hygroexpansion
        keys["hygroexpansion"] = {
            "along": number(strain.along, SHARE_DIGITS),
            "across": number(strain.across, SHARE_DIGITS),
        }
    said = NOTHING_SAID if old is None else old.said
    if crease is not None:
        length, u = crease
        told = Told(length, log_u_of(length, u), Known.SAID, COIN_SOURCE)
        said = replace(said, crease=told)
    keys |= {
        key: {k: v if isinstance(v, str) else number(v) for k, v in table.items()}
        for key, table in said_tables(said).items()
    }
    numbers = {key: number(getattr(given, key)) for key in _GIVEN}
    face = {} if given.score_face is None else {"score_face": given.score_face}
    known = {} if given.scale_u == BOARD_SCALE_U else _scale(given.scale, given.scale_u)
    said_before = {key: getattr(given, key) for key in _BELIEVED}
    known |= {key: number(value) for key, value in said_before.items() if value is not None}
    keys["learnt"] = {"tools": given.tools, **numbers, **known, **face}
    return profile_text(name, keys, records)


_BELIEVED = ("allowance_mm", "allowance_u_mm", "give", "give_u")
_GIVEN = ("score_u_mm", "fence_u_mm", "joint_mm", "joint_u_mm", "setback_mm", "tolerance_mm")


def printer_profile(learnt: Learnt, records: Sequence[str], name: str) -> str:
    """The text of calibration/printers/NAME.toml."""
    keys: dict[str, object] = {}
    for key in NAMES:
        found = _one(learnt, key)
        if key.startswith("scale"):
            keys[key] = number(1 + found.value, SHARE_DIGITS)
            keys[f"{key}_u"] = number(found.u, SHARE_DIGITS)
        else:
            keys[key] = number(found.value)
            keys[f"{key.removesuffix('_mm')}_u_mm"] = number(found.u)
    spans = {
        "outside": _span(learnt.entries, (Feature.OUTSIDE_X, Feature.OUTSIDE_Y)),
        "inside": _span(learnt.entries, (Feature.INSIDE_X, Feature.INSIDE_Y)),
        "height": _span(learnt.entries, (Feature.HEIGHT,)),
    }
    covered = {key: [number(end) for end in span] for key, span in spans.items() if span}
    if covered:
        keys["covered_mm"] = covered
    return profile_text(name, keys, records)


def profile_text(name: str, keys: Mapping[str, object], records: Sequence[str]) -> str:
    """The text of a profile: what it is made by, its keys, the records that it was made of."""
    return HEAD.format(name=name) + toml_text({"format": 1, **keys, "records": list(records)})


@contextlib.contextmanager
def sound_profile(name: str) -> Iterator[None]:
    """Where readings become a profile: what is wrong with either says that nothing was written."""
    try:
        yield
    except InputError as error:
        raise InputError(
            [*error.lines, f"{name}: no sound profile comes of these readings; nothing was written"]
        ) from None


def _allowances(learnt: Learnt, old: Stock | None, caliper_mm: float) -> dict[str, object]:
    one, along, across = learnt.known(A), learnt.get(ALONG), learnt.get(ACROSS)
    unread = not_folded(learnt.entries)
    # The profile's reader goes by the caliper as it is written there.
    most = LARGEST_SHARE * float(number(caliper_mm))

    def possible(value: float, u: float) -> tuple[float, float]:
        return what_is_possible(value, u, most)

    if one is not None:
        return _pair("crease_allowance", *possible(one.value, one.u))
    if along is not None and across is not None and not (along.kept and across.kept):
        (along_mm, along_u), (across_mm, across_u) = (
            possible(way.value, way.u) for way in (along, across)
        )
        mean, u = both_ways(
            replace(along, value=along_mm, u=along_u), replace(across, value=across_mm, u=across_u)
        )
        by_grain = _pair("along", along_mm, along_u) | _pair("across", across_mm, across_u)
        if unread is not None:
            by_grain["not_measured"] = unread.split()[-1]
        return _pair("crease_allowance", mean, u) | {"crease_allowance_by_grain": by_grain}
    if old is not None and old.calibrated:
        return _pair(
            "crease_allowance", *possible(old.crease_allowance_mm, old.crease_allowance_u_mm)
        )
    return {}


def both_ways(along: Property, across: Property) -> tuple[float, float]:
    """One allowance for folds either way: half-way, and anywhere between the two (JCGM 100, 4.3.7).

    The uncertainties of the two are taken as fully correlated, which errs on the safe side.
    """
    mean, apart = (along.value + across.value) / 2, abs(along.value - across.value) / 2
    return mean, math.hypot((along.u + across.u) / 2, rectangular_u(apart))


def _by_scale(learnt: Learnt) -> dict[str, object]:
    """How much larger each allowance is where the scale is, of what both were fitted from."""
    found = learnt.fit
    own = [name for name in (A, ALONG, ACROSS) if name in found.names]
    if not any(learnt.known(name) for name in own):
        return {}
    by = {name: found.with_other(name, B) for name in own}
    mean = sum(by.values()) / len(by)
    keys = {"allowance_by_scale_mm": number(mean)}
    if A not in by:
        keys |= {"along_by_scale_mm": number(by[ALONG]), "across_by_scale_mm": number(by[ACROSS])}
    return dict(keys)


def _scale(value: float, u: float) -> dict[str, object]:
    return {"scale": number(value, SHARE_DIGITS), "scale_u": number(u, SHARE_DIGITS)}


def _pair(stem: str, value_mm: float, u_mm: float) -> dict[str, object]:
    return {f"{stem}_mm": number(value_mm), f"{stem}_u_mm": number(u_mm)}


def _one(learnt: Learnt, name: str) -> Property:
    found = learnt.get(name)
    if found is None:
        raise KeyError(name)
    return found


def _span(entries: Iterable[Entry], features: tuple[Feature, ...]) -> tuple[float, float] | None:
    sizes = [entry.nominal_mm for entry in entries if entry.feature in features]
    return (min(sizes), max(sizes)) if sizes else None


def number(value: float, digits: int = DIGITS) -> "Float":
    """A number as profiles have it."""
    return fixed(value, digits)
