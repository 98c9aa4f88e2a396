"""All three formats together take little more than the slowest library alone.

Both are measured in fresh interpreters in the same run, in processor time so that other work on
the machine counts for neither, each several times in turn, and the best of either is compared: the
ratio is what counts, not the seconds of this machine.
"""

from __future__ import annotations

import pickle
import subprocess
import sys
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.drawing.pages import lay_on_pages
from fitcheck.drawing.shapes import Drawing
from fitcheck.fit.assembly import assemble
from fitcheck.outputs.write_dxf import dxf_file
from fitcheck.outputs.write_pdf import pdf_file
from fitcheck.outputs.write_svg import svg_page
from fitcheck.pattern.plan import plan_of
from fitcheck.sheet.part_drawing import DrawnPart, draw_part
from fitcheck.workspace.paths import shipped_workspace
from tests.cli.commands import ROOT

MOST = 1.5
TURNS = 5

OURS = """
import pickle, sys, time
data = open(sys.argv[1], "rb").read()
start = time.process_time()
from fitcheck.drawing.pages import lay_on_pages
from fitcheck.drawing.page_sizes import Paper
from fitcheck.outputs.write_dxf import dxf_file
from fitcheck.outputs.write_pdf import pdf_file
from fitcheck.outputs.write_svg import svg_page
drawing = pickle.loads(data)
pages = lay_on_pages(drawing, Paper.LETTER)
open(sys.argv[2] + ".svg", "w").write("".join(svg_page(page) for page in pages))
open(sys.argv[2] + ".pdf", "wb").write(pdf_file("x", pages))
open(sys.argv[2] + ".dxf", "w").write(dxf_file(drawing))
print(time.process_time() - start)
"""

THEIRS = """
import pickle, sys, time
lines, texts = pickle.load(open(sys.argv[1], "rb"))
start = time.process_time()
import ezdxf
document = ezdxf.new("R2010")
space = document.modelspace()
for a, b in lines:
    space.add_line(a, b)
for text, at in texts:
    space.add_text(text).set_placement(at)
document.saveas(sys.argv[2] + ".dxf")
print(time.process_time() - start)
"""


def seconds(code: str, *arguments: Path) -> float:
    done = subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return float(done.stdout)


@pytest.fixture(scope="module")
def largest() -> Drawing:
    """The largest sheet among the shipped designs."""
    drawings = []
    for path in sorted((shipped_workspace() / "models").glob("*.toml")):
        if path.name == "items.toml":
            continue
        design = read_design(path)
        for part in assemble(design).parts:
            stock = part.recipe.stock.name
            drawings.append(
                draw_part(
                    DrawnPart(design.title, part.pattern, plan_of(part.pattern), design.unit, stock)
                )
            )
    return max(drawings, key=lambda drawing: drawing.width_mm * drawing.length_mm)


@pytest.mark.long
def test_three_formats_cost_little_more_than_one_library(largest: Drawing, tmp_path: Path) -> None:
    ours, theirs = tmp_path / "ours.pickle", tmp_path / "theirs.pickle"
    ours.write_bytes(pickle.dumps(largest))
    lines = [ends for stroke in largest.strokes for ends in stroke.segments()]
    texts = [(label.text, label.at) for label in largest.labels]
    theirs.write_bytes(pickle.dumps((lines, texts)))
    pairs = [
        (seconds(OURS, ours, tmp_path / "ours"), seconds(THEIRS, theirs, tmp_path / "theirs"))
        for _ in range(TURNS)
    ]
    mine, library = (min(times) for times in zip(*pairs, strict=True))
    assert mine <= MOST * library, f"{mine:.3f} s against {library:.3f} s"


def test_writing_all_three_once_loaded(largest: Drawing, benchmark: BenchmarkFixture) -> None:
    def write() -> int:
        pages = lay_on_pages(largest, Paper.LETTER)
        return len(dxf_file(largest)) + len(pdf_file("x", pages)) + len(svg_page(pages[0]))

    assert benchmark.pedantic(write, rounds=3, iterations=1, warmup_rounds=1) > 10_000
