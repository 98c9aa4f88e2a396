"""All sizes to a hundredth of a millimetre, for whoever asks for details."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.fit.assembly import Part
from fitcheck.fit.check import Check
from fitcheck.outputs.bench_words import row, wrapped
from fitcheck.outputs.inside import insides_of
from fitcheck.units import show_number


def size_details(check: Check) -> str:
    """A paragraph for each part and one for what closes it."""
    lines = ["", "sizes to a hundredth, mm"]
    for part in check.assembly.parts:
        sheet, sizes = part.pattern.sheet, part.sizes
        said = [f"sheet {_across(sheet.width_mm, sheet.length_mm)}"]
        if not part.pattern.flat:
            said += [
                f"outside at the rim {_across(*sizes.outside_mm)}",
                *_insides(part),
                f"depth inside {_across(sizes.depth_mm)}",
            ]
        said.append(f"height outside {_across(sizes.height_mm)}")
        lines.append(wrapped(", ".join(said), part.recipe.part))
    lines += _closing(check)
    return "\n".join(lines) + "\n"


def _insides(part: Part) -> Iterator[str]:
    for inside in insides_of(part):
        yield f"{inside.words} {inside.where} {_across(*inside.size_mm)}".replace("  ", " ")


def _closing(check: Check) -> Iterator[str]:
    lid = check.lid
    if lid is not None:
        yield row(
            "lid fit",
            f"overlap {_across(lid.overlap_mm)}, base showing {_across(max(0.0, lid.reveal_mm))}, "
            f"closed height {_across(lid.closed_height_mm)}",
        )
    for turn in check.turns:
        yield row(turn.mate.called, f"closed height {_across(turn.closed_height_mm)}")


def _across(*lengths_mm: float) -> str:
    return " x ".join(show_number(mm, 2) for mm in lengths_mm)
