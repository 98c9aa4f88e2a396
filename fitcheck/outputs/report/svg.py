"""Drawings are SVG text with line kinds as classes, so that one style sheet serves light and dark.

Coordinates are millimetres on paper, y downwards. Nothing is written that was not escaped here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from fitcheck.plain import printable

DIGITS = 4
TEXT_MM = 4.0
"""Size of the type in drawings."""
LETTER_MM = 2.2
"""About how wide a letter is, as large as a phone shows it."""
APART_MM = 0.8
"""What two texts in a row keep between them at the least."""
FONTS = "'DejaVu Sans Condensed', 'DejaVu Sans', 'Noto Sans', 'Segoe UI', Arial, sans-serif"

INK_LIGHT: Mapping[str, str] = {
    "paper": "#ffffff",
    "ink": "#1c2529",
    "quiet": "#566268",
    "wash": "#e9edee",
    "accent": "#0b5f86",
    "face": "#f3f4f2",
}
"""The inks of a drawing that stands alone; the page has its own for light and dark."""

_RULES = """
.drawing text{{font-family:{fonts};font-size:{text}px;fill:{ink}}}
.drawing .quiet-text{{fill:{quiet}}}
.drawing .strong{{font-weight:bold}}
.drawing .start{{text-anchor:start}}
.drawing .middle{{text-anchor:middle}}
.drawing .end{{text-anchor:end}}
.drawing .wide,.drawing .thin,.drawing .chain,.drawing .hidden,.drawing .cut,.drawing .hatch,
.drawing .edge{{fill:none;stroke:{ink}}}
.drawing .wide{{stroke-width:.5}}
.drawing .thin{{stroke-width:.25}}
.drawing .quiet{{fill:none;stroke:{quiet};stroke-width:.25}}
.drawing .chain{{stroke-width:.25;stroke-dasharray:6 1 1 1}}
.drawing .hidden{{stroke-width:.35;stroke-dasharray:2 1}}
.drawing .mark{{fill:none;stroke:{accent};stroke-width:.7}}
.drawing .hand{{fill:none;stroke:{paper};stroke-width:2.6;stroke-linejoin:round}}
.drawing .hand-way{{fill:none;stroke:{accent};stroke-width:1.1;stroke-linejoin:round}}
.drawing .tip{{fill:{ink};stroke:none}}
.drawing .mark-tip{{fill:{accent};stroke:none}}
.drawing .mark-text{{fill:{accent};font-weight:bold}}
.drawing .wash{{fill:{wash};stroke:none}}
.drawing .plain{{fill:{paper};stroke:none}}
.drawing .body{{fill:{wash};stroke:{ink};stroke-width:.35}}
.drawing .label{{fill:{paper};stroke:{accent};stroke-width:.35}}
.drawing .bar{{fill:{accent};stroke:{ink};stroke-width:.25}}
.drawing .cut{{stroke-width:.5;stroke-linejoin:round}}
.drawing .hatch{{stroke-width:.18}}
.drawing .label-on{{paint-order:stroke;stroke:{paper};stroke-width:1.2;stroke-linejoin:round}}
.drawing .lid-cut{{fill:url(#hatch-lid);stroke:none}}
.drawing .base-cut{{fill:url(#hatch-base);stroke:none}}
.drawing .plain-edge{{fill:{face};stroke:{quiet};stroke-width:.35}}
.drawing .tinted{{stroke:{ink};stroke-width:.25;stroke-linejoin:round}}
.drawing .gone{{fill:none;stroke:{quiet};stroke-width:.18}}
.drawing .was-score{{fill:none;stroke:{quiet};stroke-width:.3;stroke-dasharray:3 1.5}}
.drawing .was-cut{{fill:none;stroke:{quiet};stroke-width:.4}}
.drawing .new-score{{fill:none;stroke:{accent};stroke-width:.7;stroke-dasharray:3 1.5}}
.drawing .new-cut{{fill:none;stroke:{ink};stroke-width:.9}}
.drawing .fence{{fill:none;stroke:{quiet};stroke-width:1.6}}
.drawing .face{{stroke-linejoin:round}}
.drawing .shade{{fill:#10181c;stroke:none}}
.drawing .edge,.drawing .edge-on-dark{{fill:none;stroke-width:.22;stroke-linejoin:round;
stroke-linecap:round}}
"""


def drawing_rules(ink: Mapping[str, str]) -> str:
    """The style sheet of every drawing, with the given inks (colours, or references to them)."""
    return _RULES.format(fonts=FONTS, text=TEXT_MM, **ink)


@dataclass(frozen=True)
class Drawing:
    """One drawing and what it says to someone who cannot see it."""

    name: str
    """Short, for ids and file names."""
    title: str
    words: str
    """What there is to see, in a sentence or two."""
    width: float
    height: float
    marks: tuple[str, ...]

    def inline(self) -> str:
        """The drawing as part of a page that has the style sheet."""
        return self._svg("")

    def alone(self) -> str:
        """The drawing as a file of its own, light."""
        size = f' width="{number(self.width)}mm" height="{number(self.height)}mm"'
        # a little taller, so that the last row of pixels is white where it is not a whole one
        tall = number(self.height + 1.0)
        paper = f'<rect class="plain" width="{number(self.width)}" height="{tall}"/>'
        style = f"<style>{drawing_rules(INK_LIGHT)}</style>"
        head = '<?xml version="1.0" encoding="UTF-8"?>\n'
        return head + self._svg(size, style + paper) + "\n"

    def _svg(self, size: str, before: str = "") -> str:
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="img"{size} '
            f'viewBox="0 0 {number(self.width)} {number(self.height)}" '
            f'aria-labelledby="{self.name}-title" aria-describedby="{self.name}-words">'
            f'<title id="{self.name}-title">{clean(self.title)}</title>'
            f'<desc id="{self.name}-words">{clean(self.words)}</desc>'
            + before
            + "".join(self.marks)
            + "</svg>"
        )


def number(value: float) -> str:
    """A coordinate without a useless tail."""
    return f"{round(float(value), DIGITS) + 0.0:.{DIGITS}f}".rstrip("0").rstrip(".")


def clean(text: str) -> str:
    """Text as character data; control signs, for which XML has no place, become blanks."""
    return escape(printable(text))


def tag(name: str, kind: str, inside: str | None = None, /, **attributes: object) -> str:
    """One element; floats are rounded, everything else is quoted; `_` in a name becomes `-`."""
    parts = [f"<{name} class={quoteattr(kind)}" if kind else f"<{name}"]
    for key, value in attributes.items():
        shown = number(value) if isinstance(value, float) else str(value)
        parts.append(f"{key.replace('_', '-')}={quoteattr(printable(shown))}")
    return " ".join(parts) + ("/>" if inside is None else f">{inside}</{name}>")


def text(
    words: str, x: float, y: float, kind: str = "start", turn: float = 0.0, **attributes: object
) -> str:
    """One line of text with its baseline at (x, y)."""
    if turn:
        attributes["transform"] = f"rotate({number(turn)} {number(x)} {number(y)})"
    return tag("text", kind, clean(words), x=float(x), y=float(y), **attributes)


def levels(texts: Sequence[tuple[str, float, float]]) -> list[int]:
    """In which of several rows texts stand clear of each other, the fewest rows first.

    Each is (words, the middle, the room that it has in the first row), mm, from left to right.

    >>> levels([("tight", 10.0, 7.0), ("snug", 18.0, 9.5), ("slides", 40.0, 30.0)])
    [1, 0, 0]
    """
    ends: dict[int, float] = {}
    found = []
    for words, middle, room in texts:
        wide = LETTER_MM * len(words)
        level = 0 if wide + 0.5 * APART_MM <= room else 1
        while middle - 0.5 * wide < ends.get(level, -math.inf) + APART_MM:
            level += 1
        ends[level] = middle + 0.5 * wide
        found.append(level)
    return found


def line(kind: str, start: Sequence[float], stop: Sequence[float], **attributes: object) -> str:
    """A straight line."""
    x1, y1, x2, y2 = (float(value) for value in (*start[:2], *stop[:2]))
    return tag("line", kind, x1=x1, y1=y1, x2=x2, y2=y2, **attributes)


def outline(kind: str, points: Iterable[Sequence[float]], **attributes: object) -> str:
    """A closed shape."""
    return tag("path", kind, d=closed(points), **attributes)


def closed(points: Iterable[Sequence[float]]) -> str:
    """The path data of a closed shape."""
    return f"M {' L '.join(f'{number(p[0])},{number(p[1])}' for p in points)} Z"


def rect(kind: str, x: float, y: float, width: float, height: float, **attributes: object) -> str:
    """An upright rectangle."""
    size = {"x": float(x), "y": float(y), "width": float(width), "height": float(height)}
    return tag("rect", kind, **size, **attributes)


def arrow(kind: str, tip: Sequence[float], towards: tuple[float, float], size: float = 2.6) -> str:
    """A filled arrow head at `tip`, pointing along the unit direction `towards`."""
    x, y = tip[0], tip[1]
    dx, dy = towards
    back = (x - dx * size, y - dy * size)
    wing = 0.18 * size
    return outline(
        kind,
        [
            (x, y),
            (back[0] - dy * wing, back[1] + dx * wing),
            (back[0] + dy * wing, back[1] - dx * wing),
        ],
    )


def hatching(name: str, slope: int, step: float = 1.6) -> str:
    """A pattern of thin slanting lines to fill a cut face with; `slope` is 1 or -1."""
    return tag(
        "pattern",
        "",
        line("hatch", (0.0, 0.0), (0.0, step)),
        id=name,
        width=step,
        height=step,
        patternUnits="userSpaceOnUse",
        patternTransform=f"rotate({45 * slope})",
    )
