"""A design file becomes a ``Design``, or one line for everything that is wrong with it."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, Field, create_model

from fitcheck.design.desk import Desk
from fitcheck.design.files import DESIGN_FILE, MOST_CONTENTS, ContentFile, PartTable, part_model
from fitcheck.design.fractions import odd_fractions
from fitcheck.design.items import ItemTables, find_item, known_items
from fitcheck.design.looks import looking
from fitcheck.design.model import Bands, Content, Design, Item, Said
from fitcheck.design.papers import papers_instead
from fitcheck.design.rules import (
    KEYS,
    geometry_problems,
    key_problems,
    of_other_styles,
    pieces_problem,
    same_sheet_problem,
    together_problems,
)
from fitcheck.design.typed import typed_numbers
from fitcheck.errors import InputError
from fitcheck.plain import composed, one_line
from fitcheck.stock.paper import Stock
from fitcheck.stock.profile_files import find_stock, find_tools
from fitcheck.stock.tools import USUAL_TOOLS, Tools
from fitcheck.styles import AnyStyle, style_of, styles_at
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.styles.places import PLACES, Place
from fitcheck.units import Unit
from fitcheck.workspace.explain import line
from fitcheck.workspace.lengths import FILE_UNITS
from fitcheck.workspace.paths import search_roots
from fitcheck.workspace.strict import salvage, validate
from fitcheck.workspace.toml import read_toml

DEFAULT_TOOLS = {Unit.IN: "score-board-inch", Unit.MM: USUAL_TOOLS, Unit.CM: USUAL_TOOLS}


def read_design(
    path: Path,
    *,
    stocks: Mapping[str, str] | None = None,
    roots: Sequence[Path] | None = None,
) -> Design:
    """Read a design file; ``stocks`` puts another stock (by name) in place of a part's own.

    Names are looked up in ``roots`` (default: the workspaces of the file and of the current
    folder, then the shipped one). Raises ``InputError`` with a line for each problem.
    """
    data = read_toml(path)
    places = search_roots(path) if roots is None else roots
    return design_from(data, path, places, stocks or {}, name=path.stem, path=path)


def design_from(
    data: dict[str, Any],
    called: object,
    roots: Sequence[Path],
    stocks: Mapping[str, str],
    *,
    name: str,
    path: Path | None = None,
    own: ItemTables | None = None,
) -> Design:
    """The design that the tables of a file say; ``called`` is what its problems name.

    ``own`` are items that stand in no file yet.
    Raises ``InputError`` with a line for each problem.
    """
    known_unit = data.get("unit") in FILE_UNITS
    unit = Unit(data["unit"]) if known_unit else Unit.MM
    desk = Desk(called, data, unit, known_unit, roots)
    file = None
    with desk.gather():
        file = validate(DESIGN_FILE, data, called, context={"unit": unit}, owners=_tables_with)
    overrides = papers_instead(desk, stocks)
    tools = _tools(desk)
    joint = tools.joint_mm if tools is not None else 0.0
    if file is not None and file.joint is not None:
        joint = file.joint
    parts: list[PartSpec | None] = []
    for place in PLACES:
        if place.name in data:
            parts += _parts(desk, place, overrides, joint, parts[0] if parts else None)
    for key, *words in together_problems(data):
        desk.lines.append(line(called, key, *words))
    contents = _contents(desk, own)
    parts = [
        None if part is None else _around(desk, part, parts[0], contents, joint) for part in parts
    ]
    crowd = pieces_problem(contents)
    if crowd is not None:
        key, *words = crowd
        desk.lines.append(line(called, key, *words))
    if file is not None and file.bands.snug >= file.bands.loose:
        read = f"read snug {file.bands.snug:g} mm and loose {file.bands.loose:g} mm"
        desk.lines.append(
            line(called, "bands", "out of order", read, "allowed: snug below loose", "correct them")
        )
    sound = [part for part in parts if part is not None]
    if desk.lines or file is None or tools is None or len(sound) < len(parts):
        raise InputError(desk.lines)
    return Design(
        name=composed(one_line(name)),
        title=file.title,
        unit=unit,
        tools=tools,
        joint_mm=joint,
        joint_u_mm=tools.joint_u_mm,
        bands=Bands(file.bands.tight, file.bands.snug, file.bands.loose),
        want=frozenset(file.want),
        parts=tuple(sound),
        contents=contents,
        path=path,
        said=Said(file.by, file.licence, file.photo),
        want_sink=file.want_sink,
        typed=typed_numbers(data, unit),
        fractions=odd_fractions(data, unit),
    )


def _around(
    desk: Desk,
    part: PartSpec,
    base: PartSpec | None,
    contents: Sequence[Content],
    joint_mm: float,
) -> PartSpec:
    """A part with what it takes from the contents; what is wrong with that goes to the desk."""
    plans = {content.item.name: content.item.plan_mm for content in contents}
    problems = list(part.strangers(plans))
    around = part.around(plans)
    if around != part and desk.known_unit:
        problems += geometry_problems(around, joint_mm, desk.unit, base)
    desk.lines.extend(line(desk.path, key, *words) for key, *words in problems)
    return around


def _tools(desk: Desk) -> Tools | None:
    name = desk.data.get("tools", DEFAULT_TOOLS[desk.unit])
    if isinstance(name, str) and name:
        with desk.gather("tools" if "tools" in desk.data else "unit"):
            return find_tools(name, desk.roots)
    return None


def _stock(desk: Desk, part: str, table: dict[str, Any], over: dict[str, str]) -> Stock | None:
    name = over.get(part, table.get("stock"))
    if not isinstance(name, str) or not name:
        return None
    try:
        return looking(find_stock(name, desk.roots), table)
    except InputError as error:
        given = f"--stock {part}={name}" if part in over else f"{desk.path}: {part}.stock"
        desk.lines.extend(f"{given}: {text}" for text in error.lines)
        return None


def _tables_with(key: str) -> list[str]:
    """The tables of parts that know a key."""
    return [
        place.name
        for place in PLACES
        if (place.keys is not None and key in place.keys.model_fields)
        or any(key in own.file.model_fields for own in styles_at(place.name))
    ]


def _parts(
    desk: Desk, place: Place, over: dict[str, str], joint_mm: float, base: PartSpec | None
) -> Sequence[PartSpec | None]:
    """The parts of a table, which may be several; None for one that cannot be read."""
    with desk.gather(place.name):
        found = _part(desk, place, over, joint_mm, base)
        return [None] if found is None else style_of(found.style).split(found)
    return [None]


def _part(
    desk: Desk, place: Place, over: dict[str, str], joint_mm: float, base: PartSpec | None
) -> PartSpec | None:
    """A part as far as it can be read; its problems go to the desk."""
    part = place.name
    table = desk.table(part)
    if table is None:
        return None
    stock = _stock(desk, part, table, over)
    style = _style(desk, place, table)
    if style is None:
        return None
    strangers = of_other_styles(place, style, table)
    problems = list(strangers.values())
    problems += key_problems(place, style, table, has_content=bool(desk.data.get("content")))
    unclear = list(style.key_problems(part, table))
    problems += unclear
    own = {key: value for key, value in table.items() if key not in strangers}
    model, context = part_model(place, style), {"unit": desk.unit}
    with desk.gather():
        validate(model, own, desk.path, prefix=(part,), context=context, owners=_tables_with)
    file = salvage(model, own, context=context)
    spec = None
    if file is not None and stock is not None and not unclear:
        spec = _spec(place, style, file, stock, base)
    shift = getattr(file, "same_sheet", None)
    if shift is not None and base is not None:
        wrong = same_sheet_problem(shift, base, desk.unit)
        problems.extend([wrong] if wrong else [])
        spec = None if wrong else spec
    if spec is not None and desk.known_unit:
        problems.extend(geometry_problems(spec, joint_mm, desk.unit, base))
    desk.lines.extend(line(desk.path, key, *words) for key, *words in problems)
    return spec


def _style(desk: Desk, place: Place, table: dict[str, Any]) -> AnyStyle | None:
    """The style of a table; one that is not known at its place is a problem."""
    named = table.get("style")
    try:
        style = style_of(named) if isinstance(named, str) else None
    except KeyError:
        style = None
    except InputError as error:
        key = f"{place.name}.style"
        desk.lines.extend(line(desk.path, key, text) for text in error.lines)
        return None
    if style is not None and place.name in style.places:
        return style
    names = [style.name for style in styles_at(place.name)]
    told = Field(description=f"a style: {', '.join(names)}.")
    fields: dict[str, Any] = {"style": (Literal[tuple(names)], told)}
    choice = create_model("Style", __base__=PartTable, **fields)
    with desk.gather():
        validate(choice, table, desk.path, prefix=(place.name,))
    return None


def _spec(
    place: Place, style: AnyStyle, file: BaseModel, stock: Stock, base: PartSpec | None
) -> PartSpec | None:
    sizes = {by: getattr(file, KEYS[by]) for by in (*style.sizes, *place.sizes)}
    given = [(by, size) for by, size in sizes.items() if size is not None]
    if len(given) != 1:
        return None
    size_by, size = given[0]
    width, length = size if isinstance(size, Sequence) else (size, size)
    depth = getattr(file, "depth", None)
    follows = size_by is SizeBy.SAME_SHEET or "depth" not in style.file.model_fields
    if base is None if follows else depth is None:
        return None
    common = {
        "name": place.name,
        "style": style.name,
        "stock": stock,
        "size_by": size_by,
        "size_mm": (width, length),
        "depth_mm": depth or 0.0,
        "grain": getattr(file, "grain", None),
        "decoration_g": getattr(file, "decoration_g", 0.0),
    }
    spec: PartSpec = style.spec(common, file)
    return spec if base is None else spec.beside(base)


def _contents(desk: Desk, own: ItemTables | None) -> tuple[Content, ...]:
    tables = desk.data.get("content")
    if not isinstance(tables, list) or not 0 < len(tables) <= MOST_CONTENTS:
        return ()
    known = known_items(desk.roots, own)
    found = []
    for index, table in enumerate(tables, start=1):
        name = table.get("item") if isinstance(table, dict) else None
        if not isinstance(name, str) or not name:
            continue
        with desk.gather(f"content[{index}].item"):
            found.append(_content(find_item(name, known), table))
    return tuple(content for content in found if content is not None)


def _content(item: Item, table: dict[str, Any]) -> Content | None:
    file = salvage(ContentFile, table)
    return None if file is None else Content(item, file.count, file.lay, vary=file.vary)
