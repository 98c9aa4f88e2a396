"""A proposed design as a commented file that a maker goes on with."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tomlkit import string

from fitcheck.fit.proposal import Wish

COMMENTS = {
    "floor": "from score to score: in the board's grooves",
    "depth": "the walls, in the board's grooves, too",
    "frame": "how broad the frame is, from score to score",
    "inner_wall": "as high as the walls: every score is in a groove",
    "flap": "glued on the floor inside",
    "lip": "over the front wall",
    "oversize": "wider and longer than the base, as a hand can set it",
    "ease": "across and up: how much the tube is larger than the tray",
    "item": "`fitcheck list items` names what is known",
    "lay": "flat, edge, end or any",
}
COLUMN = 30


def new_text(wish: Wish, data: Mapping[str, Any]) -> str:
    """The file of a proposed design: TOML with a comment beside what one may want to change."""
    things = ", ".join(f"{count} x {item}" for item, count in wish.items)
    lines = [
        f"# {wish.title}: a {wish.style} for {things}, to sit so that it {_sits(wish)}.",
        "# Change any length and run `fitcheck check` again; `fitcheck schema` lists every key.",
        *_keys({key: value for key, value in data.items() if not isinstance(value, dict | list)}),
    ]
    for name, table in data.items():
        if isinstance(table, dict):
            lines += ["", f"[{name}]", *_keys(table)]
        elif isinstance(table, list):
            for one in table:
                lines += ["", f"[[{name}]]", *_keys(one)]
    return "\n".join(lines) + "\n"


def _sits(wish: Wish) -> str:
    return "is snug" if wish.sits == "snug" else "slides"


def _keys(table: Mapping[str, Any]) -> Iterator[str]:
    for key, value in table.items():
        text = f"{key:<6} = {_value(value)}"
        comment = COMMENTS.get(key)
        yield f"{text:<{COLUMN}} # {comment}" if comment else text


def _value(value: Any) -> str:
    if isinstance(value, list):
        return f"[{', '.join(_value(one) for one in value)}]"
    if isinstance(value, int):
        return str(value)
    text = str(value)
    number = text.removesuffix(" mm")
    return number if number != text else string(text).as_string()
