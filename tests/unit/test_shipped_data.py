"""Every shipped file reads, and every value in it says where it comes from."""

import json
from pathlib import Path

import pytest

from fitcheck import kinds
from fitcheck.design.items import known_items
from fitcheck.design.model import Item
from fitcheck.design.read import read_design
from fitcheck.design.schema import kept_schema, schema_text
from fitcheck.stock.profile_files import read_stock
from fitcheck.stock.tools_files import read_tools
from fitcheck.workspace.paths import shipped_workspace

SHIPPED = shipped_workspace()
ITEMS = known_items((SHIPPED,)).sound()[0]
STOCKS = sorted((SHIPPED / "calibration" / "stocks").glob("*.toml"))
TOOLS = sorted((SHIPPED / "calibration" / "tools").glob("*.toml"))
DESIGNS = sorted(set((SHIPPED / "models").glob("*.toml")) - {SHIPPED / "models" / "items.toml"})


def test_there_is_enough_to_start_with() -> None:
    assert len(ITEMS) >= 28
    assert len(STOCKS) >= 8
    assert {path.stem for path in TOOLS} == {"score-board-inch", "score-board-metric"}
    assert len(DESIGNS) >= 3


@pytest.mark.parametrize("item", ITEMS.values(), ids=str)
def test_an_item_has_a_source_and_an_uncertainty(item: Item) -> None:
    assert len(item.source) > 8
    assert all(0 < u < size / 2 for u, size in zip(item.size_u_mm, item.size_mm, strict=True))
    assert max(item.size_mm) < 250


@pytest.mark.parametrize("path", STOCKS, ids=lambda path: path.stem)
def test_a_stock_has_a_source_and_a_plausible_bulk(path: Path) -> None:
    stock = read_stock(path)
    assert len(stock.source) > 20
    assert stock.grammage_gsm is not None
    bulk = stock.caliper_mm * 1000 / stock.grammage_gsm
    assert 0.9 < bulk < 1.6, "cm3/g, usual for uncoated papers: common practice, no source"
    assert not stock.calibrated, "nobody has folded the shipped papers"
    assert stock.crease_allowance_mm == pytest.approx(0.6073 * stock.caliper_mm, rel=1e-4)
    assert stock.crease_allowance_u_mm == pytest.approx(0.15 * stock.caliper_mm)


def test_assumed_calipers_say_so_and_are_less_sure() -> None:
    for name in ("cardstock-270", "patterned-160", "cover-65", "cover-80", "cover-100"):
        stock = read_stock(SHIPPED / "calibration" / "stocks" / f"{name}.toml")
        assert "measure a stack" in stock.source
        assert stock.caliper_u_mm / stock.caliper_mm > 0.05
    measured = read_stock(SHIPPED / "calibration" / "stocks" / "index-170.toml")
    assert measured.caliper_u_mm / measured.caliper_mm < 0.04


@pytest.mark.parametrize(("name", "grid"), [("inch", 3.175), ("metric", 5.0)])
def test_the_boards_grooves(name: str, grid: float) -> None:
    tools = read_tools(SHIPPED / "calibration" / "tools" / f"score-board-{name}.toml")
    assert tools.grid_mm == pytest.approx(grid, abs=1e-12)
    assert tools.on_grid(7 * grid + 0.04)
    assert not tools.on_grid(7.5 * grid)
    assert tools.score_u_on_grid_mm < tools.score_u_off_grid_mm
    assert tools.source


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_a_design_reads(path: Path) -> None:
    design = read_design(path, roots=(SHIPPED,))
    assert design.name == path.stem
    assert design.contents
    assert design.mates


def test_hazards_are_marked_on_what_can_hurt() -> None:
    for name, item in ITEMS.items():
        assert ("coin" in item.hazards) == name.startswith(("coin-", "roll-"))
    assert ITEMS["cell-cr2032"].hazards == {"button-cell"}
    assert all("food" in ITEMS[name].hazards for name in ("tea-sachet", "chocolate-coin"))
    assert ITEMS["marble-glass"].kind is kinds.SPHERE


def test_the_unit_says_that_centimetres_are_told_in_millimetres() -> None:
    said = json.loads(kept_schema())["properties"]["unit"]["description"]
    assert "in cm is told in mm" in said


def test_the_kept_schema_is_the_models_own() -> None:
    assert kept_schema() == schema_text()


def test_every_key_of_the_schema_is_described() -> None:
    schema = json.loads(kept_schema())
    tables = {"": schema, **schema["$defs"]}
    bare = [
        f"{table}.{key}"
        for table, part in tables.items()
        for key, value in part.get("properties", {}).items()
        if len(value.get("description", "")) < 8
    ]
    assert bare == []
    assert schema["additionalProperties"] is False
    assert "null" not in kept_schema()
