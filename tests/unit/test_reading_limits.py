"""What a row of readings may say, at its limits; rows pasted twice; what is believed beforehand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.csv_rows import parse_sheet
from fitcheck.learn.csv_table import HEADER, table_of
from fitcheck.learn.doubtful_stacks import check_stacks
from fitcheck.learn.model_printer import NAMES, printer_model
from fitcheck.learn.possible_readings import problems
from tests.truth import Notebook, paper_readings


def reading(feature: Feature, value: float, nominal: float | None, count: int | None) -> Reading:
    book = Notebook(np.random.default_rng(0))
    paper_readings(book)
    return replace(
        book.rows[0],
        feature=feature,
        reading_mm=value,
        nominal_mm=nominal,
        count=count,
        go_mm=None,
        nogo_mm=None,
        resolution_mm=0.01,
    )


def told(feature: Feature, value: float, nominal: float | None = 60.0) -> list[str]:
    count = 10 if feature is Feature.STACK else None
    nominal = None if feature is Feature.STACK else nominal
    return [" ".join(problem) for problem in problems(reading(feature, value, nominal, count))]


@pytest.mark.parametrize(
    ("feature", "nominal", "low", "high"),
    [
        # ten sheets, each of 0.05 to 3 mm
        (Feature.STACK, None, 0.5, 30.0),
        # within 5 mm of the nominal, or 3 for what is printed
        (Feature.CHANNEL, 60.0, 55.0, 65.0),
        (Feature.CORNER, 38.1, 33.1, 43.1),
        (Feature.INSIDE, 5.5, 1.0, 10.5),
        (Feature.HEM, 25.0, 20.0, 30.0),
        # from cut edge to fold; without a nominal from two sheets up to a fold of a metre
        (Feature.HEM, None, 0.1, 1100.0),
        (Feature.OUTSIDE_X, 20.0, 17.0, 23.0),
        (Feature.OUTSIDE_Y, 2.0, 0.1, 5.0),
        (Feature.INSIDE_X, 2.0, 0.1, 5.0),
        (Feature.INSIDE_Y, 2.0, 0.1, 5.0),
        (Feature.INSIDE_X, 800.0, 797.0, 803.0),
        (Feature.FIRST_LAYER, 2.0, 0.1, 5.0),
        (Feature.HEIGHT, 0.5, 0.1, 3.5),
    ],
)
def test_readings_are_possible_up_to_their_limits(
    feature: Feature, nominal: float | None, low: float, high: float
) -> None:
    for value in (low + 1e-6, high - 1e-6):
        assert told(feature, value, nominal) == []
    for value in (low - 0.01, high + 0.01):
        (line,) = told(feature, value, nominal)
        assert f"{low:g} to {high:g} mm" in line


NOMINALS = {
    # folds from 5 mm to what a sheet of a metre gives; printed gauges from a wall's thickness on
    **dict.fromkeys(
        (Feature.CHANNEL, Feature.HEM, Feature.CORNER, Feature.INSIDE), ("5", 5.0, "1000", 1000.0)
    ),
    **dict.fromkeys(
        (
            Feature.OUTSIDE_X,
            Feature.OUTSIDE_Y,
            Feature.INSIDE_X,
            Feature.INSIDE_Y,
            Feature.FIRST_LAYER,
        ),
        ("0.5", 0.5, "1000", 1000.0),
    ),
    Feature.HEIGHT: ("0.2", 0.2, "1000", 1000.0),
}


@pytest.mark.parametrize("feature", NOMINALS, ids=str)
def test_a_nominal_is_taken_up_to_its_limits_and_no_further(feature: Feature) -> None:
    least, low, most, high = NOMINALS[feature]
    for nominal in (low, 1.3 * low, 0.9 * high, high):
        assert told(feature, max(nominal, 1.0), nominal) == []
    for nominal in (0.97 * low, 1.01 * high):
        (line,) = told(feature, max(nominal, 1.0), nominal)
        assert line.startswith("nominal_mm") and f"{least} to {most} mm" in line


@pytest.mark.parametrize("feature", [f for f in NOMINALS if f not in {Feature.HEM}], ids=str)
def test_a_size_that_was_gauged_may_be_any_feature_s_but_a_stack_s(feature: Feature) -> None:
    row = replace(reading(feature, 0.0, 60.0, None), reading_mm=None, go_mm=60.1, nogo_mm=60.2)
    assert list(problems(row)) == []
    far = replace(row, nogo_mm=70.0)
    assert [problem[0] for problem in problems(far)] == ["nogo_mm"]


def test_inches_are_recognised_where_they_would_do() -> None:
    assert "looks like inches: write 60.45" in told(Feature.CHANNEL, 2.38)[0]
    assert "measure it again" in told(Feature.CHANNEL, 2.6)[0]
    assert "looks like inches: write 3.30" in told(Feature.STACK, 0.13)[0]
    assert "inches" not in told(Feature.STACK, 35.0)[0]


@pytest.mark.parametrize(("resolution", "good"), [(1.5875, True), (1.59, False), (0.0, False)])
def test_the_instrument_s_step(resolution: float, good: bool) -> None:
    row = replace(reading(Feature.CHANNEL, 60.4, 60.0, None), resolution_mm=resolution)
    assert (list(problems(row)) == []) == good


ROWS = [f"2026-11-20,kh,caliper,0.01,channel,60,,60.{k},,," for k in (31, 42, 55)]


def sheet(*rows: str) -> object:
    return parse_sheet("\n".join([",".join(HEADER), *rows]) + "\n", "r.csv")


def test_rows_pasted_twice_are_refused_and_what_may_be_meant_is_not() -> None:
    with pytest.raises(InputError, match="row 5: duplicates"):
        sheet(*ROWS, *ROWS)
    sheet(*ROWS, *ROWS, ROWS[0])
    sheet(*ROWS[:2], *ROWS[:2])
    sheet(*ROWS, *reversed(ROWS))
    # the same thing read six times and the same each time
    sheet(*[ROWS[0]] * 6)


def test_a_header_tells_each_column_that_is_wrong_and_no_other() -> None:
    names = [name for name in HEADER if name not in ("note", "count")]
    with pytest.raises(InputError) as caught:
        table_of(",".join([*names, "by"]) + "\n", "r.csv")
    lines = caught.value.lines
    assert [
        word for line in lines for word in ("count", "note") if f"column {word} is" in line
    ] == [
        "count",
        "note",
    ]
    assert len(lines) == 3 and "the column by stands there 2 times" in lines[2]
    columns, comma = table_of(";".join(HEADER) + "\n" + ";" * (len(HEADER) - 1) + "\n", "r.csv")
    assert list(columns) == [] and comma
    rows, comma = table_of(",".join(HEADER) + "\n\n2026-01-01,me,,,,,,,,,x\n", "r.csv")
    assert not comma and [(n, r["by"], r["note"]) for n, r in rows] == [(3, "me", "x")]


def test_a_printer_s_features_by_their_formulas() -> None:
    """outside n (1 + s) + 2 o, inside n (1 + s) - 2 h, height n (1 + s) + v, first layer both."""
    features = (
        (Feature.OUTSIDE_X, 20.0),
        (Feature.OUTSIDE_Y, 30.0),
        (Feature.INSIDE_X, 12.0),
        (Feature.INSIDE_Y, 14.0),
        (Feature.HEIGHT, 8.0),
        (Feature.FIRST_LAYER, 25.0),
    )
    entries = [SimpleNamespace(feature=f, nominal_mm=n) for f, n in features]
    model, _ = printer_model(entries, None)  # type: ignore[arg-type]
    truth = {
        "scale_x": 0.004,
        "scale_y": -0.002,
        "scale_z": 0.001,
        "outside_offset_mm": 0.05,
        "hole_offset_mm": 0.07,
        "first_layer_mm": 0.11,
        "height_offset_mm": -0.03,
    }
    assert set(truth) == set(NAMES)
    x = np.array([truth[name] for name in NAMES])
    assert model.values(x) == pytest.approx(
        [
            20.0 * 1.004 + 0.10,
            30.0 * 0.998 + 0.10,
            12.0 * 1.004 - 0.14,
            14.0 * 0.998 - 0.14,
            8.0 * 1.001 - 0.03,
            25.0 * 1.004 + 0.10 + 0.22,
        ]
    )
    step = 1e-6
    for k in range(len(NAMES)):
        moved = x + step * (np.arange(len(NAMES)) == k)
        slope = (model.values(moved) - model.values(x)) / step
        assert model.slopes(x)[:, k] == pytest.approx(slope, abs=1e-6)


def test_what_a_printer_was_believed_to_do() -> None:
    """Scales are kept as factors and fitted as errors; nothing known: 0.5 % and 0.1 mm."""
    _, beliefs = printer_model([], None)
    assert dict((name, (b, u)) for name, b, u in beliefs) == {
        name: (0.0, 0.005 if name.startswith("scale") else 0.1) for name in NAMES
    }
    known = {"scale_x": 1.004, "scale_y": 0.998, "scale_z": 1.0}
    known |= {f"{name}_u": 0.0007 for name in ("scale_x", "scale_y", "scale_z")}
    for stem, value in (("outside_offset", 0.05), ("hole_offset", 0.07), ("first_layer", 0.11)):
        known |= {f"{stem}_mm": value, f"{stem}_u_mm": 0.013}
    known |= {"height_offset_mm": -0.03, "height_offset_u_mm": 0.0}
    _, beliefs = printer_model([], SimpleNamespace(**known, records=()))  # type: ignore[arg-type]
    found = {name: (b, u) for name, b, u in beliefs}
    assert found["scale_x"] == pytest.approx((0.004, 0.0007))
    assert found["scale_y"] == pytest.approx((-0.002, 0.0007))
    assert found["hole_offset_mm"] == (0.07, 0.013)
    assert found["height_offset_mm"] == pytest.approx((-0.03, 1e-9))


def stacks(*each_mm: float) -> list[Reading]:
    return [reading(Feature.STACK, 10 * each, None, 10) for each in each_mm]


def test_a_stack_is_held_against_two_others_but_not_against_one() -> None:
    """Of three stacks one counted wrongly is told; of two nobody knows which it is."""
    with pytest.raises(InputError) as caught:
        check_stacks("card", stacks(0.33, 0.034, 0.32), None)
    (line,) = caught.value.lines
    assert "0.034 mm a sheet" in line and "come to 0.325 mm" in line
    check_stacks("card", stacks(0.33, 0.034), None)
    check_stacks("card", stacks(0.33, 0.32, 0.34), 0.33)
    with pytest.raises(InputError, match="is known as"):
        check_stacks("card", stacks(0.034), 0.33)
