"""What a stand-in for the outside says of a base with a brim, or with walls that lean out.

By hand (the shared design's section 4): the floor's creases stand 2 a further apart than its
scores, a brim ends b + 2 a - t outside them, so that a foot is 2 (b + a - t) narrower than the rim.
"""

from __future__ import annotations

import math
from pathlib import Path

from tests.other_package import EXTRAS, fitcheck_beside, installed
from tests.own_styles import FERNS, brims

T = 0.330
A = (1.0 - math.pi / 8.0) * T
"""Caliper of cardstock-270, whose creases nobody measured: r = 0 and k = 1/2."""


def said(folder: Path, beside: Path, design: str) -> str:
    (folder / "models").mkdir()
    (folder / "models" / "items.toml").write_text("")
    (folder / "models" / "ferns.toml").write_text(design)
    ran = fitcheck_beside([beside], "dummy", "ferns", "--only", "outside", "-o", "out", cwd=folder)
    assert ran.status == 0, ran.err
    return " ".join(ran.out.split())


def test_a_brim_is_told_once_and_as_what_it_is(tmp_path: Path) -> None:
    text = said(tmp_path, brims(tmp_path / "site"), FERNS)
    less = f"{2 * (8 + A - T):.2f} mm narrower"
    assert (
        "as wide as the base is at its rim, where it is turned outwards; at its foot the base is "
        f"{less} across its width and {less} across its length"
    ) in text
    assert "glued corners" not in text and "lean in" not in text


def test_walls_that_lean_out_are_told_to(tmp_path: Path) -> None:
    """Nothing is glued at the corners of a tray that is taped."""
    drawn = "drawn += plain_wall(Canvas(axis), foot, rim, feet)"
    lean = "replace(w, creases=tuple(replace(c, angle_rad=1.3) for c in w.creases))"
    code = EXTRAS.replace(drawn, f"w = plain_wall(Canvas(axis), foot, rim, feet); drawn += {lean}")
    assert code != EXTRAS
    offers = {"fitcheck.styles": {"strip-tray": "bench_extras:STRIP_TRAY"}}
    beside = installed(tmp_path / "site", "bench-extras", code, offers)
    design = FERNS.replace("brim-tray", "strip-tray").replace("brim = 8\n", "")
    text = said(tmp_path, beside, design)
    assert "as wide as the base is at its rim, as its walls lean out; at its foot" in text
    assert "glued corners" not in text and "lean in" not in text
