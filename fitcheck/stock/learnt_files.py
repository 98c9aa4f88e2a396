"""What a profile that was fitted from readings may say, beyond what one typed by hand says."""

from typing import Annotated, Literal, Protocol, Self

from pydantic import BaseModel, BeforeValidator, Field, model_validator

from fitcheck.stock.tools import BOARD_SCALE_U, USUAL_TOLERANCE_MM
from fitcheck.workspace.lengths import LARGEST_MM, problem
from fitcheck.workspace.records import is_record_name
from fitcheck.workspace.strict import STRICT, FormatNumber, Words

Allowance = Annotated[float, Field(ge=0, le=10)]
Uncertainty = Annotated[float, Field(ge=0, le=5)]
MOST_GIVEN_MM = 5.0
"""Of a coupon's joint and setback."""
GivenLength = Annotated[float, Field(ge=0, le=MOST_GIVEN_MM)]
Scale = Annotated[float, Field(ge=0.9, le=1.1)]
ScaleUncertainty = Annotated[float, Field(ge=0, le=0.1)]
Offset = Annotated[float, Field(ge=-2, le=2)]
OffsetUncertainty = Annotated[float, Field(ge=0, le=2)]
BoardScale = Annotated[float, Field(ge=-0.1, le=0.1)]
BoardScaleUncertainty = Annotated[float, Field(ge=0, le=0.1)]
AllowanceByScale = Annotated[float, Field(ge=-LARGEST_MM, le=LARGEST_MM)]
MOST_GIVE_U = 5.0
"""A give known no better than this is not known: unmeasured corners give 1, give or take 0.5."""
GiveUncertainty = Annotated[float, Field(ge=0, le=MOST_GIVE_U)]
Span = Annotated[
    list[Annotated[float, Field(ge=0, le=LARGEST_MM)]], Field(min_length=2, max_length=2)
]


def _record_name(value: object) -> object:
    if isinstance(value, str) and not is_record_name(value):
        raise problem(
            "is not the name of a record",
            "the plain name of a .csv file in calibration/records",
            "write the name alone, without a folder",
        )
    return value


MOST_RECORDS = 1000
RecordName = Annotated[str, Field(min_length=1), BeforeValidator(_record_name)]
RecordNames = Annotated[list[RecordName], Field(min_length=1, max_length=MOST_RECORDS)]


class Sourced(Protocol):
    """A profile as its file has it: it says where its values come from."""

    @property
    def source(self) -> str | None:
        """A text."""

    @property
    def records(self) -> list[str] | None:
        """Names of records."""


def check_sourced(profile: Sourced) -> None:
    """Raise a validation error for a profile that says nothing of where its values come from."""
    if profile.source is None and profile.records is None:
        raise problem(
            "neither source nor records is given", "at least one of them", "add source = ..."
        )


class SourcedFile(BaseModel):
    """A file whose values have a source, or records that they were fitted from."""

    model_config = STRICT
    source: Words | None = Field(default=None, description="Where the values come from, a text.")
    records: RecordNames | None = Field(
        default=None, description="The records of readings they were fitted from, a list of texts."
    )

    @model_validator(mode="after")
    def _sourced(self) -> Self:
        check_sourced(self)
        return self


class GrainFile(BaseModel):
    """Crease allowances by grain."""

    model_config = STRICT
    along_mm: Allowance = Field(description="Of folds along the grain, in mm.")
    along_u_mm: Uncertainty = Field(description="Its standard uncertainty in mm.")
    across_mm: Allowance = Field(description="Of folds across the grain, in mm.")
    across_u_mm: Uncertainty = Field(description="Its standard uncertainty in mm.")
    not_measured: Literal["along", "across"] | None = Field(
        default=None,
        description="The folds that nobody measured: their values are by rule of thumb.",
    )


class GiveFile(BaseModel):
    """Push-out of a glued corner over t + g - s."""

    model_config = STRICT
    value: Annotated[float, Field(ge=-10, le=10)] = Field(description="The ratio, a number.")
    u: GiveUncertainty = Field(description="Its standard uncertainty.")


