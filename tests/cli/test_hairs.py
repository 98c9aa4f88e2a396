"""A score a hair beside another one is told alike wherever `fitcheck sheet` tells it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.commands import ROOT, fitcheck

HAIR = re.compile(r"a hair \(([\d.]+) mm\) (in|out)side ([\d /]+|[\d.]+) (mm|in)\b")


@pytest.mark.parametrize("name", ["boathouse", "tea", "whist"])
def test_steps_drawing_and_table_tell_one_hair(name: str, tmp_path: Path) -> None:
    """The drawing and the table rounded the whole by itself: half a step from what steps said."""
    ran = fitcheck("sheet", str(ROOT / "models" / f"{name}.toml"), "-o", "out", cwd=tmp_path)
    assert ran.status == 0, ran.err
    steps, drawn, table = (
        "\n".join(path.read_text() for path in sorted((tmp_path / "out").glob(kind)))
        for kind in ("*-steps.txt", "*.svg", "*-measurements.md")
    )
    told = HAIR.findall(steps)
    assert told
    assert "A hair inside is that much further from the edge at the fence" in steps
    assert "what follows a + or a - lies so many millimetres further from the edge" in table
    for hair, side, at, unit in told:
        value = f"{at} {unit} {'+' if side == 'in' else '-'} {hair}{' mm' if unit == 'in' else ''}"
        assert f">{value}<" in drawn, value
        assert f"| {value} (drawn " in table, value
