"""The JSON Schema of a design file, made from the model that reads it and kept beside it."""

import json
from collections.abc import Sequence
from functools import cache
from importlib import resources
from typing import Annotated, Any, Union

from pydantic import Field

from fitcheck.design.files import design_file, part_model
from fitcheck.styles import STYLES, AnyStyle
from fitcheck.styles.places import PLACES, Place

SCHEMA_FILE = "design.schema.json"
DIALECT = "https://json-schema.org/draft/2020-12/schema"


def make_schema(styles: Sequence[AnyStyle] | None = None) -> dict[str, Any]:
    """The schema (draft 2020-12) of designs in some styles; in ours where none are given."""
    known = STYLES.own if styles is None else styles
    tables = {place.name: _of_styles(place, known) for place in PLACES}
    return {"$schema": DIALECT, **_tidied(design_file(tables).model_json_schema())}


def _of_styles(place: Place, styles: Sequence[AnyStyle]) -> Any:
    """A table at a place, in any style that may stand there, told apart by the style's name."""
    models = [part_model(place, style) for style in styles if place.name in style.places]
    if len(models) == 1:
        return models[0]
    return Annotated[Union[tuple(models)], Field(discriminator="style")]  # noqa: UP007


def schema_text(styles: Sequence[AnyStyle] | None = None) -> str:
    """The schema as the text of its file."""
    return json.dumps(make_schema(styles), indent=2, ensure_ascii=False) + "\n"


def kept_schema() -> str:
    """The text of the schema file in the package; a test holds it to ``schema_text``."""
    return resources.files("fitcheck.design").joinpath(SCHEMA_FILE).read_text(encoding="utf-8")


def whole_schema() -> str:
    """The text of the schema with the styles of other packages that can be used."""
    return kept_schema() if STYLES.alone else schema_text(tuple(STYLES.sound()))


@cache
def length_keys() -> frozenset[str]:
    """The keys of a design file whose values are lengths, alone or in pairs, in every table."""
    schema: dict[str, Any] = json.loads(whole_schema())
    tables = [schema, *schema["$defs"].values()]
    return frozenset(
        key
        for table in tables
        for key, found in table.get("properties", {}).items()
        if _is_length(found)
    )


def _is_length(found: dict[str, Any]) -> bool:
    said = found.get("type")
    if said == "array":
        return _is_length(found.get("items", {}))
    kinds = found.get("anyOf")
    return all(map(_is_length, kinds)) if kinds else isinstance(said, list)


def _tidied(schema: Any) -> Any:
    """Without nulls, which TOML cannot write, and without titles that repeat the key."""
    if isinstance(schema, list):
        return [_tidied(part) for part in schema]
    if not isinstance(schema, dict):
        return schema
    tidy: dict[str, Any] = {}
    for key, value in schema.items():
        if key == "anyOf":
            kept = [_tidied(part) for part in value if part != {"type": "null"}]
            tidy.update(kept[0] if len(kept) == 1 else {"anyOf": kept})
        elif key == "properties":
            tidy[key] = {name: _tidied(part) for name, part in value.items()}
        elif not (key == "title" or (key == "default" and value is None)):
            tidy[key] = _tidied(value)
    return tidy
