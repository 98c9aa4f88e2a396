"""What is typed, stepped or pulled changes that value of a design's text and nothing else."""

from __future__ import annotations

import difflib
import math
import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from fitcheck.bench import tasks
from fitcheck.bench.drafts import Change, Draft, changed
from fitcheck.bench.forms import Field, Form, Kind, form_of
from fitcheck.design.model import Design
from fitcheck.design.read import design_from
from fitcheck.errors import InputError
from fitcheck.fit.assembly import assemble
from fitcheck.styles import STYLES
from fitcheck.styles.places import PLACES
from fitcheck.units import Unit, parse_length
from fitcheck.workspace.paths import search_roots
from tests.fuzz.from_schema import SCHEMA, designs
from tests.served import ROOT, SMALL

MODELS = sorted(path for path in (ROOT / "models").glob("*.toml") if path.name != "items.toml")
TYPED = {
    Kind.TEXT: "other words",
    Kind.LENGTH: "7.25",
    Kind.NUMBER: "37",
    Kind.PAPER: "cover-90",
    Kind.BOARD: "score-board-other",
    Kind.ITEM: "something-else",
}


def put(text: str, *changes: Change) -> str:
    return changed(Draft(name="tried", text=text, changes=list(changes)))


def text_of(path: Path) -> str:
    return path.read_bytes().decode()


def design(text: str) -> Design:
    return design_from(tomllib.loads(text), "design", search_roots(), {}, name="tried")


def all_fields(form: Form) -> list[Field]:
    return [field for group in form.groups for field in (*group.fields, *group.more)]


def settings_of(field: Field) -> list[Change]:
    """Another value than it has, as the page sends it."""
    at = list(field.at)
    if field.kind is Kind.PAIR:
        return [Change(at=[*at, k], value=value) for k, value in enumerate(("7.25", "8.5"))]
    if field.kind is Kind.CHOICE:
        return [Change(at=at, value=next(c for c in (*field.choices, "x") if (c,) != field.values))]
    if field.kind is Kind.CHOICES:
        return [Change(at=at, value=[c for c in field.choices if c not in field.values][:1])]
    return [Change(at=at, value=TYPED[field.kind])]


def back_of(field: Field) -> list[Change]:
    """What it had, as the page shows it and sends it."""
    at = list(field.at)
    if not field.values:
        return [Change(at=at, remove=True)]
    if field.kind is Kind.PAIR:
        return [Change(at=[*at, k], value=value) for k, value in enumerate(field.values)]
    if field.kind is Kind.CHOICES:
        return [Change(at=at, value=list(field.values))]
    return [Change(at=at, value=field.values[0])]


def stands(tables: Any, at: tuple[str | int, ...]) -> Any:
    for step in at:
        if isinstance(tables, dict) and step not in tables:
            return None
        tables = tables[step]
    return tables


def without(tables: Any, at: tuple[str | int, ...]) -> Any:
    """The tables but for one place; a table that held only that is left out as well."""
    if isinstance(tables, list):
        return [without(one, at[1:]) if k == at[0] else one for k, one in enumerate(tables)]
    found = {key: value for key, value in tables.items() if key != at[0]}
    if len(at) > 1 and at[0] in tables:
        inner = without(tables[at[0]], at[1:])
        found |= {at[0]: inner} if inner else {}
    return found


def other_lines(before: str, after: str) -> list[str]:
    rows = difflib.ndiff(before.splitlines(), after.splitlines())
    return [row for row in rows if row[0] in "+-"]


