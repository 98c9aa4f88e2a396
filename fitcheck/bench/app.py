"""The addresses of the page: each reads what it was sent strictly and answers as plain data."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator
from http import HTTPStatus

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from fitcheck.bench import tasks
from fitcheck.bench.answers import Handler, download, packed, streamed, told
from fitcheck.bench.asked import (
    Commanded,
    KeptDraft,
    Look,
    Mesh,
    Named,
    Papers,
    Saved,
    read,
)
from fitcheck.bench.commands import COMMANDS, arguments_of
from fitcheck.bench.desk import Desk
from fitcheck.bench.guard import FILES
from fitcheck.bench.loop import loop_routes
from fitcheck.bench.meshes_in import keep_mesh
from fitcheck.bench.pages import page_file
from fitcheck.bench.runs import Run
from fitcheck.bench.things import things
from fitcheck.errors import InputError


def make_app(desk: Desk) -> Starlette:
    """The application of one desk."""

    @contextlib.asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        desk.start()
        yield
        await desk.close()

    bench = Bench(desk)
    routes = [
        *loop_routes(desk),
        Route("/", page("index.html")),
        Route("/page/{name}", bench.static),
        Route("/api/shelf", told(bench.shelf)),
        Route("/api/things", told(bench.things)),
        Route("/api/drafts", told(bench.drafts)),
        Route("/api/draft", told(bench.keep), methods=["POST"]),
        Route("/api/design/{name}", told(bench.design)),
        Route("/api/card/{name}", told(bench.card)),
        Route("/api/look", told(bench.look), methods=["POST"]),
        Route("/api/scene", told(bench.scene), methods=["POST"]),
        Route("/api/save", told(bench.save), methods=["POST"]),
        Route("/api/add", told(bench.add), methods=["POST"]),
        Route("/api/rename", told(bench.rename), methods=["POST"]),
        Route("/api/away", told(bench.away), methods=["POST"]),
        Route("/api/back", told(bench.back), methods=["POST"]),
        Route("/api/odds", told(bench.odds), methods=["POST"]),
        Route("/api/papers", told(bench.papers), methods=["POST"]),
        Route("/api/sizes", told(bench.sizes), methods=["POST"]),
        Route(FILES, told(bench.mesh), methods=["POST"]),
        Route("/api/command", told(bench.command), methods=["POST"]),
        Route("/api/stop/{run}", told(bench.stop), methods=["POST"]),
        Route("/api/runs/{run}", told(bench.events)),
        Route("/api/runs/{run}/all.zip", told(bench.zipped)),
        Route("/api/runs/{run}/files/{name:path}", told(bench.file)),
    ]
    return Starlette(routes=routes, lifespan=lifespan)


def page(name: str) -> Handler:
    """A file of the page."""

    async def answer(request: Request) -> Response:
        return page_file(name) or Response(status_code=HTTPStatus.NOT_FOUND)

    return answer


class Bench:
    """What each address does."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    async def static(self, request: Request) -> Response:
        """A file of the page."""
        found = page_file(request.path_params["name"])
        return found or Response("no such file\n", HTTPStatus.NOT_FOUND)

    async def shelf(self, request: Request) -> Response:
        """The designs there are."""
        names = await asyncio.to_thread(self._desk.shelf.names)
        return JSONResponse({"designs": names, "workspace": self._desk.root.name})

    async def things(self, request: Request) -> Response:
        """The papers, boards, printers, items and styles there are, and words to look up."""
        return JSONResponse(await asyncio.to_thread(things))

    async def drafts(self, request: Request) -> Response:
        """What was typed and not saved."""
        return JSONResponse(await asyncio.to_thread(self._desk.drafts.all))

    async def keep(self, request: Request) -> Response:
        """Keep what was typed, or let it go."""
        asked = await read(request, KeptDraft)
        await asyncio.to_thread(self._desk.drafts.put, asked.key, asked.data)
        return JSONResponse({})

    async def design(self, request: Request) -> Response:
        """A design's text."""
        kept = await asyncio.to_thread(self._desk.shelf.read, request.path_params["name"])
        return JSONResponse(kept.data())

    async def card(self, request: Request) -> Response:
        """A design's picture and verdict."""
        return JSONResponse(await self._desk.card(request.path_params["name"]))

    async def look(self, request: Request) -> Response:
        """The verdict on a draft."""
        asked = await read(request, Look)
        return JSONResponse(await self._desk.look(asked.page, tasks.look, asked.draft))

    async def scene(self, request: Request) -> Response:
        """What the turning view draws of a draft."""
        asked = await read(request, Look)
        return JSONResponse(await self._desk.look(asked.page, tasks.scene, asked.draft))

    async def save(self, request: Request) -> Response:
        """Write a design."""
        asked = await read(request, Saved)
        shelf = self._desk.shelf
        kept = await asyncio.to_thread(shelf.save, asked.name, asked.text, asked.version)
        return JSONResponse(kept.data())

    async def add(self, request: Request) -> Response:
        """Write a new design."""
        asked = await read(request, Saved)
        kept = await asyncio.to_thread(self._desk.shelf.add, asked.name, asked.text)
        return JSONResponse(kept.data())

    async def rename(self, request: Request) -> Response:
        """Give a design another name."""
        asked = await read(request, Named)
        kept = await asyncio.to_thread(self._desk.shelf.rename, asked.name, asked.new)
        return JSONResponse(kept.data())

    async def away(self, request: Request) -> Response:
        """Put a design away."""
        asked = await read(request, Named)
        return JSONResponse(
            {"name": await asyncio.to_thread(self._desk.shelf.put_away, asked.name)}
        )

    async def back(self, request: Request) -> Response:
        """Bring a design back."""
        asked = await read(request, Named)
        name = await asyncio.to_thread(self._desk.shelf.bring_back, asked.name)
        return JSONResponse({"name": name})

    async def odds(self, request: Request) -> Response:
        """Begin to count a draft's odds."""
        asked = await read(request, Look)
        return _begun(self._desk.count(asked.page, asked.draft))

    async def papers(self, request: Request) -> Response:
        """Begin to try a draft in other papers and on other boards."""
        asked = await read(request, Papers)
        work = self._desk.runs.work
        return _begun(
            work("trying papers", self._desk.rest, tasks.try_papers, asked.draft, asked.part)
        )

    async def sizes(self, request: Request) -> Response:
        """Begin to look for sizes that come out right more often."""
        asked = await read(request, Look)
        work = self._desk.runs.work
        return _begun(work("trying sizes", self._desk.rest, tasks.try_sizes, asked.draft))

    async def mesh(self, request: Request) -> Response:
        """Keep a mesh file for a new item."""
        asked = await read(request, Mesh)
        models = self._desk.shelf.models
        name = await asyncio.to_thread(keep_mesh, models, asked.name, asked.base64)
        return JSONResponse({"name": name})

    async def command(self, request: Request) -> Response:
        """Begin one of the program's commands."""
        asked = await read(request, Commanded)
        words = arguments_of(asked.command, asked.given)
        command = COMMANDS[asked.command]
        return _begun(self._desk.runs.command(command.words, words, out=command.makes_files))

    async def stop(self, request: Request) -> Response:
        """Stop a run."""
        await self._desk.runs.stop(self._run(request))
        return JSONResponse({"stopped": True})

    async def events(self, request: Request) -> Response:
        """What a run tells, as server-sent events."""
        run = self._run(request)
        last = request.headers.get("last-event-id", "")
        after = int(last) + 1 if last.isdecimal() and len(last) < 9 else 0
        return StreamingResponse(streamed(run, after), media_type="text/event-stream")

    async def file(self, request: Request) -> Response:
        """A file that a run made."""
        run = self._run(request)
        path = run.file(request.path_params["name"])
        if path is None:
            raise InputError("there is no such file any more; make it again")
        data = await asyncio.to_thread(path.read_bytes)
        return download(data, path.name)

    async def zipped(self, request: Request) -> Response:
        """All files that a run made, in one."""
        data = await asyncio.to_thread(packed, self._run(request))
        return download(data, "files.zip")

    def _run(self, request: Request) -> Run:
        run = self._desk.runs.get(request.path_params["run"])
        if run is None:
            raise InputError("this work is no longer known; begin it again")
        return run


def _begun(run: Run) -> Response:
    return JSONResponse({"run": run.name, "words": run.words})
