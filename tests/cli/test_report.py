"""`fitcheck check --report` and `--picture`: whole files or none, nothing slow without them."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from fitcheck.workspace.digests import DIGESTS
from tests.cli.commands import FRAMED, ROOT, fitcheck


def test_a_report_is_written_and_stdout_stays_the_same(tmp_path: Path) -> None:
    plain = fitcheck("check", "lantern", "--no-odds", cwd=tmp_path)
    ran = fitcheck("check", "lantern", "--no-odds", "--report", "deep/page.html", cwd=tmp_path)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out == plain.out
    page = (tmp_path / "deep" / "page.html").read_text(encoding="utf-8")
    assert page.startswith("<!DOCTYPE html>") and page.rstrip().endswith("</html>")
    assert "Lantern walk toffee box" in page


def test_the_same_design_gives_the_same_page(tmp_path: Path) -> None:
    for name in ("a.html", "b.html"):
        assert fitcheck("check", "lantern", "--no-odds", "--report", name, cwd=tmp_path).status == 0
    assert (tmp_path / "a.html").read_bytes() == (tmp_path / "b.html").read_bytes()


def test_a_box_that_does_not_fit_is_reported_with_status_1(tmp_path: Path) -> None:
    text = FRAMED.read_text().replace('"1/16"', '"1/32"')
    (tmp_path / "tight.toml").write_text(text)
    ran = fitcheck("check", "tight.toml", "--no-odds", "--report", "page.html", cwd=tmp_path)
    assert ran.status == 1
    assert "It does not go together" in (tmp_path / "page.html").read_text(encoding="utf-8")


def test_pictures_are_written_without_a_display(tmp_path: Path) -> None:
    ran = fitcheck("check", "rope", "--no-odds", "--picture", "out", cwd=tmp_path)
    assert (ran.status, ran.err) == (0, "")
    names = [
        f"rope-{view}.{kind}"
        for view in ("exploded", "folded", "section")
        for kind in ("png", "svg")
    ]
    assert {path.name for path in (tmp_path / "out").iterdir()} == {*names, DIGESTS}
    for name in names[::2]:
        image = Image.open(io.BytesIO((tmp_path / "out" / name).read_bytes()))
        assert image.width == 1600
        ink = sum(count for count, colour in image.convert("L").getcolors() if colour < 60)
        assert ink > 2000, "lines and text are there"


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_place_that_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "shut").mkdir(mode=0o500)
    ran = fitcheck("check", "rope", "--no-odds", "--report", "shut/page.html", cwd=tmp_path)
    assert ran.status == 2


def test_all_files_or_none(tmp_path: Path) -> None:
    (tmp_path / "out" / "rope-exploded.png").mkdir(parents=True)
    options = ("--no-odds", "--report", "page.html", "--picture", "out")
    ran = fitcheck("check", "rope", *options, cwd=tmp_path)
    assert ran.status == 2
    assert "rope-exploded.png" in ran.err and len(ran.err.splitlines()) == 1
    assert not (tmp_path / "page.html").exists()
    assert len(list((tmp_path / "out").iterdir())) == 1


@pytest.mark.parametrize("module", ["jinja2", "resvg_py", "fitcheck.outputs.report", "rich"])
def test_a_plain_check_loads_none_of_it(module: str, tmp_path: Path) -> None:
    script = (
        "import sys; from fitcheck.cli.main import app\n"
        "sys.argv = ['fitcheck', 'check', 'rope', '--no-odds']\n"
        "try: app()\nexcept SystemExit: pass\n"
        f"sys.exit({module!r} in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, f"{module} was loaded"
