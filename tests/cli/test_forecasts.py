"""Forecasts as a person meets them: frozen, a box made, scored, whatever changed meanwhile."""

from __future__ import annotations

import csv
import datetime
import json
from pathlib import Path

import pytest

from tests.cli.commands import Ran, fitcheck_here
from tests.cli.designs import TOFFEES

TODAY = datetime.date.today().isoformat()
PAPER = """\
format = 1
kind = "cover"
caliper_mm = 0.30
caliper_u_mm = 0.010
crease_allowance_mm = 0.18
crease_allowance_u_mm = 0.020
source = "measured on the bench"
"""
TOOLS = """\
format = 1
score_u_mm = {on_grid = 0.05, off_grid = 0.05}
fence_u_mm = 0.02
cut_u_mm = 0.08
joint_mm = 0.10
joint_u_mm = 0.02
source = "a careful hand"
"""


def bench(root: Path, allowance_mm: float = 0.18) -> Path:
    """A bench with a paper and tools of its own, and the toffee box made with them."""
    (root / "models").mkdir(parents=True)
    for shelf in ("stocks", "tools"):
        (root / "calibration" / shelf).mkdir(parents=True)
    paper = PAPER.replace("0.18", f"{allowance_mm:.2f}")
    (root / "calibration" / "stocks" / "bench-card.toml").write_text(paper)
    sure = PAPER.replace("_u_mm = 0.020", "_u_mm = 0.006")
    (root / "calibration" / "stocks" / "lid-card.toml").write_text(sure)
    (root / "calibration" / "tools" / "bench-board.toml").write_text(TOOLS)
    box = TOFFEES.replace('"cover-80"', '"bench-card"', 1).replace('"cover-80"', '"lid-card"')
    box = box.replace("oversize = 2", "oversize = 1.9")
    box = box.replace('unit   = "mm"', 'unit   = "mm"\ntools  = "bench-board"')
    (root / "models" / "toffees.toml").write_text(box)
    return root


def run(root: Path, *arguments: str) -> Ran:
    return fitcheck_here(*arguments, cwd=root)


