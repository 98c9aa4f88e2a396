"""What a notebook shows of a value is a line that a person reads, not its arrays."""

from __future__ import annotations

import pickle

import pytest

import fitcheck
from tests.face_designs import LIDDED

LINE = 200
"""Letters that a wide line has."""


@pytest.fixture(scope="module")
def checked() -> fitcheck.Checked:
    return fitcheck.check(fitcheck.build(LIDDED))


def test_every_value_is_shown_in_a_line(checked: fitcheck.Checked) -> None:
    part, odds = checked.parts["base"], checked.odds(500)
    sheet = part.sheet()
    values = (
        *(checked, checked.design, checked.parts, checked.mates[0], checked.contents, odds),
        *(part, part.plates[0], part.bends[0], part.pieces[0], part.pieces, part.bends),
        *(sheet, sheet.strokes[0], sheet.strokes, sheet.labels[0]),
    )
    for value in values:
        assert len(repr(value)) <= LINE, repr(value)[:LINE]
        assert "array(" not in repr(value) and "mappingproxy" not in repr(value)


def test_lengths_are_shown_by_their_names(checked: fitcheck.Checked) -> None:
    shown = repr(checked.odds(500).lengths)
    assert shown.startswith("{'lid play, width': array (500,), 'lid play, length': array (500,)")
    assert "." not in shown  # none of the 500 numbers of each


def test_a_sheet_and_a_mate_say_what_they_are(checked: fitcheck.Checked) -> None:
    sheet = checked.parts["base"].sheet()
    count = f"{len(sheet.strokes)} strokes, {len(sheet.labels)} labels"
    width, length = sheet.size_mm
    size = f"{width:.1f} x {length:.1f} mm"
    assert repr(sheet) == f"Sheet('Toffees and a pencil: base', {size}, {count})"
    mate = checked.mates[0]
    shown = ", ".join(f"{axis!r}: {play:.3f}" for axis, play in mate.plays_mm.items())
    assert repr(mate) == f"Mate('lid', 'base', verdict='slides', plays_mm={{{shown}}})"


def test_a_long_row_shows_its_first_and_how_many_more(checked: fitcheck.Checked) -> None:
    pieces = checked.parts["base"].pieces
    assert isinstance(pieces, tuple)
    assert repr(pieces[0]) == f"Piece('floor', {len(pieces[0].corners)} corners)"
    assert repr(pieces).startswith("(Piece('floor', ")
    assert repr(pieces).endswith(f", ... {len(pieces) - 3} more)")
    assert len(pickle.loads(pickle.dumps(pieces))) == len(pieces)
    assert repr(checked.mates) == f"({checked.mates[0]!r},)"
