"""Designs drawn from the project's own JSON Schema, most of them nearly right.

A small reader of the keywords that the schema uses (hypothesis-jsonschema is no longer kept up);
lengths and names, which a schema can only call texts, are mostly drawn as people write them.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import tomlkit
from hypothesis import strategies as st

from fitcheck.design.schema import kept_schema
from fitcheck.styles.places import PLACES
from tests.fuzz.shipped import ITEMS, STOCKS, TOOLS

SCHEMA: dict[str, Any] = json.loads(kept_schema())
USUAL = (0.1, 0.5, 3, 8, 12.5, 18, 25, 40, 70, 96.5, 120, 200, 640, 2000)
WRITTEN = ("3/32", "1/16", "3 1/4 in", "4-1/2", "7/8 in", "2000 mm", "12pt", "9.2 cm", "0.1 mm")
ODD: st.SearchStrategy[Any] = st.one_of(
    st.text(max_size=12),
    st.floats(),
    st.integers(-(10**6), 10**6),
    st.booleans(),
    st.lists(st.integers(0, 9), max_size=3),
    st.sampled_from(["1/0", "-1", "1e400", "nan mm", "٣ mm", "level", "", "1" * 30, "=1+1"]),
)
LENGTHS = st.one_of(
    st.sampled_from(USUAL),
    st.floats(0.05, 2000.0).map(lambda mm: round(mm, 3)),
    st.sampled_from(WRITTEN),
)


def _mm(low: float, high: float) -> st.SearchStrategy[Any]:
    """Lengths as a number or as a text with its unit, some of them at the ends."""
    some = st.one_of(st.sampled_from((low, high)), st.floats(low, high).map(lambda v: round(v, 3)))
    return st.one_of(some.map(lambda v: f"{v} mm"), some.map(lambda v: f"{v / 25.4:.4f} in"))


LIKELY: dict[str, st.SearchStrategy[Any]] = {
    "floor": _mm(25.0, 300.0),
    "inside": _mm(25.0, 300.0),
    "opening": _mm(25.0, 300.0),
    "slack": _mm(0.1, 20.0),
    "oversize": _mm(-1.0, 8.0),
    "same_sheet": _mm(0.0, 4.0),
    "depth": _mm(4.0, 90.0),
    "inner_wall": st.one_of(st.just("level"), _mm(4.0, 60.0)),
    "frame": _mm(3.0, 22.0),
    "flap": _mm(2.0, 22.0),
    "tab_setback": _mm(0.0, 1.0),
    "joint": _mm(0.0, 0.4),
    "ease": _mm(0.2, 4.0),
    "length": _mm(30.0, 200.0),
    "seam": _mm(4.0, 20.0),
    "notch": _mm(3.0, 15.0),
    "height": _mm(10.0, 60.0),
    "rise": _mm(2.0, 20.0),
    "rim": st.one_of(st.just("snug"), _mm(0.5, 8.0)),
    "lip": _mm(3.0, 30.0),
    "clear": _mm(0.0, 3.0),
    "window": _mm(10.0, 90.0),
    "play": _mm(0.1, 4.0),
    "slot": _mm(0.2, 3.0),
    "tight": _mm(0.0, 0.5),
    "snug": _mm(0.0, 0.5),
    "loose": _mm(0.6, 3.0),
}
"""Lengths that each key has in boxes that can be made."""
ANY_LENGTH_ONE_IN = 25
NAMES = {"stock": STOCKS, "tools": TOOLS, "item": ITEMS}
SIZES = ("floor", "inside", "opening", "oversize", "same_sheet", "slack")
PARTS = tuple(place.name for place in PLACES)
ODD_ONE_IN = 60
"""So many values are drawn for one that is anything at all."""


def designs() -> st.SearchStrategy[bytes]:
    """Design files."""
    drawn = st.tuples(_value(SCHEMA, ""), st.integers(0, 30))
    return drawn.map(lambda both: _settled(*both)).map(_written)


def _value(schema: dict[str, Any], key: str) -> st.SearchStrategy[Any]:
    right = _right(schema, key)
    return st.integers(0, ODD_ONE_IN).flatmap(lambda n: ODD if n == ODD_ONE_IN else right)


def _right(schema: dict[str, Any], key: str) -> st.SearchStrategy[Any]:
    if "$ref" in schema:
        return _right(SCHEMA["$defs"][schema["$ref"].rsplit("/", 1)[1]], key)
    if key in NAMES and schema.get("type") == "string":
        return st.sampled_from(NAMES[key])
    if "const" in schema or "enum" in schema:
        return st.sampled_from(schema.get("enum") or [schema["const"]])
    if "anyOf" in schema or "oneOf" in schema:
        every = schema.get("anyOf") or schema["oneOf"]
        some = [one for one in every if one.get("type") != "null"]
        return st.one_of([_right(one, key) for one in some])
    return _of_type(schema, key)


def _of_type(schema: dict[str, Any], key: str) -> st.SearchStrategy[Any]:
    kind = schema.get("type")
    if isinstance(kind, list):
        kind = "length"  # the schema's way to say a text or a number
    made: dict[str, Callable[[], st.SearchStrategy[Any]]] = {
        "object": lambda: _table(schema),
        "array": lambda: _list(schema, key),
        "integer": lambda: _count(schema),
        "length": lambda: _length(key),
    }
    return made.get(str(kind), lambda: st.text(min_size=1, max_size=20))()


def _length(key: str) -> st.SearchStrategy[Any]:
    likely = LIKELY.get(key, LENGTHS)
    return st.integers(0, ANY_LENGTH_ONE_IN).flatmap(
        lambda n: LENGTHS if n == ANY_LENGTH_ONE_IN else likely
    )


def _list(schema: dict[str, Any], key: str) -> st.SearchStrategy[Any]:
    most = min(schema.get("maxItems", 6), 6)
    return st.lists(_value(schema["items"], key), min_size=schema.get("minItems", 0), max_size=most)


def _count(schema: dict[str, Any]) -> st.SearchStrategy[Any]:
    top = schema.get("maximum", 100)
    return st.one_of(st.integers(1, min(6, top)), st.integers(schema.get("minimum", 0), top))


def _table(schema: dict[str, Any]) -> st.SearchStrategy[dict[str, Any]]:
    needed = set(schema.get("required", ()))
    every = {key: _value(one, key) for key, one in schema["properties"].items()}
    return st.fixed_dictionaries(
        {key: one for key, one in every.items() if key in needed},
        optional={key: one for key, one in every.items() if key not in needed},
    )


def _settled(design: Any, which: int) -> Any:
    """Mostly leave each part one size and the keys of its style, as rules between keys ask.

    Beside the base one part is left at the most, or two for one draw in six.
    """
    if not isinstance(design, dict):
        return design
    others = [key for key, own in design.items() if key in PARTS[1:] and isinstance(own, dict)]
    kept = (
        {others[(which + k) % len(others)] for k in range(1 + (which % 6 == 0))} if others else ()
    )
    for part in others:
        if part not in kept:
            del design[part]
    for part in PARTS:
        table = design.get(part)
        if not isinstance(table, dict) or table.get("style") not in ("tray", "shadow-box"):
            continue
        given = [key for key in SIZES if key in table]
        for key in given[1:]:
            del table[key]
        if not given:
            table["floor"] = ["80 mm", "110.5 mm"]
        if table.get("style") == "tray":
            for key in ("opening", "frame", "inner_wall", "flap"):
                table.pop(key, None)
        elif table.get("style") == "shadow-box":
            table.setdefault("frame", "3/8 in")
            table.setdefault("flap", "8 mm")
        if part == "lid" and "same_sheet" not in table:
            table.setdefault("depth", "15 mm")
    return design


def _written(design: Any) -> bytes:
    if not isinstance(design, dict):
        return str(design).encode("utf-8", "replace")
    try:
        return tomlkit.dumps(design).encode("utf-8", "replace")
    except (ValueError, TypeError):  # what TOML cannot hold is not asked here
        return json.dumps(design).encode("utf-8")
