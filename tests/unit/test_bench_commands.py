"""Nothing filled in on the page becomes an option of its own or a file out of the workspace."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import typer
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.bench.commands import COMMANDS, MOST_LETTERS, MOST_VALUES, OUT, arguments_of
from fitcheck.cli.main import app
from fitcheck.design.described import described
from fitcheck.errors import InputError

SLY = ["--out=x", "-o", "--", "--film", "=x", "-", "a=b", "a\nb", "--help", " --film ", "$(x)",
       "`x`", "; x", "'", '"', "\\", "*", "%s", "\u2028--film", "\t--film"]  # fmt: skip
PROGRAM = typer.main.get_command(app)
TEXTS = st.one_of(st.sampled_from(SLY), st.text(max_size=20))


def takes(name: str) -> dict[str, Any]:
    """The options of a command of the program, by how they are written."""
    context = PROGRAM.make_context("fitcheck", [], resilient_parsing=True)
    command = PROGRAM.get_command(context, name)  # type: ignore[attr-defined]
    assert command is not None, name
    return {word: one for one in command.params for word in (*one.opts, *one.secondary_opts)}


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_each_is_one_of_the_program_with_these_options(name: str) -> None:
    command = COMMANDS[name]
    first, *_ = arguments_of(name, {})
    known = takes(first)
    for option in command.options.values():
        assert option in known and not known[option].is_flag, option
    for option in command.flags.values():
        assert option in known and known[option].is_flag, option
    for word in command.fixed:
        assert not word.startswith("-") or word.partition("=")[0] in known, word
    if command.makes_files and not command.fixed:
        assert OUT.partition("=")[0] in known


@given(st.sampled_from(sorted(COMMANDS)), st.data())
def test_no_value_becomes_an_option_or_leaves_its_own(name: str, data: st.DataObject) -> None:
    command = COMMANDS[name]
    keys = [*command.names, *command.options]
    values = {key: data.draw(st.one_of(TEXTS, st.lists(TEXTS, max_size=3))) for key in keys}
    flags = {key: data.draw(st.booleans()) for key in command.flags}
    try:
        words = arguments_of(name, {**values, **flags})
    except InputError:
        return
    own = words.index("--") if "--" in words else len(words)
    bare = arguments_of(name, flags)
    options = [word for word in words[:own] if word not in bare]
    allowed = {*command.options.values()}
    assert all(word.partition("=")[0] in allowed and "=" in word for word in options), words
    given_names = [one for key in command.names for one in _listed(values[key])]
    assert words[own + 1 :] == given_names
    known = takes(words[0])
    if words[0] in ("check", "new", "learn", "record", "sheet"):
        context = PROGRAM.get_command(
            None, words[0]
        ).make_context(  # type: ignore[attr-defined]
            words[0], words[1:], resilient_parsing=True
        )
        asked = {word for key, word in command.flags.items() if flags[key]}
        for word, one in known.items():
            if getattr(one, "is_flag", False) and word in command.flags.values() and one.name:
                assert bool(context.params[one.name]) is (word in asked), word


def _listed(value: str | list[str]) -> list[str]:
    texts = [value] if isinstance(value, str) else value
    return [text.strip() for text in texts if text.strip()]


@pytest.mark.parametrize("name", sorted(name for name in COMMANDS if COMMANDS[name].names))
def test_a_design_is_one_on_the_shelf(name: str) -> None:
    for key in {"design", "other"} & {*COMMANDS[name].names, *COMMANDS[name].options}:
        for sly in ("../x", "/etc/passwd", "a/b", "--film", "con", "a\0", "x" * 61, "-"):
            with pytest.raises(InputError):
                arguments_of(name, {key: sly})


@pytest.mark.parametrize(
    "given",
    [{"out": "x"}, {"film": "yes"}, {"film": ["x"]}, {"design": True}, {"odds": "{out}"},
     {"design": "a\0b"}, {"odds": "x" * (MOST_LETTERS + 1)}, {"odds": ["1"] * (MOST_VALUES + 1)},
     {"--film": "x"}, {"": "x"}],
)  # fmt: skip
def test_what_a_command_does_not_take_is_refused_in_words(given: dict[str, Any]) -> None:
    with pytest.raises(InputError) as raised:
        arguments_of("publish", {"design": "harbour", **given})
    assert len(raised.value.lines[0]) < 400


def test_another_command_is_refused() -> None:
    for name in ("check", "demo", "schema", "bench", "--help", "", "__import__"):
        with pytest.raises(InputError):
            arguments_of(name, {})


FAR = ("../../secret.stl", "/etc/secret.stl", "my file.stl", "a/../../secret.stl", "..\\secret.stl",
       "models/../../secret.stl", "./duck.stl", "a,/../../secret.stl",
       "a,..\\x.stl", ".", "..")  # fmt: skip


@pytest.mark.parametrize("file", FAR)
def test_a_mesh_lies_in_models(file: str) -> None:
    """Whatever stands before and behind it, a file elsewhere is refused."""
    for behind in ("", ", sharp", ", sharp, food", " ,sharp", "; x", ", x", "\n"):
        for kind in ("mesh", "MESH", "  mesh ", "mesh\t", "mesh\n", "mesh\u2003"):
            with pytest.raises(InputError, match="a file in models"):
                arguments_of("new", {"name": "x", "describe": f"duck={kind} {file}{behind}"})


@pytest.mark.parametrize("behind", ["", ", sharp", ",sharp", ", round 3 mm"])
def test_a_mesh_in_models_is_named_with_what_is_said_behind_it(behind: str) -> None:
    words = arguments_of("new", {"name": "x", "describe": f"duck=mesh duck.stl{behind}"})
    assert f"--describe=duck=mesh models/duck.stl{behind}" in words


def test_other_descriptions_are_passed_on_as_they_are() -> None:
    for told in ("soap=block 60 x 40 x 22 mm, sharp", "meshes=block 60 x 40 x 2 mm", "nonsense"):
        assert f"--describe={told}" in arguments_of("new", {"name": "x", "describe": told})


def test_a_described_mesh_is_found_where_the_page_puts_it(tmp_path: Path) -> None:

    (tmp_path / "models").mkdir()
    words = arguments_of("new", {"name": "x", "describe": "duck=mesh duck.stl, sharp"})
    (passed,) = (word.partition("=")[2] for word in words if word.startswith("--describe="))
    with pytest.raises(InputError, match=r"there is no file 'models/duck\.stl'"):
        described(passed, tmp_path / "models" / "items.toml", tmp_path, "--describe")
