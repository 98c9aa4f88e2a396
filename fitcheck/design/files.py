"""What the file of a design may say, key by key; rules between keys stand in rules.py."""

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    WithJsonSchema,
    create_model,
)
from pydantic_core import PydanticKnownError

from fitcheck.design.model import Lay, LidVerdict, Vary
from fitcheck.styles import AnyStyle
from fitcheck.styles.keys import Name, length_schema
from fitcheck.styles.places import PLACES, Place
from fitcheck.workspace.lengths import FileUnit, length_reader, problem
from fitcheck.workspace.strict import STRICT, FormatNumber, Title

MOST_PIECES = 500
"""Of one content, and of all contents together."""
MOST_CONTENTS = 100
"""Tables of contents."""
MOST_JOINT_MM = 5.0
MOST_BAND_MM = 50.0

WANTED = tuple(str(verdict) for verdict in LidVerdict if verdict is not LidVerdict.BINDS)


def _wanted(value: object) -> object:
    if value == LidVerdict.BINDS:
        raise problem("read 'binds', which is never right", " | ".join(WANTED), "remove it")
    if not isinstance(value, str) or value not in WANTED:
        raise PydanticKnownError("literal_error", {"expected": ", ".join(map(repr, WANTED))})
    return value


WantName = Annotated[
    LidVerdict,
    Field(strict=False),
    BeforeValidator(_wanted),
    WithJsonSchema({"type": "string", "enum": list(WANTED)}),
]
LayName = Annotated[Lay, Field(strict=False)]
VaryName = Annotated[Vary, Field(strict=False)]


MOST_SINK_S = 600.0


def _seconds(value: object) -> tuple[float, float]:
    """Reads "4 s to 10 s"."""
    allowed = f'a text "4 s to 10 s": from 0 to {MOST_SINK_S:g} s, the shorter time first'
    words = value.replace("-", " to ").replace("s", " s ").split() if isinstance(value, str) else []
    try:
        low, to, high = (word for word in words if word != "s")
        if to != "to" or words[-1] != "s":
            raise ValueError
        first, last = (float(text.replace(",", ".")) for text in (low, high))
    except ValueError:
        raise problem("is no span of seconds", allowed, "write both times") from None
    if not 0.0 <= first < last <= MOST_SINK_S:
        raise problem("is out of range", allowed, "write the shorter time first")
    return first, last


Seconds = Annotated[
    tuple[float, float], BeforeValidator(_seconds), WithJsonSchema({"type": "string"})
]
Thin = Annotated[float, BeforeValidator(length_reader(0, MOST_JOINT_MM)), length_schema()]
Band = Annotated[float, BeforeValidator(length_reader(0, MOST_BAND_MM)), length_schema()]


class BandsFile(BaseModel):
    """Where the verdict on a sliding lid changes, by its smaller play."""

    model_config = STRICT
    tight: Band = Field(
        default=0.15,
        description="A lid that presses by more than this binds, one that presses by less is "
        f"tight, a length from 0 to {MOST_BAND_MM:g} mm.",
        json_schema_extra={"default": "0.15 mm"},
    )
    snug: Band = Field(
        default=0.20,
        description=f"Play below this is snug, a length from 0 to {MOST_BAND_MM:g} mm.",
        json_schema_extra={"default": "0.20 mm"},
    )
    loose: Band = Field(
        default=1.50,
        description=f"Play from this on is loose, a length from 0 to {MOST_BAND_MM:g} mm.",
        json_schema_extra={"default": "1.50 mm"},
    )


class ContentFile(BaseModel):
    """One table [[content]]."""

    model_config = STRICT
    item: Name = Field(description="The name of an item in models/items.toml, a text.")
    count: Annotated[int, Field(ge=1, le=MOST_PIECES)] = Field(
        default=1,
        description=f"How many of it, a whole number from 1 to {MOST_PIECES}; in each "
        "compartment where the box has dividers.",
    )
    lay: LayName = Field(default=Lay.ANY, description="How it lies: flat, edge, end or any.")
    vary: VaryName = Field(
        default=Vary.EACH,
        description="How its pieces differ from the item's sizes: each for itself, or together "
        "(one cut batch, one mould); only the odds use it.",
    )


class DesignKeys(BaseModel):
    """What a design says beside its parts."""

    model_config = STRICT
    format: FormatNumber = Field(description="The version of this file's form, 1.")
    title: Title = Field(description="What the box is called, a text.")
    by: Title | None = Field(
        default=None, description="Whose design it is, as it stands on a published recipe."
    )
    licence: Title | None = Field(
        default=None, description="What others may do with a published recipe, a line."
    )
    photo: Name | None = Field(
        default=None,
        description="A photograph of the made box for a published recipe, a PNG or JPEG file "
        "beside this one.",
    )
    unit: FileUnit = Field(
        description="The unit of bare numbers and texts in this file: in, mm or cm. What is read "
        "in cm is told in mm, as a rule's marks are."
    )
    tools: Name | None = Field(
        default=None,
        description="The name of a file in calibration/tools; default score-board-inch for inches, "
        "score-board-metric otherwise.",
    )
    joint: Thin | None = Field(
        default=None,
        description=f"Thickness of the adhesive, a length from 0 to {MOST_JOINT_MM:g} mm; default "
        "from the tools.",
    )
    bands: BandsFile = Field(
        default=BandsFile(),
        description="Where the lid's verdict changes, a table {tight, snug, loose}.",
        json_schema_extra={"default": {"tight": "0.15 mm", "snug": "0.20 mm", "loose": "1.50 mm"}},
    )
    want: Annotated[list[WantName], Field(min_length=1, max_length=len(WANTED))] = Field(
        default=[LidVerdict.SNUG, LidVerdict.SLIDES],
        description="Which verdicts on the lid are right: any of tight, snug, slides, loose.",
        json_schema_extra={"default": ["snug", "slides"]},
    )
    want_sink: Seconds | None = Field(
        default=None,
        description='How long the lid is to sink by itself, a text such as "4 s to 10 s".',
    )
    content: Annotated[list[ContentFile], Field(min_length=1, max_length=MOST_CONTENTS)] | None = (
        Field(default=None, description=f"What goes in, up to {MOST_CONTENTS} tables [[content]].")
    )


class PartTable(BaseModel):
    """A part's table, whose keys are those of its style."""

    model_config = ConfigDict(extra="allow")


def part_model(place: Place, style: AnyStyle) -> type[BaseModel]:
    """The model of a table at a place in a style: the keys of both."""
    known = _MODELS.get((place.name, style.name))
    if known is None:
        bases = (style.file,) if place.keys is None else (place.keys, style.file)
        title = f"{place.name.title()}{style.name.title().replace('-', '')}"
        doc = f'The table [{place.name}] with style = "{style.name}".'
        known = create_model(title, __base__=bases, __doc__=doc)
        _MODELS[place.name, style.name] = known
    return known


_MODELS: dict[tuple[str, str], type[BaseModel]] = {}


def design_file(tables: Mapping[str, Any]) -> type[DesignKeys]:
    """The model of a whole file whose tables are of these types, by their places."""
    fields: dict[str, Any] = {}
    for place in PLACES:
        kind = tables[place.name]
        needed = place is PLACES[0]
        told = Field(description=place.words) if needed else Field(None, description=place.words)
        fields[place.name] = (kind if needed else kind | None, told)
    doc = "The design of a folded cardstock box for fitcheck."
    return create_model("DesignFile", __base__=DesignKeys, __doc__=doc, **fields)


DESIGN_FILE = design_file({place.name: PartTable for place in PLACES})
"""A whole file, its parts' tables left to their styles."""
