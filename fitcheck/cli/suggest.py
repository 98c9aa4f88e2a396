"""`fitcheck suggest`: which sizes on the tool's grid have the best odds?"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli.common_options import (
    DesignArgument,
    ForceOption,
    ForStockOption,
    ForToolsOption,
    stock_overrides,
    stock_words,
)
from fitcheck.cli.numbers import whole
from fitcheck.cli.odds_options import BOXES, DetailsOption, SeedOption
from fitcheck.errors import InputError
from fitcheck.plain import shown

if TYPE_CHECKING:
    from fitcheck.design.model import Design


def suggest_command(
    design: DesignArgument,
    for_stock: ForStockOption = None,
    for_tools: ForToolsOption = None,
    boxes: Annotated[
        int,
        typer.Option(
            "--odds",
            metavar="N",
            parser=whole("--odds", 100, 1_000_000),
            help="Boxes for each size, at least 100.",
        ),
    ] = BOXES,
    details: DetailsOption = False,
    seed: SeedOption = 0,
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="Write a new design file.")
    ] = None,
    take: Annotated[
        int,
        typer.Option(
            "--take", metavar="K", parser=whole("--take", 1), help="Which suggestion to write."
        ),
    ] = 1,
    force: ForceOption = False,
) -> None:
    """Say which sizes make it fit more surely, and write them back if wanted."""
    from fitcheck.cli.progress_bar import Bar
    from fitcheck.design.read import read_design
    from fitcheck.odds.retarget import retargeted
    from fitcheck.odds.suggest import suggest
    from fitcheck.odds.whole_steps import in_whole_steps
    from fitcheck.outputs.bench_words import wrapped
    from fitcheck.outputs.check_text import faults_text
    from fitcheck.outputs.records_finding import records_findings
    from fitcheck.outputs.suggest_text import suggest_text
    from fitcheck.units import hand_unit
    from fitcheck.workspace.designs import find_design
    from fitcheck.workspace.outputs import Outputs
    from fitcheck.workspace.paths import workplace_here

    stocks = stock_overrides(for_stock, "--for-stock")
    refuse_take(take, out)
    outputs = Outputs({"-o": out}, force=force, designs=True)
    path = find_design(design)
    outputs.check([path])
    target, own = retargeted(path, stocks, for_tools), read_design(path)
    outputs.check()
    with Bar() as bar:
        whole = None
        if hand_unit(target.unit) is not hand_unit(own.unit):
            whole = in_whole_steps(target, progress=bar)
        found = suggest(target, boxes, seed, bar, whole=whole)
    files = {}
    if out is not None:
        if not found.ranked and (take > 1 or not (stocks or for_tools)):
            raise InputError(
                f"-o: read '{out}', and no sizes near it come out right oftener, so none "
                "is there to write; allowed: a suggestion; leave -o and --take out and keep the "
                "design as it is; nothing was written"
            )
        if found.ranked and take > len(found.ranked):
            raise InputError(
                f"--take: read {take}; allowed: 1 to {len(found.ranked)}, as so many are "
                "suggested; leave it out for the first"
            )
        chosen = found.ranked[take - 1].design if found.ranked else target
        files[out] = _rewritten(path, own, chosen, for_tools)
    outputs.check((), files)
    asked = [] if for_tools is None else ["--for-tools", for_tools]
    asked += [word for one in stock_words(stocks) for word in ("--for-stock", one)]
    spoken = records_findings(target, workplace_here().root)
    said = "".join(f"{wrapped(one.message, str(one.severity))}\n" for one in spoken)
    sys.stdout.write(faults_text(found.check) + suggest_text(found, asked, details=details) + said)
    outputs.write(files)
    if out is not None:
        sys.stdout.write(f"\nwritten to {out}\n")


def refuse_take(take: int, out: Path | None) -> None:
    """Refuse what no run can take, before anything is worked out. Raises InputError."""
    from fitcheck.odds.suggest import MOST_SHOWN

    if take > MOST_SHOWN:
        raise InputError(
            f"--take: read {shown(take)}; allowed: 1 to {MOST_SHOWN}, as no more are suggested; "
            "leave it out for the first"
        )
    if take > 1 and out is None:
        raise InputError(
            f"--take: read {take} without -o; allowed: with -o FILE, as it says which suggestion "
            "is written there; add -o or leave it out"
        )


def _rewritten(path: Path, own: Design, chosen: Design, tools: str | None) -> str:
    from fitcheck.odds.rewrite import rewritten
    from fitcheck.workspace.reading import Most, read_bounded

    text = read_bounded(path, Most.DESIGN).decode("utf-8").replace("\r\n", "\n")
    return rewritten(text, own, chosen, tools)
