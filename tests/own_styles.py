"""The style of the guide's last chapter, and variants of it, as packages of other people."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from fitcheck.outputs.guide import chapters
from tests.other_package import installed

CHAPTER = chapters()["a-style-of-your-own"]
SHOWN = dict(re.findall(r"```(?:python|toml) ([^\n]+)\n(.*?)```", CHAPTER, re.DOTALL))
"""The files of the chapter by their places."""
BRIMS = SHOWN["bench_brims/__init__.py"]
FERNS = SHOWN["models/ferns.toml"]


def brims(folder: Path, *changes: tuple[str, str]) -> Path:
    """The chapter's package in a folder that can stand on a path, some of its words changed."""
    code = BRIMS
    for old, new in changes:
        assert old in code, old
        code = code.replace(old, new)
    project = tomllib.loads(SHOWN["pyproject.toml"])["project"]
    return installed(folder, project["name"], code, project["entry-points"])
