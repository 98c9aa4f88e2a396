"""A shell completes designs, papers of parts, tools, items, styles and words, and never fails."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.commands import ROOT


def completed(words: str, cwd: Path) -> list[str]:
    """What bash is offered for the last of these words (click's protocol for completion)."""
    count = len(words.split(" ")) - 1
    settings = {
        "_FITCHECK_COMPLETE": "complete_bash",
        "COMP_WORDS": words,
        "COMP_CWORD": f"{count}",
    }
    program = Path(sys.executable).with_name("fitcheck")
    ran = subprocess.run(
        [program], cwd=cwd, env=os.environ | settings, capture_output=True, text=True, check=False
    )
    assert ran.stderr == "" and ran.returncode == 0
    return ran.stdout.split()


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("fitcheck check lan", {"lantern"}),
        ("fitcheck publish harbour --stock lid=patterned", {"lid=patterned-160"}),
        ("fitcheck suggest harbour --for-tools score-board-i", {"score-board-inch"}),
        ("fitcheck new box --item toffee-w", {"toffee-wrapped"}),
        ("fitcheck new box --style shadow", {"shadow-box"}),
        ("fitcheck new box --style pl", {"platform"}),
        ("fitcheck new box --sits sn", {"snug"}),
        ("fitcheck explain tuck", {"tuck-flap"}),
        ("fitcheck coupon cardstock-27", {"cardstock-270"}),
        ("fitcheck check no-such-design", set()),
    ],
)
def test_names_are_completed(words: str, wanted: set[str]) -> None:
    assert set(completed(words, ROOT)) == wanted


def test_a_spoilt_workspace_stops_no_shell(tmp_path: Path) -> None:
    for folder in ("models", "calibration"):
        (tmp_path / folder).mkdir()
    (tmp_path / "models" / "items.toml").write_bytes(b"\xff\xfe not toml = [")
    assert set(completed("fitcheck new box --item tof", tmp_path)) <= {"toffee-wrapped"}
