"""Items: only the ones a design uses can stop it, and a mesh's size is its mesh's."""

from __future__ import annotations

from pathlib import Path

import pytest
import trimesh

from fitcheck.design.items import known_items
from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.fit.check import check
from fitcheck.workspace.paths import shipped_workspace
from tests.cli.commands import fitcheck
from tests.unit.mesh_files import ROOT, mesh_object, model, package, wedge

GOOD = '[soap]\nkind = "block"\nsize = [25, 60, 40]\nsource = "measured"\n'
BAD = '[ring]\nkind = "disc"\nsize = [20, 3]\n'
DESIGN = """\
format = 1
title = "Tray"
unit = "mm"
[base]
style = "tray"
stock = "index-110"
floor = [63, 71]
depth = 30
[[content]]
item = "soap"
"""


def bench(folder: Path, items: str, design: str = DESIGN) -> Path:
    (folder / "models").mkdir(exist_ok=True)
    (folder / "models" / "items.toml").write_text(items)
    path = folder / "models" / "tray.toml"
    path.write_text(design)
    return path


def read(path: Path) -> tuple[str, ...]:
    design = read_design(path, roots=(path.parents[1], shipped_workspace()))
    return tuple(content.item.name for content in design.contents)


def test_an_item_that_is_not_used_stops_nothing(tmp_path: Path) -> None:
    assert read(bench(tmp_path, BAD + GOOD)) == ("soap",)
    shipped = DESIGN.replace('"soap"', '"card-id1"')
    assert read(bench(tmp_path, BAD + GOOD, shipped)) == ("card-id1",)


def test_the_item_that_is_used_stops_the_design_with_its_own_lines(tmp_path: Path) -> None:
    path = bench(tmp_path, BAD + GOOD, DESIGN.replace('"soap"', '"ring"'))
    with pytest.raises(InputError) as error:
        read(path)
    said = "\n".join(error.value.lines)
    assert "content[1].item" in said and "items.toml: ring.kind" in said
    assert "ring.source: missing" in said


def test_a_bad_item_of_the_workspace_is_not_passed_over_for_a_shipped_one(tmp_path: Path) -> None:
    own = BAD.replace("[ring]", "[card-id1]")
    path = bench(tmp_path, own + GOOD, DESIGN.replace('"soap"', '"card-id1"'))
    with pytest.raises(InputError, match=r"items\.toml: card-id1\.kind"):
        read(path)


def test_a_file_that_is_no_toml_stops_what_may_stand_in_it(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"items\.toml"):
        read(bench(tmp_path, GOOD + "[ring\n"))
    without = DESIGN[: DESIGN.index("[[content]]")]
    assert read(bench(tmp_path, "[ring\n", without)) == ()


def test_the_list_shows_the_good_ones_and_every_problem(tmp_path: Path) -> None:
    bench(tmp_path, BAD + GOOD)
    ran = fitcheck("list", "items", cwd=tmp_path)
    assert ran.status == 2
    assert "soap\n    block, 25 x 60 x 40 mm" in ran.out and "card-id1" in ran.out
    assert "ring.kind" in ran.err and "ring.source: missing" in ran.err
    assert "soap" not in ran.err


MESH = '[fish]\nkind = "mesh"\nfile = "fish.stl"\nsource = "scanned"\n'


def fish(folder: Path) -> None:
    """An ellipsoid 31 x 47 x 18.5 mm, off the origin, by trimesh."""
    body = trimesh.creation.icosphere(subdivisions=3)
    body.apply_scale([15.5, 23.5, 9.25])
    body.apply_translation([100.0, -3.0, 40.0])
    (folder / "models").mkdir(exist_ok=True)
    body.export(folder / "models" / "fish.stl")


