"""A proposed design as a commented file that a maker goes on with."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping
from typing import Any

from tomlkit import string

from fitcheck.design.model import Design
from fitcheck.kinds.kind import lays
from fitcheck.plain import joined
from fitcheck.proposals.plans import PLANS
from fitcheck.proposals.wish import Wish
from fitcheck.workspace.size_texts import size_words

COMMENTS = {
    "floor": "from score to score, proposed in the board's grooves",
    "depth": "the walls, proposed in grooves, too",
    "frame": "how broad the frame is, from score to score",
    "inner_wall": "folded down inside, proposed in grooves, too",
    "flap": "glued on the floor inside",
    "rim": "how thick the walls are at the top",
    "lip": "over the front wall",
    "clear": "how much longer the lid is than the floor",
    "short": "how much shorter the lids are than the floor",
    "tuck": "proposed so that the lids are scored in a groove",
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
    "mat.cut": "from edge to edge, as a hand sets it",
    "platform.cut": "its top, from score to score",
    "height": "how high it stands in the base",
    "dividers.cut": "the strips along the width and along the length",
    "pitch": "from one strip to the next",
    "sleeve.ease": "across and up: how much the tube is larger than the tray",
    "sleeve.length": "so that it covers the folded drawer",
    "collar.ease": "smaller than the base, score to score",
    "legs": "from score to cut edge, proposed in grooves, too",
    "shadow-box.inner_wall": "proposed as high as the walls: every score in a groove",
}
CALLED = {"tuck-end": "tuck-end carton", "double-wall": "double-wall tray"}
"""Styles whose names are no things."""
FLUSH = "as large as the base: the two meet"
COLUMN, WIDTH = 30, 100
GRAIN = (
    '# grain = "length"'.ljust(COLUMN)
    + " # or width: the side of its sheet that the paper's fibres run along"
)


def new_text(wish: Wish, data: Mapping[str, Any]) -> str:
    """The file of a proposed design: TOML with a comment beside what one may want to change."""
    lines = [
        *_comment(f"{wish.title}: {_box(wish.style)} for {_things(wish)}."),
        "# Change any length and run `fitcheck check` again; `fitcheck schema` lists every key.",
        *_keys({key: value for key, value in data.items() if not isinstance(value, dict | list)}),
    ]
    for name, table in data.items():
        if isinstance(table, dict):
            lines += ["", f"[{name}]", *_keys(table), *([GRAIN] if name == "base" else [])]
        elif isinstance(table, list):
            for one in table:
                lines += ["", f"[[{name}]]", *_keys(one, _in_each(wish, data))]
    return "\n".join(lines) + "\n"


def empty_text(wish: Wish, data: Mapping[str, Any]) -> str:
    """What is told of compartments that stay empty; nothing where each takes a piece."""
    told = _empty(wish, data)
    if not told:
        return ""
    (item, count), *_ = wish.items
    grid = data["dividers"]
    why = f"strips that cross make {grid['columns']} x {grid['rows']}"
    text = f"{count} x {item}: {told}, as {why}; what follows takes all as filled"
    return "\n".join(textwrap.wrap(text, WIDTH)) + "\n"


def lying_text(wish: Wish, design: Design) -> str:
    """What lies on its side where nobody asked for that, and what has it stand; else nothing."""
    poses = {one.item.name: lays(one.item, one.lay)[0] for one in design.contents}
    lying = [name for name, pose in poses.items() if pose.words.startswith("on its side")]
    if wish.lay is not None or not lying:
        return ""
    many = len(lying) > 1
    text = (
        f"{joined(lying)} {'lie on their sides' if many else 'lies on its side'}: with --lay end "
        f"a new box has {'them' if many else 'it'} stand"
    )
    return "\n".join(textwrap.wrap(text, WIDTH)) + "\n\n"


def _empty(wish: Wish, data: Mapping[str, Any]) -> str:
    if "dividers" not in data:
        return ""
    there = _compartments(data)
    spare = there - sum(count for _, count in wish.items)
    stay = "stays" if spare == 1 else "stay"
    return f"{spare} of the {there} compartments {stay} empty" if spare else ""


def _compartments(data: Mapping[str, Any]) -> int:
    grid = data["dividers"]
    return int(grid["rows"] * grid["columns"])


def _comment(text: str) -> list[str]:
    """A comment in lines that are not too long."""
    return textwrap.wrap(text, WIDTH, initial_indent="# ", subsequent_indent="# ")


def _box(style: str) -> str:
    """A style, and what stands round it."""
    base = PLANS[style].base_style
    if base == style:
        return f"a {CALLED.get(style, style)}"
    return f"a {base} with {style if style.endswith('s') else f'a {style}'}"


def _things(wish: Wish) -> str:
    if wish.room_mm is None:
        things = [item if count == 1 else f"{count} x {item}" for item, count in wish.items]
        return f"{', '.join(things)}; what goes in {wish.sits.words}"
    return f"what takes {size_words(wish.room_mm, wish.unit)} at the most"


def _in_each(wish: Wish, data: Mapping[str, Any]) -> dict[str, str]:
    """What a count is of, where there are compartments."""
    if "dividers" not in data:
        return {}
    told = _empty(wish, data)
    each = f"in each, but {told}" if told else f"in each of {_compartments(data)} compartments"
    return {"count": each}


def _keys(table: Mapping[str, Any], own: Mapping[str, str] | None = None) -> Iterator[str]:
    comments = {**COMMENTS, **(own or {})}
    for key, value in table.items():
        said = string(value).as_string() if key == "title" else _value(value)
        text = f"{key:<6} = {said}"
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
