"""Which files a printer's gauge becomes: the nest of rings, the stepped gauges, the readings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from fitcheck.findings import Finding
from fitcheck.learn.paper_coupon import empty_sheet, gauge_rows
from fitcheck.solids import write_3mf, write_stl
from fitcheck.solids.correction import Correction, uncovered
from fitcheck.solids.meshes import Mesh
from fitcheck.solids.plugs import gap, plug, steps_for
from fitcheck.solids.ring_gauge import GaugePart, gauge_features, gauge_rings, nested
from fitcheck.stock.printer import Printer
from fitcheck.workspace.filenames import distinct_stems, safe_stem
from fitcheck.workspace.progress import Progress

Files = dict[Path, str | bytes]


@dataclass(frozen=True)
class GaugeOrder:
    """What to make."""

    printer: str
    sizes_mm: tuple[float, ...]
    """Middles of the stepped gauges."""
    wanted_u_mm: float
    known: Printer | None
    """The profile that corrects the stepped gauges, if there is one."""
    correction: Correction


@dataclass(frozen=True, eq=False)
class GaugeFiles:
    """The files, and what to tell about them."""

    files: Files
    step_mm: float
    corrected_by: str
    findings: tuple[Finding, ...]


def gauge_files(order: GaugeOrder, folder: Path, progress: Progress) -> GaugeFiles:
    """Every file of a gauge. Raises ``InputError`` for sizes or steps that do not print."""
    steps = [steps_for(size, order.wanted_u_mm) for size in order.sizes_mm]
    total = 1 + 2 * len(steps)
    progress.step(0, total, "the nest of rings")
    rings = gauge_rings()
    files = _solid(folder / "gauge-rings", "gauge", nested(rings))
    files[folder / f"{safe_stem(order.printer)}-readings.csv"] = empty_sheet(
        gauge_rows(gauge_features())
    )
    parts: list[GaugePart] = []
    for number, ladder in enumerate(steps):
        progress.step(1 + 2 * number, total, f"the plug of {ladder.middle_mm:g} mm")
        parts.append(plug(ladder, order.correction))
        progress.step(2 + 2 * number, total, f"the gap of {ladder.middle_mm:g} mm")
        parts.append(gap(ladder, order.correction))
    progress.step(total, total, "gauges done")
    for stem, part in zip(distinct_stems(tuple(p.name for p in parts)), parts, strict=True):
        files |= _solid(folder / stem, part.name, part.mesh)
    return GaugeFiles(
        files,
        steps[0].step_mm if steps else 0.0,
        "" if order.correction.is_identity else order.correction.name,
        (*_beyond(order, [ladder.widths_mm for ladder in steps]), *rings[-1].findings),
    )


def _beyond(order: GaugeOrder, widths: Sequence[tuple[float, ...]]) -> tuple[Finding, ...]:
    if order.known is None:
        return ()
    ends = sorted({size for row in widths for size in (row[0], row[-1])})
    return uncovered(order.known, "the stepped gauges", ends, ends)


def _solid(stem: Path, name: str, mesh: Mesh) -> Files:
    meshes = {name: mesh}
    return {
        stem.with_name(f"{stem.name}.stl"): write_stl.encode(meshes),
        stem.with_name(f"{stem.name}.3mf"): write_3mf.encode(meshes),
    }
