"""The box styles that there are, and where a part of each may stand."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from importlib import import_module
from typing import Any, TypeVar, get_args

from fitcheck.pattern.pattern import Pattern
from fitcheck.plain import shown
from fitcheck.styles.guarded import Guarded
from fitcheck.styles.keys import PartFile
from fitcheck.styles.mates import Turned
from fitcheck.styles.part import PartSpec, Recipe, SizeBy
from fitcheck.styles.places import PLACES, place_of
from fitcheck.styles.style import Style
from fitcheck.workspace.outside import Outside
from fitcheck.workspace.registers import Register

AnyStyle = Style[Any, Any]
T = TypeVar("T")
OURS = {
    "tray": "tray.Tray",
    "shadow-box": "shadow_box.ShadowBox",
    "double-wall": "double_wall.DoubleWall",
    "hinged-tray": "hinged_tray.HingedTray",
    "tuck-end": "tuck_end.TuckEnd",
    "sleeve": "sleeve.Sleeve",
    "collar": "collar.Collar",
    "dividers": "dividers.Dividers",
    "mat": "insert.Mat",
    "platform": "insert.Platform",
}
"""Where each of ours stands in this package; none is loaded before it is asked for."""


def _loaded(place: str) -> AnyStyle:
    module, name = place.split(".")
    found: AnyStyle = getattr(import_module(f"fitcheck.styles.{module}"), name)()
    return found


def _fault(style: Any) -> str:
    """What keeps a value from being a style."""
    if not isinstance(style, Style):
        return f"read a value of the type {type(style).__name__}; allowed: an instance of a Style"
    needed = ("name", "summary", "places", "file", "sizes")
    lacking = [key for key in needed if not hasattr(style, key)]
    if lacking:
        return f"has no {' and no '.join(lacking)}; allowed: a style with all that Style names"
    known = [place.name for place in PLACES]
    strange = [place for place in style.places if place not in known]
    if strange or not style.places:
        read = ", ".join(map(shown, strange)) or "none"
        return f"read the places {read}; allowed: any of {', '.join(known)}"
    odd = [size for size in style.sizes if size not in list(SizeBy)]
    if odd:
        return f"read the sizes {odd}; allowed: any of {', '.join(SizeBy)}"
    return _fault_of_file(style)


def _fault_of_file(style: AnyStyle) -> str:
    """The same of the model of its table."""
    if not (isinstance(style.file, type) and issubclass(style.file, PartFile)):
        return "read a file that is no model of a part; allowed: a PartFile of its own"
    if get_args(style.file.model_fields["style"].annotation) != (style.name,):
        return f"read a file in which the key style is open; allowed: Literal[{style.name!r}]"
    for name in style.places:
        taken = _keys_of(name)
        clash = [key for key in style.file.model_fields if key in taken]
        if clash:
            return (
                f"read the key {', '.join(clash)}, which every [{name}] has in a sense of its own; "
                "allowed: another name for it"
            )
    return ""


def _keys_of(place: str) -> tuple[str, ...]:
    """The keys that a place adds and a style may not give another sense; a depth may be both's."""
    keys = place_of(place).keys
    return () if keys is None else tuple(key for key in keys.model_fields if key != "depth")


STYLES: Register[AnyStyle] = Register(
    "style",
    "fitcheck.styles",
    {name: partial(_loaded, at) for name, at in OURS.items()},
    _fault,
    Guarded,
)
"""Another package names its styles in that group of entry points."""


def styles_at(place: str) -> Iterator[AnyStyle]:
    """The styles that may stand at a place and can be used; other packages are asked last."""
    return (style for style in STYLES.sound() if place in style.places)


def style_of(name: str) -> AnyStyle:
    """The style of that name. Raises KeyError where there is none, InputError for a broken one."""
    return STYLES.get(name)


def draw(recipe: Recipe) -> Pattern:
    """The pattern of a recipe, by the style that it names.

    Raises InputError where a style of another package fails at it.
    """
    pattern: Pattern = style_of(recipe.style).draw(recipe)
    return pattern


def of_its_style(recipe: Recipe, doing: str, make: Callable[[], T]) -> T:
    """What is made of a recipe's pattern; where that fails, its style is told to, if not ours.

    Raises InputError then.
    """
    if recipe.style in OURS:
        return make()
    return Outside(STYLES.called(recipe.style)).call(doing, make)


def check_mates(spec: PartSpec, patterns: Mapping[str, Pattern]) -> None:
    """Look at the mates of a part of another package's style, given every part's pattern by name.

    Raises InputError where one names a part or a panel that there is not.
    """
    if spec.style in OURS:
        return
    doing = f"say how the {spec.name} goes with other parts"
    outside = Outside(STYLES.called(spec.style))
    for mate in style_of(spec.style).mates(spec):
        for name in (*mate.movers, mate.holder):
            if name not in patterns:
                outside.fails(doing, f"read the part {shown(name)}; allowed: {', '.join(patterns)}")
        panels = [panel.name for panel in patterns[mate.holder].panels]
        if isinstance(mate, Turned) and mate.panel not in panels[1:]:
            allowed = f"allowed: {', '.join(panels[1:])}"
            outside.fails(doing, f"read the panel {shown(mate.panel)} to turn; {allowed}")
