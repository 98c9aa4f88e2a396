"""fitcheck answers whether a folded cardstock box takes its contents and lid, before it is cut.

What stands in `__all__` is the face of the program for Python: `read` or `build` a design, `check`
it, and take arrays, solids, meshes, odds and sheets from the answer. `fitcheck.extending` is what
a package needs that adds a style or a kind of content. Everything else is private.

    >>> import fitcheck
    >>> design = fitcheck.build({
    ...     "format": 1, "title": "Box", "unit": "mm",
    ...     "base": {"style": "tray", "stock": "cardstock-270", "floor": [80, 120], "depth": 20},
    ... })
    >>> checked = fitcheck.check(design)
    >>> checked.fits, round(checked.parts["base"].outside_mm[0], 2)
    (True, 80.4)
"""

from typing import TYPE_CHECKING, Any

__version__ = "0.9.12"

if TYPE_CHECKING:
    from fitcheck.errors import FitcheckError, InputError, MissingLibraryError, ModelError
    from fitcheck.face.checked import Checked, check
    from fitcheck.face.contents import Content
    from fitcheck.face.designs import Design, build, read
    from fitcheck.face.mates import Mate
    from fitcheck.face.odds import Odds
    from fitcheck.face.parts import Bend, Part, Piece, Plate
    from fitcheck.face.sheets import Label, Sheet, Stroke
    from fitcheck.findings import Finding, Severity

__all__ = [
    "Bend",
    "Checked",
    "Content",
    "Design",
    "Finding",
    "FitcheckError",
    "InputError",
    "Label",
    "Mate",
    "MissingLibraryError",
    "ModelError",
    "Odds",
    "Part",
    "Piece",
    "Plate",
    "Severity",
    "Sheet",
    "Stroke",
    "__version__",
    "build",
    "check",
    "read",
]

_HOMES = {
    "fitcheck.errors": ("FitcheckError", "InputError", "MissingLibraryError", "ModelError"),
    "fitcheck.face.checked": ("Checked", "check"),
    "fitcheck.face.contents": ("Content",),
    "fitcheck.face.designs": ("Design", "build", "read"),
    "fitcheck.face.mates": ("Mate",),
    "fitcheck.face.odds": ("Odds",),
    "fitcheck.face.parts": ("Bend", "Part", "Piece", "Plate"),
    "fitcheck.face.sheets": ("Label", "Sheet", "Stroke"),
    "fitcheck.findings": ("Finding", "Severity"),
}
"""Where each name comes from; loaded when it is asked for, so that importing costs nothing."""


def __getattr__(name: str) -> Any:
    """A public name, from its home (PEP 562)."""
    from importlib import import_module

    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(home), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
