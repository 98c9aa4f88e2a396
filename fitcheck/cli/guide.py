"""`fitcheck guide`: a few short chapters for makers, for the curious and for who writes a style."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from fitcheck.cli import completion


def guide_command(
    chapter: Annotated[
        str | None,
        typer.Argument(
            metavar="CHAPTER",
            help="Its name or number; left out: the chapters that there are.",
            autocompletion=completion.chapters,
        ),
    ] = None,
) -> None:
    """Read the guide, chapter by chapter."""
    from fitcheck.errors import InputError
    from fitcheck.outputs.guide import chapters, heading
    from fitcheck.plain import shown

    known = chapters()
    if chapter is None:
        for number, (name, text) in enumerate(known.items(), start=1):
            sys.stdout.write(f"{number}  {name:<24}{heading(text)}\n")
        sys.stdout.write("read one: fitcheck guide NAME\n")
        return
    numbered = dict(zip(map(str, range(1, len(known) + 1)), known, strict=True))
    name = numbered.get(chapter, chapter)
    if name not in known:
        raise InputError(
            f"CHAPTER: read {shown(chapter)}; allowed: {', '.join(known)}, or a number"
        )
    sys.stdout.write(known[name])
