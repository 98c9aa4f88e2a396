"""A proposed design as a commented file that a maker goes on with."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tomlkit import string

from fitcheck.proposals.plans import PLANS
from fitcheck.proposals.steps import Steps
from fitcheck.proposals.wish import Wish

COMMENTS = {
    "floor": "from score to score: in the board's grooves",
    "depth": "the walls, in the board's grooves, too",
    "frame": "how broad the frame is, from score to score",
    "inner_wall": "folded down inside, in the grooves, too",
    "flap": "glued on the floor inside",
    "rim": "how thick the walls are at the top",
    "lip": "over the front wall",
    "clear": "how much longer the lid is than the floor",
    "tuck": "so that the side walls are scored in a groove",
    "seam": "the flap that is glued",
    "notch": "for the thumb",
    "rise": "how much higher it is cut than the base is deep",
    "columns": "compartments along the width",
    "rows": "compartments along the length",
    "slot": "a hair wider than the strip that it takes",
    "window": "cut out of the middle for what stands in it",
    "item": "`fitcheck list items` names what is known",
    "lay": "flat, edge, end or any",
    "oversize": "wider and longer than the base, as a hand can set it",
    "ease": "smaller than the base's inside: so a hand can cut it",
    "height": "how high it stands in the base",
    "sleeve.ease": "across and up: how much the tube is larger than the tray",
    "collar.ease": "smaller than the base, score to score",
    "platform.height": "its legs are scored in grooves",
    "shadow-box.inner_wall": "as high as the walls: every score is in a groove",
}
FLUSH = "as large as the base: the two meet"
IN_EACH = "in each compartment"
COLUMN = 30


def new_text(wish: Wish, data: Mapping[str, Any]) -> str:
    """The file of a proposed design: TOML with a comment beside what one may want to change."""
    lines = [
        f"# {wish.title}: {_box(wish.style)} for {_things(wish)}.",
        "# Change any length and run `fitcheck check` again; `fitcheck schema` lists every key.",
        *_keys({key: value for key, value in data.items() if not isinstance(value, dict | list)}),
    ]
    for name, table in data.items():
        if isinstance(table, dict):
            lines += ["", f"[{name}]", *_keys(table)]
        elif isinstance(table, list):
            for one in table:
                divided = {"count": IN_EACH} if "dividers" in data else {}
                lines += ["", f"[[{name}]]", *_keys(one, divided)]
    return "\n".join(lines) + "\n"


def _box(style: str) -> str:
    """A style, and what stands round it."""
    base = PLANS[style].base_style
    return f"a {style}" if base == style else f"a {base} with {_part(style)}"


def _part(style: str) -> str:
    return style if style.endswith("s") else f"a {style}"


def _things(wish: Wish) -> str:
    if wish.room_mm is None:
        things = ", ".join(f"{count} x {item}" for item, count in wish.items)
        return f"{things}, so that it {wish.sits.words}"
    hand = Steps.of_unit(wish.unit)
    sides = " x ".join(hand.text(side) for side in wish.room_mm)
    return f"what takes {sides} {wish.unit} at the most"


def _keys(table: Mapping[str, Any], own: Mapping[str, str] | None = None) -> Iterator[str]:
    comments = {**COMMENTS, **(own or {})}
    for key, value in table.items():
        text = f"{key:<6} = {_value(value)}"
        comment = comments.get(f"{table.get('style')}.{key}", comments.get(key))
        if (key, value) == ("oversize", "0"):
            comment = FLUSH
        yield f"{text:<{COLUMN}} # {comment}" if comment else text


def _value(value: Any) -> str:
    if isinstance(value, list):
        return f"[{', '.join(_value(one) for one in value)}]"
    text = str(value)
    number = text.removeprefix("-").replace(".", "", 1)
    return text if number.isdecimal() else string(text).as_string()
