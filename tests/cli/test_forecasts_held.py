"""Which frozen forecast a box is held against: of its own sizes, in its maker's own hands."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from fitcheck.bench import tasks
from fitcheck.bench.drafts import Draft
from tests.cli.test_forecasts import PAPER, TOOLS, bench, rows, run

FREEZE = ("record", "toffees", "--forecast", "--odds", "500")
SLID = ("record", "toffees", "--outcome", "slid")
SAME = [
    ("Toffee box", "Box of toffees"),
    ("floor  = [70, 80]", "floor  = ['7 cm', 80.0]"),
    ("[lid]", "# the lid\n[lid]"),
    ('"lid-card"', '"cover-65"'),
    ("count  = 6", "count  = 5"),
]
OTHER = [
    ("oversize = 1.9", "oversize = 2.9"),
    ("oversize = 1.9", "oversize = [1.9, 2.1]"),
    ("floor  = [70, 80]", "floor  = [70, 82]"),
    ("depth  = 18", "depth  = 16"),
]


@pytest.mark.parametrize(("was", "now"), SAME)
def test_a_change_of_no_size_is_scored(tmp_path: Path, was: str, now: str) -> None:
    root = bench(tmp_path)
    assert run(root, *FREEZE).status == 0
    file = root / "models" / "toffees.toml"
    assert was in file.read_text("utf-8")
    file.write_text(file.read_text("utf-8").replace(was, now), "utf-8")
    told = run(root, *SLID)
    assert told.status == 0 and "scored against forecast-toffees-0001" in told.out, told.err


@pytest.mark.parametrize(("was", "now"), OTHER)
def test_a_box_of_other_sizes_was_never_forecast(tmp_path: Path, was: str, now: str) -> None:
    """A trial scored wider lids against narrow ones, and an alarm with false causes followed."""
    root = bench(tmp_path)
    assert run(root, *FREEZE).status == 0
    file = root / "models" / "toffees.toml"
    before = file.read_text("utf-8")
    file.write_text(before.replace(was, now), "utf-8")
    told = run(root, *SLID)
    said = " ".join(told.out.split())
    assert told.status == 0, told.err
    assert "not scored: toffees had other sizes when forecast-toffees-0001 was frozen" in said
    assert "before the next box: fitcheck record toffees --forecast" in said
    named = run(root, *SLID, "--against", "forecast-toffees-0001")  # the box of before the change
    assert "scored against forecast-toffees-0001" in named.out
    assert run(root, *FREEZE).status == 0
    assert "scored against forecast-toffees-0002" in run(root, *SLID).out
    file.write_text(before, "utf-8")
    assert "scored against forecast-toffees-0001" in run(root, *SLID).out
    kept = [row["frozen_forecast"].removesuffix(".json")[-4:] for row in rows(root)]
    assert kept == ["", "0001", "0002", "0001"]


def people(root: Path) -> Path:
    """Two people at one board: Ada cuts to 0.02 mm, Bert to 0.90 mm."""
    hand = "score_u_mm = {on_grid = 0.03, off_grid = 0.03}\nfence_u_mm = 0.02\ncut_u_mm = "
    both = f"\n[people.Ada]\n{hand}0.02\n\n[people.'Bert B']\n{hand}0.90\n"
    (root / "calibration" / "tools" / "bench-board.toml").write_text(TOOLS + both)
    return root


def test_a_forecast_is_frozen_in_the_hands_of_one_person(tmp_path: Path) -> None:
    """Its odds are those that `check --by` tells; a box is held against its own maker's."""
    root = people(bench(tmp_path))
    assert run(root, *FREEZE).status == 0
    slid = (*SLID, "--by", "ada")
    general = run(root, *slid)
    said = " ".join(general.out.split())
    assert "scored against forecast-toffees-0001" in said
    assert "these are anybody's odds, and the hand of ada was measured" in said
    assert "fitcheck record toffees --forecast --by ada" in said
    frozen = run(root, *FREEZE, "--by", " ada")
    assert "the forecast in the hands of Ada is frozen" in " ".join(frozen.out.split()), frozen.err
    assert "--play ... --by Ada" in frozen.out
    other = run(root, *FREEZE, "--by", "bert b")
    assert "--by 'Bert B'" in other.out
    told = []
    for number, who in ((1, ()), (2, ("--by", "ada")), (3, ("--by", "Bert B"))):
        name = root / "calibration/records" / f"forecast-toffees-{number:04}.json"
        kept = json.loads(name.read_text("utf-8"))
        assert kept["by"] == (None, "Ada", "Bert B")[number - 1]
        run(root, "check", "toffees", "--odds", "500", "--json", f"c{number}.json", *who)
        odds = json.loads((root / f"c{number}.json").read_text())["odds"]
        assert kept["chances"]["right"] == pytest.approx(odds["good"]["share"], abs=1e-6)
        told.append(kept["play_mm"]["u"])
    # a cut of 0.90 mm in base and lid makes plays differ by more than 0.9 mm, one of 0.02 by less
    # than the board's 0.08: sums of variances (JCGM 100, 5.1.2)
    assert told[2] > 0.9 > told[0] > told[1]
    own = run(root, *slid)
    assert "scored against forecast-toffees-0002" in own.out and "anybody" not in own.out
    assert "scored against forecast-toffees-0003" in run(root, *SLID, "--by", "BERT B").out
    for nobody in ((), ("--by", "Cleo")):
        ran = run(root, *SLID, *nobody)
        assert "scored against forecast-toffees-0001" in ran.out and "anybody" not in ran.out
    listed = " ".join(run(root, "list", "records").out.split())
    assert "forecast of toffees in the hands of Ada, frozen on" in listed