def rows(root: Path) -> list[dict[str, str]]:
    with (root / "calibration/records/boxes.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def scores(root: Path) -> str:
    """What stands about scores, behind the last box."""
    told = run(root, "list", "records", "--details").out
    return told[told.index("frozen forecasts against") :]


def test_a_forecast_is_a_plain_file_with_all_that_made_it(tmp_path: Path) -> None:
    root = bench(tmp_path)
    ran = run(root, "record", "toffees", "--forecast", "--odds", "4000", "--seed", "7")
    assert ran.status == 0 and "frozen" in ran.out and "come out right" in ran.out, ran.err
    path = root / "calibration" / "records" / "forecast-toffees-0001.json"
    said = json.loads(path.read_text(encoding="utf-8"))
    assert (said["boxes"], said["seed"]) == (4000, 7)
    assert TODAY <= said["frozen"] <= datetime.date.today().isoformat()  # it may be past midnight
    assert said["program"] and said["stocks"] == {"base": "bench-card", "lid": "lid-card"}
    assert [one["what"] for one in said["versions"]] == [
        "design",
        "stock",
        "stock",
        "tools",
        "item",
    ]
    checked = run(root, "check", "toffees", "--odds", "4000", "--seed", "7", "--json", "c.json")
    assert checked.status in (0, 1)
    odds = json.loads((root / "c.json").read_text())["odds"]
    assert said["chances"]["right"] == pytest.approx(odds["good"]["share"], abs=1e-6)
    for band, share in odds["lid"].items():
        assert said["chances"]["bands"][band] == pytest.approx(share, abs=1e-6)
    table = dict(zip(said["play_mm"]["levels"], said["play_mm"]["values"], strict=True))
    ends = odds["smaller_play_mm"]
    for level, end in ((0.025, "low"), (0.975, "high")):  # within the sampling error of 4000 boxes
        assert table[level] == pytest.approx(ends[end], abs=2 * ends[f"{end}_error"])
    # what each input does is kept, and accounts for how plays differ (JCGM 100, 5.1.2)
    shares = sum(one["play_mm"] ** 2 for one in said["inputs"]) / said["play_mm"]["u"] ** 2
    assert 0.6 < shares < 1.15
    assert {one["source"] for one in said["inputs"]} >= {"score", "cut", "caliper", "crease"}
    limits = {one["source"]: (one["least"], one["most"]) for one in said["inputs"]}
    # a crease of 0.18 mm in a sheet of 0.30 mm has 0 to 0.60 mm; no sheet is thinner than nothing
    assert limits["crease"] == (-0.18, pytest.approx(0.42)) and limits["caliper"] == (-0.30, None)
    assert limits["score"] == (None, None) and limits["joint"] == (-0.10, None)


def test_the_score_is_of_what_was_frozen_and_of_no_hindsight(tmp_path: Path) -> None:
    """Design, paper, tools change after the freeze; then the design is gone: one and the same."""
    root, other = bench(tmp_path / "a"), bench(tmp_path / "b")
    for place in (root, other):
        assert run(place, "record", "toffees", "--forecast").status == 0
    box = ("record", "toffees", "--outcome", "slid", "--play", "0.35", "--fitted", "yes")
    assert run(other, *box).status == 0
    design = root / "models" / "toffees.toml"
    design.write_text(design.read_text().replace("Toffee box", "Box of toffees"))
    paper = root / "calibration" / "stocks" / "bench-card.toml"
    paper.write_text(PAPER.replace("0.18", "0.35"))
    ran = run(root, *box)
    assert ran.status == 0, ran.err
    said = " ".join(ran.out.split())
    assert "scored against forecast-toffees-0001" in said
    assert "changed: the design's own file, the stock bench-card" in said
    assert "freeze anew before the next box: fitcheck record toffees --forecast" in said
    assert scores(root) == scores(other)
    assert rows(root) == rows(other)
    design.unlink()
    gone = run(root, *box)
    assert gone.status == 0 and "cannot be read any more" in " ".join(gone.out.split())
    assert run(other, *box).status == 0
    assert scores(root) == scores(other)


def test_a_box_without_a_forecast_is_kept_and_never_mixed_in(tmp_path: Path) -> None:
    root = bench(tmp_path)
    first = run(root, "record", "toffees", "--outcome", "bound", "--fitted", "no")
    assert first.status == 0 and "not scored" in first.out
    assert "no forecast of toffees had been frozen" in first.out
    listed = run(root, "list", "records").out
    assert "kept apart, in no score: 1 box" in listed
    assert "nothing to score" in listed and "came out right" not in listed
    assert run(root, "record", "toffees", "--forecast").status == 0
    assert run(root, "record", "toffees", "--outcome", "slid", "--fitted", "yes").status == 0
    kept = run(root, "record", "toffees", "--outcome", "loose", "--against", "none")
    assert kept.status == 0 and "(--against none)" in kept.out
    told = scores(root)
    assert "what happened, 1 box:" in told and "of 100: 1 of 1 came out right" in told
    assert run(root, "list", "records").out.count("not scored: ") == 2
    assert [row["frozen_forecast"] for row in rows(root)] == ["", "forecast-toffees-0001.json", ""]


def test_which_of_several_forecasts_is_scored(tmp_path: Path) -> None:
    """The newest one for the papers that are told, unless another is named; and it is said."""
    root = bench(tmp_path)
    for more in ((), ("--stock", "lid=cover-80"), ("--seed", "3")):
        assert run(root, "record", "toffees", "--forecast", "--odds", "500", *more).status == 0
    slid = ("record", "toffees", "--outcome", "slid")
    newest = run(root, *slid)
    assert "scored against forecast-toffees-0003" in newest.out
    assert "not against forecast-toffees-0002, forecast-toffees-0001" in " ".join(
        newest.out.split()
    )
    assert (
        "scored against forecast-toffees-0003" in run(root, *slid, "--stock", "base=bench-card").out
    )
    papers = run(root, *slid, "--stock", "lid=cover-80")
    assert "scored against forecast-toffees-0002" in papers.out
    named = run(root, *slid, "--against", "forecast-toffees-0001")
    assert "scored against forecast-toffees-0001" in named.out
    again = run(root, *slid, "--against", "forecast-toffees-0001.json")
    assert "0001, frozen on" in again.out and "2 boxes are by now" in again.out
    without = run(root, *slid, "--stock", "base=cover-65")
    assert without.status == 0 and "with the base of cover-65" in without.out
    wrong = run(root, *slid, "--against", "forecast-toffee-0001")
    assert wrong.status == 2 and wrong.err.count("\n") == 1
    assert "--against: read 'forecast-toffee-0001'; allowed: a frozen forecast" in wrong.err
    assert len(rows(root)) == 6


def test_a_maker_who_went_back_is_scored_against_the_box_that_lies_there(tmp_path: Path) -> None:
    """Three forecasts: as drawn, as drawn, with another oversize; then the first sizes again."""
    root = bench(tmp_path)
    freeze = ("record", "toffees", "--forecast", "--odds", "500")
    file = root / "models" / "toffees.toml"
    before = file.read_text("utf-8")
    assert run(root, *freeze).status == run(root, *freeze).status == 0
    file.write_text(before + "\n# tried another size here\n", "utf-8")
    assert run(root, *freeze).status == 0
    file.write_text(before, "utf-8")
    told = run(root, "record", "toffees", "--outcome", "slid")
    assert told.status == 0 and "scored against forecast-toffees-0002" in told.out


def test_papers_that_were_told_when_it_was_frozen_are_asked_for_again(tmp_path: Path) -> None:
    """Without them nobody knows whether the box is of the design's own papers."""
    root = bench(tmp_path)
    freeze = ("record", "toffees", "--forecast", "--odds", "500")
    assert run(root, *freeze, "--stock", "lid=cover-80").status == 0
    slid = ("record", "toffees", "--outcome", "slid")
    asked = run(root, *slid)
    assert asked.status == 2 and asked.err.count("\n") == 1
    assert "forecast-toffees-0001 was frozen with --stock lid=cover-80" in asked.err
    assert not (root / "calibration/records/boxes.csv").exists()
    assert run(root, *slid, "--stock", "lid=cover-80").status == 0
    assert run(root, *slid, "--against", "none").status == 0
    assert run(root, *freeze).status == 0
    own = run(root, *slid)
    assert "scored against forecast-toffees-0002" in own.out
    # the design's own paper is another one now: what was frozen as its own is scored all the same
    design = root / "models" / "toffees.toml"
    design.write_text(design.read_text().replace('"lid-card"', '"cover-65"'))
    assert "scored against forecast-toffees-0002" in run(root, *slid).out


def test_a_box_made_before_the_freeze_is_not_scored_by_it(tmp_path: Path) -> None:
    root = bench(tmp_path)
    assert run(root, "record", "toffees", "--forecast", "--odds", "500").status == 0
    before = ("record", "toffees", "--outcome", "slid", "--date", "2026-01-15")
    ran = run(root, *before)
    assert ran.status == 0 and "was frozen after 2026-01-15" in " ".join(ran.out.split())
    named = run(root, *before, "--against", "forecast-toffees-0001")
    assert named.status == 2 and "a hindsight is no score" in named.err
    assert [row["frozen_forecast"] for row in rows(root)] == [""]


@pytest.mark.parametrize("frozen", [True, False])
@pytest.mark.parametrize(
    ("told", "said"),
    [
        (("bound",), "a lid that bound is not right where snug or slides is wanted"),
        (("tight",), "a lid that was tight is not right where snug or slides is wanted"),
        (("loose",), "a lid that was loose is not right where snug or slides is wanted"),
        (("slid", "--fitted", "no"), "read yes with --fitted no"),
    ],
)
def test_a_box_is_not_called_right_against_what_is_told_of_it(
    tmp_path: Path, frozen: bool, told: tuple[str, ...], said: str
) -> None:
    """The README: right means that the lid goes on as wanted and that the contents go in."""
    root = bench(tmp_path)
    if frozen:
        assert run(root, "record", "toffees", "--forecast", "--odds", "500").status == 0
    ran = run(root, "record", "toffees", "--outcome", *told, "--right", "yes")
    assert (ran.status, ran.out) == (2, "")
    assert "--right: read yes with" in ran.err and said in ran.err and "; allowed: no" in ran.err
    assert not (root / "calibration/records/boxes.csv").exists()
    assert run(root, "record", "toffees", "--outcome", *told, "--right", "no").status == 0
    assert run(root, "record", "toffees", "--outcome", "slid", "--right", "yes").status == 0


def test_the_options_are_told_apart_by_what_is_made(tmp_path: Path) -> None:
    """A split corner, contents that stayed out, a word of the maker's own."""
    root = bench(tmp_path)
    assert run(root, "record", "toffees", "--forecast", "--odds", "500").status == 0
    made = (
        ("slid", "--fitted", "yes", "--split", "none"),
        ("tight", "--fitted", "yes", "--split", "left-top", "--split", "right-bottom"),
        ("slid", "--fitted", "no"),
        ("slid", "--fitted", "yes", "--right", "no", "--note", "the lid's rim stands on the table"),
    )
    for outcome in made:
        ran = run(root, "record", "toffees", "--outcome", *outcome)
        assert ran.status == 0, ran.err
    told = scores(root)
    assert "1 of 4 came out right" in told
    assert "2 of 3 went in" not in told and ": 3 of 4 went in" in told
    assert "corners: split in 1 of 2 boxes (1 at left-top, 1 at right-bottom)" in told
    assert rows(root)[1]["split"] == "left-top right-bottom" and rows(root)[0]["split"] == "none"
