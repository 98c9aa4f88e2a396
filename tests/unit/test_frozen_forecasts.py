"""The file of a frozen forecast: written, read back, spoilt; and what a box's maker saw of it."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from fitcheck.errors import InputError
from fitcheck.learn.causes import causes_of
from fitcheck.learn.forecast import forecast_from, forecast_text
from fitcheck.learn.forecast_files import add_forecast, all_forecasts, chosen
from fitcheck.learn.made import BoxOutcome, Corner
from fitcheck.learn.scored_boxes import ScoredBox, beside
from fitcheck.learn.standing import standing_of
from fitcheck.outputs.score_details import score_details
from fitcheck.outputs.score_text import score_lines
from fitcheck.workspace.digests import digest_of_bytes
from tests.forecasts import frozen_forecast, made, row

SOUND = frozen_forecast(0.6, 0.25, fits=0.9, inputs=[row("crease", "card", 0.02, -0.1)])


def test_a_forecast_comes_back_as_it_was(tmp_path: Path) -> None:
    assert forecast_from(forecast_text(SOUND).encode(), "it") == SOUND
    first, second = add_forecast(tmp_path, SOUND), add_forecast(tmp_path, SOUND)
    assert [path.name for path in (first, second)] == [
        "forecast-box-0001.json",
        "forecast-box-0002.json",
    ]
    kept = dict(all_forecasts(tmp_path))
    assert [one.forecast for one in kept.values()] == [SOUND, SOUND]  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("chances", {"right": 0.5}, "missing"),
        ("seed", -1, "out of range"),
        ("format", 2, "form of file"),
        ("title", "Another", "was changed after it was frozen"),
        ("frozen", "2026-13-01", "is no day"),
        ("sha256", "0" * 64, "was changed"),
        ("more", 1, "unknown key"),
        ("play_mm", {"mean": 0.6, "u": 0.2, "levels": [0.5], "values": [1.0]}, "list length"),
    ],
)
def test_a_forecast_that_was_changed_is_no_forecast(key: str, value: object, told: str) -> None:
    said = json.loads(forecast_text(SOUND)) | {key: value}
    with pytest.raises(InputError, match=told):
        forecast_from(json.dumps(said).encode(), "it")


@pytest.mark.parametrize("raw", [b"", b"[]", b"null", b"\xff", b"{", b"[" * 100_000, b"1e999"])
def test_what_is_no_forecast_at_all(raw: bytes) -> None:
    with pytest.raises(InputError) as error:
        forecast_from(raw, "it")
    assert error.value.lines[0].startswith("it: ")


def test_designs_whose_names_make_one_file_name_are_told_apart(tmp_path: Path) -> None:
    one = SOUND.model_copy(update={"design": "Card A"})
    add_forecast(tmp_path, one)
    add_forecast(tmp_path, SOUND.model_copy(update={"design": "Card-A"}))
    found = chosen(tmp_path, "Card A", "2026-11-20", {}, None)
    assert found.kept is not None and found.kept.forecast == one
    with pytest.raises(InputError, match="a forecast of 'Card-A'"):
        chosen(tmp_path, "Card A", "2026-11-20", {}, "forecast-Card-A-0002")


def seen(box: ScoredBox, **more: object) -> ScoredBox:
    return ScoredBox(replace(box.box, **more), box.forecast)  # type: ignore[arg-type]


def test_what_is_asked_hangs_on_what_was_looked_at_and_not_on_what_came() -> None:
    """Contents that nobody tried count in neither chance nor outcome, bound lid or not."""
    lid_right, right = SOUND.chances.lid_right, SOUND.chances.right
    assert right == pytest.approx(0.9 * lid_right)
    for play, lid in ((0.5, True), (-0.4, False), (1.8, False), (-0.1, False)):
        box = made(SOUND, play)
        assert (box.right.happened, box.right.chance) == (lid, lid_right)
        for fitted in (True, False):
            tried = seen(box, fitted=fitted).right
            assert (tried.happened, tried.chance) == (lid and fitted, right)
    own_word = seen(made(SOUND, 0.5), right=False).right
    assert (own_word.happened, own_word.chance) == (False, right)
    split = seen(made(SOUND, 0.5), fitted=True, split=(Corner.LEFT_TOP,))
    assert not split.right.happened and split.split is not None and split.split.happened


def test_chances_are_never_surer_than_the_boxes_that_were_counted() -> None:
    sure = frozen_forecast(0.7, 0.01)
    assert made(sure, 1.8).right.chance == pytest.approx(1 - 0.5 / 20_000)


def test_where_a_play_lies_by_what_was_told() -> None:
    def ends(outcome: BoxOutcome, go: float | None, nogo: float | None) -> tuple[float, float]:
        return seen(made(SOUND, 0.5), outcome=outcome, go_mm=go, nogo_mm=nogo).play_mm

    bound, tight, slid, loose = BoxOutcome
    assert ends(slid, None, None) == (0.0, 1.5)
    assert ends(slid, 0.3, 0.4) == (0.3, 0.4)
    assert ends(slid, 0.3, 0.3) == (0.3, 0.3)
    assert ends(slid, None, 0.2) == (0.0, 0.2)
    assert ends(slid, 0.4, None) == (0.4, 1.5)
    assert ends(slid, 1.6, None) == (1.6, math.inf)
    assert ends(bound, None, 0.2) == (-math.inf, -0.15)
    assert ends(tight, None, None) == (-0.15, 0.0)
    assert ends(loose, None, None) == (1.5, math.inf)
    assert ends(loose, 1.2, 1.2) == (1.2, 1.2)


def test_the_lids_outcomes_have_the_chances_of_their_bands() -> None:
    lid = made(SOUND, 0.5).lid
    assert math.fsum(one.chance for one in lid) == pytest.approx(1.0)
    assert [one.happened for one in lid] == [False, False, True, False]


def test_boxes_beside_forecasts_that_are_not_theirs(tmp_path: Path) -> None:
    add_forecast(tmp_path, SOUND)
    kept = dict(all_forecasts(tmp_path))
    box = made(SOUND, 0.5).box
    scored, apart = beside([box, replace(box, frozen=None)], kept)
    assert scored == () and len(apart) == 2 and "another one than when" in apart[0].why
    theirs = next(iter(kept.values()))
    own = replace(box, frozen=theirs.frozen)  # type: ignore[union-attr]
    scored, apart = beside([own], kept)
    assert len(scored) == 1 and apart == ()
    _, apart = beside([own], {})
    assert "is gone" in apart[0].why


EXTREMES: list[object] = [0, 1, -1, 0.5, 1e-300, 1e300, -1e300, 2**70, "", "{of} {x}", [], {}, None]


def leaves(said: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every place in a file where a single value stands; of a list the first two."""
    members = said.items() if isinstance(said, dict) else enumerate(said[:2])
    for key, value in members:
        if isinstance(value, dict | list) and value:
            yield from leaves(value, (*path, key))
        else:
            yield (*path, key)


