"""What `fitcheck new` was given with options, and what it asks for on a terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import typer

from fitcheck.cli.new_files import Place
from fitcheck.design.described import EXAMPLE, Described, DescribedItems, described
from fitcheck.design.items import Items, known_items
from fitcheck.errors import InputError
from fitcheck.kinds.kind import Lay
from fitcheck.plain import one_line, shown
from fitcheck.proposals.plans import PLANS
from fitcheck.proposals.wish import Sits, Wish
from fitcheck.stock.profile_files import find_stock, find_tools
from fitcheck.styles import STYLES
from fitcheck.units import Unit
from fitcheck.workspace.names import EVERY_PART, of_each, put_right
from fitcheck.workspace.nearest import did_you_mean, nearest_names
from fitcheck.workspace.paths import search_roots
from fitcheck.workspace.size_texts import read_sizes

MOST_COUNT, MOST_TITLE = 500, 200
USUAL_STYLE, USUAL_STOCK, USUAL_TOOLS = "tray", "cover-80", "score-board-inch"
Room = tuple[float, float, float]


@dataclass(frozen=True)
class Given:
    """What options said; None and nothing where they were left out."""

    items: tuple[str, ...]
    describe: tuple[str, ...]
    room: str | None
    style: str | None
    stocks: Mapping[str, str]
    tools: str | None
    sits: str | None
    title: str | None = None
    lay: str | None = None

    @property
    def is_whole(self) -> bool:
        """Whether nothing has to be asked."""
        said = self.items or self.describe or self.room
        return bool(said and self.style and {"base", EVERY_PART} & self.stocks.keys())


def asked_wish(name: str, given: Given, place: Place) -> tuple[Wish, DescribedItems | None]:
    """What a maker wishes, and the items that were described on the way.

    Raises InputError for what cannot be, and for what is missing where nobody can be asked.
    """
    asks = not given.is_whole and _can_ask()
    if not (given.items or given.describe or given.room):
        given = _with_contents(given)
    room = None if given.room is None else _room(given)
    own = [_new(text, place) for text in given.describe]
    for k, one in enumerate(own):
        _refuse_known(one, own[:k])
    items = tuple(_item(text) for text in given.items)
    items = items or tuple((one.item.name, 1) for one in own)
    items, more = _all_known(items, own, place)
    own += more
    _refuse_idle(items, own)
    title = _title(given)
    sits = given.sits or (
        _asked("--sits", "How is it to sit (snug or slides)", "slides", _known_sits)
        if asks
        else Sits.SLIDES
    )
    _known_sits(sits)
    lay = _lay(given)
    which = f"Which box ({', '.join(PLANS)})"
    style = given.style or _asked("--style", which, USUAL_STYLE, _known_style)
    _known_style(style)
    stocks, roots = of_each(given.stocks, PLANS[style].parts), search_roots()
    if "base" not in stocks:
        which = "Which paper (`fitcheck list stocks`)"
        paper = _asked("--stock", which, USUAL_STOCK, lambda name: find_stock(_own(name), roots))
        stocks["base"] = _own(paper)
    tools = given.tools
    if tools is None and asks:
        which = "Which board (`fitcheck list tools`)"
        tools = _asked("--tools", which, USUAL_TOOLS, lambda name: find_tools(name, roots))
    board = find_tools(tools or USUAL_TOOLS, roots)
    wish = Wish(
        name=name,
        style=style,
        unit=board.grid_unit or Unit.MM,
        tools=board.name,
        stocks=stocks,
        items=items,
        sits=Sits(sits),
        room_mm=room,
        called=title,
        lay=lay,
    )
    _refuse_parts(wish)
    return wish, DescribedItems(place.items, tuple(own)) if own else None


def _own(paper: str) -> str:
    """The name of a base's paper, the part named before it or not."""
    return paper.removeprefix("base=")


def _known_sits(sits: str) -> None:
    if sits not in tuple(Sits):
        raise InputError(f"--sits: read {shown(sits)}; allowed: {', '.join(Sits)}; write one")


def _known_style(style: str) -> None:
    if style not in PLANS and style in STYLES.names:
        raise InputError(
            f"--style: {STYLES.called(style)} has no plan for proposals; allowed: "
            f"{', '.join(PLANS)}; write its design file by hand (`fitcheck schema` has its keys)"
        )
    if style not in PLANS:
        raise InputError(
            f"--style: read {shown(style)}; allowed: {', '.join(PLANS)}; "
            f"{did_you_mean(style, PLANS)}; correct it: `fitcheck list styles` tells about each"
        )


def _with_contents(given: Given) -> Given:
    """What goes in, asked for: items, or a size."""
    question = (
        "What goes in (ITEM or ITEM:COUNT; `fitcheck list items`), or how large is it "
        "(70 x 80 x 20 mm)"
    )
    answer = _asked("--item, --describe or --room", question)
    try:
        read_sizes(answer)
    except ValueError:
        return replace(given, items=tuple(answer.split()))
    return replace(given, room=answer)


