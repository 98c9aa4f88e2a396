"""The printed gauge as a solid, and the whole loop of a made-up printer: print, read, learn, print.

The made-up printer stretches every axis, spreads outlines and closes holes; it acts on the mesh,
so that nothing of the program's own model of a printer is used to make its prints.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.learning import learn_printer
from fitcheck.learn.profiles import printer_profile
from fitcheck.solids.blocks import LEAST_WALL_MM, Side, block, walled_box
from fitcheck.solids.body_mesh import mesh_of
from fitcheck.solids.correction import Correction, correction_of, uncovered
from fitcheck.solids.dummies import InsideBlock, make_dummy
from fitcheck.solids.finishing import Bed
from fitcheck.solids.meshes import Mesh, mesh_fault
from fitcheck.solids.plugs import GRIP_MM, LENGTH_MM, gap, plug, steps_for
from fitcheck.solids.ring_gauge import (
    RINGS,
    WALL_MM,
    GaugePart,
    gauge_features,
    gauge_rings,
    nested,
)
from fitcheck.stock.printer import Printer
from fitcheck.stock.profile_files import read_printer

STEP_MM = 0.01
NEAR_MM = 1e-3


@dataclass(frozen=True)
class Machine:
    """A made-up printer."""

    scale: tuple[float, float, float] = (0.9975, 1.0015, 0.9985)
    outside_mm: float = 0.11
    hole_mm: float = 0.17
    first_mm: float = 0.21
    high_mm: float = 0.06

    def printed(self, mesh: Mesh, inside_mm: float | None = None) -> np.ndarray:
        """Vertices (n, 3) of a print; faces nearer than ``inside_mm`` / 2 are a hole's."""
        v = mesh.vertices
        half = 0.0 if inside_mm is None else inside_mm / 2 + 0.1
        hole = (np.abs(v[:, :2]) <= half).all(axis=1)
        off = np.where(hole, -self.hole_mm, self.outside_mm)
        flat = v[:, :2] * self.scale[:2] + np.sign(v[:, :2]) * off[:, None]
        at_bed = (v[:, 2] < NEAR_MM) & ~hole
        flat += np.sign(v[:, :2]) * (at_bed * self.first_mm)[:, None]
        z = np.where(v[:, 2] > NEAR_MM, v[:, 2] * self.scale[2] + self.high_mm, 0.0)
        return np.column_stack([flat, z])


@pytest.fixture(scope="module")
def rings() -> tuple[GaugePart, ...]:
    return gauge_rings()


def top_sizes(vertices: np.ndarray, inside_mm: float) -> dict[str, float]:
    """Outside and inside along x and y at the top of a ring, and its height."""
    z = vertices[:, 2]
    top = vertices[z > z.max() - NEAR_MM]
    hole = (np.abs(top[:, :2]) < inside_mm / 2 + 0.6).all(axis=1)
    bed = vertices[z < NEAR_MM]
    found = {f"outside-{a}": float(np.ptp(top[:, k])) for k, a in enumerate("xy")}
    found |= {f"inside-{a}": float(np.ptp(top[hole][:, k])) for k, a in enumerate("xy")}
    return found | {"height": float(z.max()), "first-layer": float(np.ptp(bed[:, 0]))}


def test_gauges_are_closed_solids_with_walls_that_print(rings: tuple[GaugePart, ...]) -> None:
    assert WALL_MM >= LEAST_WALL_MM
    for part in rings:
        assert mesh_fault(part.mesh) is None
    assert mesh_fault(nested(rings)) is None
    for inner, outer in zip(RINGS[1:], RINGS, strict=False):
        assert (outer.inside_mm - inner.outside_mm) / 2 >= 1.0  # they do not print as one


def test_ring_sizes_read_back_from_the_mesh(rings: tuple[GaugePart, ...]) -> None:
    for ring, part in zip(RINGS, rings, strict=True):
        found = top_sizes(part.mesh.vertices, ring.inside_mm)
        for axis in "xy":
            assert found[f"outside-{axis}"] == pytest.approx(ring.outside_mm, abs=NEAR_MM)
            assert found[f"inside-{axis}"] == pytest.approx(ring.inside_mm, abs=NEAR_MM)
        assert found["height"] == pytest.approx(ring.height_mm, abs=NEAR_MM)
        chamfer = 0.0 if ring.square_foot else 0.6
        assert found["first-layer"] == pytest.approx(ring.outside_mm - chamfer, abs=NEAR_MM)


def test_stepped_gauges_read_back_from_the_mesh() -> None:
    steps = replace(steps_for(49.8, 0.03), count=4)
    assert steps.step_mm == 0.1
    stick = plug(steps).mesh
    assert mesh_fault(stick) is None
    for k, width in enumerate(steps.widths_mm):
        end = LENGTH_MM * (k + 1) + (GRIP_MM if k == 3 else 0.0)
        level = stick.vertices[np.abs(stick.vertices[:, 1] - end) < NEAR_MM + 0.3]
        widths = {round(2 * abs(x), 3) for x in level[:, 0]}
        assert any(abs(found - width) < NEAR_MM for found in widths), (width, widths)
    fork = gap(steps).mesh
    assert mesh_fault(fork) is None
    inner = fork.vertices[np.abs(fork.vertices[:, 0]) < 25.15]
    found = {round(2 * abs(x), 3) for x in inner[:, 0]}
    for width in steps.widths_mm:
        assert any(abs(have - width) < NEAR_MM for have in found), (width, found)


