"""`fitcheck check --odds` as a person runs it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.cli.commands import Ran, fitcheck
from tests.cli.designs import TOFFEES

Twice = tuple[Ran, dict[str, object], dict[str, object]]


BOX = "toffees.toml"


def box(folder: Path) -> str:
    """The design in a folder, by its file's name there."""
    (folder / BOX).write_text(TOFFEES, encoding="utf-8")
    return BOX


FORBIDDEN = (
    "variance", "root mean square", "linear law", "standard uncertainty", "Brier", "seed", "+-",
    "virtual",
)  # fmt: skip


@pytest.fixture(scope="module")
def twice(tmp_path_factory: pytest.TempPathFactory) -> Twice:
    """The same odds asked for twice, the second time with the seed left out and with details."""
    folder = tmp_path_factory.mktemp("odds")
    box(folder)
    first = fitcheck("check", BOX, "--odds", "2000", "--seed", "0", "--json", "a.json", cwd=folder)
    second = fitcheck("check", BOX, "--odds", "2000", "--details", "--json", "b.json", cwd=folder)
    assert second.out.startswith(first.out), "details come behind"
    behind = second.out[len(first.out) :]
    for words in (
        "odds over 2000 virtual boxes (seed 0)",
        "in 95 % of boxes",
        "of the variance",
        "score from the top fence:",
        "boxes folded anew: ",
    ):
        assert words in behind, words
    found = [
        json.loads((folder / name).read_text(encoding="utf-8")) for name in ("a.json", "b.json")
    ]
    return first, found[0], found[1]


def test_what_a_maker_reads(twice: Twice) -> None:
    ran, data, _ = twice
    assert ran.status == 0
    assert ran.err == ""
    good = data["odds"]["good"]["share"]  # type: ignore[index]
    first, second = ran.out.splitlines()[:2]
    assert first == (
        f"Toffee box: everything fits as drawn; {100 * good:.0f} of 100 boxes made by "
        "hand come out right"
    )
    assert second.startswith("  better    make the lid 20 mm deep instead of 18 mm, so that its")
    assert "which cut matters most to the lid's play" in ran.out
    assert "take 6 x toffee-wrapped" in ran.out
    assert [word for word in FORBIDDEN if word in ran.out] == []


def test_the_advice_is_one_sentence_that_holds(twice: Twice, tmp_path: Path) -> None:
    _, data, _ = twice
    advice = data["advice"]
    assert isinstance(advice, str)
    found = re.fullmatch(
        r"make the lid 20 mm deep instead of 18 mm, so that its scores lie in the board's "
        r"grooves: (\d+) -> (\d+) of 100",
        advice,
    )
    assert found, advice
    (tmp_path / "deeper.toml").write_text(TOFFEES.replace("depth  = 18", "depth  = 20"))
    options = ("--odds", "2000", "--seed", "3", "--json", "c.json")
    assert fitcheck("check", "deeper.toml", *options, cwd=tmp_path).status == 0
    deeper = json.loads((tmp_path / "c.json").read_text(encoding="utf-8"))
    assert 100 * deeper["odds"]["good"]["share"] == pytest.approx(float(found[2]), abs=2.0)


def test_the_json(twice: Twice) -> None:
    _, data, again = twice
    assert data == again, "the same seed gives the same digits"
    odds = data["odds"]
    assert isinstance(odds, dict)
    assert (odds["boxes"], odds["seed"]) == (2000, 0)
    assert set(odds["lid"]) == {"binds", "tight", "snug", "slides", "loose"}
    assert sum(odds["lid"].values()) == pytest.approx(1.0)
    assert 0.0 < odds["good"]["share"] < 1.0
    assert odds["play_mm"]["width"]["low"] < odds["play_mm"]["width"]["high"]
    assert odds["contents"][0]["item"] == "toffee-wrapped"
    shares = [one["share"] for one in odds["shares"]]
    assert shares == sorted(shares, reverse=True)
    assert 0.5 < sum(shares) <= 1.05
    assert data["verdict"] == "fits"


def test_all_shares_of_the_variance_are_told_and_make_a_whole(tmp_path: Path) -> None:
    """Of a frame sides and axes take turns in coming first: that is a share of its own."""
    ran = fitcheck(
        "check", "harbour", "--odds", "2000", "--details", "--json", "out.json", cwd=tmp_path
    )  # fmt: skip
    odds = json.loads((tmp_path / "out.json").read_text())["odds"]
    single = sum(one["share"] for one in odds["shares"])
    assert single < 0.9
    assert single + odds["shares_rest"] == pytest.approx(1.0, abs=1e-4)
    assert f"which side and axis happens to bind: {odds['shares_rest']:.0%}" in ran.out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--odds", "5"), "allowed: 100 to"),
        (("--odds", "1000", "--humidity", "70:30"), "LOW below HIGH"),
        (("--odds", "1000", "--humidity", "dry"), "LOW:HIGH"),
        (("--humidity", "30:70", "--no-odds"), "beside --no-odds"),
        (("--odds", "500", "--no-odds"), "beside --no-odds"),
    ],
)
def test_wrong_options(arguments: tuple[str, ...], words: str, tmp_path: Path) -> None:
    ran = fitcheck("check", box(tmp_path), *arguments, cwd=tmp_path)
    assert ran.status == 2
    assert words in ran.err
    assert len(ran.err.splitlines()) == 1


def test_what_is_not_known_of_the_weather_is_said(tmp_path: Path) -> None:
    arguments = ("--humidity", "30:70", "--odds", "500", "--stock", "lid=tabulating-99")
    ran = fitcheck("check", box(tmp_path), *arguments, cwd=tmp_path)
    assert "30 to 70 % relative humidity" in ran.out
    assert "cover-80: how much it swells with humidity is not known" in ran.out
    assert "the lid's grain is not given" in ran.out


def test_odds_are_counted_unless_told_otherwise(tmp_path: Path) -> None:
    """With weather and without a number of boxes; a lid alone on a tray is quick."""
    text = TOFFEES.split("[[content]]")[0]
    (tmp_path / "empty.toml").write_text(text)
    ran = fitcheck("check", "empty.toml", "--humidity", "30:70", "--json", "a.json", cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert "30 to 70 % relative humidity" in ran.out
    data = json.loads((tmp_path / "a.json").read_text(encoding="utf-8"))
    assert data["odds"]["boxes"] == 20_000
    plain = fitcheck("check", "empty.toml", "--no-odds", cwd=tmp_path)
    assert plain.out.splitlines()[0] == "Toffee box: everything fits"
    assert "100" not in plain.out.split("depth inside")[0].split("\n", 1)[0]


def test_a_box_that_does_not_fit_says_what_helps_and_keeps_its_status(tmp_path: Path) -> None:
    text = TOFFEES.split("[[content]]")[0]
    (tmp_path / "tight.toml").write_text(text.replace("oversize = 2", "oversize = 0.5"))
    ran = fitcheck("check", "tight.toml", "--odds", "2000", "--json", "a.json", cwd=tmp_path)
    assert ran.status == 1
    assert "something does not fit as drawn" in ran.out.splitlines()[0]
    data = json.loads((tmp_path / "a.json").read_text(encoding="utf-8"))
    assert data["verdict"] == "does not fit"
    found = re.fullmatch(
        r"make the lid ([0-9.]+)( mm wider and ([0-9.]+) mm longer| mm wider and longer) "
        r"than the base instead of 0.5 mm: .* of 100",
        data["advice"],
    )
    assert found, data["advice"]
    assert all(1.5 <= float(size) <= 2.5 for size in (found[1], found[3]) if size)
