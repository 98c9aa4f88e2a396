"""What recorded boxes say against a design's odds, as a finding beside them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.design.model import Design
from fitcheck.findings import Finding, Severity
from fitcheck.outputs.bench_words import AGAINST_ODDS

if TYPE_CHECKING:
    from fitcheck.odds.result import Odds


def records_findings(design: Design, root: Path, by: str | None = None) -> tuple[Finding, ...]:
    """One line where boxes of the same sizes, papers, tools and hand speak against the odds."""
    from fitcheck.learn.boxes_file import BOXES_FILE
    from fitcheck.workspace.records import records_folder

    if not (records_folder(root) / BOXES_FILE).is_file():
        return ()
    from fitcheck.learn.spoken_against import spoken_against
    from fitcheck.outputs.score_text import ALARM_WORDS

    found = spoken_against(design, root, by)
    if found is None:
        return ()
    what = ALARM_WORDS[found.alarm.sign, found.alarm.more]
    message = (
        f"boxes of this very design speak against these odds: {what}, and {found.right} of "
        f"{found.boxes} came out right; see why before you cut: fitcheck list records"
    )
    numbers = {"made": float(found.boxes), "right": float(found.right)}
    return (Finding(AGAINST_ODDS, message, Severity.CAUTION, numbers=numbers),)


def with_records(odds: Odds, design: Design, root: Path, by: str | None = None) -> Odds:
    """The odds with what records say against them."""
    return replace(odds, findings=(*records_findings(design, root, by), *odds.findings))
