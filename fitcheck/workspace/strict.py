"""Files are held against their models strictly, and every problem becomes one readable line.

A line names the file, the dotted key (members of a list counted from 1), what is wrong, what was
read, what is allowed, the nearest known key or name, and what to do.
"""

from collections.abc import Mapping
from typing import Annotated, Any, Literal, TypeVar

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationError,
)
from pydantic_core import ErrorDetails

from fitcheck.errors import InputError
from fitcheck.plain import MOST_LINES, one_line
from fitcheck.workspace.explain import Loc, Owners, explained, key_of, line
from fitcheck.workspace.lengths import problem
from fitcheck.workspace.nearest import nearest_names

STRICT = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False, defer_build=True)
"""The configuration of every file model; one that only others are made of is never built."""

FORMAT = 1
"""The version of every file's form."""


def _format_number(value: Any) -> Any:
    if value != FORMAT or not isinstance(value, int) or isinstance(value, bool):
        text = "is a form of file this program does not know"
        raise problem(text, f"the number {FORMAT}", f"write format = {FORMAT}")
    return value


FormatNumber = Annotated[Literal[1], BeforeValidator(_format_number)]

Model = TypeVar("Model", bound=BaseModel)


def _seen(text: str) -> str:
    line = one_line(text)
    if not line:
        raise problem("has no letters that are seen", "a text of one line", "write one")
    return line


Title = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(_seen)]
"""A text that is shown: a single line, whatever the file has in it."""
Words = Annotated[str, Field(min_length=1, max_length=2000), AfterValidator(_seen)]
"""The same, as long as a source of values may be."""


def validate(
    model: type[Model],
    data: object,
    file: object,
    *,
    prefix: Loc = (),
    context: Mapping[str, Any] | None = None,
    owners: Owners = lambda _: (),
) -> Model:
    """``data`` as a ``model``; raises ``InputError`` with a line for each problem.

    ``owners`` says which tables know a key that the model does not.
    """
    try:
        return model.model_validate(data, context=dict(context or {}))
    except ValidationError as error:
        every = _said_once(error.errors(include_url=False))
        problems = [
            explained(details, model, file, prefix, owners) for details in every[:MOST_LINES]
        ]
        rest = (
            line(file, key_of((*prefix, *more["loc"])), "wrong too") for more in every[MOST_LINES:]
        )
        raise InputError([*problems, *rest]) from None


def _said_once(every: list[ErrorDetails]) -> list[ErrorDetails]:
    """Problems without keys that are missing as they are misspelt beside: that is told there."""
    unknown: dict[Loc, list[str]] = {}
    for details in every:
        if details["type"] == "extra_forbidden":
            *table, key = details["loc"]
            unknown.setdefault(tuple(table), []).append(str(key))

    def misspelt(details: ErrorDetails) -> bool:
        if details["type"] != "missing":
            return False
        *table, key = details["loc"]
        return bool(nearest_names(str(key), unknown.get(tuple(table), ())))

    return [details for details in every if not misspelt(details)]


def salvage(
    model: type[Model], data: object, *, context: Mapping[str, Any] | None = None
) -> Model | None:
    """What can still be read of broken ``data`` once its broken keys are left out, or None.

    It lets later checks run on the healthy rest, so that all problems are reported together.
    """
    try:
        return model.model_validate(data, context=dict(context or {}))
    except ValidationError as error:
        rest = _copied(data)
        for details in error.errors(include_url=False):
            _drop(rest, details["loc"])
    try:
        return model.model_validate(rest, context=dict(context or {}))
    except ValidationError:
        return None


def _copied(data: object) -> object:
    """Its tables and lists anew; what stands in them may be anything."""
    if isinstance(data, dict):
        return {key: _copied(value) for key, value in data.items()}
    return [_copied(value) for value in data] if isinstance(data, list) else data


def _drop(data: Any, loc: Loc) -> None:
    for part in loc[:-1]:
        if isinstance(data, dict) and isinstance(data.get(part), dict):
            data = data[part]
        else:
            break
    if isinstance(data, dict):
        for part in loc:
            data.pop(part, None)