def test_a_mesh_takes_its_size_from_its_file(tmp_path: Path) -> None:
    fish(tmp_path)
    path = bench(tmp_path, MESH, DESIGN.replace('"soap"', '"fish"'))
    item = known_items((tmp_path,))["fish"]
    assert item.size_mm == pytest.approx((31.0, 47.0, 18.5), abs=1e-3)
    assert item.size_u_mm == (0.0, 0.0, 0.0)
    found = check(read_design(path, roots=(tmp_path, shipped_workspace())))
    assert found.fits
    assert found.contents[0].verdict.value == "fits"


def test_a_size_that_is_given_must_be_the_files(tmp_path: Path) -> None:
    fish(tmp_path)
    path = bench(tmp_path, MESH + "size = [31, 47, 20]\n", DESIGN.replace('"soap"', '"fish"'))
    with pytest.raises(InputError, match=r"says 31\.00 x 47\.00 x 20\.00 mm and its file measures"):
        check(read_design(path, roots=(tmp_path, shipped_workspace())))


def test_a_range_is_held_against_the_mesh(tmp_path: Path) -> None:
    fish(tmp_path)
    wrong = MESH + "range = [[30, 32], [46, 48], [20, 21]]\n"
    bench(tmp_path, wrong)
    with pytest.raises(InputError, match=r"fish\.range.*does not hold the size 18.5 mm"):
        known_items((tmp_path,))["fish"]
    bench(tmp_path, wrong.replace("20, 21", "18, 19"))
    assert known_items((tmp_path,))["fish"].size_range_mm == ((30, 32), (46, 48), (18, 19))


def test_only_a_mesh_may_leave_its_size_out(tmp_path: Path) -> None:
    bench(tmp_path, GOOD.replace("size = [25, 60, 40]\n", ""))
    with pytest.raises(InputError, match=r"soap: size is missing; allowed: 3 lengths for a block"):
        known_items((tmp_path,))["soap"]


def test_a_3mf_in_inches_is_checked_and_printed(tmp_path: Path) -> None:
    """A wedge of 31 x 17 x 9 mm drawn in inches: by arithmetic, and its stand-in by trimesh."""
    body = wedge()
    volume = body.volume
    body.apply_scale(1 / 25.4)
    items = MESH.replace("fish.stl", "fish.3mf")
    bench(tmp_path, items, DESIGN.replace('"soap"', '"fish"'))
    raw = package({ROOT: model(mesh_object(1, body), '<item objectid="1"/>', "inch")})
    (tmp_path / "models" / "fish.3mf").write_bytes(raw)
    listed = fitcheck("list", "items", cwd=tmp_path)
    assert listed.status == 0 and "mesh, 31 x 17 x 9 mm" in listed.out
    checked = fitcheck("check", "tray", "--no-odds", "--report", "r.html", cwd=tmp_path)
    assert checked.status == 0 and (tmp_path / "r.html").exists(), checked.err
    assert fitcheck("dummy", "tray", "-o", "d", cwd=tmp_path).status == 0
    made = trimesh.load_mesh(tmp_path / "d" / "dummy-fish.stl")
    assert made.is_watertight and made.volume == pytest.approx(volume, rel=1e-4)


def test_a_broken_mesh_is_one_line_and_status_2_in_every_command(tmp_path: Path) -> None:
    bench(tmp_path, MESH.replace("fish.stl", "fish.3mf"), DESIGN.replace('"soap"', '"fish"'))
    broken = mesh_object(1, wedge()).replace('v1="0"', 'v1="77"', 1)
    raw = package({ROOT: model(broken, '<item objectid="1"/>')})
    (tmp_path / "models" / "fish.3mf").write_bytes(raw)
    for words in (("check", "tray"), ("dummy", "tray", "-o", "d"), ("list", "items")):
        ran = fitcheck(*words, cwd=tmp_path)
        assert ran.status == 2 and "names vertex 77; allowed: 0 to 5" in ran.err, ran.err
        assert "Traceback" not in ran.err and not (tmp_path / "d").exists()
