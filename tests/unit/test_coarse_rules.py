"""What a rule's step leaves open is not held against who read it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.doubtful import of_readings
from fitcheck.learn.doubtful_stacks import Known

SHEET = 0.22
ROW = Reading(
    "r.csv", 2, "2026-11-20", "kh", "caliper", 0.01, Feature.STACK, None, 10, 10 * SHEET, None,
    None, "piece A",
)  # fmt: skip


def rows(channel_mm: float, step_mm: float, plug_mm: float) -> list[Reading]:
    """A stack by caliper, one channel of 50 mm by a rule, and the plug that went into it."""
    channel = replace(
        ROW, row=3, instrument="rule", resolution_mm=step_mm, feature=Feature.CHANNEL,
        nominal_mm=50.0, count=None, reading_mm=channel_mm, note="piece C",
    )  # fmt: skip
    inside = replace(
        ROW, row=4, instrument="plug", feature=Feature.INSIDE, nominal_mm=50.0, count=None,
        reading_mm=None, go_mm=plug_mm - 0.05, nogo_mm=plug_mm + 0.05, note="piece C",
    )  # fmt: skip
    return [ROW, channel, inside]


def asked(own: list[Reading]) -> list[str]:
    return [one.line for one in of_readings(own, [], Known())]


@pytest.mark.parametrize(
    ("outside_mm", "step_mm"),
    [(50.20, 25.4 / 32), (50.40, 25.4 / 32), (50.24, 0.5), (50.70, 25.4 / 16), (50.26, 1.0)],
)
def test_a_rule_s_rounding_is_no_measuring_inside(outside_mm: float, step_mm: float) -> None:
    """The channel is 2 x 0.22 mm wider than its plug; the rule shows the mark that is nearest."""
    mark = round(outside_mm / step_mm) * step_mm
    assert abs(mark - outside_mm) <= step_mm / 2
    assert asked(rows(mark, step_mm, outside_mm - 2 * SHEET)) == []


@pytest.mark.parametrize("step_mm", [0.01, 0.1])
def test_a_caliper_inside_is_asked_about_as_before(step_mm: float) -> None:
    (line,) = asked(rows(49.8, step_mm, 49.75))
    assert "channel 50 mm is 0.05 mm wider than the inside of the same piece" in line
    assert line.endswith("--confirm channels")


def test_a_rule_far_inside_is_asked_about_all_the_same() -> None:
    """49 mm to the nearest half millimetre beside a plug of 49.75 mm: at most 49.25 mm outside."""
    (line,) = asked(rows(49.0, 0.5, 49.75))
    assert "channel 50 mm is 0.00 mm wider" in line
