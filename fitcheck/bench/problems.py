"""Problems of a draft as the page shows them: each beside what it is about."""

from __future__ import annotations

import re
from collections.abc import Iterable

from fitcheck.bench.drafts import CALLED

_FILE = re.compile(r"^(?:[A-Za-z]:)?[^:\n]{0,4000}models[/\\][^/\\:\n]{0,200}\.toml: ")
"""How a line begins that names the file of a design."""


def problems_of(lines: Iterable[str]) -> list[dict[str, str]]:
    """Lines such as "design: base.depth: read ..." as a key and a text; without a key it is "".

    >>> problems_of(["design: base.depth: read ''; write a length", "design: is not TOML"])[0]
    {'key': 'base.depth', 'text': "read ''; write a length"}
    """
    return [_problem(line) for line in lines]


def _problem(line: str) -> dict[str, str]:
    line = _FILE.sub(f"{CALLED}: ", line)
    rest = line.removeprefix(f"{CALLED}: ")
    key, colon, text = rest.partition(": ")
    if colon and rest != line and " " not in key:
        return {"key": key, "text": text}
    return {"key": "", "text": rest}
