"""Kinds as registered values: what each says of itself agrees, and registers keep offers apart."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from importlib.metadata import EntryPoint
from types import SimpleNamespace
from typing import Any

import pytest

from fitcheck import kinds
from fitcheck.design.items import known_items
from fitcheck.design.versions import Ingredient, versions_of
from fitcheck.errors import InputError
from fitcheck.face.designs import build
from fitcheck.kinds import KINDS
from fitcheck.kinds.kind import Item, Kind, Lay, lays
from fitcheck.kinds.poses import Disc, Polygon, Pose, Shape
from fitcheck.solids.placeholders import placeholder, square_share
from fitcheck.workspace.paths import shipped_workspace
from fitcheck.workspace.registers import Register
from tests.face_designs import LIDDED

ITEMS = known_items([shipped_workspace()])


@pytest.mark.parametrize("kind", KINDS.own, ids=str)
def test_a_kind_is_found_by_its_name(kind: Kind) -> None:
    assert KINDS.get(kind.name) is kind
    assert str(kind) == kind.name
    assert len(kind.sides) == 3 and set(kind.sides) == set(range(len(kind.sizes)))


@pytest.mark.parametrize("name", ITEMS)
def test_every_pose_and_the_stand_in_have_the_items_own_sizes(name: str) -> None:
    item = ITEMS[name]
    wanted = sorted(item.kind.extents(item))
    for pose in lays(item, Lay.ANY):
        assert sorted([pose.width_mm, pose.length_mm, pose.height_mm]) == pytest.approx(wanted)
    printed = item.kind.printed(item)
    assert sorted(placeholder(printed).size_mm) == pytest.approx(wanted)
    assert printed.shape in (Shape.PRISM, Shape.BALL)


def test_text_goes_where_the_plan_holds_it() -> None:
    """A rectangle similar to the extents, about their middle (by hand)."""
    assert square_share(Pose("", 4, 2, 1)) == 1.0
    assert square_share(Pose("", 4, 4, 1, Disc())) == pytest.approx(1 / math.sqrt(2))
    # ridge up: its upper corners meet the slopes y = 1 - 2 |x| / 2 of a triangle 2 by 2
    triangle = Polygon(((-1.0, -1.0), (1.0, -1.0), (0.0, 1.0)))
    assert square_share(Pose("", 2, 2, 1, triangle)) == pytest.approx(1 / 3)
    away = Polygon(((-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0)))
    assert square_share(Pose("", 2, 2, 1, away)) == 0.0


def test_what_only_a_kind_knows_is_part_of_an_items_version() -> None:
    @dataclass(frozen=True)
    class Ridged(Item):
        ridge: float = 0.5

    def digest(item: Item) -> str:
        drawn = build(LIDDED)._drawn
        (content,) = drawn.contents
        design = replace(drawn, contents=(replace(content, item=item),))
        return next(v.sha256 for v in versions_of(design) if v.what is Ingredient.ITEM)

    plain = {
        "name": "a", "kind": kinds.BLOCK, "size_mm": (1.0, 2.0, 3.0), "corner_radius_mm": 0.0,
        "mesh_path": None, "size_u_mm": (0.0,) * 3, "size_range_mm": None, "source": "",
        "hazards": frozenset(),
    }  # fmt: skip
    one, other = Ridged(**plain), Ridged(**plain, ridge=0.3)  # type: ignore[arg-type]
    assert digest(one) != digest(other)
    assert digest(one) == digest(Ridged(**plain))  # type: ignore[arg-type]


@pytest.fixture
def offered(monkeypatch: pytest.MonkeyPatch) -> Callable[..., Register[Any]]:
    """A register in whose group others offer so many names, each with where it is."""

    def offer(*named: tuple[str, str]) -> Register[Any]:
        entries = [EntryPoint(name, value, "some.group") for name, value in named]
        monkeypatch.setattr("importlib.metadata.entry_points", lambda group: entries)
        ours = {"ours": lambda: SimpleNamespace(name="ours", summary="x")}
        return Register("thing", "some.group", ours, lambda _: "")

    return offer


def test_ours_is_found_without_asking_anybody(monkeypatch: pytest.MonkeyPatch) -> None:
    def asked(group: str) -> None:
        raise AssertionError("nobody has to be asked")

    monkeypatch.setattr("importlib.metadata.entry_points", asked)
    ours = SimpleNamespace(name="ours", summary="x")
    register = Register("thing", "some.group", {"ours": lambda: ours}, lambda _: "")
    assert register.get("ours") is ours
    assert next(register.sound()) is ours


def test_an_offer_is_loaded_once_and_only_when_it_is_asked_for(
    offered: Callable[..., Register[Any]],
) -> None:
    register = offered(("pi", "math:pi"), ("gone", "no.such.module:X"))
    assert register.names == ("ours", "gone", "pi")
    with pytest.raises(InputError, match=r"'pi' of the package math: cannot be loaded"):
        register.get("pi")  # a number has no name
    with pytest.raises(InputError, match="No module named"):
        register.get("gone")
    with pytest.raises(KeyError):
        register.get("nobody's")
    assert [one.name for one in register.sound()] == ["ours"]
    assert len(register.problems()) == 2


def test_one_value_that_is_named_twice_is_one_offer(
    offered: Callable[..., Register[Any]],
) -> None:
    """As an installation that is found on two paths names it."""
    register = offered(
        ("a", "tests.unit.test_kinds:NAMED_A"), ("a", "tests.unit.test_kinds:NAMED_A")
    )
    assert register.get("a") is NAMED_A
    assert register.problems() == ()


NAMED_A = SimpleNamespace(name="a", summary="x")