def test_a_forecast_of_any_values_is_refused_or_scored(recwarn: pytest.WarningsRecorder) -> None:
    """Every value replaced by extremes and the file sealed anew, as a skilful hand might do it."""
    forecast = frozen_forecast(
        0.1, 0.2, fits=0.9, inputs=[row("crease", "card", 0.02, -0.1), row("cut", "b", 0.2, 0.1)]
    )
    said = json.loads(forecast_text(forecast))
    refused = taken = 0
    for turn, place in enumerate(leaves(said)):
        for value in EXTREMES[turn % 3 :: 3]:
            changed = json.loads(forecast_text(forecast))
            inner = changed
            for key in place[:-1]:
                inner = inner[key]
            inner[place[-1]] = value
            changed.pop("sha256", None)
            changed["sha256"] = digest_of_bytes(
                (json.dumps(changed, indent=1, ensure_ascii=False) + "\n").encode()
            )
            try:
                found = forecast_from(json.dumps(changed).encode(), "it")
            except InputError as error:
                refused += 1
                assert error.lines[0].startswith("it: ") and len(error.lines[0]) < 600
                continue
            taken += 1
            plays = (-0.4, 0.3, -0.05, 1.7)
            boxes = [made(found, play, fitted=k % 2 == 0) for k, play in enumerate(plays * 2)]
            standing = standing_of(boxes, (), details=True)
            assert all([*score_lines(standing), *score_details(standing)]), (place, value)
            assert isinstance(causes_of(boxes), tuple)
    assert refused > 100 and taken > 20
    assert [str(one.message) for one in recwarn] == []
