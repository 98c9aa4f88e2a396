"""The face for Python: what is public, what it costs to load, what it refuses, what is frozen."""

from __future__ import annotations

import dataclasses
import doctest
import inspect
import json
import os
import subprocess
import sys
import tomllib
import typing
from pathlib import Path

import numpy as np
import pytest

import fitcheck
from tests.face_designs import DRAWER, EMPTY, LIDDED

ROOT = Path(__file__).resolve().parents[2]
SHIPPED = ("harbour", "lantern", "rope")


@pytest.fixture(scope="module")
def lidded() -> fitcheck.Checked:
    return fitcheck.check(fitcheck.build(LIDDED))


def in_fresh_python(code: str, path: str = "") -> subprocess.CompletedProcess[str]:
    places = os.pathsep.join(filter(None, (path, str(ROOT))))
    return subprocess.run(
        [sys.executable, "-c", code],
        env=os.environ | {"PYTHONPATH": places},
        capture_output=True,
        text=True,
        check=False,
    )


def test_importing_it_loads_nothing() -> None:
    ran = in_fresh_python(
        "import sys, fitcheck\n"
        "print(sorted(n for n in sys.modules if n.partition('.')[0] in "
        "('numpy', 'pydantic', 'scipy') or n.startswith('fitcheck.')))"
    )
    assert ran.stdout == "[]\n", ran.stderr


def test_a_check_by_the_face_loads_no_more_than_one_by_the_command_line() -> None:
    ran = in_fresh_python(
        f"import sys, fitcheck\n"
        f"found = fitcheck.check(fitcheck.build({LIDDED!r}))\n"
        "found.parts['base'].pieces, found.mates, found.contents[0].poses, found.data()\n"
        "print(sorted({'scipy', 'ortools', 'trimesh', 'cadquery', 'netgen', 'manifold3d', 'typer', "
        "'rich'} & set(sys.modules)))"
    )
    assert ran.stdout == "[]\n", ran.stderr


def test_every_public_name_is_there_and_no_other() -> None:
    for name in fitcheck.__all__:
        assert getattr(fitcheck, name) is not None
    assert set(fitcheck.__all__) <= set(dir(fitcheck))
    with pytest.raises(AttributeError, match="has no attribute 'Recipe'"):
        fitcheck.Recipe  # noqa: B018
    assert (ROOT / "fitcheck" / "py.typed").is_file()


def test_what_it_says_of_itself_runs() -> None:
    assert doctest.testmod(fitcheck) == doctest.TestResults(failed=0, attempted=4)


def public_members() -> list[tuple[str, object]]:
    found: list[tuple[str, object]] = []
    for name in fitcheck.__all__:
        value = getattr(fitcheck, name)
        if inspect.isclass(value) and value.__module__.startswith("fitcheck.face"):
            members = {k: v for k, v in vars(value).items() if not k.startswith("_")}
            found += [(f"{name}.{key}", member) for key, member in members.items()]
        elif inspect.isfunction(value):
            found.append((name, value))
    return found


def home_of(kind: object) -> set[str]:
    """The homes of all that a type is made of."""
    inner = {home for one in typing.get_args(kind) for home in home_of(one)}
    outer = {kind.__module__} if inspect.isclass(kind) else set()
    return inner | outer


def test_every_public_thing_is_documented_and_gives_public_types() -> None:
    public = {getattr(fitcheck, name) for name in fitcheck.__all__ if name[0].isupper()}
    homes = {kind.__module__ for kind in public}
    for name, member in public_members():
        made = getattr(member, "fget", None) or getattr(member, "func", member)
        if not inspect.isfunction(made):
            continue
        assert inspect.getdoc(made), name
        if name in ("Odds.result", "Part.mesh", "Part.solid", "Content.mesh"):
            continue  # the first is said to be ours, the others are of the libraries they name
        given = typing.get_type_hints(made)["return"]
        ours = {home for home in home_of(given) if home.startswith("fitcheck")}
        assert ours <= homes, (name, given)


@pytest.mark.parametrize("name", SHIPPED)
def test_a_design_that_is_built_is_the_one_that_is_read(name: str) -> None:
    path = ROOT / "models" / f"{name}.toml"
    read = fitcheck.check(fitcheck.read(path))
    built = fitcheck.check(
        fitcheck.build(tomllib.loads(path.read_text()), name=name, workspace=ROOT)
    )
    assert built.data() == read.data()
    assert built.text() == read.text()
    assert (read.design.path, built.design.path) == (path, None)
    json.dumps(read.data(), allow_nan=False)


