"""Which face each score is made on, in the JSON and in the tables.

A corner that is folded in has its slanted crease pressed on the inside, as it folds the other way
from the walls beside it; the crease of a hinge that is cut half through is cut on the outside, as
the half of the sheet that is left holds on the inside of the fold (common practice, no source).
"""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from tests.cli.commands import ROOT, fitcheck_here

PICNIC = (ROOT / "models" / "picnic.toml").read_text()
HINGED = """
format = 1
title = "Hinged"
unit = "mm"
[base]
style = "hinged-tray"
stock = "cardstock-270"
floor = [120, 60]
depth = 30
lip = 10
front = "in"
hinge = "half cut"
"""


def sheets(folder: Path, text: str) -> tuple[dict[str, Any], list[dict[str, str]], str]:
    """The JSON's base, the rows of the CSV for it, and the Markdown."""
    (folder / "models").mkdir()
    (folder / "models" / "one.toml").write_text(text)
    ran = fitcheck_here(
        "sheet", "one", "-o", "out", "--json", "one.json", "--format", "dxf", cwd=folder
    )
    assert ran.err == ""
    table = (folder / "out" / "one-measurements.csv").read_text()
    rows = [row for row in csv.DictReader(io.StringIO(table)) if row["part"] == "base"]
    data: dict[str, Any] = json.loads((folder / "one.json").read_text())["parts"]["base"]
    return data, rows, (folder / "out" / "one-measurements.md").read_text()


def test_a_folded_corner_is_scored_on_the_inside_and_its_walls_on_the_outside(
    tmp_path: Path,
) -> None:
    data, rows, text = sheets(tmp_path, PICNIC)
    assert data["face_up"] == "outside"
    assert {line["face"] for line in data["scores"]} == {"outside"}
    assert [line["face"] for line in data["slanted_scores"]] == ["inside"] * 4
    faces = {row["what"]: row["face_up"] for row in rows}
    assert faces["score"] == faces["sheet"] == "outside"
    assert faces["slanted score from"] == faces["slanted score to"] == "inside"
    base = text.split("## lid")[0]
    slanted = base.split("Slanted scores")[1].split("Pieces of the sheet")[0]
    assert slanted.count("pressed, on the other face |") == 4


def test_the_json_tells_a_half_cut_from_a_score(tmp_path: Path) -> None:
    data, rows, _ = sheets(tmp_path, HINGED)
    cut = [line for line in data["scores"] if line.get("half_cut")]
    assert len(cut) == 1 and cut[0]["face"] == "outside"
    assert [row["what"] for row in rows].count("half cut") == 1
    (row,) = [row for row in rows if row["what"] == "half cut"]
    assert float(row["at_mm"]) == pytest.approx(cut[0]["at_mm"], abs=0.001)
    assert row["fence"] == cut[0]["fence"]
