"""Arguments that several commands share, and how their texts are read."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

import typer

from fitcheck.cli import completion
from fitcheck.errors import InputError
from fitcheck.plain import one_line, plain, shown
from fitcheck.units import Unit, parse_length
from fitcheck.workspace.names import EVERY_PART

MOST_LETTERS = 1000
"""Of a note and other texts that are kept with a record."""

DesignArgument = Annotated[
    Path,
    typer.Argument(
        metavar="DESIGN",
        help="A design file (TOML), or the name of one.",
        autocompletion=completion.designs,
    ),
]
StockOption = Annotated[
    list[str] | None,
    typer.Option(
        "--stock",
        metavar="[PART=]NAME",
        help="Use another stock for a part; NAME alone is that of every part.",
        autocompletion=completion.papers_of_parts,
    ),
]
ForStockOption = Annotated[
    list[str] | None,
    typer.Option(
        "--for-stock",
        metavar="[PART=]NAME",
        help="Another reader's paper for a part; NAME alone is that of every part.",
        autocompletion=completion.papers_of_parts,
    ),
]
ForToolsOption = Annotated[
    str | None,
    typer.Option(
        "--for-tools",
        metavar="NAME",
        help="Another reader's board and trimmer.",
        autocompletion=completion.tools,
    ),
]
FolderOption = Annotated[
    Path, typer.Option("-o", "--out", metavar="DIR", help="Folder to write into; made if missing.")
]
ForceOption = Annotated[
    bool,
    typer.Option(
        "--force",
        help="Write over files that are not fitcheck's, another command's, or changed since.",
    ),
]


def free_text(option: str, text: str) -> str:
    """A text to keep, as a plain line. Raises InputError for what is no text or very long."""
    try:
        text.encode()
    except UnicodeEncodeError:
        raise InputError(
            f"{option}: read {shown(plain(text))}, which is not UTF-8; allowed: UTF-8 text; type "
            "it anew, or set the terminal to UTF-8"
        ) from None
    line = one_line(text)
    if len(line) > MOST_LETTERS:
        raise InputError(
            f"{option}: read {shown(line)}, {len(line)} letters; allowed: up to {MOST_LETTERS}; "
            "shorten it"
        )
    return line


def length_given(option: str, text: str) -> float:
    """A length given with an option, in mm.

    Raises InputError for a text that is no length.
    """
    try:
        return parse_length(text, Unit.MM)
    except ValueError as error:
        raise InputError(f"{option}: read {shown(text)}, which {error}") from None


def given_once(option: str, texts: list[str] | None) -> str | None:
    """What an option says that may be given once: of two, one would be lost without a word.

    Raises InputError for more than one.
    """
    if texts and len(texts) > 1:
        raise InputError(
            f"{option}: read {' and '.join(shown(text) for text in texts)}; allowed: one of them; "
            "leave the others out"
        )
    return texts[0] if texts else None


def stock_overrides(texts: list[str] | None, option: str = "--stock") -> dict[str, str]:
    """NAME and PART=NAME texts as a mapping, a bare NAME under that of every part.

    Raises InputError for a text of another form.
    """
    overrides = {}
    for text in texts or []:
        part, equals, name = text.partition("=")
        if not equals:
            part, name = EVERY_PART, text
        if not name.strip() or (equals and not part.strip()) or (not equals and _is_part(name)):
            raise InputError(
                f"{option}: read {shown(text)}; allowed: PART=NAME, such as {option} "
                "lid=index-110, or NAME alone for every part"
            )
        if (part := part.strip()) in overrides:
            whose = f"for {shown(part)}" if part else "for every part"
            raise InputError(
                f"{option}: read {shown(text)}, the second one {whose}; allowed: "
                "one for each part; leave one out"
            )
        overrides[part] = name.strip()
    return overrides


def stock_words(stocks: Mapping[str, str]) -> list[str]:
    """Papers as they are given with an option: PART=NAME, or NAME for every part."""
    return [f"{part}={name}" if part else name for part, name in stocks.items()]


def _is_part(name: str) -> bool:
    from fitcheck.styles.places import PLACES

    return name.strip() in [place.name for place in PLACES]
