"""The report becomes one HTML file that asks the network for nothing and runs no foreign script."""

from __future__ import annotations

import base64
import hashlib
import json
from functools import cache
from importlib import resources
from typing import Any

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from fitcheck.outputs.report.model import Report
from fitcheck.outputs.report.svg import Drawing, drawing_rules

SCRIPTS = ("algebra", "folding", "meshes", "painting", "shadow", "camera", "inks", "page", "start")
HANDED_OUT = ("Stage", "readScene", "joinCanvas", "joinControls", "joinMaking", "joinSinking")
INKS = ("paper", "ink", "quiet", "wash", "accent", "face")


def report_page(report: Report) -> str:
    """The whole page. Everything from a file or a user is escaped by the template engine."""
    style, script = _style(), _script()
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters["drawn"] = _drawn
    template = environment.from_string(_file("page.html.j2"))
    return template.render(
        report=report,
        style=Markup(style),
        script=Markup(script),
        scene=_embedded(report.scene),
        policy=_policy(style, script),
    )


def _drawn(drawing: Drawing) -> Markup:
    """A drawing, whose texts were escaped when it was made."""
    return Markup(drawing.inline())


def _embedded(data: dict[str, Any]) -> Markup:
    """JSON that no text in it can break out of."""
    text = json.dumps(data, separators=(",", ":"), ensure_ascii=True, allow_nan=False)
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)


def _policy(style: str, script: str) -> str:
    """A content security policy (W3C CSP) that lets in this style, this script and no address."""
    return (
        f"default-src 'none'; style-src '{_hash(style)}'; script-src '{_hash(script)}'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"sha256-{base64.b64encode(digest).decode('ascii')}"


def _style() -> str:
    return (
        _file("inks.css")
        + _file("viewer.css")
        + _file("page.css")
        + drawing_rules({ink: f"var(--{ink})" for ink in INKS})
    )


def _script() -> str:
    joined = "\n".join(_file(f"{name}.js") for name in SCRIPTS)
    return f'"use strict";\n(() => {{\n{joined}\n}})();\n'


def viewer_script() -> str:
    """What draws and folds a box on a page, as a module for other pages than the report."""
    joined = "\n".join(_file(f"{name}.js") for name in SCRIPTS[:-1])
    return f"{joined}\nexport {{ {', '.join(HANDED_OUT)} }};\n"


def viewer_style() -> str:
    """The inks of papers and drawings in light and dark, for the same pages."""
    return (
        _file("inks.css")
        + _file("viewer.css")
        + drawing_rules({ink: f"var(--{ink})" for ink in INKS})
    )


@cache
def _file(name: str) -> str:
    return (resources.files("fitcheck.outputs.report") / "page" / name).read_text(encoding="utf-8")
