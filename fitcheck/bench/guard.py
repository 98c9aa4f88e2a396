"""Lets in the one browser that was given the key, from this machine, and nobody else.

A page of any other site can make a browser send requests here, so what is asked is held against the
names of this machine, the page's own address, a cookie that other sites cannot have sent, what the
browser says of where a request comes from, the kind of its body and its size.
"""

from __future__ import annotations

import hmac
import json
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from http import HTTPStatus
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LOOPBACK = "127.0.0.1"
USUAL_PORT = 80
KEY_BYTES = 32
MOST_BODY = 1_000_000
"""Bytes of a request: a design's text, a form."""
MOST_FILE = 40_000_000
"""Bytes of a request that carries a mesh file."""
FILES = "/api/files"
"""Where files are sent to."""
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS: Mapping[str, str] = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


class TooLargeError(Exception):
    """A body went on beyond what is let in."""


@dataclass
class Keys:
    """The key that is printed, which opens once, and the secret that it is exchanged for."""

    port: int
    key: str | None = field(default_factory=lambda: secrets.token_urlsafe(KEY_BYTES))
    secret: str = field(default_factory=lambda: secrets.token_urlsafe(KEY_BYTES))

    @property
    def cookie(self) -> str:
        """The cookie's name: a browser keeps those of all ports of a machine together."""
        return f"fitcheck-{self.port}"

    @property
    def address(self) -> str:
        """What the browser is to open."""
        return f"http://{LOOPBACK}:{self.port}/?key={self.key}"

    @property
    def hosts(self) -> frozenset[str]:
        """The names by which this machine may be asked."""
        names = (LOOPBACK, "localhost")
        bare = names if self.port == USUAL_PORT else ()  # browsers leave that one out
        return frozenset({*bare, *(f"{name}:{self.port}" for name in names)})

    @property
    def origins(self) -> frozenset[str]:
        """Where the page's own requests come from."""
        return frozenset(f"http://{host}" for host in self.hosts)

    def takes(self, key: str) -> bool:
        """Whether that is the key; it opens only once."""
        if self.key is None or not hmac.compare_digest(key.encode(), self.key.encode()):
            return False
        self.key = None
        return True

    def knows(self, cookie: str) -> bool:
        """Whether a browser has the secret."""
        return hmac.compare_digest(cookie.encode(), self.secret.encode())


class Guard:
    """Stands before the application."""

    def __init__(self, inside: ASGIApp, keys: Keys) -> None:
        self._inside = inside
        self._keys = keys

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or pass it on."""
        if scope["type"] == "lifespan":
            await self._inside(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # nothing here speaks otherwise
        headers = Headers(scope=scope)
        answer = self._first(scope, headers)
        if answer is not None:
            await answer(scope, receive, _marked(send))
            return
        most = MOST_FILE if scope["path"] == FILES else MOST_BODY
        body, marked = Counted(receive, most), _marked(send)

        async def passing(message: Message) -> None:
            if not body.is_over:  # what the application makes of that is no answer
                await marked(message)

        try:
            await self._inside(scope, body, passing)
        except TooLargeError:
            await _too_large(most)(scope, receive, marked)

    def _first(self, scope: Scope, headers: Headers) -> Response | None:
        """The answer to what is not let in, or to a key; None where all is well."""
        method, port = scope["method"], self._keys.port
        if headers.get("host", "") not in self._keys.hosts:
            return refused(
                HTTPStatus.MISDIRECTED_REQUEST,
                f"asked as another machine; allowed: {LOOPBACK}:{port}; open the address that "
                "`fitcheck bench` printed",
            )
        if method not in ("GET", "HEAD", "POST"):
            return refused(HTTPStatus.METHOD_NOT_ALLOWED, "allowed: GET and POST")
        site = headers.get("sec-fetch-site", "none" if method != "POST" else "same-origin")
        if site not in (("same-origin",) if method == "POST" else ("same-origin", "none")):
            return refused(HTTPStatus.FORBIDDEN, "sent by another site; allowed: by this page")
        if "key" in (asked := parse_qs(scope["query_string"].decode("latin-1"))):
            return self._exchange(headers, asked["key"][0])
        if not self._has_cookie(headers):
            return refused(
                HTTPStatus.FORBIDDEN,
                "this browser has no key; allowed: the one that was opened with the address that "
                "`fitcheck bench` printed; open the one that it printed last, which opens once; "
                "where that was opened already, stop it (Ctrl-C) and start it again",
            )
        return self._body_answer(headers) if method == "POST" else None

    def _exchange(self, headers: Headers, key: str) -> Response:
        """A cookie for the key; what has the cookie already goes on as it is."""
        keys = self._keys
        if self._has_cookie(headers):
            return RedirectResponse("/", HTTPStatus.SEE_OTHER)
        if not keys.takes(key):
            return refused(
                HTTPStatus.FORBIDDEN,
                "this key is not the one, or was used already; allowed: each key once; stop "
                "`fitcheck bench` (Ctrl-C) and start it again",
            )
        answer = RedirectResponse("/", HTTPStatus.SEE_OTHER)
        answer.set_cookie(keys.cookie, keys.secret, httponly=True, samesite="strict", path="/")
        return answer

    def _has_cookie(self, headers: Headers) -> bool:
        found = f"{self._keys.cookie}="
        sent = (part.strip() for part in headers.get("cookie", "").split(";"))
        return any(
            part.startswith(found) and self._keys.knows(part.removeprefix(found)) for part in sent
        )

    def _body_answer(self, headers: Headers) -> Response | None:
        """What is sent comes from the page itself, as JSON, and no more than is needed."""
        if headers.get("origin") not in self._keys.origins:
            return refused(HTTPStatus.FORBIDDEN, "sent by another site; allowed: by this page")
        if headers.get("content-type", "").partition(";")[0].strip() != "application/json":
            return refused(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "allowed: application/json")
        length = headers.get("content-length", "0")
        if not length.isdecimal() or len(length) > 12 or int(length) > MOST_FILE:
            return _too_large(MOST_FILE)
        return None


def refused(status: HTTPStatus, why: str) -> Response:
    """What somebody is told who is not let in."""
    return PlainTextResponse(f"fitcheck bench: {why}\n", status)


def _too_large(most: int) -> Response:
    text = f"more than {most} bytes were sent; allowed: up to that; send less"
    body = json.dumps({"problems": [{"key": "", "text": text}]})
    return Response(
        body, HTTPStatus.REQUEST_ENTITY_TOO_LARGE, {"connection": "close"}, "application/json"
    )


class Counted:
    """What is sent, as far as it is let in, however long it says it is."""

    def __init__(self, receive: Receive, most: int) -> None:
        self._receive, self._most, self._so_far = receive, most, 0

    @property
    def is_over(self) -> bool:
        """Whether more was sent than is let in."""
        return self._so_far > self._most

    async def __call__(self) -> Message:
        """The next piece. Raises TooLargeError for one too many."""
        message = await self._receive()
        self._so_far += len(message.get("body", b""))
        if self.is_over:
            raise TooLargeError
        return message


def _marked(send: Send) -> Send:
    """Answers say what the browser may do with them."""

    async def marked(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return marked
