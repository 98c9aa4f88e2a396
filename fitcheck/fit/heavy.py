"""What is too heavy for a bottom that is only tucked in."""

from __future__ import annotations

from fitcheck.cautions import tucked_bottom_cautions
from fitcheck.findings import Finding
from fitcheck.fit.assembly import Assembly
from fitcheck.pattern.pattern import Role


def heavy_findings(assembly: Assembly) -> tuple[Finding, ...]:
    """Cautions about what stands on bottom flaps that nothing but their tuck holds."""
    panels = (panel for part in assembly.parts for panel in part.pattern.panels)
    if not any(panel.role is Role.BOTTOM_FLAP for panel in panels):
        return ()
    contents = assembly.design.contents
    return tucked_bottom_cautions(
        (assembly.rooms * content.count, content.item) for content in contents
    )