def test_values_of_any_make_are_those_of_a_file() -> None:
    base = {"style": "tray", "stock": "cover-80", "floor": np.array([71, 96.5]), "depth": "26 mm"}
    other = LIDDED | {
        "base": LIDDED["base"] | base,
        "lid": LIDDED["lid"] | {"oversize": (np.float64(2.1), 2.6), "depth": np.int64(17)},
        "content": tuple(LIDDED["content"]),
    }
    plain = LIDDED | {"base": base | {"floor": [71.0, 96.5]}}
    assert (
        fitcheck.check(fitcheck.build(other)).data() == fitcheck.check(fitcheck.build(plain)).data()
    )


def test_a_paper_can_be_put_in_the_place_of_another() -> None:
    design = fitcheck.build(LIDDED, stocks={"lid": "cover-65"})
    assert dict(design.stocks) == {"base": "cardstock-270", "lid": "cover-65"}
    assert dict(design.styles) == {"base": "tray", "lid": "tray"}
    assert design.contents == (("toffee-wrapped", 3),)
    assert repr(design) == "Design('design', parts=base, lid)"


@pytest.mark.parametrize(
    ("stocks", "lines"),
    [
        (5, ["stocks: read 5; allowed: a mapping from a part's name to a paper's; give a dict"]),
        (
            {"base": 5, "lid": None, 5: "a"},
            [
                f"stocks[{part}]: read {read}; allowed: a mapping from a part's name to a paper's; "
                "correct it"
                for part, read in (("'base'", "5"), ("'lid'", "None"), ("5", "'a'"))
            ],
        ),
        (
            {"lid": "none-such"},
            [
                "stocks['lid']: no such stock; read 'none-such'; allowed: a file name in "
                "calibration/stocks (see fitcheck list stocks); none is called like it; correct "
                "the name, or measure a new paper with fitcheck coupon none-such -o DIR"
            ],
        ),
        (
            {"hatch": "cover-65"},
            [
                "stocks['hatch']: design has no such part; read 'hatch'; allowed: base, lid; "
                "known: 'base', 'lid'; correct the part"
            ],
        ),
    ],
)
def test_papers_that_are_none_are_told_for_python(stocks: typing.Any, lines: list[str]) -> None:
    with pytest.raises(fitcheck.InputError) as told:
        fitcheck.build(LIDDED, stocks=stocks)
    assert list(told.value.lines) == lines


def test_wrong_keys_are_told_as_of_a_file(tmp_path: Path) -> None:
    """A key that is misspelt is told once: the depth is not told missing, too."""
    text = (
        'format = 1\ntitle = "x"\nunit = "mm"\n[base]\nstyle = "tray"\nstock = "cover-81"\n'
        "floor = [70, -3]\ndeepth = 4\n"
    )
    path = tmp_path / "wrong.toml"
    path.write_text(text)
    with pytest.raises(fitcheck.InputError) as read:
        fitcheck.read(path)
    with pytest.raises(fitcheck.InputError) as built:
        fitcheck.build(tomllib.loads(text), name="wrong")
    assert len(built.value.lines) == 3
    assert built.value.lines == tuple(
        one.replace(f"{path}: ", "wrong: ") for one in read.value.lines
    )


def cyclic() -> dict[str, object]:
    data: dict[str, object] = dict(LIDDED)
    data["base"] = data
    return data


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ([1, 2], "allowed: a mapping"),
        ({1: 2}, "allowed: texts"),
        (cyclic(), "holds too much"),
        (LIDDED | {"content": [{}] * 30_000}, "holds too much"),
        (LIDDED | {"title": object()}, "title"),
        (LIDDED | {"base": b"tray"}, "base"),
        ({}, "missing"),
    ],
)
def test_what_is_no_design_is_one_line_each(data: typing.Any, said: str) -> None:
    with pytest.raises(fitcheck.InputError) as stopped:
        fitcheck.build(data)
    assert any(said in line for line in stopped.value.lines)
    assert all(line.startswith("design: ") for line in stopped.value.lines)


def test_a_place_that_is_no_workspace_is_refused(tmp_path: Path) -> None:
    with pytest.raises(fitcheck.InputError, match="is in no workspace"):
        fitcheck.build(LIDDED, workspace=tmp_path)


def test_only_designs_are_checked() -> None:
    with pytest.raises(fitcheck.InputError, match=r"allowed: a Design"):
        fitcheck.check(LIDDED)  # type: ignore[arg-type]


def test_values_are_frozen(lidded: fitcheck.Checked) -> None:
    part = lidded.parts["base"]
    arrays = [
        part.plates[0].outside, part.plates[0].inside, part.bends[0].pose, part.pieces[0].corners,
        part.sheet().strokes[0].points, lidded.mates[0].pose, lidded.contents[0].poses,
    ]  # fmt: skip
    for array in arrays:
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0.0
    with pytest.raises(dataclasses.FrozenInstanceError):
        lidded.design = None  # type: ignore[misc]
    with pytest.raises(TypeError):
        lidded.parts["base"] = part  # type: ignore[index]


