"""`fitcheck publish`: a recipe that a maker would post, as one PDF and one HTML page."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli.check import DOES_NOT_FIT
from fitcheck.cli.common_options import (
    DesignArgument,
    FolderOption,
    ForceOption,
    ForStockOption,
    ForToolsOption,
    StockOption,
    stock_overrides,
)
from fitcheck.cli.odds_options import (
    NoOddsOption,
    OddsOption,
    boxes_asked,
    odds_as_told,
)
from fitcheck.workspace.names import EVERY_PART

if TYPE_CHECKING:
    from fitcheck.outputs.publish.recipe import Recipe


COUNT = "leave --no-odds out to count it"
"""Beside sizes of another reader that are rounded each by itself."""


def publish_command(
    design: DesignArgument,
    *,
    out: FolderOption,
    paper: Annotated[
        str | None,
        typer.Option("--paper", metavar="PAPER", help="letter (inch designs) or a4 (others)."),
    ] = None,
    stock: StockOption = None,
    for_stock: ForStockOption = None,
    for_tools: ForToolsOption = None,
    film: Annotated[
        bool, typer.Option("--film", help="Write NAME-film.pdf too, a sheet for the camera.")
    ] = False,
    glb: Annotated[
        bool,
        typer.Option("--glb", help="Write NAME.glb too, the open box in its colours for a phone."),
    ] = False,
    odds: OddsOption = None,
    no_odds: NoOddsOption = False,
    force: ForceOption = False,
) -> None:
    """Write NAME.pdf and NAME.html: pictures of the box and of every step, sizes, 1:1 sheets.

    Where the box does not fit it says so first, and ends with status 1.
    """
    from fitcheck.cli.progress_bar import Bar
    from fitcheck.cli.publish_options import photo_of, published_paper, readers_design, sheets_of
    from fitcheck.design.read import read_design
    from fitcheck.design.versions import job_of
    from fitcheck.outputs.bench_words import spelled_note
    from fitcheck.outputs.check_text import faults_text
    from fitcheck.outputs.older_text import older_text
    from fitcheck.outputs.publish.film import cues
    from fitcheck.outputs.publish.layouts import film_pdf, not_printed, recipe_page, recipe_pdf
    from fitcheck.outputs.publish.model import box_glb
    from fitcheck.outputs.publish.recipe import recipe_of
    from fitcheck.workspace.designs import find_design
    from fitcheck.workspace.filenames import safe_stem
    from fitcheck.workspace.outputs import Outputs

    boxes, stocks = boxes_asked(odds, no_odds, None), stock_overrides(stock)
    theirs = stock_overrides(for_stock, "--for-stock")
    outputs = Outputs({}, {"-o": out}, force, command="publish")
    path = find_design(design)
    outputs.check([path])
    found = read_design(path, stocks=stocks)
    page = published_paper(paper, found.unit)
    other = None
    if theirs or for_tools is not None:
        kept = {} if EVERY_PART in theirs else stocks
        with Bar() as bar:
            other = readers_design(path, {**kept, **theirs}, for_tools, bar)
    photo = photo_of(found)
    outputs.check()
    own = sheets_of(found, page)
    sure = None if boxes is None else odds_as_told(own.check, boxes)
    reader = None if other is None else sheets_of(other, page)
    their_odds = None
    if reader is not None and boxes is not None:
        their_odds = odds_as_told(reader.check, boxes)
    recipe = recipe_of(own, sure, photo, reader, their_odds)
    stem = safe_stem(found.name)
    files: dict[Path, str | bytes] = {
        out / f"{stem}.pdf": recipe_pdf(recipe),
        out / f"{stem}.html": recipe_page(recipe, f"{stem}.pdf"),
    }
    if film:
        files[out / f"{stem}-film.pdf"] = film_pdf(found.title, cues(own.job), recipe.paper_mm)
    if glb:
        files[out / f"{stem}.glb"] = box_glb(own.check)
    past = outputs.write(files, job=job_of("publish", found))
    sys.stdout.write(faults_text(own.check))
    sys.stdout.writelines(f"{name}\n" for name in files)
    sys.stdout.write(spelled_note(not_printed(recipe)))
    sys.stdout.write(_doubt(recipe, found.name) + _for_reader(recipe, found.name, for_tools))
    sys.stdout.write(older_text(past))
    if not own.check.fits:
        raise typer.Exit(DOES_NOT_FIT)


def _doubt(recipe: Recipe, design: str) -> str:
    """What to heed where most boxes made by the recipe do not come out right."""
    from fitcheck.outputs.bench_words import wrapped

    if not recipe.doubt:
        return ""
    return f"{wrapped(recipe.doubt, 'caution')}\n  fitcheck suggest {design}\n"


def _for_reader(recipe: Recipe, design: str, tools: str | None) -> str:
    """What to heed where another reader's boxes come out worse, or their sheets are too small."""
    from fitcheck.outputs.bench_words import wrapped

    if recipe.reader is None:
        return ""
    told = "".join(f"{wrapped(line, 'caution')}\n" for line in recipe.reader.sheets)
    if recipe.reader.uncounted:
        told += f"{wrapped(recipe.reader.uncounted, 'note')}\n{wrapped(COUNT, ' ')}\n"
    if not recipe.reader.caution:
        return told
    cure = "" if tools is None else f"  fitcheck suggest {design} --for-tools {tools}\n"
    return f"{wrapped(recipe.reader.caution, 'caution')}\n{cure}{told}"
