"""What stock and printer files may say, the values read from them, and where they are found."""

import contextlib
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, Self

from pydantic import BaseModel, Field, model_validator

from fitcheck.errors import InputError
from fitcheck.plain import shown
from fitcheck.stock.crease import LARGEST_SHARE, LARGEST_U_SHARE, uncalibrated_allowance
from fitcheck.stock.gives_files import (
    CreaseFile,
    FrictionFile,
    PermeanceFile,
    RestFile,
    StiffnessFile,
    said_of,
)
from fitcheck.stock.learnt_files import (
    Allowance,
    BoardFile,
    GiveFile,
    GrainFile,
    LearntFile,
    PrinterFile,
    RecordNames,
    Uncertainty,
    check_sourced,
)
from fitcheck.stock.paper import GrainAllowance, Hygroexpansion, SeenBoard, Stock
from fitcheck.stock.printer import Covered, Printer
from fitcheck.stock.tools import Tools
from fitcheck.stock.tools_files import read_tools
from fitcheck.stock.weights import caliper_words, nearest_words, weight_in, with_caliper
from fitcheck.workspace.colours import Colour, Printed
from fitcheck.workspace.lengths import problem
from fitcheck.workspace.names import Shelf, find_named, names_on
from fitcheck.workspace.records import RECORDS, missing_records
from fitcheck.workspace.strict import STRICT, FormatNumber, Words, validate
from fitcheck.workspace.toml import read_toml

Strain = Annotated[float, Field(ge=0, le=0.01)]


class HygroexpansionFile(BaseModel):
    """Strain per 1 % of relative humidity."""

    model_config = STRICT
    along: Strain = Field(description="Strain along the grain per 1 % relative humidity.")
    across: Strain = Field(description="Strain across the grain per 1 % relative humidity.")