def _room(given: Given) -> Room:
    """The room of --room. Raises InputError for another text, or beside items."""
    text = given.room or ""
    if given.items or given.describe:
        other = "--item" if given.items else "--describe"
        raise InputError(
            f"--room: read {shown(text)} beside {other}; allowed: either of them, as what goes in "
            "decides the size; leave one out"
        )
    try:
        width, length, height = read_sizes(text).mm
    except ValueError as error:
        what = "does not have three sizes" if "unpack" in str(error) else str(error)
        raise InputError(
            f"--room: read {shown(text)}, which {what}; allowed: width x length x height, such as "
            '"70 x 80 x 20 mm" or "2 3/4 x 3 x 3/4 in"; correct it'
        ) from None
    return width, length, height


def _lay(given: Given) -> Lay | None:
    """The lay of --lay, if it is given. Raises InputError for another text, or beside a room."""
    if given.lay is None:
        return None
    if given.lay not in tuple(Lay):
        raise InputError(f"--lay: read {shown(given.lay)}; allowed: {', '.join(Lay)}; write one")
    if given.room is not None:
        raise InputError(
            f"--lay: read {shown(given.lay)} beside --room; allowed: beside --item or --describe, "
            "as nothing lies in a mere room; leave it out"
        )
    return Lay(given.lay)


def _title(given: Given) -> str:
    """The words of --title on a line, nothing without it. Raises InputError for too many."""
    title = one_line(given.title or "")
    if len(title) > MOST_TITLE:
        raise InputError(f"--title: allowed: up to {MOST_TITLE} letters; shorten it")
    return title


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


def _known() -> Items:
    return known_items(search_roots())


def _new(text: str, place: Place) -> Described:
    return described(text, place.items, place.here, "--describe")


def _refuse_known(one: Described, before: list[Described]) -> None:
    """No item is described twice, and none that there is already."""
    name = one.item.name
    names = [*_known(), *(other.item.name for other in before)]
    if name.casefold() in {other.casefold() for other in names}:
        raise InputError(
            f"--describe: read {shown(name)}, and there is an item of that name already; allowed: "
            "a new name, as no item is changed; choose another, or leave --describe out to take "
            "the one that is known"
        )


def _refuse_idle(items: tuple[tuple[str, int], ...], own: list[Described]) -> None:
    """What is described goes in."""
    going = {name for name, _ in items}
    idle = next((one.item.name for one in own if one.item.name not in going), None)
    if idle is not None:
        raise InputError(
            f"--describe: read {shown(idle)}, and no --item puts it in; allowed: what goes in; add "
            f"--item {idle}, or leave it out"
        )


def _all_known(
    items: tuple[tuple[str, int], ...], own: list[Described], place: Place
) -> tuple[tuple[tuple[str, int], ...], list[Described]]:
    """The items, and those that nobody knew, described or corrected on the terminal.

    Raises InputError where nobody can be asked.
    """
    known, found, meant = _known(), list[Described](), dict[str, str]()
    names = {one.item.name for one in own}
    for name in dict.fromkeys(name for name, _ in items):
        if name in known or name in names:
            continue
        near = did_you_mean(name, [*known, *names])
        if not _can_ask():
            raise InputError(
                f"--item: no such item; read {shown(name)}; allowed: a known item (`fitcheck list "
                f"items`), {near}, or a new one; correct it, or describe it: --describe "
                f'"{EXAMPLE.replace("NAME", put_right(name) or "NAME")}"'
            )
        hint = f" ({near}: write that name if you mean it)" if nearest_names(name, known) else ""
        like = f"{EXAMPLE.partition('=')[2]}; cylinder 25 x 4 mm; sphere 16 mm; mesh FILE"
        question = f"There is no item {shown(name)} yet{hint}. What is it like ({like})"
        answer = _asked("--describe", question)
        if answer in known:
            meant[name] = answer
            continue
        new = _new(f"{name}={answer}", place)
        _refuse_known(new, [*own, *found])
        found.append(new)
    return tuple((meant.get(name, name), count) for name, count in items), found


def _refuse_parts(wish: Wish) -> None:
    """Papers are given to parts that the box has."""
    parts = PLANS[wish.style].parts
    strange = [part for part in wish.stocks if part not in parts]
    if strange:
        raise InputError(
            f"--stock: read {shown(strange[0])}, and a box of the style {wish.style} has no such "
            f"part; allowed: {', '.join(parts)}; correct it"
        )


def _can_ask() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


def _asked(
    option: str,
    question: str,
    usual: str | None = None,
    refuse: Callable[[str], object] = lambda answer: None,
) -> str:
    """An answer on the terminal; elsewhere what is missing is refused.

    What ``refuse`` raises InputError for is told, and asked again: no answer before it is lost.
    """
    if not _can_ask():
        raise InputError(
            f"{option}: missing; allowed: given as an option, as nobody can be asked here; add it"
        )
    while True:
        answer: str = typer.prompt(question, default=usual).strip()
        try:
            refuse(answer)
        except InputError as error:
            typer.echo(str(error))
        else:
            return answer
