"""A recipe laid out as one HTML page and as one PDF, both from the same description."""

from __future__ import annotations

import base64
import hashlib
import json
import unicodedata
from collections.abc import Iterator, Sequence
from functools import cache
from importlib import resources
from typing import Any

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from fitcheck.drawing.legible import spelled, unshown
from fitcheck.drawing.metrics import font_path
from fitcheck.outputs.publish.cards import StepCard
from fitcheck.outputs.publish.film import Cue
from fitcheck.outputs.publish.recipe import Recipe
from fitcheck.outputs.report.svg import Drawing, drawing_rules

INKS = ("paper", "ink", "quiet", "wash", "accent", "face")
STEP_TALL_MM = 43.0
"""The height of a step's picture in print."""
STEP_WIDE_MM = 80.0


def recipe_page(recipe: Recipe, pdf: str) -> str:
    """The whole page, which asks the network for nothing; ``pdf`` is the other file's name."""
    style = _file("recipe.css") + drawing_rules({ink: f"var(--{ink})" for ink in INKS})
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters["drawn"] = lambda drawing: Markup(drawing.inline())
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode("ascii")
    policy = (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; "
        "form-action 'none'"
    )
    photo = None
    if recipe.photo is not None:
        photo = f"data:image/jpeg;base64,{base64.b64encode(recipe.photo).decode('ascii')}"
    template = environment.from_string(_file("recipe.html.j2"))
    return template.render(
        recipe=recipe, style=Markup(style), policy=Markup(policy), photo=photo, pdf=pdf
    )


def recipe_pdf(recipe: Recipe) -> bytes:
    """The PDF: tagged (PDF/UA-1), its text selectable, the 1:1 sheets at its end."""
    photo = None if recipe.photo is None else list(recipe.photo)
    return _typeset("recipe", printed(_data(recipe)) | {"typed": recipe.title, "photo": photo})


def not_printed(recipe: Recipe) -> tuple[str, ...]:
    """The signs that the PDF has no shape for and says by their names; the page shows them."""
    return unshown(_texts(_data(recipe)), embedded=True)


def film_pdf(title: str, film: Sequence[Cue], paper_mm: tuple[float, float]) -> bytes:
    """The sheet for the camera, a row for each step and a box to tick."""
    data = {"title": title, "paper": list(paper_mm), "cues": [vars(cue) for cue in film]}
    return _typeset("film", printed(data) | {"typed": title})


def printed(data: Any) -> Any:
    """The same data with texts that the one font of the PDF can show.

    A tagged PDF takes no sign without a shape (ISO 14289-1, 7.21.8, from memory).
    """
    if isinstance(data, str):
        return spelled(data, embedded=True)
    if isinstance(data, dict):
        return {key: printed(value) for key, value in data.items()}
    return [printed(value) for value in data] if isinstance(data, list | tuple) else data


def _texts(data: Any) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict | list | tuple):
        for value in data.values() if isinstance(data, dict) else data:
            yield from _texts(value)


def _typeset(name: str, data: dict[str, Any]) -> bytes:
    """A layout with its data, the same bytes every time."""
    import typst

    fonts: list[Any] = [str(font_path().parent)]
    made = typst.compile(
        _file(f"{name}.typ").encode(),
        font_paths=fonts,
        ignore_system_fonts=True,
        sys_inputs={name: json.dumps(data, ensure_ascii=False, allow_nan=False)},
        pdf_standards="ua-1",
        timestamp=0,
    )
    assert isinstance(made, bytes)
    return made


def _data(recipe: Recipe) -> dict[str, Any]:
    """The recipe as plain data for the layout."""
    return {
        "title": recipe.title,
        "by": recipe.by,
        "licence": recipe.licence,
        "open": _picture(recipe.open),
        "closed": None if recipe.closed is None else _picture(recipe.closed),
        "needs": [list(pair) for pair in recipe.needs],
        "card": [vars(row) for row in recipe.card],
        "reader": None if recipe.reader is None else vars(recipe.reader),
        "chapters": [
            {"heading": chapter.heading, "steps": [_step(step) for step in chapter.steps]}
            for chapter in recipe.chapters
        ],
        "measures": [{"heading": own.heading, "lines": list(own.lines)} for own in recipe.measures],
        "around": list(recipe.around),
        "cautions": list(recipe.cautions),
        "sure": list(recipe.sure),
        "pages": [
            {"svg": _without_marks(page.svg), "words": page.words, "size": list(page.size_mm)}
            for page in recipe.pages
        ],
        "paper": list(recipe.paper_mm),
    }


def _step(step: StepCard) -> dict[str, Any]:
    picture = None
    if step.picture is not None:
        ratio = step.picture.height / step.picture.width
        tall = min(STEP_TALL_MM, ratio * STEP_WIDE_MM)
        picture = {**_picture(step.picture), "tall": tall}
    return {
        "number": step.number,
        "text": step.text,
        "details": list(step.details),
        "picture": picture,
    }


def _picture(drawing: Drawing) -> dict[str, str]:
    return {"svg": _without_marks(drawing.alone()), "words": drawing.words}


def _without_marks(svg: str) -> str:
    """A picture without marks over letters, where no letter has them built in: in a picture the
    typesetter tells no text of them, which a tagged PDF has to have."""
    if svg.isascii():
        return svg
    letters = unicodedata.normalize("NFC", svg)
    return "".join(s for s in letters if unicodedata.category(s) not in ("Mn", "Me", "Cf"))


@cache
def _file(name: str) -> str:
    return (resources.files("fitcheck.outputs.publish") / name).read_text(encoding="utf-8")
