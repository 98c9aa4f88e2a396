"""The addresses of the measuring loop: forms, rehearsals, records, and boxes that were made."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

from pydantic import ConfigDict
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from fitcheck.bench.answers import told
from fitcheck.bench.asked import Asked, read
from fitcheck.bench.boxes import boxes_told
from fitcheck.bench.desk import Desk
from fitcheck.bench.drafts import CALLED
from fitcheck.bench.known import What, known_rows, records_told, what_of
from fitcheck.bench.measure import Taken, groups_of
from fitcheck.bench.problems import problems_of
from fitcheck.bench.rehearsals import Order, Rehearsals
from fitcheck.errors import InputError
from fitcheck.learn.csv_rows import csv_file_text
from fitcheck.plain import shown
from fitcheck.styles.places import PLACES
from fitcheck.workspace.names import NAME_RULE, is_name
from fitcheck.workspace.paths import search_roots
from fitcheck.workspace.toml import tables_of

READINGS = "-readings.csv"
"""What the empty readings of a coupon or a gauge are called behind its name."""


class Made(Asked):
    """The run that made a coupon or a gauge."""

    run: str


class Learning(Asked):
    """Readings of one name, what is said beside them, and which page asks."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)
    page: str
    what: str
    name: str
    taken: Taken
    options: dict[str, str | bool | list[str]]

    def order(self) -> Order:
        """What is to be learnt. Raises InputError where the name is none."""
        return Order(what_of(self.what), _name(self.name), self.taken, self.options)


def loop_routes(desk: Desk) -> list[Route]:
    """The addresses of one desk's measuring loop."""
    loop = Loop(desk)
    return [
        Route("/api/form", told(loop.form), methods=["POST"]),
        Route("/api/measured/{what}/{name}", told(loop.measured)),
        Route("/api/parts/{name}", told(loop.parts)),
        Route("/api/rehearse", told(loop.rehearse), methods=["POST"]),
        Route("/api/keep", told(loop.keep), methods=["POST"]),
        Route("/api/boxes", told(loop.boxes)),
    ]


class Loop:
    """What each of these addresses does."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._rehearsals = Rehearsals(desk)

    async def form(self, request: Request) -> Response:
        """The form of a coupon or a gauge that a run made."""
        asked = await read(request, Made)
        run = self._desk.runs.get(asked.run)
        names = [] if run is None else [one for one in run.files() if one.endswith(READINGS)]
        path = run.file(names[0]) if run is not None and names else None
        if path is None:
            raise InputError("what was made is no longer here; make it once more")
        text = await asyncio.to_thread(csv_file_text, path)
        return JSONResponse({"groups": [group.data() for group in groups_of(text)]})

    async def measured(self, request: Request) -> Response:
        """What is known under a name, and the records that it is known from."""
        what = what_of(request.path_params["what"])
        name = _name(request.path_params["name"])
        return JSONResponse(await asyncio.to_thread(measured_told, what, name, self._desk.root))

    async def parts(self, request: Request) -> Response:
        """The parts of a design that are cut from a paper of their own, and that paper."""
        kept = await asyncio.to_thread(self._desk.shelf.read, request.path_params["name"])
        tables = tables_of(kept.text, CALLED)
        found = [
            {"name": place.name, "stock": str(table["stock"])}
            for place in PLACES
            if isinstance(table := tables.get(place.name), dict) and "stock" in table
        ]
        return JSONResponse({"parts": found})

    async def rehearse(self, request: Request) -> Response:
        """What readings would teach, tried in a copy of the workspace."""
        asked = await read(request, Learning)
        return JSONResponse(await self._rehearsals.rehearse(asked.page, asked.order()))

    async def keep(self, request: Request) -> Response:
        """Learn from readings in the workspace."""
        asked = await read(request, Learning)
        return JSONResponse(await self._rehearsals.keep(asked.order()))

    async def boxes(self, request: Request) -> Response:
        """The boxes that were made, and how the forecasts have done."""
        return JSONResponse(await asyncio.to_thread(boxes_told, self._desk.root))


def measured_told(what: What, name: str, root: Path) -> dict[str, Any]:
    """What is known under a name, its records, and what is wrong with either."""
    known: tuple[tuple[str, str], ...] = ()
    records: list[dict[str, Any]] = []
    wrong: list[str] = []
    try:
        known = known_rows(what, name, search_roots(cwd=root))
    except InputError as error:
        wrong += error.lines
    try:
        records = records_told(what, name, root)
    except InputError as error:
        wrong += error.lines
    return {"known": known, "records": records, "wrong": problems_of(wrong)}


def _name(name: str) -> str:
    """A name that can be one of a profile. Raises InputError for another."""
    if not is_name(name):
        raise InputError(f"name: read {shown(name)}; allowed: {NAME_RULE}; choose another name")
    return name
