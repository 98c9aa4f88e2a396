"""`fitcheck bench`: a page on this machine with everything that the commands do."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from fitcheck.cli.numbers import whole
from fitcheck.errors import InputError
from fitcheck.plain import shown


def bench_command(
    folder: Annotated[
        Path | None,
        typer.Argument(
            metavar="DIR", help="The workspace, or a folder that becomes one; the current one else."
        ),
    ] = None,
    port: Annotated[
        int,
        typer.Option(
            "--port",
            metavar="P",
            parser=whole("--port", 0, 65535),
            help="A fixed port; any free else.",
        ),
    ] = 0,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Print the address and open nothing.")
    ] = False,
) -> None:
    """Serve a page on this machine only, over the same files as the commands, and open it."""
    from fitcheck.bench.serve import serve
    from fitcheck.cli.collector import collect_again
    from fitcheck.workspace.paths import workplace_here

    if folder is not None:
        try:
            os.chdir(folder)
        except OSError as error:
            raise InputError(
                f"DIR: read {shown(str(folder))}, which cannot be entered ({error.strerror}); "
                "allowed: a folder; make it first, or leave it out"
            ) from None
    root = workplace_here().root
    os.chdir(root)
    collect_again()
    serve(root, port, browser=not no_browser)
