"""Draws all golden images anew: `.venv/bin/python -m tests.golden`. Look before you keep them."""

from __future__ import annotations

import itertools
import sys
import tempfile
from pathlib import Path

from PIL import Image

from tests.browser.browser import chromium
from tests.golden import pictures


def keep(name: str, image: Image.Image) -> None:
    """Write one image, and say so."""
    path = pictures.HERE / f"{name}.png"
    image.quantize(128, dither=Image.Dither.NONE).save(path, optimize=True)
    sys.stdout.write(f"{path.name}: {path.stat().st_size} bytes\n")


def main() -> None:
    """All of them."""
    for name, drawing in itertools.chain(pictures.stills(), pictures.steps()):
        keep(name, pictures.picture(drawing))
    with chromium() as browser, tempfile.TemporaryDirectory() as folder:
        for name, width in pictures.TURNING:
            shown = pictures.turning(browser, name, width, Path(folder))
            keep(f"{name}-turning-{width}", shown)


if __name__ == "__main__":
    main()
