"""`fitcheck explain`: a word of the trade, or of ours, in a few lines."""

from __future__ import annotations

import sys
import textwrap
from typing import Annotated

import typer

from fitcheck.cli import completion
from fitcheck.errors import InputError
from fitcheck.plain import LONGEST_SHOWN, shown


def explain_command(
    word: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="WORD",
            help="Left out: the words that there are.",
            autocompletion=completion.words,
        ),
    ] = None,
) -> None:
    """Say what a word means, the trade's or ours."""
    from fitcheck.outputs.bench_words import WIDTH
    from fitcheck.outputs.words import WORDS, explained
    from fitcheck.workspace.nearest import did_you_mean

    if not word:
        sys.stdout.write(textwrap.fill(", ".join(WORDS), WIDTH) + "\n")
        return
    asked = " ".join(word)
    found = explained(asked[:LONGEST_SHOWN])
    if found is None:
        raise InputError(
            f"WORD: no such word; read {shown(asked)}; allowed: a word of `fitcheck explain`; "
            f"{did_you_mean(asked[:LONGEST_SHOWN].lower(), list(WORDS))}; correct it"
        )
    sys.stdout.write(textwrap.fill(f"{found[0]}: {found[1]}", WIDTH) + "\n")
