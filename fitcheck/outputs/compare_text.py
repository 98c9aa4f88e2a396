"""Two designs side by side as text and as JSON."""

from __future__ import annotations

import itertools
import json
from collections.abc import Iterator, Sequence

from fitcheck.odds.result import Odds
from fitcheck.outputs.bench_words import LABEL, WIDTH, from_to, give_or_take, row, wrapped
from fitcheck.outputs.compared import Compared, Row, rows_of

WHAT = 22
"""How wide a column of names is at the least."""
GAP = 2


def compare_text(found: Compared, names: tuple[str, str]) -> str:
    """What changed from the first to the second, and what it did."""
    lines = [wrapped(_headline(found, names), "")]
    if found.odds is not None and _alike(found.odds):
        lines.append(
            wrapped("the boxes that were counted do not tell the two apart: count more", "note")
        )
    if not found.drawn:
        lines += ["", "  nothing differs in what the two say"]
    else:
        lines += ["", *_table("what changed", found.drawn, names)]
    if found.found:
        lines += ["", *_table("what it did", found.found, names)]
    return "\n".join(lines) + "\n"


def _headline(found: Compared, names: tuple[str, str]) -> str:
    one, other = names
    if found.odds is None:
        fit = [
            f"{name}: {'everything fits' if check.fits else 'something does not fit'}"
            for name, check in zip(names, found.checks, strict=True)
        ]
        return f"{'; '.join(fit)}, as drawn"
    before, after = (own.good for own in found.odds)
    sure = give_or_take(after) or give_or_take(before)
    return f"from {one} to {other}: {from_to(before, after)} come out right{sure}"


def _alike(odds: tuple[Odds, Odds]) -> bool:
    """Whether one count is within what the other may be off by."""
    one, other = (own.good for own in odds)
    low, high = one.bounds
    return one.known and other.known and one.share != other.share and low <= other.share <= high


def _table(title: str, rows: Sequence[Row], names: tuple[str, str]) -> Iterator[str]:
    """Rows in four columns, what they are of named once; a row too long for that on two lines."""
    what = max(WHAT, *(len(one.what) for one in rows)) + GAP
    first = max(len(names[0]), *(len(one.both[0].text) for one in rows)) + GAP
    whole = LABEL + what + first + max(len(one.both[1].text) for one in rows)
    yield title
    if whole + GAP > WIDTH:
        for of, own in itertools.groupby(rows, key=lambda one: one.of):
            for one, label in zip(own, itertools.chain([of], itertools.repeat("")), strict=False):
                yield row(label, f"{one.what}:")
                yield row("", f"  {one.both[0].text} -> {one.both[1].text}")
        return
    yield row("", f"{'':<{what}}{names[0]:<{first}}{names[1]}".rstrip())
    for of, own in itertools.groupby(rows, key=lambda one: one.of):
        for one, label in zip(own, itertools.chain([of], itertools.repeat("")), strict=False):
            texts = f"{one.what:<{what}}{one.both[0].text:<{first}}{one.both[1].text}"
            yield _labelled(label, texts)


def _labelled(label: str, texts: str) -> str:
    """A row behind a label that may be longer than its column."""
    if len(label) < LABEL:
        return row(label, texts)
    return f"{row(label, '').rstrip()}\n{row('', texts)}"


def compare_json(found: Compared, names: tuple[str, str]) -> str:
    """The same as data: lengths in mm, chances from 0 to 1."""
    right = (
        None
        if found.odds is None
        else [own.good.share if own.good.known else None for own in found.odds]
    )
    data = {
        "designs": list(names),
        "fits": [check.fits for check in found.checks],
        "right": right,
        "changed": rows_of(found.drawn),
        "results": rows_of(found.found),
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
