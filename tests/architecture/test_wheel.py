"""The wheel carries the shipped workspace: installed far from the checkout it does the job."""

from __future__ import annotations

import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--outdir", str(folder), str(ROOT)],
        check=True,
        capture_output=True,
    )
    (found,) = folder.glob("*.whl")
    return found


def test_it_holds_models_and_calibration(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    for top in ("models", "calibration"):
        here = {p.relative_to(ROOT).as_posix() for p in (ROOT / top).rglob("*.toml")}
        assert here
        assert here <= {n.removeprefix("fitcheck/_shipped/") for n in names}
    package = {
        p.relative_to(ROOT).as_posix()
        for p in (ROOT / "fitcheck").rglob("*")
        if p.is_file() and "__pycache__" not in p.parts
    }
    assert {Path(p).suffix for p in package} >= {".py", ".ttf", ".js", ".css", ".j2", ".json"}
    assert package <= set(names)
    assert not any(name.startswith(("tests/", "models/", "calibration/")) for name in names)


def test_installed_in_an_empty_environment_it_checks_and_copies_the_example(
    wheel: Path, tmp_path: Path
) -> None:
    """The libraries come from this environment by path; fitcheck itself only from the wheel."""
    home = tmp_path / "env"
    venv.create(home, with_pip=False)
    site = next(home.glob("lib/python*/site-packages"))
    zipfile.ZipFile(wheel).extractall(site)
    libraries = next(Path(p) for p in sys.path if p.endswith("site-packages"))
    # found after the wheel's own files; editable installs are started by .pth files only
    (site / "libraries.pth").write_text(f"{libraries}\n")
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}
    code = "from fitcheck.cli.main import run; run()"
    python = home / "bin" / "python"

    def run(*arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [python, "-c", code, *arguments],
            cwd=tmp_path,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )

    where = subprocess.run(
        [python, "-c", "import fitcheck; print(fitcheck.__file__)"],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    assert str(home) in where.stdout
    ran = run("check", "harbour", "--no-odds")
    assert ran.returncode == 0, ran.stderr
    copied = run("list", "stocks")
    assert "cardstock-270" in copied.stdout and "source" in copied.stdout
