"""The README's pictures, made anew by the program: `python -m tests.readme_pictures`.

Each is as it comes out of the commands, scaled down and in few colours so that it stays small.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from io import BytesIO
from pathlib import Path

import pypdfium2
from PIL import Image

from tests.browser.browser import chromium
from tests.served import served, workspace

ROOT = Path(__file__).resolve().parent.parent
PICTURES = ROOT / ".pictures"
VIEWS = ("harbour-folded", "harbour-section", "tea-folded", "whist-exploded")
WIDE = 800
"""How wide a view is shown, in pixels."""
COLOURS = 128
SEAM = 10


def main() -> None:
    """Make all of them in a folder of their own, then put them in place."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for design in dict.fromkeys(view.split("-")[0] for view in VIEWS):
            _run("check", design, "--no-odds", "--picture", str(folder))
        for view in VIEWS:
            picture = Image.open(folder / f"{view}.png").convert("RGB")
            tall = round(picture.height * WIDE / picture.width)
            _keep(picture.resize((WIDE, tall), Image.Resampling.LANCZOS), view)
        _run("sheet", "harbour", "-o", str(folder), "--paper", "letter")
        _keep(_page(folder / "harbour.pdf", 1, 595), "harbour-sheet")
        _keep(_bench(folder), "bench")
        _run("publish", "harbour", "-o", str(folder), "--paper", "letter", "--force")
        pages = [_page(folder / "harbour.pdf", number, 680) for number in (0, 1)]
        both = Image.new("RGB", (2 * pages[0].width + SEAM, pages[0].height), "#777777")
        for number, page in enumerate(pages):
            both.paste(page, (number * (page.width + SEAM), 0))
        _keep(both, "harbour-recipe")


def _run(*words: str) -> None:
    command = [str(Path(sys.executable).parent / "fitcheck"), *words]
    subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)


def _page(path: Path, number: int, wide: int) -> Image.Image:
    """A page of a PDF, so many pixels wide."""
    document = pypdfium2.PdfDocument(path)
    page = document[number]
    picture: Image.Image = page.render(scale=wide / page.get_width()).to_pil().convert("RGB")
    return picture


def _bench(folder: Path) -> Image.Image:
    """The framed example on the bench page, once its odds are counted."""
    design = (ROOT / "models" / "harbour.toml").read_text(encoding="utf-8")
    root = workspace(folder / "atelier", harbour=design)
    with served(root) as bench, chromium() as browser:
        context = browser.new_context(viewport={"width": 1280, "height": 1240})
        name, _, value = bench.cookie.partition("=")
        context.add_cookies([{"name": name, "value": value, "url": bench.home}])
        page = context.new_page()
        page.goto(f"{bench.home}/#/design/harbour")
        page.locator(".odds [role=status]", has_text="Counted over 200,000").wait_for(timeout=120e3)
        page.locator(".turning[data-drawn]").wait_for()
        shot = Image.open(BytesIO(page.screenshot())).convert("RGB")
    return shot.resize((WIDE, round(shot.height * WIDE / shot.width)), Image.Resampling.LANCZOS)


def _keep(picture: Image.Image, name: str) -> None:
    path = PICTURES / f"{name}.png"
    picture.quantize(COLOURS).save(path, optimize=True)
    size = f"{picture.width} x {picture.height}, {path.stat().st_size} bytes"
    sys.stdout.write(f"{path.name}: {size}\n")


if __name__ == "__main__":
    main()
