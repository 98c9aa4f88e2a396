"""What is filled in on the page becomes the words of a command, so that page and terminal agree.

Only what stands here can be asked for, and every value is bound to its option: nothing that is
typed becomes an option of its own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from fitcheck.errors import InputError
from fitcheck.plain import shown
from fitcheck.workspace.names import is_name
from fitcheck.workspace.paths import MODELS

MOST_LETTERS = 2_000
MOST_VALUES = 100
OUT = "--out={out}"
_MESH = re.compile(r"([^=]*=\s*mesh\s+)([^,]*?)(\s*(?:,.*)?)", re.DOTALL | re.IGNORECASE)
"""What a new item is described by: its name, the file, and behind a comma what is said besides."""
Given = Mapping[str, str | bool | list[str]]


@dataclass(frozen=True)
class Command:
    """One command: what stands before its options, its options, and whether it makes files."""

    words: str
    """What is shown while it runs."""
    names: tuple[str, ...] = ()
    """What it is given first, in order."""
    options: Mapping[str, str] = field(default_factory=dict)
    """By the names on the page."""
    flags: Mapping[str, str] = field(default_factory=dict)
    fixed: tuple[str, ...] = ()
    makes_files: bool = False


MAKING = {"paper": "--paper", "stock": "--stock"}
COMMANDS: Mapping[str, Command] = {
    "sheet": Command(
        "drawing the sheets and the steps",
        ("design",),
        {**MAKING, "format": "--format", "class": "--class", "bought": "--bought"},
        makes_files=True,
    ),
    "publish": Command(
        "writing the recipe",
        ("design",),
        {**MAKING, "for_stock": "--for-stock", "for_tools": "--for-tools", "odds": "--odds"},
        {"film": "--film", "glb": "--glb"},
        makes_files=True,
    ),
    "dummy": Command(
        "modelling the stand-ins",
        ("design",),
        {"stock": "--stock", "only": "--only", "printer": "--printer", "true": "--true",
         "wall": "--wall", "bed": "--bed"},
        {"step": "--step"},
        makes_files=True,
    ),
    "report": Command(
        "writing the report",
        ("design",),
        {"stock": "--stock"},
        fixed=("--report={out}/report.html", "--picture={out}"),
        makes_files=True,
    ),
    "compare": Command("comparing", ("design", "other")),
    "new": Command(
        "proposing a box",
        ("name",),
        {"item": "--item", "describe": "--describe", "room": "--room", "style": "--style",
         "stock": "--stock", "tools": "--tools", "sits": "--sits", "title": "--title",
         "lay": "--lay"},
    ),
    "coupon": Command(
        "drawing the coupon",
        ("name",),
        {"tools": "--tools", "paper": "--paper", "printer": "--printer"},
        {"hand": "--hand"},
        makes_files=True,
    ),
    "gauge": Command(
        "modelling the gauges",
        ("name",),
        {"size": "--size", "design": "--design", "want": "--want"},
        makes_files=True,
    ),
    "learn": Command(
        "learning from the readings",
        ("name", "readings"),
        {"tools": "--tools", "joint": "--joint", "setback": "--setback", "confirm": "--confirm",
         "design": "--design", "set_aside": "--set-aside", "take_back": "--take-back"},
        {"new": "--new", "rebuild": "--rebuild"},
    ),
    "forecast": Command(
        "freezing the forecast",
        ("design",),
        {"stock": "--stock", "humidity": "--humidity"},
        fixed=("--forecast",),
    ),
    "record": Command(
        "recording the box",
        ("design",),
        {"outcome": "--outcome", "play": "--play", "sink": "--sink", "before": "--before",
         "contents": "--contents", "fitted": "--fitted", "split": "--split", "right": "--right",
         "against": "--against", "by": "--by", "date": "--date", "note": "--note",
         "stock": "--stock"},
    ),
    "turn": Command(
        "setting a box aside",
        ("design",),
        {"set_aside": "--set-aside", "take_back": "--take-back"},
    ),
}  # fmt: skip
PROGRAM_WORDS = {"report": "check", "forecast": "record", "turn": "record"}
"""The commands that are called otherwise in a terminal."""


def arguments_of(name: str, given: Given) -> list[str]:
    """The words of a command. Raises InputError for what it does not take."""
    command = COMMANDS.get(name)
    if command is None:
        raise InputError(f"no such command; read {shown(name)}; load the page anew")
    known = {*command.names, *command.options, *command.flags}
    strange = [key for key in given if key not in known]
    if strange:
        raise InputError(f"{name}: read {shown(strange[0])}, which it does not take; load it anew")
    words = [PROGRAM_WORDS.get(name, name), *command.fixed]
    if command.makes_files and not command.fixed:
        words.append(OUT)
    for key, option in command.options.items():
        texts = _texts(key, given.get(key, ""))
        words += [f"{option}={_near(text) if key == 'describe' else text}" for text in texts]
    for key in command.flags:
        if not isinstance(given.get(key, False), bool):
            raise InputError(f"{key}: read {shown(given[key])}; allowed: yes or no; load it anew")
    words += [option for key, option in command.flags.items() if given.get(key) is True]
    names = [text for key in command.names for text in _texts(key, given.get(key, ""))]
    for key in ("design", "other"):
        for text in _texts(key, given.get(key, "")):
            if not is_name(text):
                raise InputError(f"{key}: read {shown(text)}; allowed: a design on the shelf")
    return [*words, "--", *names] if names else words


def _near(text: str) -> str:
    """A new item's description; its mesh lies in models, where the page puts it.

    Raises InputError for one that lies elsewhere.
    """
    found = _MESH.fullmatch(text)
    if found is None:
        return text
    if not is_name(found[2]) or re.search(r"[/\\]", found[3]):
        raise InputError(
            f"describe: read {shown(found[2])}; allowed: the name of a file in models; choose the "
            "file on the page, which puts it there"
        )
    return f"{found[1]}{MODELS}/{found[2]}{found[3]}"


def _texts(key: str, value: str | bool | Sequence[str]) -> list[str]:
    """What was filled in; blanks are left out. Raises InputError for what no option can take."""
    if isinstance(value, bool):
        raise InputError(f"{key}: read {shown(value)}; allowed: a text")
    texts = [value] if isinstance(value, str) else list(value)
    if len(texts) > MOST_VALUES:
        raise InputError(f"{key}: read {len(texts)} values; allowed: up to {MOST_VALUES}")
    for text in texts:
        if len(text) > MOST_LETTERS or "\0" in text or "{out}" in text:
            raise InputError(
                f"{key}: read {shown(text)}; allowed: up to {MOST_LETTERS} letters; shorten it"
            )
    return [text.strip() for text in texts if text.strip()]
