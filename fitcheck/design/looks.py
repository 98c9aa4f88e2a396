"""How a part says that its paper looks."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from fitcheck.stock.paper import Stock
from fitcheck.workspace.colours import Print, as_colour


def looking(stock: Stock, table: dict[str, Any]) -> Stock:
    """A paper as a part says that it looks; what is wrong with that is told elsewhere."""
    colour, printed = table.get("colour"), table.get("printed")
    try:
        if colour is not None:
            stock = replace(stock, colour=as_colour(colour))
        return stock if printed is None else replace(stock, printed=Print(printed))
    except ValueError:
        return stock
