"""Papers that are asked for in place of those that a design's file names."""

from __future__ import annotations

from collections.abc import Mapping

from fitcheck.design.desk import Desk
from fitcheck.errors import InputError
from fitcheck.plain import shown
from fitcheck.stock.profile_files import find_stock
from fitcheck.styles.places import PLACES
from fitcheck.workspace.names import EVERY_PART, of_each
from fitcheck.workspace.nearest import did_you_mean


def papers_instead(desk: Desk, stocks: Mapping[str, str]) -> dict[str, str]:
    """The overrides that name a part of this design; the others are problems."""
    parts = [place.name for place in PLACES if place.name in desk.data]
    every = stocks.get(EVERY_PART)
    if every is not None:
        try:
            find_stock(every, desk.roots)
        except InputError as error:
            desk.lines.extend(f"--stock {every}: {text}" for text in error.lines)
        else:
            stocks = of_each(stocks, parts)
    for part, name in stocks.items():
        if part not in (*parts, EVERY_PART):
            desk.lines.append(
                f"--stock {part}={name}: {desk.path} has no such part; read {shown(part)}; "
                f"allowed: {', '.join(parts)}; {did_you_mean(part, parts)}; correct the part"
            )
    return {part: name for part, name in stocks.items() if part in parts}
