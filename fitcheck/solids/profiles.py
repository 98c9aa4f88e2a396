"""A printer's profile becomes the correction of a print, and what it does not cover is told."""

from collections.abc import Iterable

from fitcheck.findings import Finding, Severity
from fitcheck.solids.correction import Correction
from fitcheck.stock.printer import Printer, Range


def correction_of(printer: Printer) -> Correction:
    """The correction that a profile asks for. Raises ``ValueError`` for values no printer has.

    >>> mine = Printer("mk", scale_x=0.998, outside_offset_mm=0.1)
    >>> correction_of(mine).outside(20.16, 9.0, 5.0)[0]
    20.0
    """
    return Correction(
        name=printer.name,
        scale_x=printer.scale_x - 1.0,
        scale_y=printer.scale_y - 1.0,
        scale_z=printer.scale_z - 1.0,
        outside_offset_mm=printer.outside_offset_mm,
        hole_offset_mm=printer.hole_offset_mm,
        first_layer_mm=printer.first_layer_mm,
        height_offset_mm=printer.height_offset_mm,
    )


def uncovered(
    printer: Printer,
    name: str,
    outside_mm: Iterable[float] = (),
    inside_mm: Iterable[float] = (),
    height_mm: Iterable[float] = (),
) -> tuple[Finding, ...]:
    """A caution for each kind of size of a print that the printer's gauge did not cover.

    ``outside_mm`` and ``inside_mm`` are sizes along x or y, ``height_mm`` along z.
    """
    covered = printer.covered
    kinds = (
        ("outside", outside_mm, covered.outside_mm),
        ("inside", inside_mm, covered.inside_mm),
        ("height", height_mm, covered.height_mm),
    )
    found = []
    for kind, sizes, span in kinds:
        beyond = [size for size in sizes if covered.lacks(kind, size)]
        if beyond:
            found.append(_caution(printer.name, name, kind, beyond, span))
    return tuple(found)


def _caution(printer: str, name: str, kind: str, sizes: list[float], span: Range | None) -> Finding:
    listed = " and ".join(f"{size:.1f}" for size in sizes)
    held = "held none" if span is None else f"covered {span[0]:g} to {span[1]:g} mm"
    return Finding(
        "outside-gauge",
        f"{name}: its {kind} size of {listed} mm is corrected by the profile of {printer} beyond "
        f"what the gauge measured (it {held}): measure the print",
        Severity.CAUTION,
        name,
        {"largest_mm": max(sizes)},
    )
