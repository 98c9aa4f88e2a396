"""Every length that is told in inches and in millimetres is one length, whichever unit comes first.

An inch is 25.4 mm (exact, 1959). A rule shows steps of 1/32 in: what is told by its nearest step is
off by half a step at the most, and by a tenth of a millimetre where that is rounded one way. Only a
design in inches tells room by the step below, never above, and what is round it by the step above.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.outputs.check_text import check_text
from fitcheck.outputs.publish.recipe import Sheets, recipe_of
from fitcheck.outputs.report.model import report_of
from fitcheck.outputs.report.render import report_page
from fitcheck.outputs.steps_text import plain_lines
from fitcheck.sheet.job import sheet_job
from fitcheck.units import Unit
from tests.cli.commands import ROOT

STEP_MM = 25.4 / 32.0
INCHES = r"\d+(?: \d+/\d+)?|\d+/\d+"
NUMBER = r"\d+(?:\.\d+)?"
BETWEEN = "(?: x |, | and | by )"
LISTS = (f"(?:{INCHES})(?:{BETWEEN}(?:{INCHES}))*", f"{NUMBER}(?:{BETWEEN}{NUMBER})*")
PAIRS = re.compile(
    r"(?<![\w./-])(?:"
    rf"(?P<i>{LISTS[0]}) in \((?P<m>{LISTS[1]}) mm\)"
    rf"|(?P<n>{LISTS[1]}) mm \((?P<j>{LISTS[0]}) in\))"
)
SMALL = """format = 1
title = "Small things"
unit = "mm"
[base]
style = "tray"
stock = "index-170"
inside = ["55.4 mm", "85.4 mm"]
depth = "25.5 mm"
[lid]
style = "tray"
stock = "index-110"
oversize = "2 mm"
depth = "15 mm"
[[content]]
item = "bar"
lay = "flat"
"""
ITEMS = """format = 1
[bar]
kind = "block"
size = [55, 85, 25]
source = "invented for tests"
"""


def pairs_in(text: str) -> Iterator[tuple[str, float, float]]:
    """What is told twice in a text: the words, inches as mm, and mm."""
    for found in PAIRS.finditer(" ".join(text.split())):
        inches = re.split(BETWEEN, found["i"] or found["j"])
        in_mm = re.split(BETWEEN, found["m"] or found["n"])
        assert len(inches) == len(in_mm), found[0]
        for one, other in zip(inches, in_mm, strict=True):
            yield found[0], float(sum(map(Fraction, one.split()))) * 25.4, float(other)


@pytest.mark.parametrize(
    "name", ["harbour", "lantern", "boathouse", "ferry", "slipway", "tea", "whist", "rope", "cards"]
)
def test_what_is_told_in_both_units_is_one_length(name: str) -> None:
    found = check(read_design(ROOT / "models" / f"{name}.toml"))
    job = sheet_job(found.design, Paper.A4, (), 1)
    page = re.sub(r"<script.*?</script>|<[^>]+>", " ", report_page(report_of(found)), flags=re.S)
    told = 0
    inches_first = found.design.unit is Unit.IN
    for text in (check_text(found), page, "\n".join(plain_lines(job))):
        for words, inches, own in pairs_in(text):
            told += 1
            # millimetres are told to a tenth, of walls never more and round them never less
            most = STEP_MM if inches_first and " in (" in words else 0.5 * STEP_MM + 0.1
            assert abs(inches - own) < most + 1e-9, words
    assert told > 20
    for line in check_text(found).splitlines():
        room = re.match(r" +(?:inside|opening|depth inside|each inside) ", line)
        around = re.match(r" +(?:outside, rim|closed height) ", line)
        for words, inches, own in pairs_in(line) if inches_first else ():
            assert not (room and inches > own + 0.1), words
            assert not (around and inches < own - 0.1), words


def test_what_goes_in_is_not_told_as_larger_than_the_room(tmp_path: Path) -> None:
    """A bar of 55 x 85 x 25 mm in a tray of 55.4 x 85.4 mm, whose depth is some tenths more."""
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "items.toml").write_text(ITEMS, encoding="utf-8")
    path = tmp_path / "models" / "small.toml"
    path.write_text(SMALL, encoding="utf-8")
    found = check(read_design(path, roots=[tmp_path, ROOT]))
    assert found.fits
    job = sheet_job(found.design, Paper.A4, (), 1)
    facts = dict(recipe_of(Sheets(found, job), None, None).needs)
    sizes = [[inches for _, inches, _ in pairs_in(facts[name])] for name in ("Contents", "Inside")]
    assert [len(own) for own in sizes] == [3, 3]
    assert all(bar <= room for bar, room in zip(*sizes, strict=True)), facts
    lid = re.findall(r"^ +(?:outside, rim|inside) .*", check_text(found), re.M)
    (base_out, _, _, lid_in) = ([mm for _, mm, _ in pairs_in(line)] for line in lid)
    assert all(inner <= outer for inner, outer in zip(base_out, lid_in, strict=True)), lid