def test_parts_mates_and_contents_say_what_the_json_says(lidded: fitcheck.Checked) -> None:
    data = lidded.data()
    assert lidded.fits == (data["verdict"] == "fits")
    assert list(lidded.parts) == list(data["parts"])
    for name, part in lidded.parts.items():
        own = data["parts"][name]
        assert part.outside_mm == pytest.approx(list(own["outside_mm"].values()), abs=1e-6)
        assert part.inside_mm == pytest.approx(list(own["inside_mm"].values()), abs=1e-6)
        assert part.sheet_mm == pytest.approx(list(own["sheet_mm"].values()), abs=1e-6)
    (mate,) = lidded.mates
    assert (mate.mover, mate.holder, mate.motion) == ("lid", "base", "straight")
    assert dict(mate.plays_mm) == pytest.approx(data["lid"]["play_mm"], abs=1e-6)
    (content,) = lidded.contents
    assert content.verdict == data["contents"][0]["verdict"] == "fits"
    assert content.slack_mm == pytest.approx(
        list(data["contents"][0]["slack_mm"].values()), abs=1e-6
    )
    assert content.poses.shape == (3, 4, 4)
    assert content.extents_mm.shape == (3, 3)
    assert {one.code for one in lidded.findings} == {one["code"] for one in data["findings"]}


def test_a_drawer_is_a_mate_as_a_lid_is() -> None:
    (mate,) = fitcheck.check(fitcheck.build(DRAWER)).mates
    assert (mate.mover, mate.holder, list(mate.plays_mm)) == ("base", "sleeve", ["across", "up"])
    assert mate.play_mm == min(mate.plays_mm.values())
    assert mate.pose is not None


def test_the_same_seed_draws_the_same_boxes(lidded: fitcheck.Checked) -> None:
    one, again, other = (lidded.odds(500, seed) for seed in (3, 3, 4))
    empty = fitcheck.check(fitcheck.build(EMPTY)).odds(500, 3)
    assert np.array_equal(one.errors, again.errors)
    assert not np.array_equal(one.errors, other.errors)
    assert one.errors.shape == (len(one.inputs), 500)
    assert one.u.shape == (len(one.inputs),)
    assert one.good.shape == (500,) and one.good.dtype == bool
    assert all(length.shape == (500,) for length in one.lengths.values())
    assert empty.share == empty.result.good.share == np.mean(empty.good)
    assert empty.data()["good"]["share"] == pytest.approx(empty.share, abs=1e-6)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"boxes": 5}, "boxes: read 5; allowed: a whole number from 100"),
        ({"boxes": True}, "boxes: read"),
        ({"boxes": 200, "seed": -1}, "seed: read -1"),
        ({"boxes": 200, "humidity": (70, 30)}, "humidity: read"),
        ({"boxes": 200, "humidity": 50}, "humidity: read"),
        ({"boxes": 200, "humidity": (0.3, 0.7)}, r"for shares of one give \(30, 70\)"),
        ({"boxes": 200, "humidity": (float("nan"), 60)}, "humidity: read"),
    ],
)
def test_numbers_out_of_range_are_refused(
    lidded: fitcheck.Checked, given: typing.Any, said: str
) -> None:
    with pytest.raises(fitcheck.InputError, match=said):
        lidded.odds(**given)


@pytest.mark.parametrize(
    ("module", "asked"),
    [
        ("trimesh", "part.mesh()"),
        ("manifold3d", "part.mesh()"),
        ("cadquery", "part.solid()"),
        ("netgen", "part.solid()"),
        ("trimesh", "found.contents[0].mesh()"),
    ],
)
def test_a_library_is_asked_for_only_when_it_is_wanted(
    tmp_path: Path, module: str, asked: str
) -> None:
    hidden = tmp_path / module
    hidden.mkdir()
    (hidden / "__init__.py").write_text("raise ImportError('no such thing here')\n")
    ran = in_fresh_python(
        f"import fitcheck\n"
        f"found = fitcheck.check(fitcheck.build({LIDDED!r}))\n"
        "part = found.parts['lid']\npart.pieces, part.sheet()\n"
        f"try:\n    {asked}\n"
        "except fitcheck.MissingLibraryError as error:\n    print(error.package, '|', error)\n",
        str(tmp_path),
    )
    package = "netgen-mesher" if module == "netgen" else module
    assert ran.stdout.startswith(f"{package} | "), ran.stderr
    assert f"pip install {package}" in ran.stdout
