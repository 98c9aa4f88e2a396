"""Small design files that the tests bend and break, and how they are read."""

from pathlib import Path
from typing import Any

import pytest

from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.workspace.paths import shipped_workspace

ROOTS = (shipped_workspace(),)
GOOD = """\
format = 1
title = "Test box"
unit = "in"
tools = "score-board-inch"
joint = "0.1 mm"
bands = {snug = "0.20 mm", loose = "1.50 mm"}
[base]
style = "shadow-box"
stock = "cardstock-270"
floor = ["3 1/4", "4 1/2"]
depth = "7/8"
frame = "3/8"
inner_wall = "level"
flap = "11/32"
tabs = "width"
tab_setback = 0
grain = "length"
[lid]
style = "tray"
stock = "patterned-160"
oversize = "1/16"
depth = "5/8"
[[content]]
item = "card-id1"
count = 1
lay = "flat"
"""
TRAY = """\
format = 1
title = "Plain tray"
unit = "mm"
[base]
style = "tray"
stock = "index-110"
floor = [80, 120]
depth = 20
"""


def read(tmp_path: Path, text: str, **more: Any) -> Design:
    """The design in ``text``."""
    path = tmp_path / "box.toml"
    path.write_text(text, encoding="utf-8")
    return read_design(path, roots=ROOTS, **more)


def lines_of(tmp_path: Path, text: str, **more: Any) -> tuple[str, ...]:
    """The problems in ``text``."""
    with pytest.raises(InputError) as caught:
        read(tmp_path, text, **more)
    assert caught.value.exit_code == 2
    return caught.value.lines
