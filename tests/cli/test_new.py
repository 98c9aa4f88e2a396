"""A design is begun from what goes in: it fits, is scored in grooves, and writes over nothing."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from fitcheck.design.items import known_items
from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.fit.assembly import assemble
from fitcheck.fit.check import check
from fitcheck.workspace.edits import Edit
from fitcheck.workspace.outputs import Outputs
from tests.cli.commands import ROOT, fitcheck

BOARDS = ["score-board-metric", "score-board-inch"]
THINGS = [("chocolate-coin:9", "cover-80"), ("deck-poker", "index-110"), ("card-id1", "tag-165")]


@pytest.mark.parametrize("tools", BOARDS)
@pytest.mark.parametrize(("item", "stock"), THINGS)
@pytest.mark.parametrize("style", ["tray", "shadow-box", "hinged-tray", "tuck-end", "sleeve"])
def test_a_proposal_fits_and_is_scored_in_grooves(
    tmp_path: Path, style: str, item: str, stock: str, tools: str
) -> None:
    options = ("--item", item, "--style", style, "--stock", f"base={stock}", "--tools", tools)
    ran = fitcheck("new", "begun", *options, "--no-odds", cwd=tmp_path)
    assert ran.status == 0, ran.out + ran.err
    assert "begun.toml" in ran.out and "everything fits" in ran.out
    design = read_design(tmp_path / "begun.toml")
    found = check(design)
    assert found.fits
    board = design.tools
    assert all(board.on_grid(side) for side in design.base.size_mm)
    assert board.on_grid(design.base.depth_mm)
    for fit in found.contents:
        assert fit.slack is not None and fit.slack.height_mm >= 0.5
    if style in ("tray", "shadow-box"):
        assert found.lid is not None and 0.7 < found.lid.slide.play_mm < 1.5
        for part in assemble(design).parts:
            assert all(board.on_grid(rule.at_mm) for rule in part.scores), part.recipe.part


def test_what_is_to_be_snug_has_less_to_spare(tmp_path: Path) -> None:
    common = ("--item", "card-id1", "--style", "tray", "--stock", "base=cover-80", "--no-odds")
    plays = {}
    for how in ("snug", "slides"):
        ran = fitcheck("new", how, *common, "--sits", how, cwd=tmp_path)
        assert ran.status == 0, ran.err
        lid = check(read_design(tmp_path / f"{how}.toml")).lid
        assert lid is not None
        plays[how] = lid.slide.play_mm
    assert 0.25 < plays["snug"] < 0.85 <= plays["slides"] + 0.1


@pytest.mark.parametrize(
    ("count", "told"),
    [
        (6, None),
        (7, "1 of the 8 compartments stays empty"),
        (13, "2 of the 15 compartments stay empty"),
    ],
)
def test_compartments_that_stay_empty_are_told(
    tmp_path: Path, count: int, told: str | None
) -> None:
    """Strips that cross make two rows and columns at the least: 2 x 3, and of primes 2 x 4, 3 x 5.

    A count is of each compartment, so that a file cannot say that one is to be empty.
    """
    given = ("--item", f"marble-glass:{count}", "--style", "dividers", "--stock", "base=cover-80")
    ran = fitcheck("new", "marbles", *given, "--no-odds", cwd=tmp_path)
    assert ran.status == 0, ran.err
    text = (tmp_path / "marbles.toml").read_text()
    if told is None:
        assert "empty" not in ran.out and "empty" not in text
        return
    assert f"{count} x marble-glass: {told}" in ran.out
    assert "what follows takes all as filled" in " ".join(ran.out.split())
    (row,) = (row for row in text.splitlines() if row.startswith("count"))
    assert told in row and len(row) <= 100


@pytest.mark.parametrize(
    ("name", "title", "called"),
    [
        ("tea-box", 'Anna\'s 3/4 tea & "coffee" box, 50 % \\ off #1', None),
        ("tea-box", "  twice\n spaced ", "twice spaced"),
        ("12", None, "12"),
        ("tea-box", "12", None),
        ("tea-box", "", "Tea box"),
    ],
)
def test_a_title_is_kept_as_it_was_given(
    tmp_path: Path, name: str, title: str | None, called: str | None
) -> None:
    common = ("--item", "card-id1", "--style", "tray", "--stock", "base=cover-80", "--no-odds")
    words = () if title is None else ("--title", title)
    ran = fitcheck("new", name, *common, *words, cwd=tmp_path)
    assert ran.status == 0, ran.err
    text = (tmp_path / f"{name}.toml").read_text(encoding="utf-8")
    assert tomllib.loads(text)["title"] == (called or title)


def test_a_title_is_a_line(tmp_path: Path) -> None:
    common = ("--item", "card-id1", "--style", "tray", "--stock", "base=cover-80", "--no-odds")
    ran = fitcheck("new", "box", *common, "--title", 201 * "a", cwd=tmp_path)
    assert ran.status == 2 and "--title: allowed: up to 200 letters" in ran.err
    assert list(tmp_path.iterdir()) == []


def test_nothing_is_written_over(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text("mine")
    ran = fitcheck("new", "mine", "--item", "card-id1", "--style", "tray", cwd=tmp_path)
    assert ran.status == 2 and "is there already" in ran.err
    assert (tmp_path / "mine.toml").read_text() == "mine"


def test_of_two_at_once_one_writes_and_the_other_says_so(tmp_path: Path) -> None:
    environment = os.environ | {"PYTHONPATH": str(ROOT), "COLUMNS": "100"}
    program = (sys.executable, "-c", "from fitcheck.cli.main import run; run()", "new", "both")
    options = ("--item", "card-id1", "--style", "tray", "--stock", "base=cover-80", "--no-odds")
    begun = {
        title: subprocess.Popen(
            [*program, *options, "--title", title],
            cwd=tmp_path,
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for title in ("Left box", "Right box")
    }
    told = {title: one.communicate(timeout=300) for title, one in begun.items()}
    wrote = [title for title, one in begun.items() if one.returncode == 0]
    assert len(wrote) == 1, told
    assert tomllib.loads((tmp_path / "both.toml").read_text())["title"] == wrote[0]
    (other,) = set(begun) - set(wrote)
    assert begun[other].returncode == 2
    assert "NAME: read 'both', and 'both.toml' is there already" in " ".join(told[other][1].split())


def test_a_design_that_came_meanwhile_stays_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "both.toml"
    first = Outputs({"NAME": path}, designs=True, new=True)
    first.check()
    Outputs({"NAME": path}, designs=True, new=True).write({path: "theirs"})
    with pytest.raises(InputError, match="is there already; allowed: a new name"):
        first.write({path: "mine"})
    assert path.read_text() == "theirs"


def test_it_lands_among_the_designs_of_a_workspace(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    common = ("--item", "card-id1", "--style", "tray", "--stock", "base=cover-80", "--no-odds")
    ran = fitcheck("new", "pass", *common, cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert [one.name for one in (tmp_path / "models").glob("*.toml")] == ["pass.toml"]


def test_an_unknown_item_writes_nothing(tmp_path: Path) -> None:
    common = ("--style", "tray", "--stock", "base=cover-80")
    ran = fitcheck("new", "box", "--item", "unicorn", *common, cwd=tmp_path)
    assert ran.status == 2 and "no such item; read 'unicorn'" in ran.err
    assert list(tmp_path.iterdir()) == []


def on_a_terminal(answers: bytes, *words: str, cwd: Path) -> tuple[int, bytes]:
    """What a run says on a terminal where those answers are typed, and its status."""
    ours, theirs = os.openpty()
    program = "from fitcheck.cli.main import run; run()"
    ran = subprocess.Popen(
        [sys.executable, "-c", program, *words],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        cwd=cwd,
        close_fds=True,
    )
    os.close(theirs)
    os.write(ours, answers)
    said = b""
    try:
        while chunk := os.read(ours, 4096):
            said += chunk
    except OSError:  # the other end is gone
        pass
    os.close(ours)
    return ran.wait(60), said


def test_on_a_terminal_it_asks_for_what_is_missing(tmp_path: Path) -> None:
    answers = b"chocolate-coin:4\n\n\n\n\n"  # as usual: how it sits, box, paper, board
    status, said = on_a_terminal(answers, "new", "asked", "--no-odds", cwd=tmp_path)
    assert status == 0, said
    asked = (b"What goes in", b"How is it to sit", b"Which box", b"Which paper", b"Which board")
    assert all(question in said for question in asked), said
    design = read_design(tmp_path / "asked.toml")
    assert (design.base.style, design.base.stock.name) == ("tray", "cover-80")
    assert [(one.item.name, one.count) for one in design.contents] == [("chocolate-coin", 4)]


def test_on_a_terminal_an_unknown_item_is_asked_about(tmp_path: Path) -> None:
    answers = b"soap:2\nblock 60 x 40 x 22 mm\nsnug\ncollar\ncover-100\nscore-board-metric\n"
    status, said = on_a_terminal(answers, "new", "gift", "--no-odds", cwd=tmp_path)
    assert status == 0, said
    assert b"There is no item 'soap' yet" in said and b"added to models/items.toml" in said
    design = read_design(tmp_path / "models" / "gift.toml")
    assert [(one.item.name, one.count) for one in design.contents] == [("soap", 2)]
    assert [part.name for part in design.parts] == ["base", "lid", "collar"]


def test_on_a_terminal_a_misspelt_item_is_corrected(tmp_path: Path) -> None:
    answers = b"chocolate-coins:4\nchocolate-coin\n\n\n\n\n"
    status, said = on_a_terminal(answers, "new", "sweet", "--no-odds", cwd=tmp_path)
    assert status == 0 and b"nearest known: 'chocolate-coin'" in said, said
    design = read_design(tmp_path / "sweet.toml")
    assert [(one.item.name, one.count) for one in design.contents] == [("chocolate-coin", 4)]
    assert not (tmp_path / "models").exists()


def test_on_a_terminal_a_wrong_answer_is_asked_again_and_loses_nothing(tmp_path: Path) -> None:
    answers = b"chocolate-coin:4\nfirm\nsnug\nbowl\ntray\ncover-81\ncover-80\nboard\n\n"
    status, said = on_a_terminal(answers, "new", "again", "--no-odds", cwd=tmp_path)
    assert status == 0, said
    for wrong in (b"read 'firm'", b"read 'bowl'", b"read 'cover-81'", b"read 'board'"):
        assert wrong in said, said
    design = read_design(tmp_path / "again.toml")
    assert (design.base.style, design.base.stock.name) == ("tray", "cover-80")
    assert [(one.item.name, one.count) for one in design.contents] == [("chocolate-coin", 4)]


def test_on_a_terminal_a_size_will_do(tmp_path: Path) -> None:
    answers = b"2 3/4 x 3 x 3/4 in\n\n\n\n\n"
    status, said = on_a_terminal(answers, "new", "plain", "--no-odds", cwd=tmp_path)
    assert status == 0, said
    found = check(read_design(tmp_path / "plain.toml"))
    assert found.design.contents == ()
    inside = found.cavity.room.width_mm, found.cavity.room.length_mm, found.cavity.ceiling_mm
    needs = (69.85, 76.2, 19.05)
    assert all(side <= has < side + 8.0 for has, side in zip(inside, needs, strict=True))


ITEMS = b"# Mine.\r\n\r\n[shell]\r\nkind='sphere'\r\nsize = [30]  # about\r\nsource = \"the beach\""
METRIC = ("--stock", "base=cover-80", "--tools", "score-board-metric", "--no-odds")
DESCRIBED = {
    "block 60 x 40 x 22 mm": ("block", (60.0, 40.0, 22.0)),
    "cylinder 25 x 4 mm, sharp": ("cylinder", (25.0, 4.0)),
    "card 3 1/2 x 2 x 0.03 in, corner_radius 1/8": ("card", (88.9, 50.8, 0.762)),
    "sphere 1.8 cm": ("sphere", (18.0,)),
}


@pytest.mark.parametrize("told", DESCRIBED)
def test_a_new_item_is_kept_beside_the_others(tmp_path: Path, told: str) -> None:
    path = tmp_path / "models" / "items.toml"
    path.parent.mkdir()
    path.write_bytes(ITEMS)
    given = ("--describe", f"mine={told}", "--item", "mine:2", "--item", "shell", "--style", "tray")
    ran = fitcheck("new", "box", *given, *METRIC, cwd=tmp_path)
    assert ran.status == 0, ran.out + ran.err
    assert path.read_bytes().startswith(ITEMS + b"\r\n")  # letter by letter
    assert path.read_bytes().count(b"\n") == path.read_bytes().count(b"\r\n")
    item = known_items([tmp_path])["mine"]
    kind, sizes = DESCRIBED[told]
    assert (item.kind.name, item.hazards) == (kind, frozenset({"sharp"} if "sharp" in told else ()))
    assert item.size_mm == pytest.approx(sizes)
    assert item.corner_radius_mm == pytest.approx(3.175 if kind == "card" else 0.0)
    assert "described by hand with fitcheck new" in item.source and "no source" in item.source
    # a ruler read to half a millimetre either way, rectangular (JCGM 100, 4.3.7)
    for size, u in zip(sizes, item.size_u_mm, strict=True):
        assert u == pytest.approx(min(0.5 / 3**0.5, 0.1 * size), rel=0.06)
    small = "mine fits the small-parts" in ran.out or "mine passes the" in ran.out
    assert small == (kind in ("cylinder", "sphere"))


def test_sizes_with_fractions_of_one_sign_are_kept_as_anyone_types_them(tmp_path: Path) -> None:
    """2 1/2, 1 and 3/4 in are 63.5, 25.4 and 19.05 mm."""
    told = "soap=block 2\u00bd x 1 x \u00be in"
    ran = fitcheck("new", "box", "--describe", told, "--style", "tray", *METRIC, cwd=tmp_path)
    assert ran.status == 0, ran.out + ran.err
    assert known_items([tmp_path])["soap"].size_mm == pytest.approx((63.5, 25.4, 19.05))
    assert '["2 1/2", 1, "3/4"]' in (tmp_path / "models" / "items.toml").read_text()


def test_a_mesh_gives_its_own_size(tmp_path: Path) -> None:
    import trimesh

    trimesh.creation.box((40.0, 30.0, 20.0)).export(tmp_path / "duck.stl")
    given = ("--describe", "duck=mesh duck.stl", "--style", "platform")
    ran = fitcheck("new", "pond", *given, *METRIC, cwd=tmp_path)
    assert ran.status == 0, ran.out + ran.err
    item = known_items([tmp_path])["duck"]
    assert item.size_mm == pytest.approx((40.0, 30.0, 20.0))
    assert 'file   = "../duck.stl"' in (tmp_path / "models" / "items.toml").read_text()
    insert = read_design(tmp_path / "models" / "pond.toml").part("insert")
    assert insert is not None and insert.window_mm == (42.5, 32.5)


WRONG = {
    "soap": "allowed: NAME=KIND SIZES",
    "so ap=block 1 x 2 x 3 mm": "digits, - and _; write so-ap\n",
    "?=block 1 x 2 x 3 mm": "choose another name",
    "format=block 1 x 2 x 3 mm": "choose another name",
    "soap=blok 1 x 2 x 3 mm": "nearest known: 'block'",
    "soap=block 1 x 2 mm": "which has 2; allowed: 3 sizes (width x length x height)",
    "soap=block 1 x 2 x 3": "has no unit",
    "soap=block 1 x 2 x 0 mm": "out of range",
    "soap=block 1 x 2 x 3 mm, wet": "'wet' behind a comma; allowed: coin,",
    "soap=block 6 x 4 x 2,2 cm": "which has a decimal comma; allowed: 3 sizes",
    "soap=block 6,5 x 4 x 2,2 cm, sharp": "; write '6.5 x 4 x 2.2 cm'\n",
    "soap=card 60 x 40 x 1 mm, corner_radius 2,5 mm": "; write '60 x 40 x 1 mm, corner_radius 2.5",
    "soap=card 10 x 20 x 1 mm, corner_radius 9 mm": "up to half its smaller side",
    "soap=mesh soap.stl": "there is no file 'soap.stl'",
    "chocolate-coin=block 1 x 2 x 3 mm": "no item is changed",
    "Chocolate-Coin=block 1 x 2 x 3 mm": "no item is changed",
}


@pytest.mark.parametrize("told", WRONG)
def test_a_description_that_will_not_do_writes_nothing(tmp_path: Path, told: str) -> None:
    ran = fitcheck("new", "box", "--describe", told, "--style", "tray", *METRIC, cwd=tmp_path)
    assert ran.status == 2 and WRONG[told] in ran.err, ran.err
    assert ran.err.count("\n") == 1 and "; allowed: " in ran.err and "--describe: read" in ran.err
    assert list(tmp_path.iterdir()) == []


def test_what_is_described_goes_in_and_is_described_once(tmp_path: Path) -> None:
    soap = ("--describe", "soap=block 60 x 40 x 22 mm")
    for more, why in (
        (("--item", "card-id1"), "no --item puts it in"),
        (soap, "of that name already"),
        (("--room", "1 x 2 x 3 in"), "beside --describe"),
    ):
        ran = fitcheck("new", "box", *soap, *more, "--style", "tray", *METRIC, cwd=tmp_path)
        assert ran.status == 2 and why in ran.err
    assert list(tmp_path.iterdir()) == []


def test_a_broken_items_file_stays_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "items.toml").write_text("[soap")
    given = ("--describe", "bar=block 60 x 40 x 22 mm", "--style", "tray", *METRIC)
    ran = fitcheck("new", "box", *given, cwd=tmp_path)
    assert ran.status == 2 and "is not TOML" in ran.err
    assert [one.name for one in (tmp_path / "models").iterdir()] == ["items.toml"]
    assert (tmp_path / "models" / "items.toml").read_text() == "[soap"


def test_a_link_in_place_of_the_items_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "work" / "models").mkdir(parents=True)
    (tmp_path / "others.toml").write_bytes(ITEMS)
    (tmp_path / "work" / "models" / "items.toml").symlink_to(tmp_path / "others.toml")
    given = ("--describe", "bar=block 60 x 40 x 22 mm", "--style", "tray", *METRIC)
    ran = fitcheck("new", "box", *given, cwd=tmp_path / "work")
    assert ran.status == 2 and "is a link" in ran.err
    assert (tmp_path / "others.toml").read_bytes() == ITEMS
    assert not (tmp_path / "work" / "models" / "box.toml").exists()


def test_items_that_somebody_changes_meanwhile_are_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "items.toml"
    path.write_bytes(b"as read")
    edit = Edit("--describe", path, b"as read", b"as read, and more")
    path.write_bytes(b"by another hand")
    with pytest.raises(InputError, match="changed by somebody else"):
        Outputs().write({tmp_path / "box.toml": "box"}, edits=[edit])
    assert path.read_bytes() == b"by another hand"
    assert [one.name for one in tmp_path.iterdir()] == ["items.toml"]


@pytest.mark.parametrize(
    ("given", "instead"),
    [
        (("--room", "300 x 200 x 60 mm", "--style", "tray"), r"such as (\d+ x \d+ x \d+ mm) \("),
        (
            ("--room", "50 x 180 x 15 mm", "--style", "hinged-tray"),
            r"such as (180 x 50 x 15 mm) \(",
        ),
        (
            ("--item", "chocolate-coin:60", "--style", "shadow-box"),
            r"such as (chocolate-coin:\d+);",
        ),
        (
            ("--describe", "oar=cylinder 12 x 400 mm", "--style", "tray"),
            r"such as what takes ([\d.]+ x [\d.]+ x [\d.]+ mm) \(",
        ),
        (
            ("--describe", "oar=cylinder 12 x 400 mm", "--style", "hinged-tray"),
            r"such as what takes ([\d.]+ x [\d.]+ x [\d.]+ mm) \(",
        ),
    ],
)
def test_what_no_sheet_holds_is_refused_with_what_would_do(
    tmp_path: Path, given: tuple[str, ...], instead: str
) -> None:
    """A base as wide as the room and two walls is wider than the largest sheet, 12 x 12 in."""
    ran = fitcheck("new", "huge", *given, *METRIC, cwd=tmp_path)
    assert ran.status == 2 and ran.err.count("\n") == 1, ran.err
    assert "would take a sheet of" in ran.err and "a sheet of 12 x 12 in holds" in ran.err
    assert list(tmp_path.iterdir()) == []
    found = re.search(instead, ran.err)
    assert found is not None, ran.err
    option = "--item" if given[0] == "--item" else "--room"
    ran = fitcheck("new", "less", option, found[1], *given[2:], *METRIC, cwd=tmp_path)
    assert ran.status == 0 and "sheet of" not in ran.err, ran.err
    for part in assemble(read_design(tmp_path / "less.toml")).parts:
        assert max(part.pattern.sheet.width_mm, part.pattern.sheet.length_mm) <= 304.8


@pytest.mark.parametrize(("tools", "grid"), [("score-board-inch", 3.175), (METRIC[3], 5.0)])
def test_a_lid_is_hinged_along_the_side_that_a_sheet_has_room_for(
    tmp_path: Path, tools: str, grid: float
) -> None:
    """Four rods of 8 x 175 mm, 2.5 mm to spare: a floor of 177.5 by 34.5 mm at the least.

    The sheet has floor and lid behind each other: twice 177.5 is more than its 12 in (304.8 mm),
    so that the hinge is along the longer side. Either side may be two grooves more than it needs.
    """
    given = ("--describe", "rod=cylinder 8 x 175 mm", "--item", "rod:4", "--style", "hinged-tray")
    more = ("--stock", "base=cardstock-270", "--tools", tools, "--no-odds")
    ran = fitcheck("new", "rods", *given, *more, cwd=tmp_path)
    assert ran.status == 0, ran.err
    found = check(read_design(tmp_path / "models" / "rods.toml"))
    assert found.fits
    width, length = found.design.base.size_mm
    assert 177.25 <= width < 178.0 + 2 * grid and 34.25 <= length < 35.0 + 2 * grid
    sheet = found.assembly.base.pattern.sheet
    assert max(sheet.width_mm, sheet.length_mm) <= 304.8


@pytest.mark.parametrize(
    ("given", "least"),
    [
        (("--item", "deck-poker", "--style", "tuck-end"), 98),
        (("--item", "chocolate-coin:9", "--style", "sleeve", "--sits", "snug"), 98),
    ],
)
def test_a_better_size_in_the_next_groove_is_taken(
    tmp_path: Path, given: tuple[str, ...], least: int
) -> None:
    """Without odds the carton stands 90 mm and the sleeve has 1 mm: 92 and 55 of 100 were right."""
    ran = fitcheck("new", "box", *given, *METRIC[:-1], "--odds", "2000", cwd=tmp_path)
    assert ran.status == 0, ran.err
    right = re.search(r"(?:over )?(\d+) of 100 boxes made by hand", ran.out)
    assert right is not None and int(right[1]) >= least, ran.out
    assert "better  " not in ran.out
    design = read_design(tmp_path / "box.toml")
    assert all(design.tools.on_grid(mm) for mm in (*design.base.size_mm, design.base.depth_mm))


def test_what_is_to_be_snug_has_no_lid_that_its_own_odds_would_change(tmp_path: Path) -> None:
    """Four tins of 42 mm in a square, 1 to 2.5 mm to spare each way: that is snug, and 84 + 1 mm
    takes 3 3/8 in (85.7 mm) of floor. A lid with 0.3 mm of play was right in 78 of 100."""
    given = ("--describe", "tin=cylinder 42 x 20 mm", "--item", "tin:4", "--style", "tray")
    more = ("--sits", "snug", "--stock", "base=cover-100", "--tools", "score-board-inch")
    ran = fitcheck("new", "tins", *given, *more, "--odds", "2000", cwd=tmp_path)
    assert ran.status == 0, ran.err
    right = re.search(r"(?:over )?(\d+) of 100 boxes made by hand", ran.out)
    assert right is not None and int(right[1]) >= 95, ran.out
    assert "better  " not in ran.out
    found = check(read_design(tmp_path / "models" / "tins.toml"))
    assert found.design.base.size_mm == pytest.approx((85.725, 85.725))
    (fit,) = found.contents
    assert fit.slack is not None and 1.0 <= min(fit.slack.width_mm, fit.slack.length_mm) < 2.5


def test_strips_that_go_in_better_when_they_are_shorter_are_cut_so(tmp_path: Path) -> None:
    """In 5000 boxes 94 of 100 were right with strips of 2 3/32 in along the length, and the check
    named 2 1/16 in (52.3875 mm) at once: they are smaller than the floor by more then."""
    given = ("--item", "marble-glass:6", "--style", "dividers", "--sits", "snug")
    more = ("--stock", "base=cover-100", "--tools", "score-board-inch", "--odds", "5000")
    ran = fitcheck("new", "marbles", *given, *more, cwd=tmp_path)
    assert ran.status == 0, ran.err
    right = re.search(r"(?:over )?(\d+) of 100 boxes made by hand", ran.out)
    assert right is not None and int(right[1]) >= 97, ran.out
    assert 'cut    = ["1 5/16", "2 1/16"]' in (tmp_path / "marbles.toml").read_text()


def test_a_drawer_gets_room_for_what_goes_in_by_depth_and_does_not_rattle(tmp_path: Path) -> None:
    """More ease of its sleeve would do as well, and leave it 3.5 mm of play."""
    given = ("--item", "tea-sachet:6", "--style", "sleeve", "--stock", "base=cover-80")
    more = ("--stock", "sleeve=cover-80", "--tools", "score-board-inch", "--odds", "2000")
    ran = fitcheck("new", "box", *given, *more, cwd=tmp_path)
    assert ran.status == 0, ran.err
    right = re.search(r"(?:over )?(\d+) of 100 boxes made by hand", ran.out)
    assert right is not None and int(right[1]) >= 95, ran.out
    assert "in the sleeve: slides" in ran.out and "rattles" not in ran.out


def test_a_ring_whose_half_no_sheet_holds_is_refused_too(tmp_path: Path) -> None:
    """Its half is as long as two sides of the room and a flap, and 12 in is 304.8 mm."""
    ring = ("--style", "collar", *METRIC)
    ran = fitcheck("new", "huge", "--room", "240 x 240 x 30 mm", *ring, cwd=tmp_path)
    assert ran.status == 2 and ran.err.count("\n") == 1, ran.err
    found = re.search(r"the collar would take two strips of ([\d.]+) x [\d.]+ mm", ran.err)
    assert found is not None and float(found[1]) > 240 + 240, ran.err
    assert list(tmp_path.iterdir()) == []
    less = re.search(r"such as (\d+ x \d+ x \d+ mm) \(", ran.err)
    assert less is not None, ran.err
    ran = fitcheck("new", "less", "--room", less[1], *ring, cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert "its steps say how two strips make it" in " ".join(ran.out.split())


def test_a_name_with_a_space_is_told_put_right(tmp_path: Path) -> None:
    """Of a design, of what is described, and of an item that nobody knows."""
    ran = fitcheck("new", "coin box.toml", "--style", "tray", *METRIC, cwd=tmp_path)
    assert ran.status == 2 and ran.err.endswith("; write coin-box\n"), ran.err
    ran = fitcheck("new", "items", "--style", "tray", *METRIC, cwd=tmp_path)
    assert ran.status == 2 and ran.err.endswith("; write a name such as coin-box\n"), ran.err
    given = ("--item", "zinc whistle", "--style", "tray")
    ran = fitcheck("new", "box", *given, *METRIC, cwd=tmp_path)
    assert ran.status == 2 and '--describe "zinc-whistle=' in ran.err, ran.err
