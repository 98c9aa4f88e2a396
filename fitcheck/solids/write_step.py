"""Solids leave as STEP, as named bodies of one part, for other modellers; the same bytes each time.

The modeller writes the time and a running number into its text; those are put right here.
"""

import re
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fitcheck.errors import ModelError
from fitcheck.solids.libraries import load_modeller

FIXED_TIME = "2000-01-01T00:00:00"
"""Stands in the header for the time of writing, which would change the bytes."""

NOISE = re.compile(r"(?<!\d)-?\d++\.\d*E-(?:1[5-9]|[2-9]\d)")
"""Numbers that are nothing but the modeller's rounding, which changes from run to run."""
MINUS_NOTHING = re.compile(r"(?<![\w.])-0\.(?=[,)])")
_HEADER = re.compile(r"FILE_NAME\(.*?\);(?=\s*FILE_SCHEMA)", re.DOTALL)
_PART = re.compile(r"(= PRODUCT\()'[^']*',\s*'[^']*'")


def encode(solids: Mapping[str, Any], title: str) -> bytes:
    """One file with all the modeller's solids as named bodies, in place.

    Raises ``ModelError`` when the modeller cannot write them, ``MissingLibraryError`` without it.
    """
    occ = load_modeller()
    for name, solid in solids.items():
        solid.name = name
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "out.step"
        try:
            occ.Compound(list(solids.values())).WriteStep(str(path))
            text = path.read_text("utf-8")
        except (RuntimeError, OSError) as error:
            raise ModelError(f"{title}: the modeller could not write it as STEP") from error
    return _coded(_settled(text, title))


def _settled(text: str, title: str) -> str:
    """The modeller's text with the title, and without what changes from run to run."""
    said = title.replace("\\", "\\\\").replace("'", "''")
    header = f"FILE_NAME('{said}','{FIXED_TIME}',(''),(''),'fitcheck','fitcheck','');"
    text, headers = _HEADER.subn(lambda _: header, text)
    text, parts = _PART.subn(lambda found: f"{found[1]}'{said}','{said}'", text)
    if headers != 1 or parts != 1:
        raise ModelError(f"{title}: the modeller's STEP file is not as it should be")
    return MINUS_NOTHING.sub("0.", NOISE.sub("0.", text))


def _coded(text: str) -> bytes:
    """Letters beyond ASCII in the code that ISO 10303-21 has for them."""

    def code(found: re.Match[str]) -> str:
        return f"\\X4\\{found[0].encode('utf-32-be').hex().upper()}\\X0\\"

    return re.sub(r"[^\x00-\x7f]+", code, text).encode("ascii")
