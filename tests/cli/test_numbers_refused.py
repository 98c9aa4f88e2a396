"""A number that an option does not take is refused in our words, with what it takes."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.called import caller
from tests.cli.designs import FRAMED


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("check box.toml --odds 1e5", "read '1e5'; allowed: a whole number"),
        ("check box.toml --odds many", "read 'many'; allowed: a whole number"),
        ("check box.toml --seed 1.5", "read '1.5'; allowed: a whole number from 0 to 9223372036"),
        ("check box.toml --made-at dry", "read 'dry'; allowed: a number"),
        ("suggest box.toml --take 0", "read '0'; allowed: a whole number from 1"),
        ("suggest box.toml --odds 99", "read '99'; allowed: a whole number from 100 to 1000000"),
        ("sheet box.toml -o out --class few", "read 'few'; allowed: a whole number"),
        ("bench --port 70000", "read '70000'; allowed: a whole number from 0 to 65535"),
        ("record box.toml --forecast --seed -1", "read '-1'; allowed: a whole number from 0"),
    ],
)
def test_a_number_that_is_none_is_told_with_what_is_allowed(
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
    tmp_path: Path,
    words: str,
    told: str,
) -> None:
    (tmp_path / "box.toml").write_text(FRAMED)
    monkeypatch.chdir(tmp_path)
    ran = caller(monkeypatch, capfd)(*words.split(" "))
    assert (ran.status, ran.out) == (2, "")
    option = next(
        word for word in words.split(" ") if word.startswith("--") and word[2:] != "forecast"
    )
    assert told in ran.err and option in ran.err
    assert "Input should" not in ran.err
