"""What the workers do for the page: look at a draft, count its odds, try papers, draw cards.

Each of these runs in a process of its own and returns plain data; `tell` is told what is known on
the way, and stops the work where that was asked for.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from fitcheck.bench.drafts import CALLED, Draft, changed, grooves_of, marks_of
from fitcheck.bench.forms import form_of
from fitcheck.bench.problems import problems_of
from fitcheck.bench.shelf import stamp
from fitcheck.bench.told import told, told_more, told_odds
from fitcheck.bench.worker import Tell, Telling
from fitcheck.design.model import Design
from fitcheck.design.read import design_from
from fitcheck.errors import FitcheckError, InputError
from fitcheck.fit.check import Check, check
from fitcheck.odds.odds import odds_of
from fitcheck.odds.rewrite import rewritten
from fitcheck.odds.staged import staged
from fitcheck.odds.suggest import suggest
from fitcheck.outputs.bench_words import of_100
from fitcheck.outputs.records_finding import records_findings
from fitcheck.outputs.report.model import verdict_sentence
from fitcheck.outputs.report.places import places_of
from fitcheck.outputs.report.scene import scene_data
from fitcheck.outputs.report.section import section_of
from fitcheck.outputs.report.views.scenes import folded_view
from fitcheck.outputs.suggest_text import option_lines
from fitcheck.workspace.names import Shelf, is_name, names_on
from fitcheck.workspace.paths import search_roots, workplace_here
from fitcheck.workspace.toml import tables_of

FIRST_BOXES, USUAL_BOXES, MANY_BOXES = 2_000, 20_000, 200_000
"""The odds are told after so many boxes, the first ones without folding any anew."""
TRIED_BOXES = 5_000
"""For each other paper."""
SMALL = """format = 1
title = "Warm"
unit = "mm"
[base]
style = "tray"
stock = "cardstock-270"
floor = [60, 40]
depth = 20
[lid]
style = "tray"
stock = "cardstock-270"
oversize = 1
depth = 12
"""
REMEMBERED = 4
_checks: dict[tuple[str, str, str], Check] = {}
"""The last checks of this process, by the design's name, its text and what it was checked with."""


def warm() -> None:
    """Load all that a check needs, before somebody waits for it."""
    look(Draft(name="warm", text=SMALL), lambda event: None)


def look(draft: Draft, tell: Tell) -> dict[str, Any]:
    """The draft's new text, what can be filled in, and its verdict or what is wrong with it."""
    text = changed(draft)
    tables = tables_of(text, CALLED)
    found: dict[str, Any] = {
        "text": text,
        "form": form_of(tables).data(),
        "unit": str(tables.get("unit", "mm")),
        "grooves": grooves_of(tables),
        "marks": marks_of(tables),
        "problems": [],
        "verdict": None,
    }
    try:
        found["verdict"] = told(checked(draft.name, text, tell))
    except InputError as error:
        found["problems"] = problems_of(error.lines)
    except FitcheckError as error:
        found["problems"] = problems_of([str(error)])
    return found


def scene(draft: Draft, tell: Tell) -> dict[str, Any]:
    """What the turning view draws of a draft, and all its figures."""
    found = checked(draft.name, changed(draft), tell)
    return {"scene": scene_data(found, places_of(found)), "more": told_more(found)}


def count(draft: Draft, tell: Tell) -> None:
    """Tell the odds of a draft, soon of few boxes and then of more, and what helps most."""
    text = changed(draft)
    found = checked(draft.name, text, tell)
    spoken = records_findings(found.design, workplace_here().root)
    for odds in staged(
        found, USUAL_BOXES, few=FIRST_BOXES, many=MANY_BOXES, progress=Telling(tell)
    ):
        better = None
        if odds.advice is not None and odds.advice.design is not None:
            better = rewritten(text, found.design, odds.advice.design, None)
        tell(
            {
                "kind": "odds",
                **told_odds(found, replace(odds, findings=(*spoken, *odds.findings)), better),
            }
        )


def try_sizes(draft: Draft, tell: Tell) -> dict[str, Any]:
    """Sizes near a draft's that come out right more often, each with the text that has them."""
    text = changed(draft)
    design = _design(draft.name, text)
    found = suggest(design, USUAL_BOXES, progress=Telling(tell))
    return {
        "now": of_100(found.original.good),
        "options": [
            {
                "right": of_100(one.good),
                "lines": [
                    " ".join(line.split()) for line in option_lines(number, one, found, False)
                ][1:],
                "better": rewritten(text, design, one.design, None),
            }
            for number, one in enumerate(found.ranked, start=1)
        ],
    }


def try_papers(draft: Draft, part: str, tell: Tell) -> None:
    """Tell of each paper how a part made of it comes out, and of each board."""
    text, roots = changed(draft), search_roots()
    there = _design(draft.name, text)
    spec = there.part(part)
    if spec is None:
        raise InputError(f"{CALLED}: {part}: there is no such part; choose one of the design's")
    papers, boards = names_on(Shelf.STOCK, roots), names_on(Shelf.TOOLS, roots)
    tries: list[tuple[str, str]] = [("paper", name) for name in papers]
    tries += [("board", name) for name in boards]
    for done, (kind, name) in enumerate(tries):
        tell({"kind": "step", "done": done, "total": len(tries), "text": f"trying {name}"})
        own = spec.stock.name if kind == "paper" else there.tools.name
        row = {"kind": "tried", "what": kind, "name": name, "own": name == own}
        tell(row | _tried(draft.name, text, part, kind, name))


def _tried(name: str, text: str, part: str, kind: str, other: str) -> dict[str, Any]:
    try:
        if kind == "paper":
            design = _design(name, text, {part: other})
        else:
            design = _design(name, text, tools=other)
        found = check(design)
        odds = odds_of(found, TRIED_BOXES, folded_again=0)
    except FitcheckError as error:
        return {"fits": None, "right": "", "words": str(error).removeprefix(f"{CALLED}: ")}
    return {"fits": found.fits, "right": of_100(odds.good), "words": verdict_sentence(found)}


def card(name: str, text: str, tell: Tell) -> dict[str, Any]:
    """A picture of a design and its verdict, for the shelf."""
    try:
        found = checked(name, text, tell)
    except InputError as error:
        return {"fits": None, "title": name, "verdict": error.lines[0], "picture": None}
    places = places_of(found)
    tell({"kind": "step", "done": 0, "total": 1, "text": "drawing"})
    picture = folded_view(found, places, section_of(found))
    return {
        "fits": found.fits,
        "title": found.design.title,
        "verdict": verdict_sentence(found),
        "picture": picture.alone(),
    }


def checked(name: str, text: str, tell: Tell) -> Check:
    """The check of a text, remembered as long as it is the same and few others came between."""
    key = (name, text, stamp())
    found = _checks.pop(key, None) or check(_design(name, text), Telling(tell))
    _checks[key] = found
    while len(_checks) > REMEMBERED:
        del _checks[next(iter(_checks))]
    return found


def _design(
    name: str, text: str, stocks: dict[str, str] | None = None, tools: str | None = None
) -> Design:
    """The design of a text, which stands in no file yet."""
    tables = tables_of(text, CALLED)
    if tools is not None:
        tables["tools"] = tools
    place = Path.cwd() / "models" / f"{name}.toml"
    path = place if is_name(name) and place.is_file() else None
    return design_from(tables, CALLED, search_roots(), stocks or {}, name=name, path=path)
