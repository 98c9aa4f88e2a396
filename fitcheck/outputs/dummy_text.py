"""What was made of a design's stand-ins, as text: file, true size, mass, and what to heed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from fitcheck.findings import Finding
from fitcheck.outputs.dummy_files import Made
from fitcheck.units import show_number


def dummy_text(made: Sequence[Made], folder: Path, cautions: Sequence[Finding]) -> str:
    """The list of stand-ins and the cautions, each said once."""
    lines = [f"written to {folder}:", ""]
    for one in made:
        lines += _lines(one)
    said = {finding.message: finding for one in made for finding in one.findings}
    said |= {finding.message: finding for finding in cautions}
    lines += ["", *(f"  {finding.severity}: {finding.message}" for finding in said.values())]
    return "\n".join(lines) + "\n"


def _lines(one: Made) -> Iterator[str]:
    # printers are in millimetres whatever the design is in
    size = f"{' x '.join(show_number(side, 2) for side in one.size_mm)} mm"
    yield f"  {one.stem}: {one.name}"
    yield f"      {size}"
    if one.mass_g is not None:
        yield f"      {one.mass_g:.1f} g in PLA at 1.24 g/cm3, filled"
    if one.corrected_by:
        yield f"      corrected for the printer {one.corrected_by}"
