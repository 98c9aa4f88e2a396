"""Two tabs and a terminal at once lose nothing on the shelf, and bytes nobody changed stay."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from fitcheck.bench.drafts import Change, Draft, changed
from fitcheck.bench.shelf import PUT_AWAY, ChangedError, Shelf, stamp
from fitcheck.errors import InputError
from tests.served import SMALL, workspace

MANY = 8


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return workspace(tmp_path / "work")


def wide(mm: int) -> str:
    return SMALL.replace("[60, 40]", f"[{mm}, 40]")


def at_once(works: list[Callable[[], object]]) -> list[object]:
    """What each gives, or the error it raises; all begin together."""
    begin = threading.Barrier(len(works))
    found: list[object] = [None] * len(works)

    def work(k: int) -> None:
        begin.wait()
        try:
            found[k] = works[k]()
        except (InputError, ChangedError) as error:
            found[k] = error

    threads = [threading.Thread(target=work, args=(k,)) for k in range(len(works))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    return found


def files(root: Path) -> set[str]:
    return {str(path.relative_to(root / "models")) for path in (root / "models").rglob("*.*")}


def test_a_file_that_changed_meanwhile_is_not_overwritten(root: Path) -> None:
    shelf = Shelf(root)
    read = shelf.read("buttons")
    (root / "models" / "buttons.toml").write_text(wide(61))
    with pytest.raises(ChangedError) as raised:
        shelf.save("buttons", wide(62), read.version)
    assert raised.value.there is not None and raised.value.there.text == wide(61)
    again = shelf.save("buttons", wide(62), raised.value.there.version)
    assert (root / "models" / "buttons.toml").read_text() == again.text == wide(62)
    (root / "models" / "buttons.toml").unlink()
    with pytest.raises(ChangedError) as raised:
        shelf.save("buttons", wide(63), again.version)
    assert raised.value.there is None and not files(root)


def test_a_file_that_was_made_unreadable_is_not_overwritten(root: Path) -> None:
    shelf = Shelf(root)
    read = shelf.read("buttons")
    (root / "models" / "buttons.toml").write_bytes(b"title = \xff")
    with pytest.raises(InputError, match="UTF-8"):
        shelf.save("buttons", wide(62), read.version)
    assert (root / "models" / "buttons.toml").read_bytes() == b"title = \xff"


def test_of_many_savings_at_once_one_wins_and_the_file_is_whole(root: Path) -> None:
    shelf = Shelf(root)
    for turn in range(4):
        read = shelf.read("buttons")
        texts = [wide(60 + 10 * turn + k + 1) for k in range(MANY)]
        found = at_once([lambda t=t, v=read.version: shelf.save("buttons", t, v) for t in texts])
        won = [k for k in range(MANY) if not isinstance(found[k], Exception)]
        assert len(won) == 1
        assert all(isinstance(one, ChangedError) for k, one in enumerate(found) if k not in won)
        assert (root / "models" / "buttons.toml").read_text() == texts[won[0]]
        assert files(root) == {"buttons.toml"}


def test_of_many_new_designs_of_one_name_one_is_kept(root: Path) -> None:
    shelf = Shelf(root)
    names = ["fresh", "Fresh", "FRESH", "fresh"]
    found = at_once([lambda n=n, k=k: shelf.add(n, wide(61 + k)) for k, n in enumerate(names)])
    won = [k for k in range(len(names)) if not isinstance(found[k], Exception)]
    assert len(won) == 1 and files(root) == {"buttons.toml", f"{names[won[0]]}.toml"}
    assert (root / "models" / f"{names[won[0]]}.toml").read_text() == wide(61 + won[0])


def test_of_many_moves_of_one_design_one_is_made(root: Path) -> None:
    shelf = Shelf(root)
    moves: list[Callable[[], object]] = [
        lambda k=k: shelf.rename("buttons", f"b{k}") for k in range(4)
    ]  # type: ignore[misc]
    moves += [lambda: shelf.put_away("buttons")] * 2
    found = at_once(moves)
    assert sum(not isinstance(one, Exception) for one in found) == 1
    assert all(isinstance(one, InputError) for one in found if isinstance(one, Exception))
    (left,) = files(root) - {PUT_AWAY}
    assert (root / "models" / left).read_text() == SMALL


def test_two_designs_that_move_to_one_name_are_both_kept(root: Path) -> None:
    shelf = Shelf(root)
    shelf.add("other", wide(61))
    found = at_once(
        [lambda: shelf.rename("buttons", "x"), lambda: shelf.rename("other", "X"),
         lambda: shelf.add("x", wide(62))]
    )  # fmt: skip
    assert sum(not isinstance(one, Exception) for one in found) == 1
    texts = {path.read_text() for path in (root / "models").glob("*.toml")}
    assert {SMALL, wide(61)} <= texts
    folded = [path.name.casefold() for path in (root / "models").glob("*.toml")]
    assert len(set(folded)) == len(folded)


def test_put_away_and_back_keeps_every_letter(root: Path) -> None:
    shelf = Shelf(root)
    assert shelf.put_away("buttons") == "buttons"
    assert {one["name"]: one["away"] for one in shelf.names() if one["own"]} == {"buttons": True}
    shelf.add("buttons", wide(61))
    assert shelf.put_away("buttons") == "buttons-2"
    assert shelf.bring_back("buttons") == "buttons"
    assert shelf.bring_back("buttons-2") == "buttons-2"
    assert shelf.read("buttons").text == SMALL and shelf.read("buttons-2").text == wide(61)
    for away in (shelf.put_away, shelf.bring_back):
        with pytest.raises(InputError, match="no such design"):
            away("nobody")


def test_twins_in_capitals_never_stand_side_by_side(root: Path) -> None:
    """Systems without capitals keep one file under both names."""
    shelf = Shelf(root)
    for name in ("BUTTONS", "Buttons"):
        with pytest.raises(InputError, match="already"):
            shelf.add(name, SMALL)
    shelf.put_away("buttons")
    shelf.add("Buttons", wide(61))
    assert shelf.bring_back("buttons") == "buttons-2"
    shelf.put_away("Buttons")
    shelf.rename("buttons-2", "buttons")
    assert shelf.put_away("buttons") == "buttons-2"


def test_a_longest_name_can_be_put_away_twice(root: Path) -> None:
    shelf = Shelf(root)
    name = "x" * 60
    away = []
    for mm in (61, 62):
        shelf.add(name, wide(mm))
        away.append(shelf.put_away(name))
    assert away == [name, f"{'x' * 58}-2"]
    assert {one["name"] for one in shelf.names() if one["away"]} == set(away)
    assert shelf.bring_back(away[1]) == away[1] and shelf.read(away[1]).text == wide(62)


def test_what_is_put_away_wrongly_leaves_no_folder(root: Path) -> None:
    with pytest.raises(InputError):
        Shelf(root).put_away("nobody")
    assert not (root / "models" / PUT_AWAY).exists()


@pytest.mark.parametrize("name", ["items", "Items", "ITEMS"])
def test_the_items_are_no_design_in_any_capitals(root: Path, name: str) -> None:
    (root / "models" / "items.toml").write_text("format = 1\n")
    shelf = Shelf(root)
    for call in (
        lambda: shelf.read(name),
        lambda: shelf.add(name, SMALL),
        lambda: shelf.rename("buttons", name),
        lambda: shelf.put_away(name),
        lambda: shelf.save(name, SMALL, ""),
    ):
        with pytest.raises(InputError):
            call()
    assert "items" not in {one["name"].casefold() for one in shelf.names()}
    assert (root / "models" / "items.toml").read_text() == "format = 1\n"


def test_what_came_with_the_program_is_read_and_never_changed(root: Path) -> None:
    shelf = Shelf(root)
    read = shelf.read("harbour")
    assert not read.own
    with pytest.raises(ChangedError) as raised:
        shelf.save("harbour", read.text, read.version)
    assert raised.value.there is None
    for call in (shelf.put_away, lambda name: shelf.rename(name, "mine")):
        with pytest.raises(InputError, match="copy what came"):
            call("harbour")
    assert files(root) == {"buttons.toml"}


@pytest.mark.parametrize(
    "text",
    ["", "[base", "title = 1", SMALL.replace("tray", "no-such"), SMALL.replace("60", "0"),
     SMALL + "x = 1\n", "format = 1\n" * 3, SMALL.replace("cardstock-270", "nobody", 1)],
)  # fmt: skip
def test_a_text_that_no_command_could_read_is_not_written(root: Path, text: str) -> None:
    shelf = Shelf(root)
    read = shelf.read("buttons")
    with pytest.raises(InputError):
        shelf.save("buttons", text, read.version)
    with pytest.raises(InputError):
        shelf.add("fresh", text)
    assert files(root) == {"buttons.toml"} and shelf.read("buttons") == read


# Bytes that nobody changed


def saved(root: Path, raw: bytes) -> bytes:
    """The file after its width was typed on the page, whose text boxes know only \\n."""
    path = root / "models" / "buttons.toml"
    path.write_bytes(raw)
    shelf = Shelf(root)
    read = shelf.read("buttons")
    change = Change(at=["base", "floor", 0], value="61")
    text = changed(Draft(name="buttons", text=read.text, changes=[change]))
    shelf.save("buttons", text.replace("\r\n", "\n"), read.version)
    return path.read_bytes()


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("last", ["", "# the end, without a line end"])
def test_saving_keeps_the_line_ends_and_all_else(
    root: Path, ends: str, mark: bytes, last: str
) -> None:
    text = SMALL + last
    raw = mark + text.replace("\n", ends).encode()
    assert saved(root, raw) == raw.replace(b"[60, 40]", b"[61, 40]")


def test_a_file_of_mixed_line_ends_is_written_as_it_was_sent(root: Path) -> None:
    shelf = Shelf(root)
    text = SMALL.replace("\n", "\r\n", 3)
    (root / "models" / "buttons.toml").write_bytes(text.encode())
    read = shelf.read("buttons")
    shelf.save("buttons", read.text.replace("[60,", "[61,"), read.version)
    assert (root / "models" / "buttons.toml").read_bytes() == text.replace("[60,", "[61,").encode()


def test_rights_of_a_file_stay(root: Path) -> None:
    path = root / "models" / "buttons.toml"
    path.chmod(0o600)
    shelf = Shelf(root)
    shelf.save("buttons", wide(61), shelf.read("buttons").version)
    assert path.stat().st_mode & 0o777 == 0o600


def test_a_check_is_not_remembered_past_a_mesh_that_changed(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(root)
    before = stamp()
    (root / "models" / "duck.stl").write_bytes(b"solid duck")
    second = stamp()
    (root / "models" / "duck.stl").write_bytes(b"solid duck, larger")
    os.utime(root / "models" / "duck.stl", ns=(1, 1))
    assert len({before, second, stamp()}) == 3
    now = stamp()
    (root / "models" / "buttons.toml").write_text(wide(61))
    assert stamp() == now
