"""Suggestions for a box of another package's style that has a length of its own."""

from __future__ import annotations

import tomllib
from pathlib import Path

from tests.cli.test_other_packages import DESIGN, ITEMS
from tests.other_package import EXTRAS, fitcheck_beside, installed

SPEC = """
@dataclass(frozen=True, kw_only=True)
class StripSpec(WalledSpec):
    hem_mm: float
    own_lengths = (OwnLength("hem", "hem"),)

    def lengths_mm(self, joint_mm):
        return {"hem": self.hem_mm}


class StripTray("""
KEY = '    strip: Literal["paper"'
CHANGES = {
    "Item, Kind,": "Item, Kind, Length, OwnLength,",
    "\nclass StripTray(": SPEC,
    KEY: f'    hem: Length = Field(description="x")\n{KEY}',
    "return WalledSpec(**common, ": "return StripSpec(**common, hem_mm=file.hem, ",
}


def test_it_stays_as_it_is_given(tmp_path: Path) -> None:
    """Rows of lengths hold what our styles have; of the hem they know nothing."""
    code = EXTRAS
    for before, after in CHANGES.items():
        assert code.count(before) == 1
        code = code.replace(before, after)
    offers = {
        "fitcheck.styles": {"strip-tray": "bench_extras:STRIP_TRAY"},
        "fitcheck.kinds": {"triangle": "bench_extras:TRIANGLE"},
    }
    beside = [installed(tmp_path / "site", "bench-extras", code, offers)]
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "items.toml").write_text(ITEMS)
    design = DESIGN.replace("depth = 46", "depth = 46\nhem = 6.35").replace("= 1.5", "= 0.3")
    (tmp_path / "models" / "nougat.toml").write_text(design)
    ran = fitcheck_beside(
        beside, "suggest", "nougat", "--odds", 500, "--take", 1, "-o", "better.toml", cwd=tmp_path
    )
    assert ran.status == 0, ran.err
    data = tomllib.loads((tmp_path / "better.toml").read_text())
    assert data["base"]["hem"] == 6.35
    assert data["lid"]["oversize"] != 0.3
