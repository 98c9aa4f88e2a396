"""How `fitcheck record` reads a play: what was meant is taken, what cannot be meant is refused."""

from __future__ import annotations

import pytest

from fitcheck.cli.record_options import outcome_of, play_of
from fitcheck.errors import InputError
from fitcheck.learn.made import BoxOutcome
from fitcheck.units import Unit

SLID, BOUND, LOOSE = BoxOutcome.SLID, BoxOutcome.BOUND, BoxOutcome.LOOSE


@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [
        ("1/32", Unit.IN, (0.79375, 0.79375)),  # 25.4 / 32
        ("1/32 in", Unit.MM, (0.79375, 0.79375)),
        ('1/64:1/32"', Unit.IN, (0.396875, 0.79375)),
        ("0.3:0.4", Unit.IN, (0.3, 0.4)),  # the plugs' own marks, in mm
        ("0.3:0.4", Unit.MM, (0.3, 0.4)),
        ("0.02 in:", Unit.MM, (0.508, None)),
        (":0.2", Unit.CM, (None, 0.2)),
        (None, Unit.MM, (None, None)),
    ],
)
def test_a_play_is_read_in_the_unit_that_it_was_meant_in(
    text: str | None, unit: Unit, mm: tuple[float | None, float | None]
) -> None:
    go, nogo = play_of(text, unit, SLID)
    for found, wanted in zip((go, nogo), mm, strict=True):
        assert found == (None if wanted is None else pytest.approx(wanted, abs=1e-12))


@pytest.mark.parametrize("unit", [Unit.MM, Unit.CM])
@pytest.mark.parametrize("text", ["1/32", "1 1/32", "0.3:1/32"])
def test_a_bare_fraction_in_a_metric_design_is_asked_about(text: str, unit: Unit) -> None:
    """It was kept as 0.03125 mm, a hair's breadth."""
    with pytest.raises(InputError) as error:
        play_of(text, unit, SLID)
    (line,) = error.value.lines
    assert f"--play: read '{text}'" in line
    assert "1/32 in'" in line and "no unit" in line


@pytest.mark.parametrize("text", ["0.3", "0.3:0.4", "0.3:", "1/32 in"])
def test_a_lid_that_bound_has_no_play(text: str) -> None:
    with pytest.raises(InputError) as error:
        play_of(text, Unit.MM, BOUND)
    (line,) = error.value.lines
    assert f"--play: read '{text}' with --outcome bound" in line
    assert "slid" in line and "leave --play out" in line


@pytest.mark.parametrize("text", ["0", ":0.2", "0:0.2", None])
def test_a_lid_that_bound_may_have_let_no_plug_in(text: str | None) -> None:
    play_of(text, Unit.MM, BOUND)


def test_a_loose_lid_without_any_play_is_asked_about() -> None:
    with pytest.raises(InputError, match="--play: read '0' with --outcome loose"):
        play_of("0", Unit.MM, LOOSE)


@pytest.mark.parametrize(
    ("text", "outcome"),
    [
        ("bound", "bound"),
        ("binds", "bound"),
        ("Slides", "slid"),
        ("snug", "slid"),
        ("tight", "tight"),
    ],
)
def test_an_outcome_is_read_in_the_words_of_a_check_too(text: str, outcome: str) -> None:
    assert outcome_of(text) == BoxOutcome(outcome)


@pytest.mark.parametrize("text", ["dunno", "", "slid off"])
def test_an_outcome_that_is_none_is_told(text: str) -> None:
    with pytest.raises(InputError, match=r"--outcome: read .*; allowed: bound, tight, slid, loose"):
        outcome_of(text)