class BoardFile(BaseModel):
    """Errors of the scoring board."""

    model_config = STRICT
    scale: BoardScale = Field(
        description="Scale error of score distances, 0.001 is 0.1 % too long."
    )
    scale_u: BoardScaleUncertainty = Field(description="Its uncertainty.")
    fence_mm: Offset = Field(description="How much too far from its fence every score lies, mm.")
    fence_u_mm: OffsetUncertainty = Field(description="Its standard uncertainty in mm.")
    allowance_by_scale_mm: AllowanceByScale = Field(
        default=0.0,
        description="How much larger the crease allowance is where the scale is larger, mm for 1.",
    )
    along_by_scale_mm: AllowanceByScale | None = Field(
        default=None, description="The same of folds along the grain."
    )
    across_by_scale_mm: AllowanceByScale | None = Field(
        default=None, description="The same of folds across the grain."
    )


class LearntFile(BaseModel):
    """What the fit took as given."""

    model_config = STRICT
    tools: Words = Field(description="The tool profile the coupon was made with, a name.")
    score_u_mm: Uncertainty = Field(description="Standard uncertainty of one score in mm.")
    fence_u_mm: OffsetUncertainty = Field(description="Standard uncertainty of the board's offset.")
    joint_mm: GivenLength = Field(description="Thickness of the adhesive in mm.")
    joint_u_mm: Uncertainty = Field(description="Its standard uncertainty in mm.")
    setback_mm: GivenLength = Field(description="Setback of the coupon's tabs in mm.")
    score_face: Literal["outside", "inside"] | None = Field(
        default=None, description="The face of the coupon's folds that was pressed."
    )
    scale: BoardScale = Field(
        default=0.0, description="Scale error of the board as it was known before."
    )
    scale_u: Annotated[BoardScaleUncertainty, Field(gt=0)] = Field(
        default=BOARD_SCALE_U, description="Its standard uncertainty."
    )
    allowance_mm: Allowance | None = Field(
        default=None, description="The crease allowance believed without readings, in mm."
    )
    allowance_u_mm: Uncertainty | None = Field(
        default=None, description="Its standard uncertainty in mm."
    )
    give: Annotated[float, Field(ge=-10, le=10)] | None = Field(
        default=None, description="The give of a corner believed without readings."
    )
    give_u: GiveUncertainty | None = Field(default=None, description="Its standard uncertainty.")
    tolerance_mm: GivenLength = Field(
        default=USUAL_TOLERANCE_MM, description="How far the instrument may be off in mm."
    )


class CoveredFile(BaseModel):
    """Nominal sizes that the gauge held."""

    model_config = STRICT
    outside: Span | None = Field(default=None, description="[least, greatest] outside size, mm.")
    inside: Span | None = Field(default=None, description="[least, greatest] inside size, mm.")
    height: Span | None = Field(default=None, description="[least, greatest] height, mm.")


class PrinterFile(SourcedFile):
    """A file in calibration/printers."""

    model_config = STRICT
    format: FormatNumber = Field(description="The version of this file's form, 1.")
    scale_x: Scale = Field(description="Printed over modelled length along x, near 1.")
    scale_x_u: ScaleUncertainty = Field(description="Its standard uncertainty.")
    scale_y: Scale = Field(description="Printed over modelled length along y, near 1.")
    scale_y_u: ScaleUncertainty = Field(description="Its standard uncertainty.")
    scale_z: Scale = Field(description="Printed over modelled height, near 1.")
    scale_z_u: ScaleUncertainty = Field(description="Its standard uncertainty.")
    outside_offset_mm: Offset = Field(description="How far outside faces stand out, per side, mm.")
    outside_offset_u_mm: OffsetUncertainty = Field(description="Its standard uncertainty in mm.")
    hole_offset_mm: Offset = Field(description="How far inside faces stand in, per side, mm.")
    hole_offset_u_mm: OffsetUncertainty = Field(description="Its standard uncertainty in mm.")
    first_layer_mm: Offset = Field(description="Spread of the first layer, per side, mm.")
    first_layer_u_mm: OffsetUncertainty = Field(description="Its standard uncertainty in mm.")
    height_offset_mm: Offset = Field(description="How much too high everything is, mm.")
    height_offset_u_mm: OffsetUncertainty = Field(description="Its standard uncertainty in mm.")
    covered_mm: CoveredFile | None = Field(default=None, description="Sizes that were measured.")
