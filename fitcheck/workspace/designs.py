"""A design is given as a file, or by its name among the designs of the workspaces."""

from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.plain import composed, shown
from fitcheck.workspace.names import ITEMS_FILE
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.paths import MODELS, as_spelt, entered, is_file, search_roots


def find_design(given: Path) -> Path:
    """The design file that is meant. Raises InputError with the nearest known names."""
    given = as_spelt(given)
    if is_file(given) or given.suffix or len(given.parts) != 1 or not given.name:
        return given
    here = as_spelt(given.with_suffix(".toml"))
    if is_file(here):
        return here
    known = known_designs()
    alike = {composed(name): path for name, path in known.items()}
    found = known.get(given.name) or alike.get(composed(given.name))
    if found is not None:
        return found
    raise InputError(
        f"no such design; read {shown(str(given))}; allowed: a file, or the name of a design in "
        f"models; {did_you_mean(given.name, known)}; correct the name"
    )


def known_designs() -> dict[str, Path]:
    """The designs of the workspaces by their names, the nearest workspace first."""
    return {
        path.stem: path
        for root in reversed(search_roots())
        for path in sorted(entered(root / MODELS).glob("*.toml"))
        if path.name != ITEMS_FILE
    }
