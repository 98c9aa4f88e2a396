"""What a stock's file may say of how its paper gives, each property with its own source."""

from typing import Annotated, Self

from pydantic import BaseModel, Field, model_validator

from fitcheck.stock.gives import (
    Known,
    Property,
    Said,
    bendtsen_permeance,
    gurley_permeance,
    log_u_of,
)
from fitcheck.workspace.lengths import problem
from fitcheck.workspace.strict import STRICT, Words

Positive = Annotated[float, Field(gt=0, le=1e6)]
SOURCE = "Where it comes from, a text."


class SourcedValue(BaseModel):
    """A property beside its source."""

    model_config = STRICT
    source: Words = Field(description=SOURCE)


class StiffnessFile(SourcedValue):
    """Bending stiffness of strips cut along and across the grain."""

    along_mnm: Annotated[float, Field(gt=0, le=5000)] = Field(
        description="Along the grain, per width, in mN m."
    )
    along_u_mnm: Positive = Field(description="Its standard uncertainty in mN m.")
    across_mnm: Annotated[float, Field(gt=0, le=5000)] = Field(
        description="Across the grain, per width, in mN m."
    )
    across_u_mnm: Positive = Field(description="Its standard uncertainty in mN m.")

    @model_validator(mode="after")
    def _known(self) -> Self:
        _check_known(self.along_mnm, self.along_u_mnm, "along_u_mnm")
        _check_known(self.across_mnm, self.across_u_mnm, "across_u_mnm")
        return self


class PermeanceFile(SourcedValue):
    """How much air passes: as one of three test methods gives it."""

    um_per_pa_s: Annotated[float, Field(gt=0, le=1000)] | None = Field(
        default=None, description="Air permeance in um/(Pa s)."
    )
    gurley_s: Annotated[float, Field(gt=0, le=1e6)] | None = Field(
        default=None, description="Instead: the time of 100 ml by the Gurley method, s."
    )
    bendtsen_ml_min: Annotated[float, Field(gt=0, le=1e5)] | None = Field(
        default=None, description="Instead: the flow by the Bendtsen method, ml/min."
    )
    u: Positive = Field(description="Standard uncertainty, in the unit of the value.")

    @property
    def given(self) -> tuple[float, float]:
        """The value as it is given and its uncertainty."""
        own = (self.um_per_pa_s, self.gurley_s, self.bendtsen_ml_min)
        return next(value for value in own if value is not None), self.u

    @property
    def permeance(self) -> float:
        """In um/(Pa s)."""
        if self.gurley_s is not None:
            return gurley_permeance(self.gurley_s)
        if self.bendtsen_ml_min is not None:
            return bendtsen_permeance(self.bendtsen_ml_min)
        assert self.um_per_pa_s is not None, "one of the three is given"
        return self.um_per_pa_s

    @model_validator(mode="after")
    def _one(self) -> Self:
        own = (self.um_per_pa_s, self.gurley_s, self.bendtsen_ml_min)
        if sum(value is not None for value in own) != 1:
            raise problem(
                "is given in no way or in several",
                "exactly one of um_per_pa_s, gurley_s, bendtsen_ml_min",
                "keep the one that was measured",
            )
        _check_known(*self.given, "u")
        return self


class FrictionFile(SourcedValue):
    """Static friction of the paper on itself."""

    value: Annotated[float, Field(ge=0.05, le=2)] = Field(
        description="Force over load, a number from 0.05 to 2."
    )
    u: Positive = Field(description="Its standard uncertainty.")

    @model_validator(mode="after")
    def _known(self) -> Self:
        _check_known(self.value, self.u, "u")
        return self


class CreaseFile(SourcedValue):
    """The length whose bending stiffness is the spring of a fold."""

    mm: Annotated[float, Field(ge=0.5, le=500)] = Field(description="That length in mm.")
    u_mm: Positive = Field(description="Its standard uncertainty in mm.")

    @model_validator(mode="after")
    def _known(self) -> Self:
        _check_known(self.mm, self.u_mm, "u_mm")
        return self


class RestFile(SourcedValue):
    """The angle at which a burnished fold stands by itself."""

    deg: Annotated[float, Field(ge=45, le=135)] = Field(
        description="In degrees from flat: 90 stands upright, less leans outwards."
    )
    u_deg: Annotated[float, Field(ge=0, le=45)] = Field(description="Its standard uncertainty.")


def _check_known(value: float, u: float, key: str) -> None:
    if u > value:
        raise problem(
            f"{key} is {u:g}, more than the value itself",
            f"up to {value:g}",
            "leave the table out where so little is known",
        )


def said_of(
    bending: StiffnessFile | None,
    air: PermeanceFile | None,
    friction: FrictionFile | None,
    crease: CreaseFile | None,
    rest: RestFile | None,
) -> Said:
    """What the tables of a file say."""
    return Said(
        along=None if bending is None else _said(bending, bending.along_mnm, bending.along_u_mnm),
        across=None
        if bending is None
        else _said(bending, bending.across_mnm, bending.across_u_mnm),
        permeance=None
        if air is None
        else Property(air.permeance, log_u_of(*air.given), Known.SAID, air.source),
        friction=None if friction is None else _said(friction, friction.value, friction.u),
        crease=None if crease is None else _said(crease, crease.mm, crease.u_mm),
        rest_deg=None if rest is None else rest.deg,
        rest_u_deg=None if rest is None else rest.u_deg,
        rest_source="" if rest is None else rest.source,
    )


def said_tables(said: Said) -> dict[str, dict[str, float | str]]:
    """The tables of a file that say the same."""
    found: dict[str, dict[str, float | str]] = {}
    if said.along is not None and said.across is not None:
        found["bending_stiffness"] = {
            "along_mnm": said.along.value,
            "along_u_mnm": said.along.u,
            "across_mnm": said.across.value,
            "across_u_mnm": said.across.u,
            "source": said.along.source,
        }
    air, friction, crease = said.permeance, said.friction, said.crease
    if air is not None:
        found["air_permeance"] = {"um_per_pa_s": air.value, "u": air.u, "source": air.source}
    if friction is not None:
        found["friction"] = {"value": friction.value, "u": friction.u, "source": friction.source}
    if crease is not None:
        found["crease_length"] = {"mm": crease.value, "u_mm": crease.u, "source": crease.source}
    if said.rest_deg is not None and said.rest_u_deg is not None:
        found["crease_rest"] = {
            "deg": said.rest_deg,
            "u_deg": said.rest_u_deg,
            "source": said.rest_source,
        }
    return found


def _said(table: SourcedValue, value: float, u: float) -> Property:
    return Property(value, log_u_of(value, u), Known.SAID, table.source)
