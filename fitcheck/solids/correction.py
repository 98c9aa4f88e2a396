"""What a printer does to a size, and the size to model so that the print comes out right.

A print with scale error ``s`` whose outlines stand ``o`` too far out measures
``(1 + s) n + 2 o`` over an outside of nominal ``n`` and ``(1 + s) n - 2 o`` across an inside.
The printer's profile says both, and which sizes its gauge covered.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from fitcheck.errors import ModelError
from fitcheck.findings import Finding, Severity
from fitcheck.stock.printer import Printer, Range

LARGEST_SCALE = 0.10
"""A scale error beyond this is a misreading, not a printer."""
LARGEST_OFFSET_MM = 2.0
"""An offset beyond this is a misreading, not a printer."""


@dataclass(frozen=True)
class Correction:
    """Errors of one printer as they were measured; all zero means: print as modelled.

    Raises ``ValueError`` for values no printer has.
    """

    name: str = "uncorrected"
    """The printer profile it came from."""
    scale_x: float = 0.0
    scale_y: float = 0.0
    scale_z: float = 0.0
    """Scale error along each axis of the printer: -0.002 prints 0.2 % too small."""
    outside_offset_mm: float = 0.0
    """How far outside faces stand too far out, on each side."""
    hole_offset_mm: float = 0.0
    """How far inside faces stand too far in, on each side."""
    first_layer_mm: float = 0.0
    """How far the first layer spreads beyond the others, on each side."""
    height_offset_mm: float = 0.0
    """How much too high everything is, whatever its height."""

    def __post_init__(self) -> None:
        for label in ("scale_x", "scale_y", "scale_z"):
            if not abs(getattr(self, label)) <= LARGEST_SCALE:
                raise ValueError(
                    f"{label} is {getattr(self, label):g}: allowed is -{LARGEST_SCALE:g} to "
                    f"{LARGEST_SCALE:g}; measure the printed gauge again"
                )
        for label in ("outside_offset_mm", "hole_offset_mm", "first_layer_mm", "height_offset_mm"):
            if not abs(getattr(self, label)) <= LARGEST_OFFSET_MM:
                raise ValueError(
                    f"{label} is {getattr(self, label):g}: allowed is -{LARGEST_OFFSET_MM:g} to "
                    f"{LARGEST_OFFSET_MM:g}; measure the printed gauge again"
                )

    @property
    def is_identity(self) -> bool:
        """True when nothing is changed."""
        return self == Correction(name=self.name)

    def outside(self, x_mm: float, y_mm: float, z_mm: float) -> tuple[float, float, float]:
        """Sizes to model so that outside faces print at ``x, y, z`` (along the printer's axes).

        >>> Correction(scale_x=-0.002, outside_offset_mm=0.1).outside(20.16, 20.2, 5.0)
        (20.0, 20.0, 5.0)
        """
        spread = 2 * self.outside_offset_mm
        return (
            _modelled(x_mm - spread, self.scale_x, x_mm),
            _modelled(y_mm - spread, self.scale_y, y_mm),
            _modelled(z_mm - self.height_offset_mm, self.scale_z, z_mm),
        )

    def inside(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Sizes to model so that an opening prints at ``x, y``.

        >>> Correction(scale_x=-0.002, hole_offset_mm=0.1).inside(19.76, 19.8)
        (20.0, 20.0)
        """
        spread = 2 * self.hole_offset_mm
        return (
            _modelled(x_mm + spread, self.scale_x, x_mm),
            _modelled(y_mm + spread, self.scale_y, y_mm),
        )

    def depth(self, z_mm: float) -> float:
        """Depth to model for a step of ``z``: only the scale acts on a difference of heights."""
        return _modelled(z_mm, self.scale_z, z_mm)


def _modelled(size_mm: float, scale: float, wanted_mm: float) -> float:
    modelled = size_mm / (1 + scale)
    if not modelled > 0:
        raise ModelError(
            f"a size of {wanted_mm:.3f} mm cannot be printed with this printer profile: "
            "its offsets are larger than the size"
        )
    return modelled


IDENTITY = Correction()
"""Print as modelled."""


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
    gauge = "held none" if span is None else f"covered {span[0]:g} to {span[1]:g} mm"
    return Finding(
        "outside-gauge",
        f"{name}: its {kind} size of {listed} mm is corrected by the profile of {printer} beyond "
        f"what the gauge measured (it {gauge}): measure the print",
        Severity.CAUTION,
        name,
        {"largest_mm": max(sizes)},
    )