class StockFile(BaseModel):
    """A file in calibration/stocks."""

    model_config = STRICT
    format: FormatNumber = Field(description="The version of this file's form, 1.")
    kind: Words = Field(description="What the paper is sold as, a text.")
    grammage_gsm: Annotated[float, Field(gt=0, le=5000)] | None = Field(
        default=None, description="Mass per area in g/m2."
    )
    caliper_mm: Annotated[float, Field(ge=0.01, le=5)] = Field(
        description="Thickness of one sheet in mm, a number."
    )
    caliper_u_mm: Uncertainty = Field(description="Standard uncertainty of the caliper in mm.")
    crease_allowance_mm: Allowance | None = Field(
        default=None, description="Growth of a 90 degree fold beyond its score line in mm."
    )
    crease_allowance_u_mm: Uncertainty | None = Field(
        default=None, description="Standard uncertainty of the crease allowance in mm."
    )
    colour: Colour | None = Field(
        default=None, description='Its colour in pictures: "#rrggbb" or a basic colour name.'
    )
    printed: Printed | None = Field(
        default=None, description="What is printed on it, in pictures: dots, stripes or check."
    )
    hygroexpansion: HygroexpansionFile | None = Field(
        default=None, description="Strain by humidity, a table {along, across}."
    )
    bending_stiffness: StiffnessFile | None = Field(
        default=None,
        description="How stiff a sheet is, a table {along_mnm, along_u_mnm, across_mnm, "
        "across_u_mnm, source}; default estimated from grammage and caliper.",
    )
    air_permeance: PermeanceFile | None = Field(
        default=None,
        description="How much air passes, a table {gurley_s or bendtsen_ml_min or um_per_pa_s, u, "
        "source}; default estimated from the grammage.",
    )
    friction: FrictionFile | None = Field(
        default=None,
        description="Static friction of the paper on itself, a table {value, u, source}.",
    )
    crease_length: CreaseFile | None = Field(
        default=None,
        description="The length whose bending stiffness is the spring of a fold, a table {mm, "
        "u_mm, source}.",
    )
    crease_rest: RestFile | None = Field(
        default=None,
        description="The angle at which a burnished fold stands by itself, a table {deg, u_deg, "
        "source}.",
    )
    crease_allowance_by_grain: GrainFile | None = Field(
        default=None, description="The crease allowance of folds along and across the grain."
    )
    corner_give: GiveFile | None = Field(
        default=None, description="Push-out of a glued corner over t + g - s, a table."
    )
    board: BoardFile | None = Field(
        default=None, description="Errors of the scoring board seen in the readings, a table."
    )
    learnt: LearntFile | None = Field(
        default=None, description="What the fit took as given, a table."
    )
    source: Words | None = Field(default=None, description="Where the values come from, a text.")
    records: RecordNames | None = Field(
        default=None, description="The records of readings they were fitted from, a list of texts."
    )

    @model_validator(mode="after")
    def _whole(self) -> Self:
        check_sourced(self)
        if (self.crease_allowance_mm is None) != (self.crease_allowance_u_mm is None):
            raise problem(
                "crease_allowance_mm and crease_allowance_u_mm stand together or not at all",
                "both, or neither for a paper nobody has measured",
                "add the other one",
            )
        largest = LARGEST_SHARE * self.caliper_mm
        if self.crease_allowance_mm is not None and self.crease_allowance_mm > largest:
            raise problem(
                f"crease_allowance_mm is {self.crease_allowance_mm:g}",
                f"0 to {LARGEST_SHARE:g} calipers, here 0 to {largest:.3f} mm",
                "measure the fold again",
            )
        if self.caliper_u_mm > self.caliper_mm / 2:
            raise problem(
                f"caliper_u_mm is {self.caliper_u_mm:g}",
                f"up to half the caliper, here {self.caliper_mm / 2:.3f} mm",
                "measure a stack of sheets",
            )
        self._check_creases(largest)
        return self

    def _check_creases(self, largest_mm: float) -> None:
        """No allowance is known worse than by a caliper: it lies between none and two anyhow."""
        grain = self.crease_allowance_by_grain
        uncertain = {"crease_allowance_u_mm": self.crease_allowance_u_mm}
        sizes: dict[str, float] = {}
        if grain is not None:
            table = "crease_allowance_by_grain"
            uncertain |= {f"{table}.along_u_mm": grain.along_u_mm}
            uncertain |= {f"{table}.across_u_mm": grain.across_u_mm}
            sizes = {f"{table}.along_mm": grain.along_mm, f"{table}.across_mm": grain.across_mm}
        for key, value in sizes.items():
            if value > largest_mm:
                raise problem(
                    f"{key} is {value:g}",
                    f"0 to {LARGEST_SHARE:g} calipers, here 0 to {largest_mm:.3f} mm",
                    "measure the fold again",
                )
        for key, u in uncertain.items():
            if u is not None and u > LARGEST_U_SHARE * self.caliper_mm:
                raise problem(
                    f"{key} is {u:g}",
                    f"up to one caliper, here {LARGEST_U_SHARE * self.caliper_mm:.3f} mm (a crease "
                    "nobody measured is known to 0.15 calipers)",
                    "write the standard uncertainty, or leave both out",
                )


def read_stock(path: Path) -> Stock:
    """The stock in a file; raises ``InputError`` with a line for each problem."""
    stock = stock_from(read_toml(path), path)
    lost = missing_records(stock.records, [path.absolute().parents[1] / RECORDS])
    return replace(stock, lost_records=lost) if lost else stock


