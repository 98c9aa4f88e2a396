"""Broken and odd input never ends in anything but an answer or a line that says what is wrong.

Designs are drawn from the project's JSON Schema; every shipped file and one of every other format
that is read is changed byte by byte. 500 cases by default, 20 000 in the long tier, the same ones
on every run. `running` says what is asked of each.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fitcheck.learn.boxes_file import add_box
from fitcheck.learn.forecast import forecast_text
from fitcheck.learn.forecast_files import add_forecast, read_forecast
from fitcheck.learn.made import BoxOutcome, BoxRecord, Forecast
from tests.cli.commands import ROOT
from tests.forecasts import frozen_forecast
from tests.fuzz import shipped
from tests.fuzz.from_schema import designs
from tests.fuzz.mutations import mutated
from tests.fuzz.running import Case, faults_of

DESIGNS, MUTANTS = 100, 400
LONG_DESIGNS, LONG_MUTANTS = 6_000, 14_000
MOST_WRONG = 20
"""Cases that went wrong before no more are asked."""

CHECK = ("check", "box.toml", "--no-odds")
COMMANDS: tuple[tuple[str, ...], ...] = (
    *(CHECK,) * 14,
    (*CHECK, "--json", "out/a.json", "--report", "out/a.html"),
    ("check", "box.toml", "--odds", "200", "--seed", "3", "--details"),
    ("check", "box.toml", "--odds", "100", "--humidity", "30:70", "--json", "out/b.json"),
    ("sheet", "box.toml", "-o", "out", "--class", "25", "--bought", "12x12", "--bought", "a4"),
    ("sheet", "box.toml", "-o", "out", "--format", "dxf", "--json", "out/c.json"),
    ("suggest", "box.toml", "--odds", "100"),
)
RECORD = ("record", "box.toml", "--outcome", "slid", "--date", "2026-11-20")
MESHED = """\
[thing]
kind = "mesh"
file = "thing{}"
source = "a scan"
"""
HOLDING = """\
format = 1
title = "Box of things"
unit = "mm"
[base]
style = "tray"
stock = "{stock}"
floor = [90, 60]
depth = 20
[[content]]
item = "{item}"
count = 2
"""


def plain(item: str = "thing", stock: str = "cover-80") -> bytes:
    return HOLDING.format(item=item, stock=stock).encode()


def long_or_short(short: int, long: int) -> Callable[..., object]:
    """Both tiers of one test: so many cases by default, so many in the long tier."""
    return pytest.mark.parametrize(
        "cases", [short, pytest.param(long, marks=pytest.mark.long)], ids=["short", "long"]
    )


def asked(cases: int, strategy: st.SearchStrategy[Case]) -> None:
    """Run so many cases of a strategy and show those that went wrong, as they were drawn.

    What is shipped stays as it is. Nothing is raised while cases are drawn: to shrink a case that
    takes all of its time takes hours, and the others would never be asked.
    """
    before = digest(ROOT / "models"), digest(ROOT / "calibration")
    wrong: list[tuple[Case, list[str]]] = []
    done = 0

    @settings(max_examples=cases, database=None, suppress_health_check=list(HealthCheck))
    @given(strategy)
    def ask(case: Case) -> None:
        nonlocal done
        if len(wrong) < MOST_WRONG:
            done += 1
            faults = faults_of(case)
            if faults:
                wrong.append((case, faults))
                # at once: a run that is stopped has said what it found
                print(f"case {done}: {case.command} {faults}\n{case.files}", flush=True)

    ask()
    print(f"{done} cases, {len(wrong)} went wrong")
    assert wrong == []
    assert (digest(ROOT / "models"), digest(ROOT / "calibration")) == before


def digest(folder: Path) -> str:
    total = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            total.update(str(path).encode() + path.read_bytes())
    return total.hexdigest()


@pytest.fixture(scope="module")
def boxes_file(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A record of boxes as the program itself keeps it."""
    root = tmp_path_factory.mktemp("kept")
    forecast = Forecast("slides", 0.3, (0.1, 0.8, 0.1))
    frozen = read_forecast(add_forecast(root, frozen_forecast(0.4, 0.3, fits=0.9))).frozen
    slid = BoxRecord(
        "2026-11-20", "kh", "box", "box", BoxOutcome.SLID, 0.2, 0.4, "card", forecast, "first",
        fitted=True, split=(), frozen=frozen,
    )  # fmt: skip
    add_box(root, slid)
    return add_box(root, replace(slid, frozen=None)).read_bytes()


