"""What the page may send, read strictly: exactly what is listed, or nothing."""

from __future__ import annotations

from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from starlette.requests import Request

from fitcheck.bench.drafts import Draft
from fitcheck.errors import InputError


class Asked(BaseModel):
    """What every request that carries something is: exactly what is listed."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


class Look(Asked):
    """A draft, and which page asks."""

    page: str = Field(max_length=100)
    draft: Draft


class Papers(Look):
    """The same, and which part is to be of other papers."""

    part: str


class Saved(Asked):
    """A text for a file that was read as a version."""

    name: str
    text: str
    version: str = ""


class Named(Asked):
    """A design, and what it is to be called."""

    name: str
    new: str = ""


class Mesh(Asked):
    """A file, as base64."""

    name: str
    base64: str


class KeptDraft(Asked):
    """What was typed, by what it is about; None lets it go."""

    key: str
    data: dict[str, Any] | None


class Commanded(Asked):
    """A command and what was filled in."""

    command: str
    given: dict[str, str | bool | list[str]]


Body = TypeVar("Body", bound=BaseModel)


async def read(request: Request, kind: type[Body]) -> Body:
    """What was sent. Raises InputError for anything else."""
    raw = await request.body()
    try:
        return kind.model_validate_json(raw)
    except (ValidationError, UnicodeDecodeError):
        raise InputError("what was sent is not what this page sends; load the page anew") from None