def test_who_is_not_known_has_no_forecast(tmp_path: Path) -> None:
    root = people(bench(tmp_path))
    wrong = run(root, *FREEZE, "--by", "Cleo")
    assert wrong.status == 2 and "--by: read 'Cleo'; allowed: 'Ada', 'Bert B'" in wrong.err
    assert run(root, *FREEZE, "--by", "Ada").status == 0
    apart = run(root, *SLID)
    assert "not scored: all forecasts of toffees are of the hands of 'Ada'" in " ".join(
        apart.out.split()
    )


def test_odds_that_boxes_speak_against_say_so(tmp_path: Path) -> None:
    """A trial: twelve of twelve lids bound where 99 of 100 should go on, and check said 99."""
    root = bench(tmp_path)
    assert run(root, *FREEZE).status == 0
    against = "boxes of this very design speak against these odds: fewer boxes come out right"
    check = ("check", "toffees", "--odds", "500", "--json", "c.json", "--force")
    assert against not in " ".join(run(root, *check).out.split())
    for _ in range(12):
        ran = run(root, "record", "toffees", "--outcome", "bound", "--by", "Ada")
        assert ran.status == 0, ran.err
    assert "the odds are off" in run(root, "list", "records").out
    told = " ".join(run(root, *check, "--report", "r.html").out.split())
    where = "and 0 of 12 came out right; see why before you cut: fitcheck list records"
    assert against in told and where in told
    findings = json.loads((root / "c.json").read_text("utf-8"))["odds"]["findings"]
    assert [one["code"] for one in findings].count("records-against-odds") == 1
    assert "speak against these odds" in (root / "r.html").read_text("utf-8")
    assert against in " ".join(run(root, "suggest", "toffees", "--odds", "500").out.split())
    # other sizes, and a paper that was learnt since, have odds that nothing was held against
    file = root / "models" / "toffees.toml"
    before = file.read_text("utf-8")
    file.write_text(before.replace("oversize = 1.9", "oversize = 2.3"), "utf-8")
    assert "speak against" not in run(root, *check).out
    file.write_text(before.replace("Toffee box", "Box of toffees"), "utf-8")
    assert "speak against" in run(root, *check).out
    paper = root / "calibration" / "stocks" / "bench-card.toml"
    paper.write_text(PAPER.replace("0.18", "0.30"))
    assert "speak against" not in run(root, *check).out
    # records that cannot be read are no reason to say nothing of a design
    (root / "calibration/records/boxes.csv").write_text("spoilt", "utf-8")
    assert run(root, *check).status in (0, 1)


def test_the_page_says_it_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = bench(tmp_path)
    assert run(root, *FREEZE).status == 0
    for _ in range(12):
        assert run(root, "record", "toffees", "--outcome", "bound").status == 0
    monkeypatch.chdir(root)
    heard: list[dict[str, Any]] = []
    text = (root / "models" / "toffees.toml").read_text("utf-8")
    monkeypatch.setattr("fitcheck.bench.tasks.MANY_BOXES", 2_000)
    monkeypatch.setattr("fitcheck.bench.tasks.USUAL_BOXES", 2_000)
    tasks.count(Draft(name="toffees", text=text), heard.append)
    odds = [one for one in heard if one["kind"] == "odds"]
    assert odds and all(
        any("speak against these odds" in f["text"] for f in one["findings"]) for one in odds
    )


def test_boxes_without_a_forecast_that_are_mostly_wrong_are_told(tmp_path: Path) -> None:
    """A trial: five of seven lids bound or tight, and nothing but '99 come out right' beside it."""
    root = bench(tmp_path)
    told = []
    for outcome in ("slid", "bound", "tight", "slid", "bound", "tight", "tight"):
        ran = run(root, "record", "toffees", "--outcome", outcome)
        told.append(" ".join(ran.out.split()))
    words = (
        "of 7 boxes without a forecast 2 came out right (2 bound, 3 tight, 2 slid), where over 99 "
        "of 100 were said: that is much otherwise. Measure first how wide base and lid came out at "
        "the rim, and a stack of the paper; then freeze a forecast before the next box"
    )
    assert words in told[-1] and "much otherwise" not in told[0] + told[1] + told[3]
    listed = " ".join(run(root, "list", "records").out.split())
    assert f"toffees: {words}" in listed and "the odds are off" not in listed
    assert run(root, *FREEZE).status == 0
    assert run(root, *SLID).status == 0  # from here on the scores say how it goes
    assert "much otherwise" not in run(root, "list", "records").out


def test_contents_that_stay_out_are_what_is_measured_first(tmp_path: Path) -> None:
    root = bench(tmp_path)
    for _ in range(3):
        ran = run(root, *SLID, "--fitted", "no")
    told = " ".join(ran.out.split())
    assert (
        "of 3 boxes without a forecast 0 came out right (3 slid, contents stayed out of 3)" in told
    )
    assert "Measure first what goes in and the room that the box has for it" in told