@pytest.mark.parametrize("path", MODELS, ids=lambda path: path.stem)
def test_every_field_of_a_shipped_design_can_be_set_and_set_back(path: Path) -> None:
    text = text_of(path)
    tables, was = tomllib.loads(text), design(text)
    fields = all_fields(form_of(tables))
    assert len(fields) > 25
    for field in fields:
        if field.at[-1] in ("style", "unit"):
            continue  # test_bench_starts and test_bench_other_unit tell what goes with them
        for change in settings_of(field):
            after = put(text, change)
            new = tomllib.loads(after)
            assert without(new, field.at) == without(tables, field.at), field.key
            typed = change.value
            said = stands(new, field.at)
            if field.kind is Kind.PAIR:
                side = int(change.at[-1])
                assert parse_length(said[side], Unit.MM) == parse_length(str(typed), Unit.MM)
                other = stands(tables, field.at)
                if other is not None:
                    assert said[1 - side] == (other[1 - side] if isinstance(other, list) else other)
            elif field.kind in (Kind.LENGTH, Kind.NUMBER):
                assert float(said) == float(str(typed))
            else:
                assert said == typed, field.key
            rows = other_lines(text, after)
            marks = [row[0] for row in rows]
            assert marks in ([["-", "+"]] if field.values else [["+"], ["-", "+"]]), field.key
            assert after.count("# ") == text.count("# "), "comments stay"
            back = put(after, *back_of(field))
            assert design(back) == was, field.key
            again = [row for row in other_lines(text, back) if row[2:].strip()]
            assert len(again) in (0, 2), (field.key, again)


@pytest.mark.parametrize("path", MODELS, ids=lambda path: path.stem)
def test_every_field_put_back_as_it_is_leaves_the_design(path: Path) -> None:
    text = text_of(path)
    changes = [one for field in all_fields(form_of(tomllib.loads(text))) if field.values
               for one in back_of(field)]  # fmt: skip
    after = put(text, *changes)
    assert design(after) == design(text)
    assert len(after.splitlines()) == len(text.splitlines())


def test_lengths_are_shown_with_all_their_digits() -> None:
    text = SMALL.replace("[60, 40]", "[1234.5678, 0.0625]")
    (field,) = (one for one in all_fields(form_of(tomllib.loads(text))) if one.key == "base.floor")
    assert field.values == ("1234.5678", "0.0625")


def styles_at() -> list[tuple[str, str, dict[str, Any]]]:
    """Every place, each style that may stand there, and what the schema says of it."""
    found = []
    for place in PLACES:
        one = SCHEMA["properties"][place.name]
        one = SCHEMA["$defs"].get(one.get("$ref", "").rpartition("/")[2], one)
        refs = one["discriminator"]["mapping"].values() if "oneOf" in one else ()
        models = [SCHEMA["$defs"][ref.rpartition("/")[2]] for ref in refs] or [one]
        found += [(place.name, model["properties"]["style"]["const"], model) for model in models]
    return found


@pytest.mark.parametrize(("place", "style", "model"), styles_at(), ids=lambda one: str(one)[:20])
def test_every_style_has_a_form_of_all_its_keys(
    place: str, style: str, model: dict[str, Any]
) -> None:
    text = SMALL if place in ("base", "lid") else f'{SMALL}\n[{place}]\nstyle = "tray"\n'
    head, mark, rest = text.partition(f"[{place}]\n")
    text = head + mark + rest.replace('"tray"', f'"{style}"', 1)
    form = form_of(tomllib.loads(text))
    group = next(one for one in form.groups if one.name == place)
    fields = (*group.fields, *group.more)
    assert {field.at[1] for field in fields} == set(model["properties"])
    for field in fields:
        for change in settings_of(field):
            if field.key != f"{place}.style":
                after = tomllib.loads(put(text, change))
                assert without(after, field.at) == without(tomllib.loads(text), field.at)
                assert stands(after, field.at) is not None


EASED = {
    "sleeve": ("sleeve", "ease = [2, 2]"),
    "collar": ("collar", "ease = [2, 2]\nrise = 8"),
    "insert": ("mat", "ease = [2, 2]"),
    "insert on legs": ("platform", "ease = [2, 2]\nheight = 6"),
    "dividers": ("dividers", "ease = [2, 2]\nrows = 2\ncolumns = 2"),
}
GROWS = {"larger": 1.0, "smaller": -1.0, "shorter": -1.0}


