"""A name is found in either form of Unicode: one letter, or a letter and the mark over it.

The two forms are those of Unicode Standard Annex 15 (NFC and NFD): file systems and keyboards give
either, and nobody sees which.
"""

from __future__ import annotations

import tomllib
import unicodedata
from pathlib import Path

import pytest

import fitcheck
from fitcheck.design.items import find_item, known_items
from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.plain import folded
from fitcheck.workspace.designs import find_design
from tests.cli.commands import fitcheck_here

ONE, TWO = "Ufer-M\u00f6we", "Ufer-Mo\u0308we"
ITEM_ONE, ITEM_TWO = "Kn\u00f6pfe", "Kno\u0308pfe"
FORMS = [(ONE, TWO), (TWO, ONE)]
DESIGN = """
format = 1
title = "Box"
unit = "mm"
[base]
style = "tray"
stock = "cover-80"
floor = [71, 96]
depth = 26
[[content]]
item = "{item}"
"""
ITEMS = """
["{item}"]
kind = "block"
size = [20, 30, 10]
source = "invented"
"""


def test_the_two_forms_are_what_they_are_said_to_be() -> None:
    assert ONE != TWO and unicodedata.normalize("NFC", TWO) == ONE


@pytest.mark.parametrize(("kept", "typed"), FORMS)
@pytest.mark.parametrize(("described", "asked"), [(ITEM_ONE, ITEM_TWO), (ITEM_TWO, ITEM_ONE)])
def test_a_design_and_its_items_are_found(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    kept: str,
    typed: str,
    described: str,
    asked: str,
) -> None:
    models = tmp_path / "models"
    models.mkdir()
    (models / f"{kept}.toml").write_text(DESIGN.format(item=asked), encoding="utf-8")
    (models / "items.toml").write_text(ITEMS.format(item=described), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    for given in (typed, f"models/{typed}.toml", kept):
        ran = fitcheck_here("check", given, "--no-odds", cwd=tmp_path)
        assert ran.status == 0, ran.err
        assert "everything fits" in ran.out
    design = read_design(find_design(Path(typed)))
    assert design.name == ONE
    assert design.contents[0].item.name == ITEM_ONE
    assert fitcheck.read(models / f"{typed}.toml").contents == ((ITEM_ONE, 1),)


@pytest.mark.parametrize("described", [ITEM_ONE, ITEM_TWO])
@pytest.mark.parametrize("asked", [ITEM_ONE, ITEM_TWO])
def test_items_are_found_by_what_is_typed(tmp_path: Path, described: str, asked: str) -> None:
    (tmp_path / "models").mkdir()
    path = tmp_path / "models" / "items.toml"
    path.write_text(ITEMS.format(item=described), encoding="utf-8")
    assert find_item(asked, known_items([tmp_path])).size_mm == (20.0, 30.0, 10.0)
    data = tomllib.loads(DESIGN.format(item=asked))
    assert fitcheck.build(data, workspace=tmp_path).contents == ((ITEM_ONE, 1),)


@pytest.mark.parametrize(("kept", "typed"), FORMS)
def test_a_design_in_the_current_folder_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kept: str, typed: str
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / f"{kept}.toml").write_text("")
    assert find_design(Path(typed)).samefile(f"{kept}.toml")


def test_both_forms_side_by_side_stay_two(tmp_path: Path) -> None:
    for name in (ONE, TWO):
        (tmp_path / f"{name}.toml").write_text("")
    if len(list(tmp_path.iterdir())) < 2:
        pytest.skip("this file system takes both for one")
    for name in (ONE, TWO):
        assert find_design(tmp_path / f"{name}.toml").name == f"{name}.toml"


def test_a_person_is_the_same_in_either_form() -> None:
    assert folded("Zo\u00eb") == folded("Zoe\u0308")


def test_a_mesh_and_a_photograph_are_found(tmp_path: Path) -> None:
    models = tmp_path / "models"
    models.mkdir()
    (models / "items.toml").write_text(
        f'["duck"]\nkind = "mesh"\nfile = "{ONE}.stl"\nsource = "invented"\n', encoding="utf-8"
    )
    (models / f"{TWO}.stl").write_bytes(b"")
    with pytest.raises(InputError) as told:
        fitcheck.build(tomllib.loads(DESIGN.format(item="duck")), workspace=tmp_path)
    assert "no such mesh file" not in str(told.value)
