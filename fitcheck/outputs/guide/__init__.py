"""The guide: chapters for makers, for the curious and for who writes a style, as shipped."""

from __future__ import annotations

from importlib import resources


def chapters() -> dict[str, str]:
    """Each chapter's text by its name, in order."""
    folder = resources.files(__name__)
    files = sorted(entry.name for entry in folder.iterdir() if entry.name.endswith(".md"))
    return {
        name.partition("-")[2].removesuffix(".md"): (folder / name).read_text(encoding="utf-8")
        for name in files
    }


def heading(text: str) -> str:
    """A chapter's title."""
    return text.partition("\n")[0].removeprefix("# ")