@pytest.mark.parametrize("case", EASED)
def test_an_ease_is_called_by_what_it_does_to_the_part(case: str) -> None:
    """By a millimetre more, which length of the part changes, and does it grow or shrink?"""
    place, (style, keys) = case.partition(" ")[0], EASED[case]
    rest = f'[{place}]\nstyle = "{style}"\nstock = "cardstock-270"\n{keys}\n'
    text = f"{SMALL.partition('[lid]')[0]}\n{rest}"
    (field,) = (
        one for one in all_fields(form_of(tomllib.loads(text))) if one.key == f"{place}.ease"
    )
    assert field.sides is not None
    (word,) = set(field.label.split()) & set(GROWS)
    before = np.array(lengths_of(text, place))
    for side, said in enumerate(field.sides):
        more = text.replace("[2, 2]", str([3 if k == side else 2 for k in (0, 1)]))
        by = np.array(lengths_of(more, place)) - before
        wanted = ("width", "length", "height")[{"across": 0, "up": 2}.get(said, side)]
        assert said in ("across", "up") or wanted in said.split()
        assert dict(zip(("width", "length", "height"), by, strict=True)) == pytest.approx(
            {"width": 0.0, "length": 0.0, "height": 0.0} | {wanted: GROWS[word]}, abs=1e-6
        )


def lengths_of(text: str, place: str) -> tuple[float, float, float]:
    """Width, length and height of a part where it stands in its box, from its folded corners.

    Strips have a length each way: what their sheets are long.
    """
    parts = assemble(design(text)).parts[1:]
    if place == "dividers":
        across, along = (max(part.pattern.sheet.sides_mm) for part in parts)
        assert [part.recipe.part for part in parts] == ["dividers across", "dividers along"]
        return across, along, 0.0
    (part,) = parts
    return (*part.sizes.outside_mm, part.sizes.height_mm)


def test_every_style_of_the_program_is_among_them() -> None:
    assert {style for _, style, _ in styles_at()} == {style.name for style in STYLES.sound()}


def test_a_key_that_is_taken_away_leaves_no_empty_table() -> None:
    for at in (["bands", "snug"], ["base", "colour"]):
        after = put(put(SMALL, Change(at=at, value="0.2")), Change(at=at, remove=True))
        assert after == SMALL


@pytest.mark.parametrize(
    ("typed", "read"),
    [("1,5", 1.5), ("12,75 mm", "12.75 mm"), (" 7 ", 7), ("0,1 cm", "0.1 cm"), ("3 5/8", "3 5/8"),
     ("60", 60), ("1.50", 1.5)],
)  # fmt: skip
def test_a_decimal_comma_is_read_as_it_is_meant(typed: str, read: object) -> None:
    after = tomllib.loads(put(SMALL, Change(at=["base", "depth"], value=typed)))
    assert after["base"]["depth"] == read
    inch = SMALL.replace('"mm"', '"in"')
    after = tomllib.loads(put(inch, Change(at=["base", "depth"], value=typed)))
    mm = parse_length(after["base"]["depth"], Unit.IN)
    assert mm == parse_length(typed.replace(",", ".").strip(), Unit.IN)


def test_words_keep_their_commas() -> None:
    after = tomllib.loads(put(SMALL, Change(at=["title"], value="1,5")))
    assert after["title"] == "1,5"


# Grooves


def grid_of(board: str) -> Fraction:
    """How far a board's grooves are apart, read from its file by itself; mm."""
    raw = tomllib.loads((ROOT / "calibration" / "tools" / f"{board}.toml").read_text())
    return Fraction(parse_length(raw["grid"], Unit.MM)).limit_denominator(100_000)


