"""A pydantic validation error becomes words that the person at the bench can use."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, get_args

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from fitcheck.plain import plain_key, shown
from fitcheck.workspace.lengths import PROBLEM
from fitcheck.workspace.nearest import nearest_names

Loc = tuple[int | str, ...]
Words = tuple[str, ...]

_TYPES = {
    "string_type": "a text in quotes",
    "string_unicode": "a text whose signs can all be written",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "finite_number": "a finite number",
    "bool_type": "true or false",
    "list_type": "a list",
    "dict_type": "a table",
}


def key_of(loc: Iterable[int | str]) -> str:
    """A place in a file as a dotted key.

    >>> key_of(("content", 1, "item"))
    'content[2].item'
    """
    text = ""
    for part in loc:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            text += f".{plain_key(part)}" if text else plain_key(part)
    return text


def line(file: object, key: str, *parts: str) -> str:
    """One problem as one line; empty parts are left out."""
    return f"{file}: {key}: " + "; ".join(part for part in parts if part)


Owners = Callable[[str], Iterable[str]]
"""The tables of a file that know a key."""


def explained(
    details: ErrorDetails, model: type[BaseModel], file: object, prefix: Loc, owners: Owners
) -> str:
    """One validation error of ``model`` as one line; an unknown key may be known elsewhere."""
    loc = details["loc"]
    key = key_of((*prefix, *loc))
    fault = _Fault(details, model, loc, key, f"read {shown(details['input'])}", owners)
    return line(file, key or "the file", *_words(fault))


@dataclass(frozen=True)
class _Fault:
    """One error and what is known around it."""

    details: ErrorDetails
    model: type[BaseModel]
    loc: Loc
    key: str
    read: str
    owners: Owners

    @property
    def name(self) -> str:
        return plain_key(self.loc[-1]) if self.loc else ""

    @property
    def context(self) -> dict[str, Any]:
        return self.details.get("ctx", {})

    @property
    def about(self) -> str:
        return _description(self.model, self.loc)


def _words(fault: _Fault) -> Words:
    kind = fault.details["type"]
    if kind == "list_type" and _model_at(fault.model, fault.loc) is not None:
        return _tables(fault, fault.name)
    if kind in _TYPES:
        allowed = f"allowed: {_TYPES[kind]} ({fault.about})"
        return "wrong type", fault.read, allowed, "write it so"
    return _BY_KIND.get(kind, _out_of_range)(fault)


def _tables(fault: _Fault, name: str) -> Words:
    return "wrong type", fault.read, f"allowed: tables [[{name}]]", "write double brackets"


def _own_problem(fault: _Fault) -> Words:
    context = fault.context
    read = "" if isinstance(fault.details["input"], Mapping) else fault.read
    return context["problem"], read, f"allowed: {context['allowed']}", context["do"]


def _unknown_key(fault: _Fault) -> Words:
    known = _known_keys(fault.model, fault.loc)
    every = f"allowed: {', '.join(known)}"
    tables = (*_tables_with(fault.model, fault.name), *fault.owners(fault.name))
    owners = [f"[{name}]" for name in tables]
    elsewhere = f"{fault.name} belongs to {' and '.join(owners)}" if owners else ""
    near = _near(fault.name, known)
    return "unknown key", fault.read, every, elsewhere or near, "correct, move or remove it"


def _missing(fault: _Fault) -> Words:
    return "missing", "read nothing", f"allowed: {fault.about}", f"add {fault.name}"


def _no_choice(fault: _Fault) -> Words:
    expected = str(fault.context["expected"]).replace(" or ", ", ").split(",")
    allowed = [word.strip().strip("'") for word in expected]
    near = _near(shown(fault.details["input"]).strip("'"), allowed)
    every = f"allowed: {', '.join(allowed)}"
    return "not a known choice", fault.read, every, near, "choose one"


def _near(name: str, known: Iterable[str]) -> str:
    found = nearest_names(name, known)
    return "nearest known: " + ", ".join(map(shown, found)) if found else ""


def _text_length(fault: _Fault) -> Words:
    most = fault.context.get("max_length")
    allowed = "a text that is not empty" if most is None else f"a text of up to {most} letters"
    return "out of range", fault.read, f"allowed: {allowed} ({fault.about})", "correct it"


def _list_length(fault: _Fault) -> Words:
    context = fault.context
    short = "min_length" in context
    bound = f"at least {context['min_length']}" if short else f"at most {context['max_length']}"
    return "wrong list length", fault.read, f"allowed: {bound} in the list ({fault.about})"


def _one_table(fault: _Fault) -> Words:
    if fault.loc and isinstance(fault.loc[-1], int):
        return _tables(fault, plain_key(fault.loc[-2]))
    name = fault.name or fault.key
    return "wrong type", fault.read, f"allowed: one table [{name}]", f"write [{name}] once"


def _out_of_range(fault: _Fault) -> Words:
    allowed = fault.details["msg"].removeprefix("Input should be ")
    return "out of range", fault.read, f"allowed: {allowed} ({fault.about})", "correct it"


_BY_KIND: dict[str, Callable[[_Fault], Words]] = {
    PROBLEM: _own_problem,
    "extra_forbidden": _unknown_key,
    "missing": _missing,
    "literal_error": _no_choice,
    "enum": _no_choice,
    "string_too_short": _text_length,
    "string_too_long": _text_length,
    "too_short": _list_length,
    "too_long": _list_length,
    "model_type": _one_table,
    "model_attributes_type": _one_table,
}


def _known_keys(model: type[BaseModel], loc: Loc) -> list[str]:
    inner = _model_at(model, loc[:-1])
    return list(inner.model_fields) if inner is not None else []


def _tables_with(model: type[BaseModel], key: str) -> list[str]:
    """The tables directly in ``model`` that know ``key``."""
    inner = {name: _model_in(info.annotation) for name, info in model.model_fields.items()}
    return [
        name for name, found in inner.items() if found is not None and key in found.model_fields
    ]


def _description(model: type[BaseModel], loc: Loc) -> str:
    names = [part for part in loc if isinstance(part, str)]
    inner = model
    for name in names[:-1]:
        deeper = (
            _model_in(inner.model_fields[name].annotation) if name in inner.model_fields else None
        )
        inner = deeper or inner
    info = inner.model_fields.get(names[-1]) if names else None
    text = (info.description if info is not None else None) or "see the schema"
    return text[0].lower() + text[1:].rstrip(".")


def _model_at(model: type[BaseModel], loc: Loc) -> type[BaseModel] | None:
    inner: type[BaseModel] | None = model
    for part in loc:
        if isinstance(part, int) or inner is None:
            continue
        info = inner.model_fields.get(part)
        inner = _model_in(info.annotation) if info is not None else None
    return inner


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for part in get_args(annotation):
        found = _model_in(part)
        if found is not None:
            return found
    return None
