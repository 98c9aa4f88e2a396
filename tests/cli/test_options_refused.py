"""Whatever is wrong with an option is told first, in one line: nothing was worked out or printed.

To see that nothing was worked out, the functions that do the work are taken away.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import fitcheck
from fitcheck.odds.suggest import Suggestions
from tests.cli.called import Call, caller
from tests.cli.designs import FRAMED

WORK = (
    "fitcheck.fit.check.check",
    "fitcheck.fit.assembly.assemble",
    "fitcheck.sheet.job.sheet_job",
    "fitcheck.outputs.coupon_files.coupon_files",
    "fitcheck.outputs.gauge_files.gauge_files",
    "fitcheck.outputs.coupon_files.hand_files",
    "fitcheck.learn.session.learn_from",
)
BIG = "9" * 4000

# the command, and what its line must hold beside the option
REFUSED: list[tuple[str, str]] = [
    ("check box.toml --odds 0", "--odds: read 0; allowed: 100 to 2000000 boxes"),
    ("check box.toml --odds -5", "--odds: read -5; allowed: 100"),
    ("check box.toml --odds 99", "--odds: read 99; allowed: 100"),
    (f"check box.toml --odds {BIG}", "--odds: read a whole number of about 4000 digits"),
    ("check box.toml --no-odds --odds 500", "--odds: read it beside --no-odds"),
    ("check box.toml --no-odds --humidity 30:70", "--humidity: read it beside --no-odds"),
    ("check box.toml --humidity 70:30", "--humidity: read '70:30'; allowed: LOW:HIGH"),
    ("check box.toml --humidity 30", "--humidity: read '30'"),
    ("check box.toml --humidity 0.3:0.7", "for shares of one write --humidity 30:70"),
    ("check box.toml --humidity 30:70 --made-at 0.4", "for a share of one write --made-at 40"),
    ("check box.toml --humidity 0:1", "for shares of one write --humidity 0:100"),
    ("record box.toml --forecast --humidity 0.3:0.55", "write --humidity 30:55"),
    ("check box.toml --humidity nan:nan", "--humidity: read 'nan:nan'"),
    ("check box.toml --made-at 40", "--made-at: read it without --humidity"),
    ("check box.toml --humidity 30:70 --made-at 140", "--made-at: read 140.0; allowed: 0 to 100"),
    ("check box.toml --humidity 30:70 --made-at nan", "--made-at: read nan"),
    ("check box.toml --stock lid", "--stock: read 'lid'; allowed: PART=NAME"),
    ("check box.toml --stock lid=tag-165 --stock lid=text-80", "the second one for 'lid'"),
    ("check box.toml --stock drawer=tag-165", "has no such part; read 'drawer'"),
    ("check box.toml --stock lid=tag-166", "--stock lid=tag-166: no such stock; read 'tag-166'"),
    (f"check box.toml --stock lid={'x' * 5000}", "no such stock; read 'xxx"),
    ("new ../box", "NAME: read '../box'; allowed: up to 60 letters"),
    ("new coins", "--item, --describe or --room: missing; allowed: given as an option"),
    ("new coins --item coin-us-cent", "--style: missing"),
    ("new coins --item coin-us-cent --style tray", "--stock: missing"),
    (
        "new coins --item coin-us-cent --style collar --style dividers --stock base=tag-165",
        "--style: read 'collar' and 'dividers'; allowed: one of them",
    ),
    (
        "new coins --room 70x80x20mm --room 7x8x2cm --style tray --stock base=tag-165",
        "--room: read '70x80x20mm' and '7x8x2cm'; allowed: one of them",
    ),
    (
        "new coins --item coin-us-cent --style tray --stock base=tag-165 --sits snug --sits slides",
        "--sits: read 'snug' and 'slides'; allowed: one of them",
    ),
    (
        "new coins --item coin-us-cent --style tray --tools score-board-inch "
        "--tools score-board-metric --stock base=tag-165",
        "--tools: read 'score-board-inch' and 'score-board-metric'; allowed: one of them",
    ),
    (
        "new oma-sch\u00f6n --item coin-us-cent --style tray --stock base=tag-165",
        "NAME: read 'oma-sch\u00f6n'; allowed: up to 60 letters a to z, large or small",
    ),
    (
        "learn papier-bl\u00fcmchen --rebuild",
        "allowed: up to 60 letters a to z, large or small, digits, dots",
    ),
    ("new coins --item coin-us-cent:0 --style tray --stock base=tag-165", "read 'coin-us-cent:0'"),
    ("new coins --item coin-us-cent:501 --style tray --stock base=tag-165", "up to 500"),
    (
        "new coins --item coin-us-cent --style colar --stock base=tag-165",
        "--style: read 'colar'; allowed",
    ),
    ("new coins --item coin-us-cent --style tray --stock lid=tag-165", "--stock: missing"),
    (
        "new coins --item coin-us-cent --style tuck-end --stock base=tag-165 --stock lid=tag-165",
        "no such part",
    ),
    (
        "new coins --item coin-us-cent --style tray --stock base=tag-165 --sits tight",
        "--sits: read 'tight'",
    ),
    ("explain scroe", "WORD: no such word; read 'scroe'"),
    ("compare box.toml", "OTHER: one design is given and no --stock; allowed: two designs"),
    ("compare box.toml --stock lid=tag-166", "--stock lid=tag-166: no such stock; read"),
    ("compare box.toml --stock lid", "--stock: read 'lid'; allowed: PART=NAME"),
    ("compare box.toml box.toml --odds 0", "--odds: read 0; allowed: 100 to 2000000 boxes"),
    ("compare box.toml gone.toml", "gone.toml: no such file"),
    ("suggest box.toml --for-stock lid", "--for-stock: read 'lid'; allowed: PART=NAME"),
    ("suggest box.toml --for-stock lid=tag-166", "--for-stock lid=tag-166: no such stock; read"),
    ("suggest box.toml --for-stock drawer=tag-165", "--for-stock drawer=tag-165: box.toml has no"),
    ("suggest box.toml --for-tools hammer", "--for-tools: no such tool profile; read 'hammer'"),
    ("suggest box.toml --take 2", "--take: read 2 without -o"),
    ("suggest box.toml --take 6 -o new.toml", "--take: read 6; allowed: 1 to 5"),
    (f"suggest box.toml --take {BIG}", "--take: read a whole number of about 4000 digits"),
    ("suggest box.toml -o box.toml", "box.toml"),
    ("sheet box.toml -o out --format png", "--format: read 'png'; allowed: svg, pdf, dxf"),
    ("publish box.toml -o out --paper a3", "--paper: read 'a3'; allowed: letter or a4"),
    ("publish box.toml -o out --for-stock lid", "--for-stock: read 'lid'; allowed: PART=NAME"),
    (
        "publish box.toml -o out --stock lid=tag-165 --for-stock lid=tag-166",
        "--for-stock lid=tag-166: no such stock; read 'tag-166'",
    ),
    ("publish box.toml -o out --stock lid=tag-166", "--stock lid=tag-166: no such stock; read"),
    ("publish box.toml -o out --for-tools hammer", "--for-tools: no such tool profile; read"),
    ("publish box.toml -o out --no-odds --odds 500", "--odds: read it beside --no-odds"),
    ("sheet box.toml -o out --paper a5", "--paper: read 'a5'; allowed: letter"),
    ("sheet box.toml -o out --class 0", "--class: read 0; allowed: 1 to 100000 kits"),
    ("sheet box.toml -o out --bought 8x", "--bought: read '8x'"),
    ("sheet box.toml -o out --bought 8xlarge", "--bought: read '8xlarge'"),
    ("sheet box.toml -o out --bought 0x11", "--bought: read '0x11'; allowed: sides above 0"),
    (f"sheet box.toml -o out{' --bought a4' * 51}", "--bought: read 51 of them"),
    ("dummy box.toml -o out --wall 1", "--wall: read '1'; allowed: 1.2 to 50 mm"),
    ("dummy box.toml -o out --wall 1e300", "--wall: read '1e300'; allowed: 1.2"),
    ("dummy box.toml -o out --wall thick", "--wall: read 'thick', which is not a length"),
    ("dummy box.toml -o out --bed 180x180", "--bed: read '180x180'; allowed: three lengths"),
    ("dummy box.toml -o out --bed 0x1x1", "--bed: read '0x1x1'; allowed: three lengths"),
    ("dummy box.toml -o out --bed 1e9x1x1", "--bed: read '1e9x1x1'; allowed: three lengths"),
    ("dummy box.toml -o out --printer none", "--printer: no such printer; read 'none'"),
    ("coupon index-110 -o out --paper a5", "--paper: read 'a5'"),
    ("coupon index-110 -o out --tools hammer", "no such tool profile; read 'hammer'"),
    ("coupon index-110 --hand -o out", "--hand: read it for 'index-110', which is a stock"),
    ("coupon mine --hand -o out --tools hammer", "no such tool profile; read 'hammer'"),
    ("coupon con --hand -o out", "STOCK: read 'con'; allowed: up to 60 letters"),
    (
        "coupon score-board-inch -o out --tools score-board-metric",
        "--tools: read 'score-board-metric' for the coupon of 'score-board-inch'",
    ),
    ("coupon score-board-inch -o out --printer x", "--printer: read it for 'score-board-inch'"),
    ("learn score-board-inch r.csv --joint 0.1", "--joint: read it for 'score-board-inch'"),
    ("learn score-board-inch r.csv --setback 0.1", "--setback: read it for 'score-board-inch'"),
    ("learn score-board-inch r.csv --want caliper=1", "--want: read it for 'score-board-inch'"),
    ("learn score-board-inch r.csv --design box.toml", "--design: read it for 'score-board-inch'"),
    ("check box.toml --by MK", "--by: read 'MK', and nobody's hand was measured apart with"),
    (f"check box.toml --by {'m' * 3000}", "--by: read 'mmm"),
    ("coupon con -o out", "STOCK: read 'con'; allowed: up to 60 letters"),
    (f"coupon {'y' * 251} -o out", "STOCK: read 'yyy"),
    (f"gauge {'y' * 251} -o out", "PRINTER: read 'yyy"),
    ("gauge mine. -o out", "PRINTER: read 'mine.'; allowed: up to 60 letters"),
    ("gauge mine -o out --want 0", "--want: read '0'; allowed: 0.0144 mm"),
    ("gauge mine -o out --want 1e300", "--want: read '1e300'; allowed: 0.0144 mm"),
    ("gauge mine -o out --size 10", "--size: read '10'; allowed: 15 to 140 mm"),
    ("gauge mine -o out --size wide", "--size: read 'wide', which is not a length"),
    (f"gauge mine -o out{' --size 20' * 7}", "--size: read 7 of them; allowed: up to 6"),
    ("learn index-110 r.csv --want caliper=inf", "--want: read 'caliper=inf'"),
    ("learn index-110 r.csv --want caliper", "--want: read 'caliper'"),
    ("learn index-110 r.csv --want width=1", "--want: read 'width=1'"),
    ("learn index-110 r.csv --joint 9", "--joint: read '9'; allowed: 0 to 5 mm"),
    ("learn index-110 r.csv --setback -1", "--setback: read '-1'; allowed: 0 to 5 mm"),
    ("learn index-110 r.csv --tools hammer", "no such tool profile; read 'hammer'"),
    ("learn index-110 r.csv --design box.toml", "--design: read 'box.toml', which has no lid or"),
    ("learn index-110 r.csv --design none", "no such design; read 'none'"),
    ("learn index-110 r.csv --confirm chanels", "--confirm: read 'chanels'; allowed: channels"),
    ("learn index-110 --rebuild --confirm gap", "--confirm, --new: read without READINGS.csv"),
    ("learn mine --rebuild --new", "--confirm, --new: read without READINGS.csv"),
    ("learn index-110 r.csv --rebuild", "give READINGS.csv or --rebuild"),
    ("learn index-110", "give READINGS.csv or --rebuild"),
    ("record box.toml --outcome slid --date 2026-13-01", "--date: read '2026-13-01'"),
    ("record box.toml --outcome slid --date 9999-01-01", "--date: read '9999-01-01', a day to"),
    ("record box.toml --outcome slid --play 99", "--play: read '99'; allowed: 0 to 20 mm"),
    (
        "record box.toml --outcome slid --play 10.5",
        "--play: read '10.5' with --outcome slid, and from 1.50 mm of play on a lid of this design",
    ),
    (
        "record box.toml --outcome loose --play 0.1",
        "--play: read '0.1' with --outcome loose, and a lid of this design is loose from 1.50 mm",
    ),
    ("record box.toml --outcome slid --play 0.4:0.3", "--play: read '0.4:0.3'; allowed: GO:NOGO"),
    ("record box.toml --outcome slid --sink 6.2", "--sink: read '6.2'; allowed: times with their"),
    ("record box.toml --outcome slid --sink 0.1s", "--sink: read '0.1s'; allowed: up to 20 times"),
    ("record box.toml --outcome bound --sink 5s", "--sink: read it with --outcome bound"),
    ("record box.toml --outcome slid --before 5s", "--before: read it without times of the same"),
    (f"record box.toml --outcome slid --note {'n' * 2000}", "--note: read 'nnn"),
    ("record box.toml", "--outcome: read nothing; allowed: bound, tight, slid, loose"),
    ("record box.toml --forecast --outcome slid", "--outcome: read it beside --forecast"),
    ("record box.toml --forecast --play 0.3", "--play: read it beside --forecast"),
    ("record box.toml --forecast --date 2026-01-01", "--date: read it beside --forecast"),
    ("record box.toml --forecast --against none", "--against: read it beside --forecast"),
    ("record box.toml --forecast --split none", "--split: read it beside --forecast"),
    ("record box.toml --forecast --note x", "--note: read it beside --forecast"),
    ("record box.toml --forecast --odds 0", "--odds: read 0; allowed: 100 to 2000000 boxes"),
    ("record box.toml --forecast --humidity 70:30", "--humidity: read '70:30'; allowed: LOW:HIGH"),
    ("record box.toml --forecast --stock lid=tag-166", "no such stock; read 'tag-166'"),
    ("record box.toml --outcome slid --seed 0", "--seed: read it without --forecast"),
    ("record box.toml --outcome slid --odds 500", "--odds: read it without --forecast"),
    ("record box.toml --outcome slid --humidity 30:70", "--humidity: read it without --forecast"),
    ("record box.toml --outcome slid --split front", "--split: read 'front'; allowed: left-top"),
    ("record box.toml --outcome slid --split none --split left-top", "read 'none' beside others"),
    (
        "record box.toml --outcome tight --play 0.3",
        "--outcome tight, and a lid that was tight",
    ),
    ("record box.toml --outcome slid --against box", "--against: read 'box'; allowed: a frozen"),
    (
        f"record box.toml --outcome slid --against {'x' * 5000}",
        "allowed: a frozen forecast of box, or none; none are known",
    ),
    ("record box.toml --outcome slid --against ../forecast-box-0001", "--against: read '../fore"),
]


@pytest.fixture
def call(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], tmp_path: Path
) -> Call:
    (tmp_path / "models").mkdir()
    (tmp_path / "box.toml").write_text(FRAMED)
    monkeypatch.chdir(tmp_path)
    return caller(monkeypatch, capfd)


def take_away(monkeypatch: pytest.MonkeyPatch, instead: Callable[..., None]) -> None:
    """Everywhere in the program: a module loaded meanwhile would keep what stands there instead."""
    for found in pkgutil.walk_packages(fitcheck.__path__, "fitcheck."):
        importlib.import_module(found.name)
    work = [pkgutil.resolve_name(place) for place in WORK]
    loaded = [module for name, module in sys.modules.items() if name.startswith("fitcheck.")]
    for module in loaded:
        for name, value in list(vars(module).items()):
            if any(value is one for one in work):
                monkeypatch.setattr(module, name, instead)


@pytest.mark.parametrize(("words", "told"), REFUSED, ids=lambda text: text[:60])
def test_an_option_is_refused_before_any_work(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, call: Call, words: str, told: str
) -> None:
    def worked(*_: object, **__: object) -> None:
        raise AssertionError("work was begun before the options were read")

    take_away(monkeypatch, worked)
    before = sorted(tmp_path.rglob("*"))
    ran = call(*words.split(" "))
    assert (ran.status, ran.out) == (2, "")
    (line,) = ran.err.splitlines()
    assert line.startswith("fitcheck: ") and told in line
    assert len(line) < 600
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize(
    "words",
    [
        "check box.toml --seed -1",
        f"check box.toml --seed {BIG}",
        "check box.toml --odds many",
        "suggest box.toml --odds 99",
        "suggest box.toml --take 0",
        "dummy box.toml -o out --only lids",
        "dummy box.toml -o out --true left",
        "list papers",
        f"list {'x' * 100_000}",
        "list \x1b[2J\x1b]0;mine\x07",
        "record box.toml --outcome flew",
        "record box.toml --outcome slid --fitted perhaps",
        "record box.toml --outcome slid --right 1",
        "record box.toml --forecast --seed -1",
        f"--{'x' * 100_000}",
        "no-such-command",
    ],
    ids=lambda text: text[:60],
)
def test_what_the_command_line_itself_refuses_is_short_and_plain(call: Call, words: str) -> None:
    ran = call(*words.split(" "))
    assert (ran.status, ran.out) == (2, "")
    assert len(ran.err) < 2000 and "\x1b" not in ran.err and "\x07" not in ran.err


def test_a_suggestion_that_is_not_there_is_refused_before_the_list_is_printed(
    call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    from fitcheck.odds import suggest as module

    whole = module.suggest

    def only_one(*given: Any, **more: Any) -> Suggestions:
        found = whole(*given, **more)
        return replace(found, ranked=(found.original,))

    monkeypatch.setattr(module, "suggest", only_one)
    ran = call("suggest", "box.toml", "--odds", "100", "--take", "2", "-o", "new.toml")
    assert (ran.status, ran.out) == (2, "")
    assert "--take: read 2; allowed: 1 to 1" in ran.err


@pytest.mark.parametrize("take", [(), ("--take", "2")])
def test_where_nothing_is_suggested_nothing_is_written(
    call: Call, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, take: tuple[str, ...]
) -> None:
    from fitcheck.odds import suggest as module

    whole = module.suggest

    def none(*given: Any, **more: Any) -> Suggestions:
        return replace(whole(*given, **more), ranked=())

    monkeypatch.setattr(module, "suggest", none)
    ran = call("suggest", "box.toml", "--odds", "100", *take, "-o", "new.toml")
    assert (ran.status, ran.out) == (2, "")
    assert "no sizes near it come out right oftener" in ran.err and "nothing was written" in ran.err
    assert not (tmp_path / "new.toml").exists()
