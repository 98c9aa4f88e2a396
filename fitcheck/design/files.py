"""What the file of a design may say, key by key; rules between keys stand in rules.py."""

from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    Field,
    ValidationInfo,
    WithJsonSchema,
)

from fitcheck.design.model import Axis, Lay, LidVerdict, Vary
from fitcheck.workspace.lengths import (
    LARGEST_MM,
    LENGTH_SCHEMA,
    PAIR_SCHEMA,
    FileUnit,
    Length,
    length_reader,
    pair_reader,
    problem,
)
from fitcheck.workspace.strict import STRICT, FormatNumber, Title

SHADOW_BOX = "shadow-box"
TRAY = "tray"
LEVEL = "level"
MOST_PIECES = 500
"""Of one content, and of all contents together."""
MOST_CONTENTS = 100
"""Tables of contents."""
MOST_SETBACK_MM = 50.0
"""Of a tab's score, and of scores moved outward on the same sheet."""
MOST_JOINT_MM = 5.0
MOST_BAND_MM = 50.0
LEAST_OVERSIZE_MM = -50.0
"""A lid as much smaller than its base goes on no box."""

_any_length = length_reader(0, LARGEST_MM, above=True)


def _inner_wall(value: Any, info: ValidationInfo) -> float | None:
    if value == LEVEL:
        return None
    try:
        return _any_length(value, info)
    except ValueError as error:
        message = str(getattr(error, "context", {}).get("problem", error))
        allowed = f'a length above 0 mm up to {LARGEST_MM:g} mm, or "{LEVEL}"'
        raise problem(message, allowed, f'write a length or "{LEVEL}"') from None


def _schema(**more: Any) -> WithJsonSchema:
    return WithJsonSchema({**LENGTH_SCHEMA, **more})


Name = Annotated[str, Field(min_length=1, max_length=200)]
Sides = Annotated[list[Length], Field(min_length=2, max_length=2)]
AxisName = Annotated[Axis, Field(strict=False)]
WANTED = tuple(str(verdict) for verdict in LidVerdict if verdict is not LidVerdict.BINDS)


def _wanted(value: LidVerdict) -> LidVerdict:
    if value is LidVerdict.BINDS:
        raise problem("read 'binds', which is never right", " | ".join(WANTED), "remove it")
    return value


WantName = Annotated[
    LidVerdict,
    Field(strict=False),
    AfterValidator(_wanted),
    WithJsonSchema({"type": "string", "enum": list(WANTED)}),
]
LayName = Annotated[Lay, Field(strict=False)]
VaryName = Annotated[Vary, Field(strict=False)]
Slack = Annotated[
    tuple[float, float], BeforeValidator(pair_reader(_any_length)), WithJsonSchema(PAIR_SCHEMA)
]
Oversize = Annotated[
    tuple[float, float],
    BeforeValidator(pair_reader(length_reader(LEAST_OVERSIZE_MM, LARGEST_MM))),
    WithJsonSchema(PAIR_SCHEMA),
]
Setback = Annotated[float, BeforeValidator(length_reader(0, MOST_SETBACK_MM)), _schema()]
Thin = Annotated[float, BeforeValidator(length_reader(0, MOST_JOINT_MM)), _schema()]
Band = Annotated[float, BeforeValidator(length_reader(0, MOST_BAND_MM)), _schema()]
InnerWall = Annotated[float | None, BeforeValidator(_inner_wall), _schema()]


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


class PartFile(BaseModel):
    """The keys that every part has."""

    model_config = STRICT
    style: Literal["shadow-box", "tray"] = Field(description='The style: "shadow-box" or "tray".')
    stock: Name = Field(description="The name of a paper in calibration/stocks; no default.")
    floor: Sides | None = Field(default=None, description="A list [width, length], score to score.")
    inside: Sides | None = Field(
        default=None,
        description="A list [width, length] between the inside faces of the walls; "
        "in a shadow box the same as opening.",
    )
    opening: Sides | None = Field(
        default=None,
        description="Shadow box only: a list [width, length] between the inner walls.",
    )
    depth: Length = Field(
        description="The outer wall, a length: score to score in a shadow box, score to cut edge "
        "in a tray."
    )
    frame: Length | None = Field(
        default=None, description="Shadow box only: the frame's width, a length score to score."
    )
    inner_wall: InnerWall = Field(
        default=None,
        description='Shadow box only: a length, or "level" (depth less one caliper and one joint), '
        "the default.",
    )
    flap: Length | None = Field(
        default=None, description="Shadow box only: the flap glued on the floor, a length."
    )
    tabs: AxisName | None = Field(
        default=None,
        description="The two walls that carry the tabs: those along the width or the length; "
        "default: the longer side of a tray, the shorter of a shadow box.",
    )
    tab_setback: Setback = Field(
        default=0.0,
        description="How far a tab's score is moved inward, a length from 0 to "
        f"{MOST_SETBACK_MM:g} mm.",
    )
    grain: AxisName | None = Field(
        default=None, description="The direction of the paper's grain: width or length."
    )


class BaseFile(PartFile):
    """The table [base]."""

    slack: Slack | None = Field(
        default=None,
        description="What is left free around the contents, both sides together: a length or a "
        "list [width, length]; instead of floor, inside or opening.",
    )


class LidFile(PartFile):
    """The table [lid]."""

    oversize: Oversize | None = Field(
        default=None,
        description="Score to score over the base's floor: a length from "
        f"{LEAST_OVERSIZE_MM:g} mm on, or a list "
        "[width, length]; instead of floor or inside.",
    )
    same_sheet: Setback | None = Field(
        default=None,
        description="Cut from a sheet of the base's size with its scores so much nearer the edges, "
        f"a length from 0 to {MOST_SETBACK_MM:g} mm: a floor twice that larger and walls as much "
        "lower; instead of floor, inside, oversize and depth, over a tray.",
    )
    depth: Length | None = Field(  # type: ignore[assignment]
        default=None,
        description="The outer wall, a length: score to score in a shadow box, score to cut edge "
        "in a tray; needed unless same_sheet is given.",
    )


class ContentFile(BaseModel):
    """One table [[content]]."""

    model_config = STRICT
    item: Name = Field(description="The name of an item in models/items.toml, a text.")
    count: Annotated[int, Field(ge=1, le=MOST_PIECES)] = Field(
        default=1, description=f"How many of it, a whole number from 1 to {MOST_PIECES}."
    )
    lay: LayName = Field(default=Lay.ANY, description="How it lies: flat, edge, end or any.")
    vary: VaryName = Field(
        default=Vary.EACH,
        description="How its pieces differ from the item's sizes: each for itself, or together "
        "(one cut batch, one mould); only the odds use it.",
    )


class DesignFile(BaseModel):
    """The design of a folded cardstock box for fitcheck."""

    model_config = STRICT
    format: FormatNumber = Field(description="The version of this file's form, 1.")
    title: Title = Field(description="What the box is called, a text.")
    unit: FileUnit = Field(
        description="The unit of bare numbers and texts in this file: in, mm or cm."
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
    base: BaseFile = Field(description="The base, a table [base].")
    lid: LidFile | None = Field(default=None, description="The lid, a table [lid].")
    content: Annotated[list[ContentFile], Field(min_length=1, max_length=MOST_CONTENTS)] | None = (
        Field(default=None, description=f"What goes in, up to {MOST_CONTENTS} tables [[content]].")
    )