@long_or_short(DESIGNS, LONG_DESIGNS)
def test_designs_from_the_schema(cases: int) -> None:
    asked(
        cases,
        st.builds(
            lambda text, command: Case({"box.toml": text}, command, keeps=command[0] == "record"),
            designs(),
            st.sampled_from((*COMMANDS, RECORD)),
        ),
    )


@long_or_short(MUTANTS, LONG_MUTANTS)
def test_files_changed_byte_by_byte(cases: int, boxes_file: bytes) -> None:
    asked(cases, st.one_of([*toml_cases(), *csv_cases(boxes_file), *mesh_cases()]))


def toml_cases() -> list[st.SearchStrategy[Case]]:
    """Designs, items, stocks, tools and printers."""

    def one(
        files: tuple[bytes, ...], name: str, commands: tuple[tuple[str, ...], ...], **more: bytes
    ) -> st.SearchStrategy[Case]:
        beside = {path.replace("__", "/") + ".toml": data for path, data in more.items()}
        return st.builds(
            lambda data, command: Case({**beside, name: data}, command),
            st.sampled_from(files).flatmap(mutated),
            st.sampled_from(commands),
        )

    stocked = plain("card-id1", "mine")
    tooled = plain("card-id1").replace(b'unit = "mm"', b'unit = "mm"\ntools = "mine"')
    return [
        one(shipped.DESIGN_FILES, "box.toml", COMMANDS),
        one(shipped.DESIGN_FILES, "box.toml", (CHECK,)),
        one((shipped.ITEMS_FILE,), "models/items.toml", (CHECK, ("list", "items")), box=plain()),
        one(
            shipped.STOCK_FILES,
            "calibration/stocks/mine.toml",
            (CHECK, ("list", "stocks"), ("learn", "mine", "--rebuild")),
            box=stocked,
        ),
        one(
            shipped.TOOL_FILES,
            "calibration/tools/mine.toml",
            (("sheet", "box.toml", "-o", "out"), ("list", "tools"), CHECK),
            box=tooled,
        ),
        one((shipped.PRINTER_FILE,), "calibration/printers/mine.toml", (("list", "printers"),)),
    ]


def csv_cases(boxes: bytes) -> list[st.SearchStrategy[Case]]:
    """Readings that are learnt from, readings that were kept, and boxes that were recorded."""
    readings = shipped.readings_file()
    kept = "calibration/records/stock-cover-80-2026-11-20-1.csv"
    return [
        mutated(readings).map(
            lambda data: Case({"r.csv": data}, ("learn", "cover-80", "r.csv"), keeps=True)
        ),
        st.builds(
            lambda data, command: Case({kept: data}, command, keeps=True),
            mutated(readings),
            st.sampled_from([("learn", "cover-80", "--rebuild"), ("list", "records")]),
        ),
        st.builds(
            lambda data, command: Case(
                {"calibration/records/boxes.csv": data, "box.toml": plain("card-id1")},
                command,
                keeps=True,
            ),
            mutated(boxes),
            st.sampled_from([RECORD, ("list", "records"), ("list", "records", "--details")]),
        ),
        st.builds(
            lambda data, command: Case(
                {
                    "calibration/records/forecast-box-0001.json": data,
                    "calibration/records/boxes.csv": boxes,
                    "box.toml": plain("card-id1"),
                },
                command,
                keeps=True,
            ),
            mutated(forecast_text(frozen_forecast(0.4, 0.3, fits=0.9)).encode()),
            st.sampled_from([RECORD, ("list", "records"), ("list", "records", "--details")]),
        ),
    ]


def mesh_cases() -> list[st.SearchStrategy[Case]]:
    """Meshes of every format as the content of a box."""

    def one(ending: str, data: bytes) -> st.SearchStrategy[Case]:
        items = MESHED.format(ending).encode()
        return st.builds(
            lambda mesh, command: Case(
                {"models/items.toml": items, f"models/thing{ending}": mesh, "box.toml": plain()},
                command,
            ),
            mutated(data),
            st.sampled_from([CHECK, ("list", "items")]),
        )

    return [one(ending, data) for ending, data in shipped.mesh_files().items()]
