"""`fitcheck check --odds` as a person runs it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.commands import ROOT, Ran, fitcheck

Twice = tuple[Ran, dict[str, object], dict[str, object]]
LANTERN = ROOT / "models" / "lantern.toml"


@pytest.fixture(scope="module")
def twice(
    tmp_path_factory: pytest.TempPathFactory,
) -> Twice:
    """The same odds asked for twice, the second time with the seed left out."""
    folder = tmp_path_factory.mktemp("odds")
    first = fitcheck(
        "check", LANTERN, "--odds", "2000", "--seed", "0", "--json", "a.json", cwd=folder
    )
    fitcheck("check", LANTERN, "--odds", "2000", "--json", "b.json", cwd=folder)
    found = [
        json.loads((folder / name).read_text(encoding="utf-8")) for name in ("a.json", "b.json")
    ]
    return first, found[0], found[1]


def test_the_report(twice: Twice) -> None:
    ran = twice[0]
    assert ran.status == 0
    assert ran.err == ""
    for words in (
        "odds over 2000 virtual boxes (seed 0)",
        "slides",
        "in 95 % of boxes",
        "6 x toffee-wrapped fits",
        "score from the top fence:",
        "in grooves instead of between them",
        "40 boxes folded anew",
    ):
        assert words in ran.out, words


def test_the_json(twice: Twice) -> None:
    _, data, again = twice
    assert data == again, "the same seed gives the same digits"
    odds = data["odds"]
    assert isinstance(odds, dict)
    assert (odds["boxes"], odds["seed"]) == (2000, 0)
    assert set(odds["lid"]) == {"binds", "tight", "snug", "slides", "loose"}
    assert sum(odds["lid"].values()) == pytest.approx(1.0)
    assert odds["play_mm"]["width"]["low"] < odds["play_mm"]["width"]["high"]
    assert odds["contents"][0]["item"] == "toffee-wrapped"
    shares = [one["share"] for one in odds["shares"]]
    assert shares == sorted(shares, reverse=True)
    assert 0.5 < sum(shares) <= 1.05
    assert data["verdict"] == "fits"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--odds", "5"), "allowed: 100 to"),
        (("--odds", "1000", "--humidity", "70:30"), "LOW below HIGH"),
        (("--odds", "1000", "--humidity", "dry"), "LOW:HIGH"),
        (("--humidity", "30:70"), "together with --odds"),
    ],
)
def test_wrong_options(arguments: tuple[str, ...], words: str, tmp_path: Path) -> None:
    ran = fitcheck("check", LANTERN, *arguments, cwd=tmp_path)
    assert ran.status == 2
    assert words in ran.err
    assert len(ran.err.splitlines()) == 1


def test_what_is_not_known_of_the_weather_is_said(tmp_path: Path) -> None:
    arguments = ("--odds", "500", "--humidity", "30:70", "--stock", "lid=tabulating-99")
    ran = fitcheck("check", LANTERN, *arguments, cwd=tmp_path)
    assert "30 to 70 % relative humidity" in ran.out
    assert "cover-80: how much it swells with humidity is not known" in ran.out
    assert "the lid's grain is not given" in ran.out