@given(
    st.sampled_from(["score-board-metric", "score-board-inch"]),
    st.sampled_from(["mm", "in"]),
    st.one_of(
        st.fractions(1, 300, max_denominator=64).map(lambda mm: round(float(mm), 4)),
        st.integers(1, 60).map(float),
    ),
    st.sampled_from([-3, -1, 1, 2]),
    st.booleans(),
)
@settings(max_examples=150)
def test_steps_land_on_the_next_grooves(
    board: str, unit: str, mm: float, step: int, on: bool
) -> None:
    grid = grid_of(board)
    here = round(Fraction(mm) / grid) * grid if on else Fraction(mm)
    text = SMALL.replace('"mm"', f'"{unit}"').replace("score-board-metric", board)
    text = text.replace("depth = 20", f'depth = "{float(here):.6f} mm"')
    after = tomllib.loads(put(text, Change(at=["base", "depth"], step=step)))
    found = parse_length(after["base"]["depth"], Unit(unit))
    grooves = here / grid
    if abs(grooves - round(grooves)) < Fraction(1, 10**5):
        due = round(grooves) + step
    else:
        due = math.floor(grooves) + step if step > 0 else math.ceil(grooves) + step
    assert found == pytest.approx(float(due * grid), abs=6e-5)


@given(st.sampled_from(["score-board-metric", "score-board-inch"]), st.floats(1, 1500))
@settings(max_examples=100)
def test_what_is_pulled_comes_to_the_nearest_groove(board: str, mm: float) -> None:
    grid = float(grid_of(board))
    unit = "in" if board.endswith("inch") else "mm"
    text = SMALL.replace('"mm"', f'"{unit}"').replace("score-board-metric", board)
    after = tomllib.loads(put(text, Change(at=["base", "floor", 1], mm=mm)))
    width, length = (parse_length(one, Unit(unit)) for one in after["base"]["floor"])
    assert width == parse_length(60, Unit(unit))
    assert abs(length - mm) <= grid / 2 + 1e-3
    assert abs(length / grid - round(length / grid)) < 1e-3


def test_in_inches_a_step_is_written_as_a_maker_reads_it() -> None:
    text = SMALL.replace('"mm"', '"in"').replace("score-board-metric", "score-board-inch")
    text = text.replace("depth = 20", 'depth = "7/8"')
    after = tomllib.loads(put(text, Change(at=["base", "depth"], step=1)))["base"]["depth"]
    assert Fraction(after.partition(" ")[0]) % Fraction(1, 16) == 0 and "mm" not in after


# Anything at all


KEYS = ["base", "lid", "content", "bands", "floor", "depth", "style", "stock", "tools", "unit",
        "count", "item", "ease", "snug", "want", "title", "oversize", "", "a b", "x\n", "\x00",
        '"', "sleeve", "format", "."]  # fmt: skip
INLINE = (
    'format=1\ntitle="x"\nunit="mm"\nbase={style="tray",stock="cover-80",floor=[60,40],depth=20}\n'
    'content=[{item="chocolate-coin"}]\n'
)
DOTTED = 'format=1\ntitle="x"\nbase.style="tray"\nbase.stock="cover-80"\nbase.floor=60\n'
ODD_TEXTS = [
    SMALL, text_of(ROOT / "models" / "harbour.toml"), text_of(ROOT / "models" / "rope.toml"),
    INLINE, DOTTED, "", "base=3\ncontent=4\nlid=[1,2]\nbands='x'\nunit=[]\ntools={}\n",
    "[[base]]\nx=1\n[content]\na=1\n[lid]\nstyle=3\n",
    "content=[1,'a',{}]\n[base]\nstyle=['tray']\nfloor=[]\n",
    "[base]\nfloor = [1,2,3]\nease={a=1}\n[lid]\n", SMALL.replace("\n", "\r\n"),
]  # fmt: skip
WHERE = st.lists(
    st.one_of(st.sampled_from(KEYS), st.integers(-3, 4), st.text(max_size=3)), max_size=4
)
VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.sampled_from(["1,5", "3 5/8", "12", "-1", "1e999", "", "\x00", "1" * 5000, "nan", '"""',
                     "a\nb", "\u2028", "00", "01", "-0", "\u0661\u0662"]),
    st.text(max_size=6),
    st.lists(st.text(max_size=4), max_size=3),
)  # fmt: skip
CHANGES = st.fixed_dictionaries(
    {"at": WHERE},
    optional={
        "value": VALUES,
        "step": st.one_of(st.integers(-3, 3), st.integers()),
        "mm": st.floats(),
        "remove": st.booleans(),
        "table": st.dictionaries(st.sampled_from(KEYS), st.text(max_size=4), max_size=3),
    },
)


