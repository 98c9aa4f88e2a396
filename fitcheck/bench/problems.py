"""Problems of a draft as the page shows them: each beside what it is about."""

from __future__ import annotations

import re
from collections.abc import Iterable

from fitcheck.bench.drafts import CALLED

_FILE = re.compile(r"^(?:[A-Za-z]:)?[^:\n]{0,4000}models[/\\][^/\\:\n]{0,200}\.toml: ")
"""How a line begins that names the file of a design."""


_NUMBER = re.compile(
    r"(?:wrong type|out of range); read .{0,200}?; allowed: "
    r"(?:an? (?:whole )?number|(?:greater|less) than(?: or equal to)? [-.0-9]{1,20}) "
    r"\((.{1,400})\); (?:write it so|correct it)",
    re.DOTALL,
)
"""What is said of a number that is none, or too large or too small; what it is for in brackets."""


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
        return {"key": key, "text": _NUMBER.sub(r"write \1", text)}
    return {"key": "", "text": rest}
