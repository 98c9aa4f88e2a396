"""What was made to gauge a printer with, and how it is read, as text."""

from __future__ import annotations

from collections.abc import Iterable

from fitcheck.findings import Finding
from fitcheck.outputs.gauge_files import GaugeFiles, GaugeOrder
from fitcheck.uncertainty import resolution_u

HOW = (
    "Print the rings at once, as they lie, nothing scaled, and let them cool. The wall with the "
    "letters is the front: x runs along it.",
    "Read each ring with a caliper: outside along x and y above the lowest 2 mm, inside along x "
    "and y from the top, height on the middle of a wall.",
    "first-layer is the outside along x right at the bed, on the two largest rings, whose lowest "
    "edge is sharp.",
    "Write one reading to a row, in mm.",
)


def gauge_text(order: GaugeOrder, made: GaugeFiles, cautions: Iterable[Finding]) -> str:
    """The files, how to read the gauge, and what to heed."""
    lines = [str(path) for path in sorted(made.files)]
    lines += ["", *HOW, ""]
    if made.step_mm:
        lines.append(
            f"The stepped gauges go in steps of {made.step_mm:g} mm: a finding between two steps "
            f"is known to {resolution_u(made.step_mm):.3f} mm (standard uncertainty)."
        )
        lines.append(
            f"They are corrected by the profile of {made.corrected_by}."
            if made.corrected_by
            else f"There is no profile of {order.printer} yet: they are printed as modelled; write "
            "down what a caliper says of each step."
        )
    lines += [f"  {found.severity}: {found.message}" for found in (*made.findings, *cautions)]
    return "\n".join(lines) + "\n"
