"""A printer is what its printed gauge was measured to be, each property with an uncertainty."""

from dataclasses import dataclass

Range = tuple[float, float]


@dataclass(frozen=True)
class Covered:
    """Nominal sizes in mm, least and greatest, that the gauge held; None where it held none."""

    outside_mm: Range | None = None
    inside_mm: Range | None = None
    height_mm: Range | None = None

    def lacks(self, feature: str, size_mm: float) -> bool:
        """Whether a size of ``feature`` (outside, inside or height) was not covered.

        >>> Covered(outside_mm=(5.0, 80.0)).lacks("outside", 100.0)
        True
        """
        found: Range | None = getattr(self, f"{feature}_mm")
        return found is None or not found[0] <= size_mm <= found[1]


@dataclass(frozen=True)
class Printer:
    """One printer with one material; every ``..._u`` and ``..._u_mm`` is a standard uncertainty."""

    name: str
    """The name it is looked up by."""
    scale_x: float = 1.0
    """Printed length over modelled length along x; 0.998 prints 0.2 % too small."""
    scale_x_u: float = 0.0
    scale_y: float = 1.0
    scale_y_u: float = 0.0
    scale_z: float = 1.0
    scale_z_u: float = 0.0
    outside_offset_mm: float = 0.0
    """How far outside faces stand too far out, on each side."""
    outside_offset_u_mm: float = 0.0
    hole_offset_mm: float = 0.0
    """How far inside faces stand too far in, on each side."""
    hole_offset_u_mm: float = 0.0
    first_layer_mm: float = 0.0
    """How far the first layer spreads beyond the others, on each side."""
    first_layer_u_mm: float = 0.0
    height_offset_mm: float = 0.0
    """How much too high everything is, whatever its height."""
    height_offset_u_mm: float = 0.0
    covered: Covered = Covered()
    """What was measured; a correction outside it is an extrapolation."""
    source: str = ""
    records: tuple[str, ...] = ()
