"""What a fresh interpreter loads, and that each module keeps to its layer."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SLOW = ("netgen", "pyngcore", "trimesh", "manifold3d", "matplotlib", "ortools", "scipy.stats",
        "reportlab", "ezdxf", "jinja2")  # fmt: skip


def loaded_by(code: str) -> set[str]:
    """Top modules and packages that a fresh interpreter has loaded after running some code."""
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport json, sys\nprint(json.dumps(sorted(sys.modules)))"],
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    return set(json.loads(done.stdout.splitlines()[-1]))


def test_a_plain_check_loads_neither_modeller_nor_plots() -> None:
    code = (
        "from pathlib import Path\n"
        "import fitcheck.cli.main\n"
        "from fitcheck.design.read import read_design\n"
        "from fitcheck.fit.check import check\n"
        "from fitcheck.outputs.check_text import check_text\n"
        "from fitcheck.outputs.check_json import check_json\n"
        f"c = check(read_design(Path({str(ROOT / 'models' / 'harbour.toml')!r})))\n"
        "check_text(c), check_json(c)"
    )
    loaded = loaded_by(code)
    assert "fitcheck.fit.slide" in loaded
    assert not loaded & set(SLOW)
    assert "scipy" not in loaded


def test_the_program_starts_without_numpy() -> None:
    loaded = loaded_by("import fitcheck.cli.main")
    assert "numpy" not in loaded and "pydantic" not in loaded


@pytest.mark.parametrize("module", sorted((ROOT / "fitcheck").rglob("*.py")), ids=str)
def test_every_module_begins_with_a_sentence_and_is_a_page_or_two(module: Path) -> None:
    text = module.read_text()
    assert text.startswith('"""'), f"{module} has no docstring"
    assert len(text.splitlines()) <= 300, f"{module} is too long: which two things is it?"
