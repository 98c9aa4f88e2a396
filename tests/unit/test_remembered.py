"""What is remembered is what is worked out afresh; it is bounded, and an edit reworks its own."""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.model import Design, LidVerdict
from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.fit import remembered
from fitcheck.fit.check import Check, check
from fitcheck.fit.remembered import MEMORY, MOST, Memory
from fitcheck.folding.tables import Memo
from fitcheck.outputs.check_json import check_json
from fitcheck.outputs.check_text import check_text
from tests.cli.commands import FRAMED, ROOT

SHIPPED = sorted(path for path in (ROOT / "models").glob("*.toml") if path.stem != "items")
BY_MM = 0.3


def wider_base(design: Design) -> Design:
    wide, long = design.base.size_mm
    return design.with_parts(replace(design.base, size_mm=(wide + BY_MM, long)))


def deeper_base(design: Design) -> Design:
    return design.with_parts(replace(design.base, depth_mm=design.base.depth_mm + BY_MM))


def other_paper(design: Design) -> Design:
    """The last part of a paper that is a little thicker."""
    last = design.parts[-1]
    stock = replace(last.stock, caliper_mm=last.stock.caliper_mm + 0.01)
    return design.with_parts(replace(last, stock=stock))


def other_part(design: Design) -> Design:
    """The last part a little larger both ways."""
    last = design.parts[-1]
    return design.with_parts(replace(last, size_mm=tuple(size + BY_MM for size in last.size_mm)))


def fewer_contents(design: Design) -> Design:
    first, *others = design.contents
    return replace(design, contents=(replace(first, count=max(1, first.count - 1)), *others))


def smaller_item(design: Design) -> Design:
    first, *others = design.contents
    size = tuple(0.99 * side for side in first.item.size_mm)
    item = replace(first.item, size_mm=size)
    return replace(design, contents=(replace(first, item=item), *others))


def other_bands(design: Design) -> Design:
    bands = replace(design.bands, snug_mm=0.9 * design.bands.snug_mm, loose_mm=0.4)
    return replace(design, bands=bands)


EDITS: tuple[Callable[[Design], Design], ...] = (
    wider_base,
    deeper_base,
    other_paper,
    other_part,
    fewer_contents,
    smaller_item,
    other_bands,
)


def told(design: Design) -> str:
    """All that is said of a design, or why nothing can be."""
    try:
        found = check(design)
    except InputError as error:
        return str(error)
    return check_text(found) + check_json(found)


def design_of(path: Path) -> Design:
    return read_design(path, roots=[ROOT])


@pytest.mark.parametrize("path", [FRAMED, *SHIPPED], ids=lambda path: path.stem)
def test_what_is_remembered_is_what_is_worked_out_afresh(path: Path) -> None:
    """Each edit after the design itself and all edits before it, then everything once more."""
    design = design_of(path)
    edited = [design, *(edit(design) for edit in EDITS if design.contents or edit in EDITS[:4])]
    MEMORY.forget()
    first = [told(one) for one in edited]
    again = [told(one) for one in reversed(edited)]
    afresh = []
    for one in edited:
        MEMORY.forget()
        afresh.append(told(one))
    assert first == afresh
    assert again[::-1] == afresh


def test_an_edit_leaves_what_it_does_not_touch_as_it_was() -> None:
    """The very same folded parts and slides: nothing of them was worked out again."""
    MEMORY.forget()
    design = design_of(FRAMED)
    known = check(design)

    def parts(found: Check) -> list[object]:
        return [part.folded for part in found.assembly.parts]

    same = check(design_of(FRAMED))
    assert parts(same) == parts(known) and same.contents == known.contents
    assert same.lid is not None and known.lid is not None
    assert same.lid.slide is known.lid.slide
    lid = check(other_part(design))
    assert parts(lid)[0] is parts(known)[0] and parts(lid)[1] is not parts(known)[1]
    assert lid.presses["base"] is known.presses["base"]
    content = check(smaller_item(design))
    assert parts(content) == parts(known) and content.contents != known.contents
    assert content.lid is not None and content.lid.slide is known.lid.slide
    assert content.cavity is known.cavity
    base = check(deeper_base(design))
    assert parts(base)[0] is not parts(known)[0] and parts(base)[1] is parts(known)[1]
    bands = check(replace(design, bands=replace(design.bands, snug_mm=0.01, loose_mm=0.02)))
    assert bands.lid is not None and bands.lid.slide is known.lid.slide
    assert bands.lid.verdict is LidVerdict.LOOSE is not known.lid.verdict


def test_it_is_bounded_and_forgets_what_was_not_asked_for_longest() -> None:
    memory, worked = Memory(3), []

    def ask(key: int) -> int:
        return memory.of(key, lambda: worked.append(key) or key * key)

    assert [ask(key) for key in (1, 2, 3, 1, 4)] == [1, 4, 9, 1, 16]
    assert worked == [1, 2, 3, 4] and len(memory) == 3
    assert [ask(key) for key in (1, 3, 4)] == [1, 9, 16] and worked == [1, 2, 3, 4]
    assert ask(2) == 4 and worked == [1, 2, 3, 4, 2] and len(memory) == 3
    assert ask(1) == 1 and worked[-1] == 1
    memory.forget()
    assert len(memory) == 0 and ask(3) == 9 and worked[-1] == 3


def test_many_edits_stay_within_bounds() -> None:
    design = design_of(ROOT / "models" / "lantern.toml")
    assert design.lid is not None
    for step in range(MOST):
        check(design.with_parts(replace(design.lid, depth_mm=design.lid.depth_mm + 0.01 * step)))
    assert len(MEMORY) == MOST == remembered.MEMORY.most


def test_errors_and_what_cannot_be_a_key_are_worked_out_each_time() -> None:
    memory, asked = Memory(3), []

    def fail() -> int:
        asked.append("failed")
        raise InputError("no")

    for _ in range(2):
        with pytest.raises(InputError, match="no"):
            memory.of("key", fail)
    for _ in range(2):
        assert memory.of(["a list"], lambda: len(asked)) == len(asked)
        asked.append("list")
    assert asked == ["failed", "failed", "list", "list"] and len(memory) == 0
    with pytest.raises(TypeError, match="of the work"):
        memory.of("key", lambda: (_ for _ in ()).throw(TypeError("of the work")))


def test_threads_share_it() -> None:
    memory = Memory(5)

    def ask(key: int) -> int:
        return memory.of(key % 11, lambda: (key % 11) ** 2)

    with ThreadPoolExecutor(8) as threads:
        found = list(threads.map(ask, range(5000)))
    assert found == [(key % 11) ** 2 for key in range(5000)] and len(memory) <= 5


def test_threads_share_what_is_worked_out_of_one_part() -> None:
    """Parts that are remembered stand in the checks of several threads."""
    memo, rng = Memo(400), np.random.default_rng(4)
    asked = [rng.integers(0, 400, 30) for _ in range(200)]

    def work(rows: np.ndarray) -> list[np.ndarray]:
        time.sleep(1e-4)  # another thread goes on meanwhile
        return [np.broadcast_to(rows.astype(float), (3, 2, len(rows)))]

    with ThreadPoolExecutor(8) as threads:
        found = list(threads.map(lambda rows: memo.of(rows, work)[0], asked))
    for rows, own in zip(asked, found, strict=True):
        assert np.array_equal(own, np.broadcast_to(rows, (3, 2, len(rows))))
