"""Designs drawn from the project's own JSON Schema, most of them nearly right.

A small reader of the keywords that the schema uses (hypothesis-jsonschema is no longer kept up);
lengths and names, which a schema can only call texts, are mostly drawn as people write them.
"""

from __future__ import annotations

import json
from typing import Any

import tomlkit
from hypothesis import strategies as st

from fitcheck.design.schema import kept_schema
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
NAMES = {"stock": STOCKS, "tools": TOOLS, "item": ITEMS}
SIZES = ("floor", "inside", "opening", "oversize", "same_sheet", "slack")
ODD_ONE_IN = 60
"""So many values are drawn for one that is anything at all."""


def designs() -> st.SearchStrategy[bytes]:
    """Design files."""
    return _value(SCHEMA, "").map(_settled).map(_written)


def _value(schema: dict[str, Any], key: str) -> st.SearchStrategy[Any]:
    right = _right(schema, key)
    return st.integers(0, ODD_ONE_IN).flatmap(lambda n: ODD if n == ODD_ONE_IN else right)


def _right(schema: dict[str, Any], key: str) -> st.SearchStrategy[Any]:
    if "$ref" in schema:
        return _right(SCHEMA["$defs"][schema["$ref"].rsplit("/", 1)[1]], key)
    if key in NAMES:
        return st.sampled_from(NAMES[key])
    if "const" in schema:
        return st.just(schema["const"])
    if "enum" in schema:
        return st.sampled_from(schema["enum"])
    if "anyOf" in schema:
        some = [one for one in schema["anyOf"] if one.get("type") != "null"]
        return st.one_of([_right(one, key) for one in some])
    kind = schema.get("type")
    if isinstance(kind, list):
        return LENGTHS
    if kind == "object":
        return _table(schema)
    if kind == "array":
        most = min(schema.get("maxItems", 6), 6)
        return st.lists(
            _value(schema["items"], ""), min_size=schema.get("minItems", 0), max_size=most
        )
    if kind == "integer":
        top = schema.get("maximum", 100)
        return st.one_of(st.integers(1, min(6, top)), st.integers(schema.get("minimum", 0), top))
    return st.text(min_size=1, max_size=20)


def _table(schema: dict[str, Any]) -> st.SearchStrategy[dict[str, Any]]:
    needed = set(schema.get("required", ()))
    every = {key: _value(one, key) for key, one in schema["properties"].items()}
    return st.fixed_dictionaries(
        {key: one for key, one in every.items() if key in needed},
        optional={key: one for key, one in every.items() if key not in needed},
    )


def _settled(design: Any) -> Any:
    """Mostly leave each part one size and the keys of its style, as rules between keys ask."""
    if not isinstance(design, dict):
        return design
    for part in ("base", "lid"):
        table = design.get(part)
        if not isinstance(table, dict):
            continue
        given = [key for key in SIZES if key in table]
        for key in given[1:]:
            del table[key]
        if not given:
            table["floor"] = [80, 110.5]
        if table.get("style") == "tray":
            for key in ("frame", "inner_wall", "flap"):
                table.pop(key, None)
        elif table.get("style") == "shadow-box":
            table.setdefault("frame", "3/8 in")
            table.setdefault("flap", 8)
        if part == "lid" and "same_sheet" not in table:
            table.setdefault("depth", 15)
    return design


def _written(design: Any) -> bytes:
    if not isinstance(design, dict):
        return str(design).encode("utf-8", "replace")
    try:
        return tomlkit.dumps(design).encode("utf-8", "replace")
    except (ValueError, TypeError):  # what TOML cannot hold is not asked here
        return json.dumps(design).encode("utf-8")