@given(st.sampled_from(ODD_TEXTS), st.lists(CHANGES, min_size=1, max_size=3))
@settings(max_examples=1500, suppress_health_check=list(HealthCheck))
def test_any_change_of_any_text_is_made_or_refused_in_words(
    text: str, given_changes: list[dict[str, Any]]
) -> None:
    try:
        changes = [Change(**one) for one in given_changes]
        after = put(text, *changes)
    except (InputError, ValidationError) as error:
        assert str(error)
        return
    form_of(tomllib.loads(after))


def seen(text: str, name: str = "tried") -> dict[str, Any] | None:
    """What the page is shown of a text; None where it is no TOML."""
    try:
        return tasks.look(Draft(name=name, text=text), lambda event: None)
    except InputError as error:
        assert error.lines
        return None


@pytest.fixture
def unchecked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Texts are read as they always are; what is sound is not folded."""

    def read(name: str, text: str, tell: object) -> None:
        tasks._design(name, text)
        raise InputError("design: sound")

    monkeypatch.setattr(tasks, "checked", read)


@pytest.mark.usefixtures("unchecked")
def test_a_design_that_is_being_typed_is_looked_at_at_every_letter() -> None:
    text = text_of(ROOT / "models" / "rope.toml")
    whole = 0
    for end in range(0, len(text) + 1):
        found = seen(text[:end])
        whole += found is not None
        assert found is None or found["problems"]
    assert whole > 20


@pytest.mark.usefixtures("unchecked")
@given(designs())
@settings(max_examples=200, suppress_health_check=list(HealthCheck))
def test_designs_that_are_nearly_right_are_looked_at(raw: bytes) -> None:
    seen(raw.decode())


@pytest.mark.usefixtures("unchecked")
@pytest.mark.parametrize(
    "text",
    [*ODD_TEXTS, "x" * 3_000_000, "[" * 100_000, "a." * 50_000 + "a=1", "#" * 99_000,
     "x=" + "1" * 90_000, "\x00", "\ufeff", "\r", 'a="""', "[base]\nstyle={}\n"],
)  # fmt: skip
def test_a_text_that_is_no_design_is_told_so(text: str) -> None:
    found = seen(text)
    assert found is None or (found["verdict"] is None and found["problems"])


@pytest.mark.parametrize(
    "name", ["", "../x", "a\0b", "x" * 5000, "/etc/passwd", "con", "caf\u00e9"]
)
def test_a_draft_of_any_name_is_looked_at(name: str) -> None:
    found = seen(SMALL, name)
    assert found is not None and found["verdict"] is not None


def test_a_problem_names_no_file_of_the_design_but_that_of_a_paper() -> None:
    from fitcheck.bench.problems import problems_of

    lines = [
        "/home/her/models/box.toml: base: the roll cannot be closed",
        r"C:\box\models\box.toml: base.depth: read 'x'; write a length",
        "/home/her/calibration/stocks/mine.toml: is not TOML",
        "design: base.depth: read ''; write a length",
    ]
    assert problems_of(lines) == [
        {"key": "base", "text": "the roll cannot be closed"},
        {"key": "base.depth", "text": "read 'x'; write a length"},
        {"key": "", "text": "/home/her/calibration/stocks/mine.toml: is not TOML"},
        {"key": "base.depth", "text": "read ''; write a length"},
    ]


@pytest.mark.parametrize("typed", ["2.5", "", "two", "0", "501"])
def test_a_count_that_is_none_is_told_in_words_of_the_page(typed: str) -> None:
    text = SMALL + '\n[[content]]\nitem = "chocolate-coin"\ncount = 1\n'
    change = Change(at=["content", 0, "count"], value=typed)
    found = tasks.look(Draft(name="tried", text=text, changes=[change]), lambda event: None)
    (problem,) = found["problems"]
    assert problem["key"] == "content[1].count"
    assert problem["text"].startswith("write how many of it, a whole number from 1 to 500")
    assert "allowed" not in problem["text"] and "type" not in problem["text"]
