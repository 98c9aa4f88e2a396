"""`fitcheck new`: a design from what goes in, which box, which paper and board."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from fitcheck.cli import completion
from fitcheck.cli.check import DOES_NOT_FIT
from fitcheck.cli.common_options import given_once, stock_overrides
from fitcheck.cli.odds_options import NoOddsOption, OddsOption, boxes_asked


def new_command(
    name: Annotated[
        str,
        typer.Argument(
            metavar="NAME", help="What the file is called: letters a to z, digits, -, _."
        ),
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
    describe: Annotated[
        list[str] | None,
        typer.Option(
            "--describe",
            metavar="ITEM=KIND SIZES",
            help='A new item, such as "soap=block 60 x 40 x 22 mm", cylinder, card, sphere, or '
            '"duck=mesh duck.stl"; hazards behind a comma. It is kept in models/items.toml.',
        ),
    ] = None,
    room: Annotated[
        list[str] | None,
        typer.Option(
            "--room",
            metavar="W x L x H",
            help='Instead of items: what is to be free inside, such as "70 x 80 x 20 mm" or '
            '"2 3/4 x 3 x 3/4 in".',
        ),
    ] = None,
    style: Annotated[
        list[str] | None,
        typer.Option(
            "--style",
            metavar="STYLE",
            help="Which box; what goes with it is put round it.",
            autocompletion=completion.proposed_styles,
        ),
    ] = None,
    stock: Annotated[
        list[str] | None,
        typer.Option(
            "--stock",
            metavar="[PART=]NAME",
            help="The paper of every part, or of one; those without one have the base's.",
            autocompletion=completion.papers_of_parts,
        ),
    ] = None,
    tools: Annotated[
        list[str] | None,
        typer.Option(
            "--tools",
            metavar="NAME",
            help="The board and trimmer.",
            autocompletion=completion.tools,
        ),
    ] = None,
    lay: Annotated[
        list[str] | None,
        typer.Option(
            "--lay",
            metavar="HOW",
            help="How what goes in lies: flat, edge, end (a jar stands) or any; as the box has it "
            "if left out.",
            autocompletion=completion.lays,
        ),
    ] = None,
    sits: Annotated[
        list[str] | None,
        typer.Option(
            "--sits",
            metavar="HOW",
            help="How what goes in sits, and the lid where most boxes come out right so: snug or "
            "slides; slides if left out.",
            autocompletion=completion.ways_to_sit,
        ),
    ] = None,
    title: Annotated[
        list[str] | None,
        typer.Option(
            "--title",
            metavar="WORDS",
            help="What the box is called, if not as its file.",
        ),
    ] = None,
    odds: OddsOption = None,
    no_odds: NoOddsOption = False,
) -> None:
    """Propose a whole design, write it as a commented file, and check it; never overwrites."""
    from fitcheck.cli.new_better import bettered
    from fitcheck.cli.new_files import place_of, write_proposal
    from fitcheck.cli.new_wish import Given, asked_wish
    from fitcheck.design.read import read_design
    from fitcheck.fit.check import check
    from fitcheck.outputs.check_text import check_text
    from fitcheck.outputs.new_text import lying_text
    from fitcheck.outputs.odds_text import odds_text
    from fitcheck.proposals.proposal import proposed
    from fitcheck.workspace.paths import search_roots

    boxes = boxes_asked(odds, no_odds, None)
    place = place_of(name)
    given = Given(
        tuple(item or ()),
        tuple(describe or ()),
        given_once("--room", room),
        given_once("--style", style),
        stock_overrides(stock),
        given_once("--tools", tools),
        given_once("--sits", sits),
        given_once("--title", title),
        given_once("--lay", lay),
    )
    wish, own = asked_wish(name, given, place)
    path = place.design(own)
    tables = None if own is None else own.tables
    found, sure = proposed(wish, search_roots(), tables), None
    if boxes is not None:
        found, sure = bettered(found, wish, search_roots(), tables, boxes)
    sys.stdout.write(write_proposal(path, wish, found.data, own))
    checked = check(read_design(path))
    sys.stdout.write(lying_text(wish, checked.design))
    sys.stdout.write(check_text(checked, sure) + ("" if sure is None else odds_text(sure)))
    if not checked.fits:
        raise typer.Exit(DOES_NOT_FIT)
