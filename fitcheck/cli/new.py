"""`fitcheck new`: a design from what goes in, which box, which paper and board."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli import completion
from fitcheck.cli.check import DOES_NOT_FIT
from fitcheck.cli.common_options import stock_overrides
from fitcheck.cli.odds_options import NoOddsOption, OddsOption, boxes_asked, odds_with_advice
from fitcheck.errors import InputError
from fitcheck.plain import shown

if TYPE_CHECKING:
    from fitcheck.fit.proposal import Wish

NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,59}")
MOST_COUNT = 500
USUAL_STYLE, USUAL_STOCK = "tray", "cover-80"


def new_command(
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="What the file is called: letters, digits, -, _.")
    ],
    item: Annotated[
        list[str] | None,
        typer.Option(
            "--item",
            metavar="ITEM[:COUNT]",
            help="What goes in; more than once if so.",
            autocompletion=completion.items,
        ),
    ] = None,
    style: Annotated[
        str | None,
        typer.Option(
            "--style",
            metavar="STYLE",
            help="Which box.",
            autocompletion=completion.styles,
        ),
    ] = None,
    stock: Annotated[
        list[str] | None,
        typer.Option(
            "--stock",
            metavar="PART=NAME",
            help="The paper of a part; base=NAME first.",
            autocompletion=completion.papers_of_parts,
        ),
    ] = None,
    tools: Annotated[
        str | None,
        typer.Option(
            "--tools",
            metavar="NAME",
            help="The board and trimmer.",
            autocompletion=completion.tools,
        ),
    ] = None,
    sits: Annotated[
        str | None,
        typer.Option("--sits", metavar="HOW", help="snug or slides; slides if left out."),
    ] = None,
    odds: OddsOption = None,
    no_odds: NoOddsOption = False,
) -> None:
    """Propose a whole design, write it as a commented file, and check it; never overwrites."""
    from fitcheck.design.read import read_design
    from fitcheck.fit.check import check
    from fitcheck.fit.proposal import proposed
    from fitcheck.outputs.check_text import check_text
    from fitcheck.outputs.new_text import new_text
    from fitcheck.outputs.odds_text import odds_text
    from fitcheck.workspace.outputs import Outputs
    from fitcheck.workspace.paths import search_roots

    boxes = boxes_asked(odds, no_odds, None)
    path = _place(name)
    wish = _wish(name, item, style, stock_overrides(stock), tools, sits)
    outputs = Outputs({"NAME": path}, designs=True)
    outputs.check()
    found = proposed(wish, search_roots())
    files: dict[Path, str | bytes] = {path: new_text(wish, found.data)}
    outputs.check((), files)
    outputs.write(files)
    sys.stdout.write(f"written to {path}\n\n")
    checked = check(read_design(path))
    sure = None if boxes is None else odds_with_advice(checked, boxes)
    sys.stdout.write(check_text(checked, sure) + ("" if sure is None else odds_text(sure)))
    if not checked.fits:
        raise typer.Exit(DOES_NOT_FIT)


def _place(name: str) -> Path:
    """Where the design goes; never where something is. Raises InputError."""
    from fitcheck.workspace.journal import recover
    from fitcheck.workspace.paths import MODELS, current_folder, find_workspace

    if not NAME.fullmatch(name):
        raise InputError(
            f"NAME: read {shown(name)}; allowed: up to 60 letters, digits, - and _; write a name "
            "such as coin-box"
        )
    here = current_folder()
    workspace = find_workspace(here)
    folder = here if workspace is None else workspace / MODELS
    path = folder / f"{name}.toml"
    path = path.relative_to(here) if folder.is_relative_to(here) else path
    if folder.is_dir():
        recover([folder])  # what a run that was cut short left there
    if path.exists():
        raise InputError(
            f"NAME: read {shown(name)}, and '{path}' is there already; allowed: a new name, as "
            "nothing is written over; choose another"
        )
    return path


def _wish(
    name: str,
    items: Sequence[str] | None,
    style: str | None,
    stocks: dict[str, str],
    tools: str | None,
    sits: str | None,
) -> Wish:
    """What was given with options, and what is asked for on a terminal where it was not."""
    from fitcheck.fit.proposal import STYLES, Sits, Wish
    from fitcheck.stock.profile_files import find_tools
    from fitcheck.units import Unit
    from fitcheck.workspace.paths import search_roots

    given = list(items or [])
    if not given:
        given = _asked("--item", "What goes in (ITEM or ITEM:COUNT; `fitcheck list items`)").split()
    chosen = style or _asked("--style", f"Which box ({', '.join(STYLES)})", USUAL_STYLE)
    if chosen not in STYLES:
        raise InputError(
            f"--style: read {shown(chosen)}; allowed: {', '.join(STYLES)}; the other styles have "
            "to be begun from an example: `fitcheck list styles`"
        )
    if "base" not in stocks:
        asked = _asked("--stock", "Which paper (`fitcheck list stocks`)", USUAL_STOCK)
        stocks = {**stocks, "base": asked.removeprefix("base=")}
    how = sits or "slides"
    if how not in tuple(Sits):
        raise InputError(f"--sits: read {shown(how)}; allowed: {', '.join(Sits)}; write one")
    board = find_tools(tools or "score-board-inch", search_roots())
    # a board whose grooves lie in whole fractions of an inch is used in inches
    steps = (board.grid_mm or 1.0) / (25.4 / 32)
    inch = abs(steps - round(steps)) < 1e-6
    wish = Wish(
        name=name,
        style=chosen,
        unit=Unit.IN if inch else Unit.MM,
        tools=board.name,
        stocks=stocks,
        items=tuple(_item(one) for one in given),
        sits=Sits(how),
    )
    strange = [part for part in stocks if part not in wish.parts]
    if strange:
        raise InputError(
            f"--stock: read {shown(strange[0])}, and a box of the style {chosen} has no such part; "
            f"allowed: {', '.join(wish.parts)}; correct it"
        )
    return wish


def _item(text: str) -> tuple[str, int]:
    """ITEM or ITEM:COUNT. Raises InputError for another text."""
    name, colon, count = text.partition(":")
    if not name or (colon and not count.isdecimal()) or (colon and not int(count[:6]) >= 1):
        raise InputError(
            f"--item: read {shown(text)}; allowed: ITEM or ITEM:COUNT, such as chocolate-coin:9"
        )
    number = int(count[:6]) if colon else 1
    if number > MOST_COUNT:
        raise InputError(f"--item: read {shown(text)}; allowed: up to {MOST_COUNT}; take fewer")
    return name, number


def _asked(option: str, question: str, usual: str | None = None) -> str:
    """An answer on the terminal; elsewhere what is missing is refused."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise InputError(
            f"{option}: missing; allowed: given as an option, as nobody can be asked here; add it"
        )
    answer: str = typer.prompt(question, default=usual)
    return answer.strip()
