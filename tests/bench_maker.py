"""A maker who reads the steps and does what the words say, with a sheet that can be turned.

Only the words count: nothing is taken from the values that they were made of, but for the sheet's
pattern, which it is compared with afterwards.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np
import shapely

from fitcheck.sheet.instructions import Instruction

NUMBERS = {
    word: number
    for number, word in enumerate(
        ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"], start=1
    )
}
ACROSS, ALONG = ("left", "right"), ("bottom", "top")
OPPOSITE = {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}


class Board:
    """A sheet on a board that can be turned and turned over; x is the distance from the fence.

    y is the distance from the edge nearest the maker.
    """

    def __init__(self, width: float, length: float) -> None:
        self.width, self.length = width, length
        self.size = np.array([width, length])
        # an affine map from the board back to the sheet as it was cut
        self.turn = np.eye(2)
        self.shift = np.zeros(2)

    def rotate(self, quarters: int) -> None:
        """Turn the sheet anticlockwise and push it back against the fence and the maker."""
        for _ in range(quarters % 4):
            # a point (x, y) of the sheet comes to (size_y - y, x): its old place from the new
            step, back = np.array([[0.0, 1.0], [-1.0, 0.0]]), np.array([0.0, self.size[1]])
            self.shift = self.turn @ back + self.shift
            self.turn = self.turn @ step
            self.size = self.size[::-1]

    def flip(self) -> None:
        """Turn it over like the page of a book."""
        self.shift = self.turn @ np.array([self.size[0], 0.0]) + self.shift
        self.turn = self.turn @ np.diag([-1.0, 1.0])

    @property
    def over(self) -> bool:
        """Whether its other face is up."""
        return bool(np.linalg.det(self.turn) < 0.0)

    def at_fence(self) -> str:
        """The edge of the cut sheet that lies against the fence."""
        return self._edge(0.0, 0.5)

    def _edge(self, x_share: float, y_share: float) -> str:
        x, y = self.turn @ (self.size * (x_share, y_share)) + self.shift
        middles = {"left": (0.0, 0.5), "right": (1.0, 0.5), "bottom": (0.5, 0.0), "top": (0.5, 1.0)}
        return next(
            name
            for name, (a, b) in middles.items()
            if abs(x - a * self.width) < 1e-9 and abs(y - b * self.length) < 1e-9
        )


@dataclass
class Maker:
    """What has been made of a sheet so far."""

    width: float = 0.0
    length: float = 0.0
    up: str = ""
    pencilled: int = 0
    pressed: dict[str, list[shapely.LineString]] = field(default_factory=dict)
    half_cut: dict[str, list[shapely.LineString]] = field(default_factory=dict)
    slanted: dict[str, list[shapely.LineString]] = field(default_factory=dict)
    cuts: list[shapely.LineString] = field(default_factory=list)
    hairs: int = 0
    tabs: list[tuple[str, float | None, tuple[float, float]]] = field(default_factory=list)
    away: int = 0
    keep: int = 0
    turns: int = 0
    turned: set[str] = field(default_factory=set)
    scores: dict[str, list[float]] = field(default_factory=dict)
    """By edge, the distances that are scored from it in the end."""
    made: dict[str, set[float]] = field(default_factory=dict)
    """By edge, the distances scored from it so far: no others can be counted."""

    @property
    def scored(self) -> list[shapely.LineString]:
        """All straight scores along an edge."""
        return [
            line for lines in (*self.pressed.values(), *self.half_cut.values()) for line in lines
        ]

    def spot(self, edge: str, at: float, along: float) -> tuple[float, float]:
        """A place so far from an edge and so far along it, from the left or bottom."""
        x = {"left": at, "right": self.width - at}.get(edge, along)
        y = {"bottom": at, "top": self.length - at}.get(edge, along)
        return x, y

    def run(self, edge: str) -> float:
        """How long an edge is."""
        return self.length if edge in ACROSS else self.width

    def place(self, edge: str, at: float) -> float:
        """A place so far from an edge, from the left or bottom."""
        size = self.width if edge in ACROSS else self.length
        return size - at if edge in ("right", "top") else at


def follow(instructions: Sequence[Instruction]) -> Maker:
    """Do the steps up to the folding."""
    maker = Maker()
    _cut_to_size(maker, instructions[0].text)
    board = Board(maker.width, maker.length)
    for told in instructions[1:]:
        for edge, at in _distances(told, maker):
            maker.scores.setdefault(edge, []).append(at)
    for edge, found in maker.scores.items():
        maker.scores[edge] = sorted({round(at, 6) for at in found})
    for told in instructions[1:]:
        text = told.text
        over = text.startswith("Turn the sheet over") and "core" in text and "Fold" not in text
        stays = False
        if over:
            board.flip()
            stays = told.details[-1].startswith("leave it so")
            maker.turns += 1 if stays else 2
            assert stays or told.details[-1].startswith("then turn it back")
            text = text.partition("is up. ")[2]
        if text.startswith("Score"):
            details = told.details[:-1] if over else told.details
            _score(maker, board, text, details)
        elif text.startswith("Cut") and "with a knife" in text:
            _cut(maker, text, told.details)
        if over and not stays:
            board.flip()
        away = next((line for line in (text, *told.details) if "away (" in line), "")
        if away:
            count = re.search(r"[Tt]ake the (\d+ )?hatched pieces? away", away)
            keep = re.search(r"keep the (\d+) tabs marked x", away)
            assert count
            maker.away = int(count[1] or 1)
            maker.keep = int(keep[1]) if keep else 0
    return maker


def _cut_to_size(maker: Maker, text: str) -> None:
    size = re.search(r"(?:sheet|each) (\S.*?) x (\S.*?) (in|mm) \(", text)
    assert size, text
    maker.width, maker.length = (length(part, size[3]) for part in (size[1], size[2]))
    up = re.search(r"that will be the (inside|outside) of the", text)
    maker.up = up[1] if up else "outside"
    maker.pencilled = 2 if "on both faces" in text else 1
    assert "its edges: left, right, top, bottom" in text


def length(text: str, unit: str) -> float:
    """A printed length in mm."""
    if unit == "mm":
        return float(text)
    return 25.4 * float(sum(Fraction(part) for part in text.split()))


def lengths(text: str) -> list[float]:
    """A printed list of lengths, `3/8, 1 1/4 and 2 1/2 in (9.5, 31.8 and 63.5 mm)`."""
    found = re.match(r"(.*?) (in|mm) \((.*?) (in|mm)\)", text)
    assert found, text
    parts = re.split(r", | and ", found[1])
    other = re.split(r", | and ", found[3])
    assert len(parts) == len(other)
    mine = [length(part, found[2]) for part in parts]
    theirs = [length(part, found[4]) for part in other]
    # the bracket is what is said before it, to a tenth of a millimetre or to 1/32 in
    assert np.allclose(mine, theirs, atol=0.051 if found[2] == "in" else 25.4 / 64 + 0.001)
    return mine


def _sides(maker: Maker, words: str) -> list[str]:
    """The edges that a phrase means."""
    if words == "all four sides":
        return ["left", "right", "top", "bottom"]
    both = re.fullmatch(r"both (long|short) edges", words)
    if both:
        return list(_pair(maker, both[1]))
    two = re.fullmatch(r"the (\w+) and (\w+) edges", words)
    if two:
        return [two[1], two[2]]
    one = re.fullmatch(r"the (\w+) edge", words)
    assert one, words
    return [one[1]]


def _pair(maker: Maker, which: str) -> tuple[str, str]:
    assert abs(maker.width - maker.length) > 0.01 * maker.width, "a square has no long side"
    upright_is_long = maker.length > maker.width
    return ACROSS if (which == "long") == upright_is_long else ALONG


def _told_sides(maker: Maker, text: str, details: Sequence[str]) -> Iterator[tuple[list[str], str]]:
    """Sides and what is scored from them."""
    details = [line for line in details if not line.startswith("A hair inside")]
    single = re.match(
        r"Score (.*?) from edge to edge, (at .*?\)(?:, not pressed[\w ,]* rule)?)", text
    )
    if single and not details:
        yield _sides(maker, single[1]), f"from edge to edge, {single[2]}"
        return
    for line in details:
        if not line.startswith(("No groove", "Rounded", "Score from edge")):
            sides, _, what = line.partition(": ")
            yield _sides(maker, sides), what


def _stretches(what: str) -> Iterator[tuple[list[float], str, bool]]:
    """Distances, the stretch in words (nothing for edge to edge), and whether it is half cut.

    A hair beside a score is made as that score.
    """
    what = re.sub(r"at a hair \([\d.]+ mm\) (inside|outside) ", "at ", what)
    for part in what.split("; "):
        half = "cut half through" in part
        plain = part.partition(", not pressed")[0]
        if plain.startswith("from edge to edge, at "):
            yield lengths(plain.removeprefix("from edge to edge, at ")), "", half
        else:
            at, _, stretch = plain.removeprefix("at ").partition("), ")
            yield lengths(f"{at})"), stretch, half


def _distances(told: Instruction, maker: Maker) -> Iterator[tuple[str, float]]:
    """All that is scored from each edge, so that scores can be counted."""
    text = told.text.rpartition("is up. ")[2] if told.text.startswith("Turn") else told.text
    if not text.startswith("Score") or "point to point" in text:
        return
    details = [line for line in told.details if not line.startswith(("then turn", "leave it so"))]
    details = list(itertools.takewhile(lambda line: not line.startswith("Score at"), details))
    for sides, what in _told_sides(maker, text, details):
        for ats, _, _ in _stretches(what):
            yield from itertools.product(sides, ats)


def _score(maker: Maker, board: Board, text: str, details: Sequence[str]) -> None:
    if "point to point" in text:
        _slants(maker, board, text, details)
        return
    more = [k for k, line in enumerate(details) if line.startswith("Score at")]
    if more:
        _slants(maker, board, details[more[0]], details[more[0] + 1 :])
        details = details[: more[0]]
    _turn_round(maker, board, text)
    face = maker.up if not board.over else OTHER[maker.up]
    stretches = [
        (side, at, stretch, half)
        for sides, what in _told_sides(maker, text, details)
        for ats, stretch, half in _stretches(what)
        for side, at in itertools.product(sides, ats)
    ]
    if any(line.startswith("Score from edge to edge on all sides first") for line in details):
        stretches.sort(key=lambda one: bool(one[2]))
    for side, at, stretch, half in stretches:
        assert side in maker.turned, f"{side} never came to the fence"
        start, stop = 0.0, maker.run(side)
        if stretch:
            start, stop = _span(maker, stretch, None)
        line = shapely.LineString([maker.spot(side, at, along) for along in (start, stop)])
        (maker.half_cut if half else maker.pressed).setdefault(face, []).append(line)
        maker.made.setdefault(side, set()).add(round(at, 6))


OTHER = {"inside": "outside", "outside": "inside"}


def _turn_round(maker: Maker, board: Board, text: str) -> None:
    """Bring the edges to the fence as told; each must be there when its name is called."""
    first = re.search(r"the (\w+) edge against the fence", text)
    assert first
    while board.at_fence() != first[1]:
        board.rotate(1)
    maker.turned = {first[1]}
    turn = r"(a quarter turn \w+|half a turn)"
    each = re.search(rf"then {turn} each for the ([\w, ]+) edge", text)
    if each:
        steps = [(each[1], name) for name in re.split(r", | and ", each[2])]
    else:
        steps = re.findall(rf"then {turn} for the (\w+) edge", text)
    quarters = {"a quarter turn anticlockwise": 1, "a quarter turn clockwise": -1, "half a turn": 2}
    for how, name in steps:
        board.rotate(quarters[how])
        maker.turns += 1
        assert board.at_fence() == name
        maker.turned.add(name)


Corner = tuple[str, str]


def _corners(words: str) -> list[Corner]:
    """Each corner by its edge across and its edge along."""
    if words == "all four corners":
        return list(itertools.product(ACROSS, ALONG))
    both = re.fullmatch(r"both (\w+) corners", words)
    if both:
        return [
            (across, along)
            for across, along in itertools.product(ACROSS, ALONG)
            if both[1] in (across, along)
        ]
    named = re.fullmatch(r"the (.*) corners?", words)
    assert named, words
    return [(one.split()[1], one.split()[0]) for one in re.split(r", | and ", named[1])]


def _contexts(maker: Maker, words: str) -> list[Corner | str | None]:
    """The corners, or the single edges, that a line is done at."""
    if not words:
        return [None]
    if "corner" in words:
        return list(_corners(words))
    return list(_sides(maker, words))


def _edge(maker: Maker, name: str, at: Corner | str | None) -> str:
    """The edge that a name means at a place."""
    plain = name.removesuffix(" edge")
    if plain in OPPOSITE:
        return plain
    pair = (
        ACROSS
        if plain == "left or right"
        else ALONG
        if plain == "top or bottom"
        else _pair(maker, plain)
    )
    assert at is not None, f"{name}: which?"
    return next(edge for edge in ((at,) if isinstance(at, str) else at) if edge in pair)


def _mark(maker: Maker, words: str, edge: str) -> float:
    """How far from the left or bottom a mark lies that is counted from an edge."""
    found = re.fullmatch(r"(?:a hair (inside|outside) )?the (\w+) score", words)
    if found:
        maker.hairs += found[1] is not None
        counted = maker.scores[edge][: NUMBERS[found[2]]]
        assert maker.made.get(edge, set()).issuperset(counted), f"{words} is not made yet"
        return maker.place(edge, counted[-1])
    return maker.place(edge, lengths(words.removeprefix("a line "))[0])  # always in both units


def _full_mark(maker: Maker, words: str, at: Corner | str | None) -> tuple[str, float]:
    """A mark that names its edge: the edge, and how far from the left or bottom it lies."""
    edge = re.fullmatch(r"the ((?:\w+ or )?\w+ edge)", words)
    if edge:
        own = _edge(maker, edge[1], at)
        return own, maker.place(own, 0.0)
    place, _, name = words.rpartition(" from the ")
    own = _edge(maker, name, at)
    return own, _mark(maker, place, own)


def _span(maker: Maker, words: str, at: Corner | str | None) -> tuple[float, float]:
    """From where to where."""
    words = words.removeprefix("from ")
    if words.endswith(" from it"):
        first, _, second = words.removesuffix(" from it").partition(" to ")
        own, start = _full_mark(maker, first, at)
        return start, _mark(maker, second, own)
    first, _, second = words.partition(" to ")
    own, stop = _full_mark(maker, second, at)
    if " from the " not in first and not first.endswith("edge"):
        return _mark(maker, first, own), stop
    return _full_mark(maker, first, at)[1], stop


def _cut(maker: Maker, text: str, details: Sequence[str]) -> None:
    everywhere = re.match(r"Cut at (.*?), (?:with|along)", text)
    for line in details:
        if "slanting in by" in line:
            _tab(maker, line)
        elif "hatched" not in line:
            where, what = everywhere[1] if everywhere else "", line
            own = re.match(r"at (.*?): ", line)
            if own:
                where, what = own[1], line[own.end() :]
            for at in _contexts(maker, where):
                maker.cuts.append(_cut_line(maker, what, at))


def _mitre(maker: Maker, what: str, at: Corner | str | None) -> shapely.LineString:
    """From a corner at 45 degrees to a score, then square to the edge."""
    ends = re.fullmatch(
        r"the mitre, from where (.*) meets (.*), at 45 degrees away from the (.*) to (.*), then "
        r"square to (.*)",
        what,
    )
    assert ends, what
    x, y = (_full_mark(maker, ends[k], at)[1] for k in (1, 2))
    away = _edge(maker, ends[3], at)
    side, to = _full_mark(maker, ends[4], at)
    edge = _full_mark(maker, ends[5], at)
    sign = 1.0 if away in ("left", "bottom") else -1.0
    if side in ACROSS:
        assert edge[0] in ACROSS
        u, v = to, y + sign * abs(to - x)
        return shapely.LineString([(x, y), (u, v), (edge[1], v)])
    u, v = x + sign * abs(to - y), to
    return shapely.LineString([(x, y), (u, v), (u, edge[1])])


def _path(maker: Maker, what: str, at: Corner | str | None) -> shapely.LineString:
    """From corner to corner: each time along the sheet or across it to the next mark."""
    start, *others = what.removeprefix("from where ").split(", to ")
    first, _, second = start.partition(" meets ")
    x, y = _full_mark(maker, first, at)[1], _full_mark(maker, second, at)[1]
    points = [(x, y)]
    for words in others:
        edge, place = _full_mark(maker, words, at)
        x, y = (place, y) if edge in ACROSS else (x, place)
        points.append((x, y))
    return shapely.LineString(points)


def _cut_line(maker: Maker, what: str, at: Corner | str | None) -> shapely.LineString:
    if "at 45 degrees" in what:
        return _mitre(maker, what, at)
    if what.startswith("from where "):
        return _path(maker, what, at)
    if "slanting from where" in what:
        return _point_to_point(maker, what, at)
    along, _, stretch = what.removeprefix("along ").partition(", from ")
    edge, place = _full_mark(maker, along, at)
    start, stop = _span(maker, stretch, at)
    if edge in ACROSS:
        return shapely.LineString([(place, start), (place, stop)])
    return shapely.LineString([(start, place), (stop, place)])


def _point_to_point(maker: Maker, what: str, at: Corner | str | None) -> shapely.LineString:
    ends = re.search(r"slanting from where (.*) meets (.*) to where (.*) meets (.*)", what)
    assert ends, what
    points = []
    for across, along in ((ends[1], ends[2]), (ends[3], ends[4])):
        points.append((_full_mark(maker, across, at)[1], _full_mark(maker, along, at)[1]))
    return shapely.LineString(points)


def _slants(maker: Maker, board: Board, text: str, details: Sequence[str]) -> None:
    everywhere = re.match(r"Score at (.*?), along", text)
    face = maker.up if not board.over else OTHER[maker.up]
    for line in details:
        where, what = everywhere[1] if everywhere else "", line
        own = re.match(r"at (.*?): ", line)
        if own:
            where, what = own[1], line[own.end() :]
        for at in _contexts(maker, where):
            maker.slanted.setdefault(face, []).append(_point_to_point(maker, what, at))


def _tab(maker: Maker, line: str) -> None:
    who, _, how = line.partition(": ")
    long = re.match(r"(.*?\)) long from the score, ", how)
    both = re.search(r"both ends slanting in by (.*?\)) at the tip", how)
    if both:
        trims = (lengths(both[1])[0],) * 2
    else:
        ends = re.search(r"by (.*?\)) at the tip and the other by (.*?\))$", how)
        assert ends, how
        trims = lengths(ends[1])[0], lengths(ends[2])[0]
    maker.tabs.append((who, lengths(long[1])[0] if long else None, trims))
