"""Workspaces are found from inside them, and files are written whole or not at all."""

import errno
import os
from pathlib import Path

import pytest

from fitcheck.errors import InputError
from fitcheck.workspace.atomic import write_many, write_whole
from fitcheck.workspace.names import Shelf, find_named, item_files, names_on
from fitcheck.workspace.paths import find_workspace, search_roots, shipped_workspace
from fitcheck.workspace.toml import read_toml


def everything(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes() if path.is_file() else b"(folder)"
        for path in folder.rglob("*")
    }


def test_the_nearest_workspace_upwards_is_found(tmp_path: Path) -> None:
    design = tmp_path / "models" / "deep" / "box.toml"
    design.parent.mkdir(parents=True)
    design.touch()
    assert find_workspace(design) == tmp_path
    (design.parent / "calibration").mkdir()
    assert find_workspace(design) == design.parent


def test_roots_are_the_designs_the_current_and_the_shipped(tmp_path: Path) -> None:
    for name in ("one", "two"):
        (tmp_path / name / "models").mkdir(parents=True)
    design = tmp_path / "one" / "models" / "box.toml"
    roots = search_roots(design, tmp_path / "two")
    assert roots == (tmp_path / "one", tmp_path / "two", shipped_workspace().resolve())
    assert search_roots(design, tmp_path / "one") == (roots[0], roots[2])


def test_the_workspace_hides_a_shipped_name(tmp_path: Path) -> None:
    own = tmp_path / "calibration" / "stocks" / "index-90.toml"
    own.parent.mkdir(parents=True)
    own.touch()
    roots = (tmp_path, shipped_workspace())
    assert find_named(Shelf.STOCK, "index-90", roots) == own
    assert names_on(Shelf.STOCK, roots)["index-90"] == own
    shipped = find_named(Shelf.STOCK, "index-110", roots)
    assert shipped.parent == shipped_workspace() / "calibration" / "stocks"
    assert item_files(roots) == (shipped_workspace() / "models" / "items.toml",)


def test_a_missing_name_gets_the_nearest_ones() -> None:
    with pytest.raises(InputError, match=r"no such stock; read 'index-9O'.*'index-90'"):
        find_named(Shelf.STOCK, "index-9O", (shipped_workspace(),))
    with pytest.raises(InputError, match=r"no such printer; .*none are known"):
        find_named(Shelf.PRINTER, "any", ())


def test_an_unknown_paper_leads_to_its_coupon() -> None:
    """A new paper is cut, folded and measured first; names that are nothing like it say nothing."""
    with pytest.raises(InputError) as caught:
        find_named(Shelf.STOCK, "dune-card", (shipped_workspace(),))
    (line,) = caught.value.lines
    assert "or measure a new paper with fitcheck coupon dune-card -o DIR" in line
    assert "fitcheck list stocks" in line and "'cover-100'" not in line
    with pytest.raises(InputError, match=r"correct the name or add the file"):
        find_named(Shelf.STOCK, "dune card", (shipped_workspace(),))


def test_a_name_cannot_leave_its_shelf() -> None:
    with pytest.raises(InputError, match="no such stock"):
        find_named(Shelf.STOCK, "../tools/score-board-inch", (shipped_workspace(),))


def test_broken_toml_names_its_line(tmp_path: Path) -> None:
    path = tmp_path / "box.toml"
    path.write_text('format = 1\ntitle = "x\n')
    with pytest.raises(InputError, match=r"box\.toml: is not TOML: .*line 2"):
        read_toml(path)


def test_bytes_that_are_not_utf8_name_their_line(tmp_path: Path) -> None:
    path = tmp_path / "box.toml"
    path.write_bytes(b"format = 1\ntitle = '\xe9'\n")
    with pytest.raises(InputError, match="line 2: read the byte 0xe9, which is not UTF-8"):
        read_toml(path)


def test_a_missing_file_gets_its_neighbours(tmp_path: Path) -> None:
    (tmp_path / "harbour.toml").touch()
    with pytest.raises(InputError, match=r"harbor\.toml: no such file; .*'harbour\.toml'"):
        read_toml(tmp_path / "harbor.toml")
    with pytest.raises(InputError, match="no folder"):
        read_toml(tmp_path / "none" / "box.toml")
    with pytest.raises(InputError, match="is a folder"):
        read_toml(tmp_path)


def test_deep_nesting_is_a_line_and_no_crash(tmp_path: Path) -> None:
    path = tmp_path / "box.toml"
    path.write_text("a = " + "[" * 100_000)
    with pytest.raises(InputError, match="nested too deeply"):
        read_toml(path)


def test_a_file_is_written_with_its_folders(tmp_path: Path) -> None:
    write_many({tmp_path / "a" / "b" / "one.txt": "å", tmp_path / "two.bin": b"\0"})
    files = everything(tmp_path)
    assert files == {
        "a": b"(folder)",
        "a/b": b"(folder)",
        "a/b/one.txt": "å".encode(),
        "two.bin": b"\0",
    }


def test_an_existing_file_keeps_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "one.sh"
    path.write_text("old")
    path.chmod(0o750)
    write_whole(path, "new")
    assert path.read_text() == "new"
    assert path.stat().st_mode & 0o777 == 0o750
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("step", ["open", "replace"])
@pytest.mark.parametrize("fails_at", [1, 2, 3])
def test_a_failure_in_the_middle_leaves_all_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, fails_at: int
) -> None:
    (tmp_path / "old.txt").write_text("old")
    before = everything(tmp_path)
    calls = 0

    def failing(real: object) -> object:
        def call(*args: object) -> object:
            nonlocal calls
            calls += 1
            if calls == fails_at:
                raise OSError(28, "No space left on device", str(args[-1]))
            return real(*args)  # type: ignore[operator]

        return call

    name = "fsync" if step == "open" else "replace"
    monkeypatch.setattr(os, name, failing(getattr(os, name)))
    wanted = {tmp_path / "new.txt": "n", tmp_path / "old.txt": "x", tmp_path / "d" / "e.txt": "e"}
    with pytest.raises(InputError, match=r"cannot be written .No space left.*nothing was written"):
        write_many(wanted)
    assert everything(tmp_path) == before


def test_an_interruption_also_leaves_all_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "old.txt").write_text("old")
    before = everything(tmp_path)

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_many({tmp_path / "old.txt": "x", tmp_path / "d" / "new.txt": "n"})
    assert everything(tmp_path) == before


def test_a_folder_in_the_way_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=f"{tmp_path}: cannot be written"):
        write_whole(tmp_path, "x")


def test_a_full_disk_is_told_to_be_made_room_on_and_names_no_option(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # POSIX.1-2017, <errno.h>: [ENOSPC] no space left on a device, [EACCES] permission denied
    for number, cure in (
        (errno.ENOSPC, "make room on its disk"),
        (errno.EACCES, "mend its rights"),
    ):

        def failing(*_: object, number: int = number) -> None:
            raise OSError(number, os.strerror(number))

        with monkeypatch.context() as now, pytest.raises(InputError) as told:
            now.setattr(os, "fsync", failing)
            write_many({tmp_path / "new.txt": "n"})
        (line,) = told.value.lines
        assert cure in line and "-o" not in line.replace(str(tmp_path), "")
