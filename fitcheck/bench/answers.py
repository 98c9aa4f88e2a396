"""How the page is answered: in words where something is wrong, with files, and as events come."""

from __future__ import annotations

import asyncio
import io
import json
import os
import zipfile
from collections.abc import AsyncIterator, Awaitable, Callable, Sequence
from http import HTTPStatus

from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response

from fitcheck.bench.desk import Superseded
from fitcheck.bench.guard import TooLargeError
from fitcheck.bench.problems import problems_of
from fitcheck.bench.runs import Run
from fitcheck.bench.shelf import ChangedError
from fitcheck.errors import DEBUG, FitcheckError, InputError, reason_of
from fitcheck.plain import one_line

QUIET_S = 15.0
"""A stream that has nothing to tell says that much, so that nobody takes it for dead."""
Handler = Callable[[Request], Awaitable[Response]]


def told(handler: Handler) -> Handler:
    """A handler whose errors are answered in words, each beside what it is about."""

    async def answer(request: Request) -> Response:
        try:
            return await handler(request)
        except Superseded:
            return JSONResponse({"superseded": True})
        except ChangedError as error:
            there = None if error.there is None else error.there.data()
            return JSONResponse({"changed": True, "there": there}, HTTPStatus.CONFLICT)
        except (TooLargeError, ClientDisconnect):
            raise  # who sent it is answered by the guard, or is gone
        except Exception as error:
            return _failed(error)

    return answer


def _failed(error: Exception) -> Response:
    """What went wrong, in lines."""
    status = HTTPStatus.UNPROCESSABLE_ENTITY
    if isinstance(error, InputError):
        lines: Sequence[str] = error.lines
    elif isinstance(error, OSError):
        place = one_line(str(error.filename or "the disk"))
        lines = [f"{place}: cannot be used ({reason_of(error)}); check its rights and its disk"]
    elif isinstance(error, FitcheckError):
        status, lines = HTTPStatus.INTERNAL_SERVER_ERROR, [str(error)]
    elif os.environ.get(DEBUG):
        raise error
    else:
        said = f"the program failed ({type(error).__name__}: {error}); what was saved is kept"
        status, lines = HTTPStatus.INTERNAL_SERVER_ERROR, [said]
    return JSONResponse({"problems": problems_of(lines)}, status)


def download(data: bytes, name: str) -> Response:
    """A file to keep; pictures may be shown, and nothing in a file runs here."""
    ending = name.rpartition(".")[2].lower()
    kind = SHOWN.get(ending, "application/octet-stream")
    plain = "".join(sign for sign in name if sign.isascii() and (sign.isalnum() or sign in "._-"))
    headers = {"content-security-policy": FILE_POLICY}
    how = "inline" if ending in ("svg", "png") else "attachment"
    headers["content-disposition"] = f'{how}; filename="{plain}"'
    return Response(data, headers=headers, media_type=kind)


FILE_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'; sandbox"
)
SHOWN = {
    "svg": "image/svg+xml",
    "png": "image/png",
    "pdf": "application/pdf",
    "csv": "text/csv",
    "txt": "text/plain",
    "json": "application/json",
    "zip": "application/zip",
}


def packed(run: Run) -> bytes:
    """All files that a run made, as one."""
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in run.files():
            path = run.file(name)
            if path is not None:
                archive.write(path, name)
    return whole.getvalue()


async def streamed(run: Run, after: int) -> AsyncIterator[str]:
    """Server-sent events (WHATWG HTML, section 9.2), numbered so that a reader can go on."""
    events = run.follow(after)
    while True:
        waiting = asyncio.ensure_future(anext(events, None))
        try:
            while not (await asyncio.wait({waiting}, timeout=QUIET_S))[0]:
                yield ": still at it\n\n"
        finally:
            waiting.cancel()  # nobody listens any more; what has come stays
        found = waiting.result()
        if found is None:
            return
        number, event = found
        yield f"id: {number}\ndata: {json.dumps(event, separators=(',', ':'))}\n\n"
