"""A mapping that cannot be changed, as values are, and that can be copied and sent elsewhere."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, TypeVar

Key = TypeVar("Key")
Value_co = TypeVar("Value_co", covariant=True)


class FrozenMap(Mapping[Key, Value_co]):
    """The members of another mapping as they were when it was made.

    >>> FrozenMap({"front": 0.3}), FrozenMap({"front": 0.3}) == {"front": 0.3}
    ({'front': 0.3}, True)
    """

    __slots__ = ("_members",)

    def __init__(self, members: Mapping[Key, Value_co] | None = None) -> None:
        self._members = dict(members or {})

    def __getitem__(self, key: Key) -> Value_co:
        return self._members[key]

    def __iter__(self) -> Iterator[Key]:
        return iter(self._members)

    def __len__(self) -> int:
        return len(self._members)

    def __repr__(self) -> str:
        return f"{{{', '.join(f'{key!r}: {_shown(own)}' for key, own in self._members.items())}}}"

    def __reduce__(self) -> tuple[Any, ...]:
        return FrozenMap, (self._members,)


def _shown(value: object) -> str:
    """A member, an array by its shape alone."""
    shape = getattr(value, "shape", None)
    return repr(value) if shape is None else f"array {shape}"
