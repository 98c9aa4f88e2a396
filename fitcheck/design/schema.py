"""The JSON Schema of a design file, made from the model that reads it and kept beside it."""

import json
from importlib import resources
from typing import Any

from fitcheck.design.files import DesignFile

SCHEMA_FILE = "design.schema.json"
DIALECT = "https://json-schema.org/draft/2020-12/schema"


def make_schema() -> dict[str, Any]:
    """The schema (draft 2020-12) as the model has it now."""
    return {"$schema": DIALECT, **_tidied(DesignFile.model_json_schema())}


def schema_text() -> str:
    """The schema as the text of its file."""
    return json.dumps(make_schema(), indent=2, ensure_ascii=False) + "\n"


def kept_schema() -> str:
    """The text of the schema file in the package; a test holds it to ``schema_text``."""
    return resources.files("fitcheck.design").joinpath(SCHEMA_FILE).read_text(encoding="utf-8")


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
