"""What a shell offers when a word is begun: designs, papers, tools, items, styles and words."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable
from itertools import product

from fitcheck.errors import FitcheckError

Offer = Callable[[str], list[str]]


def offered(names: Callable[[], Iterable[str]]) -> Offer:
    """Offers those names that begin as typed; nothing where the names cannot be read."""

    @functools.wraps(names)
    def offer(incomplete: str) -> list[str]:
        try:
            return sorted(name for name in names() if name.startswith(incomplete))
        except (FitcheckError, OSError):
            return []

    offer.__annotations__ = {"incomplete": str, "return": list[str]}
    del offer.__wrapped__
    return offer


@offered
def designs() -> Iterable[str]:
    """The designs of the workspaces, by name."""
    from fitcheck.workspace.designs import known_designs

    return known_designs()


@offered
def stocks() -> Iterable[str]:
    """The papers."""
    return _shelf("stocks")


@offered
def tools() -> Iterable[str]:
    """The tool profiles."""
    return _shelf("tools")


@offered
def printers() -> Iterable[str]:
    """The printers."""
    return _shelf("printers")


@offered
def profiles() -> Iterable[str]:
    """All that can be learnt."""
    return [*_shelf("stocks"), *_shelf("tools"), *_shelf("printers")]


@offered
def papers_of_parts() -> Iterable[str]:
    """NAME for every paper, and PART=NAME for every part and paper."""
    from fitcheck.styles.places import PLACES

    parts = (place.name for place in PLACES)
    papers = list(_shelf("stocks"))
    return [*papers, *(f"{part}={name}" for part, name in product(parts, papers))]


@offered
def items() -> Iterable[str]:
    """What can go in."""
    from fitcheck.design.items import known_items
    from fitcheck.workspace.paths import search_roots

    return known_items(search_roots())


@offered
def proposed_styles() -> Iterable[str]:
    """The boxes that a design can begin with."""
    from fitcheck.proposals.plans import PLANS

    return PLANS


@offered
def lays() -> Iterable[str]:
    """How what goes in may lie."""
    from fitcheck.kinds.kind import Lay

    return [str(lay) for lay in Lay]


@offered
def ways_to_sit() -> Iterable[str]:
    """How what goes in and the lid may sit."""
    from fitcheck.proposals.wish import Sits

    return [str(way) for way in Sits]


@offered
def outcomes() -> Iterable[str]:
    """What a lid did on a box that was made."""
    from fitcheck.learn.made import BoxOutcome

    return [str(outcome) for outcome in BoxOutcome]


@offered
def words() -> Iterable[str]:
    """The words that are explained."""
    from fitcheck.outputs.words import WORDS

    return [word.replace(" ", "-") for word in WORDS]


def _shelf(name: str) -> list[str]:
    from fitcheck.workspace.names import Shelf, names_on
    from fitcheck.workspace.paths import search_roots

    return list(names_on(Shelf(name), search_roots()))


@offered
def chapters() -> Iterable[str]:
    """The chapters of the guide."""
    from fitcheck.outputs import guide

    return guide.chapters()
