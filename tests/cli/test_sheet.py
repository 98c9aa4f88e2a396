"""`fitcheck sheet`: every file whole, the same bytes again, one line for what is wrong."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable
from pathlib import Path

import ezdxf
import ezdxf.bbox
import pytest

from fitcheck.cli.sheet_options import bought_sheets, chosen_formats, chosen_paper, kit_count
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import PAPER_SIZES, Paper
from fitcheck.errors import InputError
from fitcheck.outputs.sheet_files import DRAWN, Format, sheet_files
from fitcheck.sheet.job import sheet_job
from fitcheck.stock.bought_sheets import USUAL_SHEETS
from fitcheck.units import Unit
from fitcheck.workspace.digests import DIGESTS
from tests.cli.commands import FRAMED, ROOT, Ran, fitcheck
from tests.readers import dxf_lines, read_pdf, read_svg

HARBOUR = ROOT / "models" / "harbour.toml"
ODD_NAME = "Ä & B, 3/8 in? <c> %%d"
ODD_TITLE = "Caf\u00e9 | *box* <b> & \\u6e2f $x_1$"


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Ran]:
    folder = tmp_path_factory.mktemp("sheet")
    (folder / "models").mkdir()
    (folder / "models" / "harbour.toml").write_text(FRAMED.read_text())
    return folder, fitcheck(
        "sheet", "harbour", "-o", "out", "--json", "harbour.json", "--class", "24", cwd=folder
    )


def test_it_writes_all_formats_and_names_each_file(written: tuple[Path, Ran]) -> None:
    folder, ran = written
    assert (ran.status, ran.err) == (0, "")
    files = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}
    files = {name for name in files if not name.startswith("again/")}  # another test's
    files -= {"models/harbour.toml", DIGESTS, f"out/{DIGESTS}"}
    # its inner walls end a paper below the outer ones, which no rule shows: a line says so
    first, *named = ran.out.splitlines()
    assert first.startswith("Sizes are rounded: ") and set(named) == files
    endings = {Path(name).suffix for name in files}
    assert endings == {".svg", ".pdf", ".dxf", ".txt", ".md", ".csv", ".json"}


def test_json_has_the_sheet_its_scores_and_its_cuts(written: tuple[Path, Ran]) -> None:
    folder, _ = written
    data = json.loads((folder / "harbour.json").read_text())
    assert data["format"] == 1
    lid = data["parts"]["lid"]
    # 3 1/4 + 1/16 and 4 1/2 + 1/16, and twice 5/8, in inches
    assert lid["sheet_mm"] == {"width": 115.8875, "length": 147.6375}
    rows = [(s["fence"], s["at_mm"], s["from_mm"], s["to_mm"]) for s in lid["scores"]]
    assert rows == [
        ("left", 15.875, 15.875, 131.7625),
        ("right", 15.875, 15.875, 131.7625),
        ("top", 15.875, 0.0, 115.8875),
        ("bottom", 15.875, 0.0, 115.8875),
    ]
    assert {"fence", "at_mm", "from_mm", "to_mm"} <= set(lid["cuts"][0])


def test_class_counts_the_sheets_to_buy(written: tuple[Path, Ran]) -> None:
    folder, _ = written
    yields = json.loads((folder / "harbour.json").read_text())["yields"]
    assert yields["kits"] == 24
    found = {(p["stock"], p["bought"]): p["sheets"] for p in yields["purchases"]}
    # the lid is 115.9 x 147.6 mm: 2 from letter, 4 from 304.8 mm square
    assert found["patterned-160", "letter"] == 12
    assert found["patterned-160", "12 x 12 in"] == 6
    assert found["cardstock-270", "letter"] == 24
    steps = (folder / "out" / "harbour-steps.txt").read_text()
    assert "For 24 boxes, the lid of each: 12 sheets of letter patterned-160" in steps


def test_steps_are_in_text_in_markdown_and_in_the_pdf(written: tuple[Path, Ran]) -> None:
    folder, _ = written
    out = folder / "out"
    pages = read_pdf((out / "harbour.pdf").read_bytes())
    pdf = "".join("".join(page.texts) for page in pages)
    for place in ("harbour-steps.txt", "harbour-steps.md"):
        text = (out / place).read_text()
        assert "No groove lies there: set it by a rule." in text
        assert "Roll one side after the other inwards: fold its frame" in text
        assert "cut away from the hand" in text
    for words in ("cut away from the hand", "Roll one side", "11/32, 1 3/16"):
        assert words in pdf


def test_the_table_is_markdown_and_csv_in_both_units(written: tuple[Path, Ran]) -> None:
    folder, _ = written
    table = (folder / "out" / "harbour-measurements.md").read_text()
    assert "| lid | tray | patterned-160 | 4 9/16 in | 5 13/16 in |" in table
    rows = list(csv.DictReader((folder / "out" / "harbour-measurements.csv").open(newline="")))
    scores = [row for row in rows if (row["part"], row["what"]) == ("lid", "score")]
    assert next((row["fence"], row["at_mm"], row["at_in"]) for row in scores) == (
        "left",
        "15.875",
        "0.6250",
    )
    assert len([row for row in rows if row["what"] == "sheet"]) == 2
    for row in rows:
        for length in ("at", "from", "to", "width", "length"):
            if row[f"{length}_mm"]:
                inches = float(row[f"{length}_in"])
                assert float(row[f"{length}_mm"]) == pytest.approx(25.4 * inches, abs=0.002)


def test_the_same_bytes_on_a_second_run(written: tuple[Path, Ran]) -> None:
    folder, _ = written
    before = {path.name: path.read_bytes() for path in (folder / "out").iterdir()}
    again = fitcheck("sheet", "harbour", "-o", "again", "--class", "24", cwd=folder)
    assert again.status == 0
    assert {path.name: path.read_bytes() for path in (folder / "again").iterdir()} == before


def odd(tmp_path: Path) -> Path:
    title = ODD_TITLE.replace("\\u6e2f", "\u6e2f")
    text = HARBOUR.read_text().replace("Harbour thank-you box", title.replace("\\", "\\\\"))
    path = tmp_path / f"{ODD_NAME.replace('/', ' ')}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_any_name_and_title_give_safe_files_and_right_texts(tmp_path: Path) -> None:
    ran = fitcheck("sheet", odd(tmp_path), "-o", "out", "--paper", "a3", cwd=tmp_path)
    assert ran.status == 0, ran.err
    names = sorted(path.name for path in (tmp_path / "out").iterdir() if path.name != DIGESTS)
    assert all(
        set(name) <= set("\u00c4ABabcdefghijklmnopqrstuvwxyz0123456789-._d") for name in names
    )
    title = ODD_TITLE.replace("\\u6e2f", "\u6e2f")
    out = tmp_path / "out"
    svg = next(path for path in out.iterdir() if path.suffix == ".svg")
    assert title in read_svg(svg.read_text(encoding="utf-8")).texts
    assert f"{title}" in (out / next(n for n in names if n.endswith("steps.txt"))).read_text()
    assert "\\*box\\*" in (out / next(n for n in names if n.endswith("steps.md"))).read_text()
    pdf = read_pdf((out / next(n for n in names if n.endswith(".pdf"))).read_bytes())
    assert "".join(title.split()) in "".join("".join(pdf[0].texts).split())


@pytest.mark.parametrize("chosen", Format)
def test_each_format_can_be_asked_for_alone(chosen: Format, tmp_path: Path) -> None:
    job = sheet_job(read_design(ROOT / "models" / "lantern.toml"), Paper.A4, USUAL_SHEETS, 1)
    files = sheet_files(job, tmp_path, chosen_formats([chosen.value]))
    endings = {".svg", ".dxf"} if chosen is Format.MACHINE else {f".{chosen.value}"}
    assert {path.suffix for path in files} - {".txt", ".md", ".csv"} == endings
    assert list(tmp_path.iterdir()) == []


def test_every_format_has_a_writer() -> None:
    assert set(DRAWN) == set(Format)


@pytest.mark.parametrize("paper", Paper)
def test_each_paper_can_be_asked_for(paper: Paper) -> None:
    assert chosen_paper(paper.value.upper()) is paper
    assert paper in PAPER_SIZES


def test_another_stock_changes_the_sheet(tmp_path: Path) -> None:
    ran = fitcheck(
        *("sheet", "harbour", "-o", "out", "--format", "dxf", "--stock", "base=cover-65"),
        cwd=tmp_path,
    )
    assert ran.status == 0, ran.err
    assert "cover-65" in (tmp_path / "out" / "harbour-steps.txt").read_text()
    assert dxf_lines((tmp_path / "out" / "harbour-base.dxf").read_text())["CUT"]


def bought(text: str) -> object:
    return bought_sheets([text], Unit.MM)


@pytest.mark.parametrize(
    ("read", "given", "said"),
    [
        (chosen_paper, "a5", "--paper: read 'a5'; allowed: letter, a4, 12x12, a3"),
        (kit_count, 0, "--class: read 0; allowed: 1 to 100000 kits"),
        (bought, "12", "--bought: read '12'; allowed: "),
        (bought, "0x12", "--bought: read '0x12'; allowed: sides above 0"),
        (bought, "twelvex12", "--bought: read 'twelvex12', which is not a length"),
    ],
)
def test_a_wrong_option_is_one_line(
    read: Callable[[object], object], given: object, said: str
) -> None:
    with pytest.raises(InputError) as caught:
        read(given)
    assert len(caught.value.lines) == 1
    assert said in caught.value.lines[0]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--format", "png"], "--format: read 'png'; allowed: svg, pdf, dxf"),
        (["--json", "."], "--json: read '.', which is a folder"),
    ],
)
def test_what_is_wrong_is_one_line_and_nothing_is_written(
    options: list[str], said: str, tmp_path: Path
) -> None:
    ran = fitcheck("sheet", "lantern", "-o", "out", *options, cwd=tmp_path)
    assert ran.status == 2
    assert said in ran.err
    assert len(ran.err.splitlines()) == 1
    assert list(tmp_path.iterdir()) == []


def test_options_are_read_in_the_designs_unit() -> None:
    for letter in bought_sheets(["Letter", "8.5 x 11"], Unit.IN):
        assert (letter.width_mm, letter.length_mm) == pytest.approx((215.9, 279.4))
    metric = bought_sheets(["300x12 in"], Unit.MM)[0]
    assert (metric.width_mm, metric.length_mm) == (300.0, pytest.approx(304.8))
    assert bought_sheets(None, Unit.MM) == ()
    assert chosen_formats(None) == {Format.SVG, Format.PDF, Format.DXF}
    assert kit_count(1) == 1
    with pytest.raises(InputError):
        kit_count(-1)


def test_csv_cells_survive_any_reader(written: tuple[Path, Ran]) -> None:
    folder, _ = written
    text = (folder / "out" / "harbour-measurements.csv").read_text()
    widths = {len(row) for row in csv.reader(io.StringIO(text))}
    assert widths == {18}
    assert "front wall's tab, left" in {row[4] for row in csv.reader(io.StringIO(text))}


def test_a_machine_gets_lines_and_nothing_else(tmp_path: Path) -> None:
    """No legend, no text: the sheet's edge, cuts, scores, and what falls off on a layer apart."""
    design = str(ROOT / "models" / "whist.toml")
    ran = fitcheck("sheet", design, "-o", "out", "--format", "machine", cwd=tmp_path)
    assert ran.status == 0, ran.err
    svg = (tmp_path / "out" / "whist-base-lines.svg").read_text()
    assert re.findall(r'<g id="([\w-]+)"', svg) == ["cut", "score", "hatch"]
    assert "<text" not in svg
    size = re.search(r'width="([\d.]+)mm" height="([\d.]+)mm" viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    assert size and (size[1], size[2]) == (size[3], size[4])
    document = ezdxf.readfile(tmp_path / "out" / "whist-base-lines.dxf")
    assert {entity.dxf.layer for entity in document.modelspace()} == {"CUT", "SCORE", "HATCH"}
    box = ezdxf.bbox.extents(document.modelspace())
    assert (box.size.x, box.size.y) == pytest.approx((float(size[1]), float(size[2])), abs=1e-3)
    assert (box.extmin.x, box.extmin.y) == pytest.approx((0.0, 0.0), abs=1e-9)


def test_research_gets_a_fold_file_a_part(tmp_path: Path) -> None:
    design = str(ROOT / "models" / "harbour.toml")
    ran = fitcheck("sheet", design, "-o", "out", "--format", "fold", cwd=tmp_path)
    assert ran.status == 0, ran.err
    names = {path.name for path in (tmp_path / "out").glob("*.fold")}
    assert names == {"harbour-base.fold", "harbour-lid.fold"}
    data = json.loads((tmp_path / "out" / "harbour-base.fold").read_text())
    assert data["edges_assignment"].count("V") == 20 and "M" not in data["edges_assignment"]


@pytest.mark.parametrize("command", [("sheet",), ("publish", "--no-odds")])
def test_what_does_not_fit_is_said_first_and_by_the_exit_status(
    command: tuple[str, ...], tmp_path: Path
) -> None:
    """The files are written all the same: a maker may want to see what does not fit."""
    text = (ROOT / "models" / "lantern.toml").read_text()
    small = re.sub(r"(?m)^oversize.*$", "oversize = 0", text)
    (tmp_path / "small.toml").write_text(small)
    ran = fitcheck(command[0], "small.toml", "-o", "out", *command[1:], cwd=tmp_path)
    assert ran.status == 1 and ran.err == ""
    said, _, files = ran.out.partition("\n\nout")
    assert said.startswith("before good paper is cut: something does not fit\n")
    assert "the lid is too small" in said and ".pdf" in files
    assert list((tmp_path / "out").glob("small*.pdf"))


def test_rounded_sizes_point_to_their_odds(tmp_path: Path) -> None:
    """No rule shows 18.3 mm, nor 80 + 2 x 18.3 = 116.6 mm; 18 mm and 80 + 2 x 18 = 116 mm it does.

    Whoever cuts from the sheet follows the rounded sizes, which can come out right far less often.
    """
    (tmp_path / "models").mkdir()
    text = 'format = 1\ntitle = "Net loft"\nunit = "mm"\n[base]\nstyle = "tray"\n'
    text += 'stock = "cardstock-270"\nfloor = [80, 100]\ndepth = '
    for name, depth in (("rounded", "18.3"), ("whole", "18")):
        (tmp_path / "models" / f"{name}.toml").write_text(f"{text}{depth}\n")
    said = (
        "Sizes are rounded: `fitcheck check` tells how often boxes come out right where they are "
        "cut and scored as the steps round it."
    )
    ran = fitcheck("sheet", "rounded", "-o", "out", "--format", "pdf", cwd=tmp_path)
    assert said in ran.out.splitlines()
    for ending in ("txt", "md"):
        assert said in (tmp_path / "out" / f"rounded-steps.{ending}").read_text().splitlines()
    pages = read_pdf((tmp_path / "out" / "rounded.pdf").read_bytes())
    assert "Sizes are rounded: `fitcheck check` tells how often" in str(pages)
    ran = fitcheck("sheet", "whole", "-o", "out", "--format", "svg", cwd=tmp_path)
    assert ran.status == 0 and "Sizes are rounded" not in ran.out
    assert "Sizes are rounded" not in (tmp_path / "out" / "whole-steps.txt").read_text()