def readings_of(machine: Machine, rings: tuple[GaugePart, ...]) -> list[Reading]:
    sizes = {
        ring: top_sizes(machine.printed(part.mesh, ring.inside_mm), ring.inside_mm)
        for ring, part in zip(RINGS, rings, strict=True)
    }
    rows = []
    for feature, nominal in gauge_features():
        ring = next(
            r for r in RINGS if nominal in (r.outside_mm, r.inside_mm, r.height_mm)
            and (feature != "height" or nominal == r.height_mm)
            and (not feature.startswith("inside") or nominal == r.inside_mm)
            and (not feature.startswith(("outside", "first")) or nominal == r.outside_mm)
        )  # fmt: skip
        value = round(sizes[ring][feature] / STEP_MM) * STEP_MM
        rows.append(
            Reading(
                "g", len(rows) + 2, "2026-11-20", "kh", "caliper", STEP_MM, Feature(feature),
                nominal, None, value, None, None, "",
            )
        )  # fmt: skip
    return rows


def learnt_printer(machine: Machine, rings: tuple[GaugePart, ...], folder: Path) -> Printer:
    learnt = learn_printer(readings_of(machine, rings), None)
    assert not learnt.set_aside
    path = folder / "mk.toml"
    path.write_text(printer_profile(learnt, ["printer-mk-0001.csv"], "mk"), encoding="utf-8")
    return read_printer(path)


def test_a_learnt_printer_prints_the_next_dummy_true(
    rings: tuple[GaugePart, ...], tmp_path: Path
) -> None:
    machine = Machine()
    correction = correction_of(learnt_printer(machine, rings, tmp_path))
    wanted = (82.55, 60.0, 21.0)
    solid = mesh_of(block(*wanted, correction), "block")
    printed = machine.printed(solid)
    above = printed[printed[:, 2] > NEAR_MM]
    assert np.ptp(above[:, 0]) == pytest.approx(wanted[0], abs=0.02)
    assert np.ptp(above[:, 1]) == pytest.approx(wanted[1], abs=0.02)
    assert printed[:, 2].max() == pytest.approx(wanted[2], abs=0.02)
    raw = machine.printed(mesh_of(block(*wanted), "block"))
    assert abs(np.ptp(raw[raw[:, 2] > NEAR_MM][:, 1]) - wanted[1]) > 0.2


def test_a_learnt_printer_prints_the_next_box_true_inside(
    rings: tuple[GaugePart, ...], tmp_path: Path
) -> None:
    machine = Machine()
    correction = correction_of(learnt_printer(machine, rings, tmp_path))
    box = walled_box(60.0, 40.0, 15.0, wall_mm=2.0, true=Side.INSIDE, correction=correction)
    mesh = mesh_of(box, "box")
    top = mesh.vertices[mesh.vertices[:, 2] > mesh.vertices[:, 2].max() - NEAR_MM]
    inner = top[np.abs(top[:, 0]) < np.abs(top[:, 0]).max() - NEAR_MM]
    for axis, wanted in ((0, 60.0), (1, 40.0)):
        modelled = float(np.ptp(inner[:, axis]))
        opening = modelled * machine.scale[axis] - 2 * machine.hole_mm
        assert opening == pytest.approx(wanted, abs=0.02)


def test_first_layer_is_learnt(rings: tuple[GaugePart, ...], tmp_path: Path) -> None:
    found = learnt_printer(Machine(), rings, tmp_path)
    assert found.first_layer_mm == pytest.approx(0.21, abs=0.01)
    assert found.height_offset_mm == pytest.approx(0.06, abs=0.01)


def test_sizes_beyond_the_gauge_are_flagged(rings: tuple[GaugePart, ...], tmp_path: Path) -> None:
    printer = learnt_printer(Machine(), rings, tmp_path)
    assert uncovered(printer, "block", outside_mm=(60.0, 18.0), height_mm=(8.0,)) == ()
    (flag,) = uncovered(printer, "block", outside_mm=(60.0, 140.0), inside_mm=(50.0,))
    assert flag.code == "outside-gauge" and "140.0 mm" in flag.message
    assert len(uncovered(Printer("typed by hand"), "block", (60.0,), (60.0,), (60.0,))) == 3


def test_a_corrected_dummy_says_so_on_itself() -> None:
    asked = InsideBlock(60.0, 40.0, 12.0, name="inside")
    plain = make_dummy(asked, Correction(), Bed())
    corrected = make_dummy(asked, Correction(name="mk", scale_x=1e-9), Bed())
    assert corrected.corrected_by == "mk"
    assert mesh_fault(corrected.mesh) is None
    assert len(corrected.mesh.faces) > len(plain.mesh.faces)  # its letters are more
