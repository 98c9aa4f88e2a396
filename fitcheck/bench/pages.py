"""The files of the page, by a list: nothing else of this machine has an address."""

from __future__ import annotations

from functools import cache
from importlib import resources

from starlette.responses import Response

from fitcheck.outputs.report.render import viewer_script, viewer_style

KINDS = {
    "html": "text/html",
    "css": "text/css",
    "js": "text/javascript",
    "svg": "image/svg+xml",
}
MADE = {"viewer.js": viewer_script, "inks.css": viewer_style}
"""What the page shares with the report."""


def page_file(name: str) -> Response | None:
    """A file of the page; None where it has none of that name."""
    if name in MADE:
        text = MADE[name]()
    elif name in _names():
        text = _text(name)
    else:
        return None
    kind = KINDS[name.rpartition(".")[2]]
    return Response(text, media_type=kind)


@cache
def _names() -> frozenset[str]:
    folder = resources.files("fitcheck.bench") / "page"
    names = (entry.name for entry in folder.iterdir() if entry.is_file())
    return frozenset(name for name in names if name.rpartition(".")[2] in KINDS)


@cache
def _text(name: str) -> str:
    return (resources.files("fitcheck.bench") / "page" / name).read_text(encoding="utf-8")
