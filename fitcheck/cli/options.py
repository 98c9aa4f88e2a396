"""Arguments that several commands share, and how their texts are read."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fitcheck.errors import InputError

DesignArgument = Annotated[
    Path, typer.Argument(metavar="DESIGN", help="A design file (TOML), or the name of one.")
]
StockOption = Annotated[
    list[str] | None,
    typer.Option("--stock", metavar="PART=NAME", help="Use another stock for a part."),
]
FolderOption = Annotated[
    Path, typer.Option("-o", "--out", metavar="DIR", help="Folder to write into; made if missing.")
]
ForceOption = Annotated[
    bool,
    typer.Option(
        "--force", help="Write over files that are not fitcheck's, or were changed since."
    ),
]


def stock_overrides(texts: list[str] | None) -> dict[str, str]:
    """PART=NAME texts as a mapping. Raises InputError for a text of another form."""
    overrides = {}
    for text in texts or []:
        part, equals, name = text.partition("=")
        if not (part and equals and name):
            raise InputError(
                f"--stock: read '{text}'; allowed: PART=NAME, such as --stock lid=index-110"
            )
        overrides[part.strip()] = name.strip()
    return overrides