def stock_from(data: dict[str, Any], path: Path) -> Stock:
    """The stock that a file says, or would say; raises ``InputError`` like ``read_stock``."""
    try:
        file = validate(StockFile, data, path)
    except InputError as error:
        raise InputError([with_caliper(line, data) for line in error.lines]) from None
    allowance, allowance_u = file.crease_allowance_mm, file.crease_allowance_u_mm
    calibrated = allowance is not None and allowance_u is not None
    if allowance is None or allowance_u is None:
        allowance, allowance_u = uncalibrated_allowance(file.caliper_mm)
    strain, grain, give = file.hygroexpansion, file.crease_allowance_by_grain, file.corner_give
    return Stock(
        name=path.stem,
        kind=file.kind,
        caliper_mm=file.caliper_mm,
        caliper_u_mm=file.caliper_u_mm,
        crease_allowance_mm=allowance,
        crease_allowance_u_mm=allowance_u,
        calibrated=calibrated,
        grammage_gsm=file.grammage_gsm,
        hygroexpansion=None if strain is None else Hygroexpansion(strain.along, strain.across),
        source=file.source or "",
        records=tuple(file.records or ()),
        by_grain=None if grain is None else GrainAllowance(**grain.model_dump()),
        corner_give=1.0 if give is None else give.value,
        corner_give_u=None if give is None else give.u,
        board=_board_of(file),
        colour=file.colour,
        printed=file.printed,
        said=said_of(
            file.bending_stiffness,
            file.air_permeance,
            file.friction,
            file.crease_length,
            file.crease_rest,
        ),
        score_face=None if file.learnt is None else file.learnt.score_face,
    )


def _board_of(file: StockFile) -> SeenBoard | None:
    if file.board is None or file.learnt is None:
        return None
    learnt = file.learnt
    believed = learnt.scale, learnt.scale_u
    return SeenBoard(tools=learnt.tools, believed=believed, **file.board.model_dump())


def read_given(path: Path) -> dict[str, Any] | None:
    """What a learnt stock's readings were fitted with, by key; None for one typed by hand."""
    learnt = validate(StockFile, read_toml(path), path).learnt
    return None if learnt is None else learnt.model_dump()


def read_printer(path: Path) -> Printer:
    """The printer in a file; raises ``InputError`` with a line for each problem."""
    return printer_from(read_toml(path), path)


def printer_from(data: dict[str, Any], path: Path) -> Printer:
    """The printer that a file says, or would say; raises ``InputError`` like ``read_printer``."""
    file = validate(PrinterFile, data, path)
    values = file.model_dump(exclude={"format", "covered_mm", "records", "source"})
    covered = {} if file.covered_mm is None else file.covered_mm.model_dump()
    return Printer(
        name=path.stem,
        **values,
        covered=Covered(
            **{f"{key}_mm": None if pair is None else tuple(pair) for key, pair in covered.items()}
        ),
        source=file.source or "",
        records=tuple(file.records or ()),
    )


def find_stock(name: str, roots: Sequence[Path]) -> Stock:
    """The stock of that name; raises ``InputError`` with the nearest known names, or, where a
    weight stands for a name, with the nearest weights."""
    gsm = weight_in(name)
    try:
        path = find_named(Shelf.STOCK, name, roots)
    except InputError:
        if gsm is None:
            raise
        raise _only_weight(name, gsm, roots) from None
    return read_stock(path)


def _only_weight(name: str, gsm: float, roots: Sequence[Path]) -> InputError:
    """What is said of a weight in place of a name."""
    known: dict[str, float] = {}
    for one in names_on(Shelf.STOCK, roots):
        with contextlib.suppress(InputError):
            own = read_stock(find_named(Shelf.STOCK, one, roots)).grammage_gsm
            known |= {} if own is None else {one: own}
    near = nearest_words(gsm, known)
    return InputError(
        f"no such stock; read {shown(name)}, a weight; allowed: a file name in "
        f"calibration/{Shelf.STOCK.value}; nearest in weight: {near}; take one of them, or add a "
        f"file of your own with grammage_gsm = {gsm:g}, {caliper_words(gsm)}"
    )


def find_tools(name: str, roots: Sequence[Path]) -> Tools:
    """The tools of that name; raises ``InputError`` with the nearest known names."""
    return read_tools(find_named(Shelf.TOOLS, name, roots))


def find_printer(name: str, roots: Sequence[Path]) -> Printer:
    """The printer of that name; raises ``InputError`` with the nearest known names."""
    return read_printer(find_named(Shelf.PRINTER, name, roots))
