"""How soon the bench page answers in a real browser, against the check that it has to wait for.

Milliseconds are printed and, on a machine that has nothing else to do, held against what was asked
for (`-m long`); by default they are held against a warm check in the same run, so that a busy
machine does not make them fail.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page

from tests.bench.test_whole_commands import ONE_THREAD
from tests.browser.browser import chromium
from tests.cli.commands import FRAMED, ROOT
from tests.served import served, until, workspace

EDITS = 40
MEDIAN_MS, LATE_MS, BURST_MS, PAINT_MS = 100.0, 200.0, 300.0, 200.0
"""Asked for: of edits the median and the 95th percentile, the end of a burst, the first paint."""
WARM = f"""
import time
from pathlib import Path
from fitcheck.bench.drafts import Change, Draft
from fitcheck.bench.tasks import look
text = Path({str(FRAMED)!r}).read_text()
times = []
for k in range(24):
    at = [["lid", "depth"], ["base", "floor", 0]][k % 2]
    change = Change(at=at, value=f"{{(15, 82)[k % 2] + k / 50:.2f}} mm")
    start = time.perf_counter()
    look(Draft(name="framed", text=text, changes=[change]), lambda event: None)
    times.append(1000 * (time.perf_counter() - start))
print(sorted(times[4:])[10])
"""
TYPED = """async ([id, values]) => {
  const view = document.querySelector(".view"), times = [];
  for (const value of values) {
    const input = document.getElementById(id), answers = Number(view.dataset.answers);
    const came = new Promise((done) => {
      const seen = new MutationObserver(() => {
        if (Number(view.dataset.answers) > answers) { seen.disconnect(); done(); }
      });
      seen.observe(view, { attributes: true });
    });
    const start = performance.now();
    input.value = value;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    await came;
    times.push(performance.now() - start);
    await new Promise((done) => setTimeout(done, 700));
  }
  return times;
}"""
BURST = """async (last) => {
  const input = document.getElementById("in-lid-depth");
  for (let k = 1; k <= 50; k += 1) {
    input.value = `${k === 50 ? last : (14 + k / 100).toFixed(2)} mm`;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    await new Promise((done) => setTimeout(done, 10));
  }
  const start = performance.now(), view = document.querySelector(".view");
  const held = () => view.dataset.settled === "true" && input.value === `${last} mm`;
  while (!held()) await new Promise((done) => setTimeout(done, 2));
  return performance.now() - start;
}"""


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """The framed example on the bench, looked at and counted."""
    root = workspace(tmp_path_factory.mktemp("bench") / "atelier", framed=FRAMED.read_text())
    with served(root, **ONE_THREAD) as bench, chromium() as browser:
        context = browser.new_context(viewport={"width": 1280, "height": 900})
        name, _, value = bench.cookie.partition("=")
        context.add_cookies([{"name": name, "value": value, "url": bench.home}])
        found = context.new_page()
        found.goto(f"{bench.home}/#/design/framed")
        found.wait_for_selector(".view[data-settled=true]")
        state = found.locator(".odds [role=status]")
        until(lambda: "Counted over 200,000" in state.inner_text(), within=120.0)
        yield found


def typed(page: Page, field: str, first: float) -> list[float]:
    values = [f"{first + k / 50:.2f} mm" for k in range(EDITS // 2)]
    found: list[float] = page.evaluate(TYPED, [field, values])
    return found[2:]


@pytest.fixture(scope="module")
def edits(page: Page) -> list[float]:
    """Milliseconds from an edit to its verdict, of the lid and of the base, typed at leisure."""
    return typed(page, "in-lid-depth", 15.0) + typed(page, "in-base-floor-0", 82.0)


def test_a_verdict_comes_little_later_than_its_check(edits: list[float]) -> None:
    done = subprocess.run(
        [sys.executable, "-c", WARM],
        cwd=ROOT,
        env=os.environ | ONE_THREAD | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    check, median = float(done.stdout), statistics.median(edits)
    print(f"\nedit to verdict: {median:.0f} ms, {median / check:.1f} times a warm look")
    assert median < 3.0 * check


@pytest.mark.long
def test_edits_are_answered_as_soon_as_asked_for(edits: list[float]) -> None:
    late = sorted(edits)[int(0.95 * len(edits))]
    print(
        f"\nedit to verdict: median {statistics.median(edits):.0f} ms, 95 of 100 in {late:.0f} ms"
    )
    assert statistics.median(edits) < MEDIAN_MS
    assert late < LATE_MS


@pytest.mark.long
def test_a_burst_ends_with_the_last_verdict_at_once(page: Page) -> None:
    times = [page.evaluate(BURST, f"{16 + k / 10:.2f}") for k in range(3)]
    print(f"\nafter a burst of 50 edits: {', '.join(f'{ms:.0f}' for ms in times)} ms")
    assert statistics.median(times) < BURST_MS
    text = page.locator("textarea").first.input_value()
    assert "16.20 mm" in text


@pytest.mark.long
def test_the_first_paint_is_soon(page: Page) -> None:
    fresh = page.context.new_page()
    paints = "performance.getEntriesByType('paint').map((one) => one.startTime)"
    times = []
    for _ in range(3):
        fresh.goto("about:blank")
        fresh.goto(page.url.partition("#")[0])
        fresh.wait_for_selector("h1")
        times.append(min(until(lambda: fresh.evaluate(paints))))
    print(f"\nfirst paint: {', '.join(f'{ms:.0f}' for ms in times)} ms")
    assert statistics.median(times) < PAINT_MS
