"""Straight cuts in a maker's words: along which score, from where to where, at which corners."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from fitcheck.pattern.sheet import Fence, Sheet
from fitcheck.plain import joined
from fitcheck.sheet.cut_paths import path_words, paths_of
from fitcheck.sheet.cuts import (
    CutLine,
    CutOutline,
    Found,
    MitreLine,
    ScoreSlants,
    SlantedLine,
    TrimTab,
)
from fitcheck.sheet.mark_text import (
    LEVEL,
    UPRIGHT,
    Edges,
    corner_words,
    from_to,
    mark_words,
    pair_words,
)
from fitcheck.sheet.marks import Mark
from fitcheck.units import Unit, show_hands, show_number

MANY = 8
"""An outline of more lines is sooner cut by a print of the sheet, and told as paths."""
Lines = tuple[str, ...]
Corner = tuple[Fence, Fence]


@dataclass(frozen=True)
class ToldCut:
    """One line of the straight cuts."""

    where: str
    """The corners or edges that it holds for; nothing for a cut across the sheet, or tabs."""
    words: str
    measured_mm: tuple[float, ...] = ()
    """The lengths in it that no score shows, but for those of tabs."""
    tabs: str = ""
    """The tabs that it trims."""

    @property
    def by_scores(self) -> bool:
        """Whether it needs no rule."""
        return not (self.measured_mm or self.tabs)


def cut_words(step: CutOutline, sheet: Sheet, unit: Unit) -> tuple[str, Lines]:
    """One instruction for all straight cuts, alike ones on one line."""
    told = told_cuts(step, sheet, unit)
    by_print = _by_print(step, sheet)
    tabs = tuple(f"{one.tabs}: {one.words}" for one in told if one.tabs)
    where, lines = _placed([one for one in told if not one.tabs], apart=by_print)
    by = "in several light strokes of a knife along a metal rule"
    how = f"{by if step.knife else 'with a knife along a metal rule or with scissors'}{_hair(step)}"
    if by_print:
        how = f"along the wide lines of the printed 1:1 sheet, or by measure, {how}"
    return f"Cut{where}, {how}:", (*lines, *tabs)


def told_cuts(step: CutOutline, sheet: Sheet, unit: Unit) -> tuple[ToldCut, ...]:
    """All straight cuts, alike ones on one line; those of many lines as paths."""
    lines, own = step.lines, []
    if _by_print(step, sheet):
        paths, lines = paths_of(step.lines)
        where = pair_words(LEVEL, sheet)
        own = [ToldCut(where, path_words(x, sheet, unit), _measured(x.marks)) for x in paths]
    tabs = (ToldCut("", how, tabs=who) for who, how in _tabs(step.tabs, unit))
    return (*own, *_told(lines, sheet, unit), *tabs)


def _by_print(step: CutOutline, sheet: Sheet) -> bool:
    """Whether an outline has so many lines that it is sooner cut by a print of the sheet."""
    return len(_alike(step.lines, sheet)) + len(step.tabs) > MANY


def _measured(marks: Iterable[Mark]) -> tuple[float, ...]:
    """How far those of some marks that lie at no score are from their edges, mm."""
    return tuple(dict.fromkeys(mark.at_mm for mark in marks if mark.score is None))


def _hair(step: CutOutline) -> str:
    """How much a hair is, if there is one."""
    hairs = [abs(m.beyond_mm) for line in step.lines if not line.jog for m in line.marks if m.hair]
    return (
        f" (a hair: {show_number(max(hairs), 1)} mm at most; join cuts that end a hair apart)"
        if hairs
        else ""
    )


def _tabs(tabs: Sequence[TrimTab], unit: Unit) -> Iterator[tuple[str, str]]:
    """Which tabs are trimmed, and how, those that are alike together."""
    kinds: dict[str, list[str]] = {}
    for tab in tabs:
        kinds.setdefault(_trim(tab, unit), []).append(f"the {tab.tab}")
    by_name = tabs_by_name(tabs, unit)
    for how, names in kinds.items():
        yield joined(names) if by_name else f"the {len(tabs)} tabs marked x", how


def tabs_by_name(tabs: Collection[TrimTab], unit: Unit) -> bool:
    """Whether tabs are told by their names, as they are trimmed in different ways."""
    return len({_trim(tab, unit) for tab in tabs}) > 1 or not all(tab.marked for tab in tabs)


def _trim(tab: TrimTab, unit: Unit) -> str:
    long = "" if tab.to_edge else f"{show_hands([tab.length_mm], unit)} long from the score, "
    one, other = (show_hands([mm], unit) for mm in tab.trims_mm)
    if one == other:
        return f"{long}both ends slanting in by {one} at the tip"
    return f"{long}one end slanting in by {one} at the tip and the other by {other}"


def slant_words(step: ScoreSlants, sheet: Sheet, unit: Unit) -> tuple[str, Lines]:
    """One instruction for all scores that run along no edge."""
    where, lines = _placed(_told(step.lines, sheet, unit))
    if step.half_cut:
        how = f"Cut half through{where}, in light strokes along a steel rule"
    else:
        how = f"Score{where}, along a rule"
    return f"{how}, from point to point:", lines


def slant_card(step: ScoreSlants, sheet: Sheet, unit: Unit) -> str:
    """The same as a card shows it."""
    where, lines = _placed(_told(step.lines, sheet, unit))
    return f"{where.strip()}: {'; '.join(lines)}" if where else "; ".join(lines)


def _placed(told: Sequence[ToldCut], *, apart: bool = False) -> tuple[str, Lines]:
    """Where all of it is, if it is in one place and not told `apart`, and each line."""
    places = {one.where for one in told}
    if not apart and len(places) == 1 and (place := places.pop()):
        return f" at {place}", tuple(one.words for one in told)
    return "", tuple(f"at {one.where}: {one.words}" if one.where else one.words for one in told)


def _told(found: Sequence[Found], sheet: Sheet, unit: Unit) -> list[ToldCut]:
    """A line for each set that is alike, those of which there are most first."""
    return [
        ToldCut(
            where,
            _line(group, sheet, unit),
            _measured(mark for line in group for mark in line.marks),
        )
        for where, group in _alike(found, sheet)
    ]


def _alike(found: Sequence[Found], sheet: Sheet) -> list[tuple[str, list[Found]]]:
    """The sets that are each other's mirror images, and where each lies."""
    groups: dict[Hashable, list[Found]] = {}
    for line in found:
        if not line.jog:
            groups.setdefault(_key(line), []).append(line)
    return sorted(
        ((_where(group, sheet), group) for group in groups.values()),
        key=lambda one: (-len(one[1]), not isinstance(one[1][0], CutLine)),
    )


def _line(group: Sequence[Found], sheet: Sheet, unit: Unit) -> str:
    """One line for cuts that are each other's mirror images."""
    first = group[0]
    fences = {mark.fence for line in group for mark in line.marks} if len(group) > 1 else set()
    mirrored = frozenset(
        fence
        for pair in (UPRIGHT, LEVEL)
        if pair <= fences and not _spans(first, pair)
        for fence in pair
    )
    edges = Edges(sheet, mirrored)
    if isinstance(first, SlantedLine):
        return f"{first.what}, slanting {_point_to_point(first, edges, unit)}"
    if isinstance(first, MitreLine):
        across, along = (mark_words(mark, edges, unit) for mark in first.corner)
        return (
            f"the mitre, from where {across} meets {along}, at 45 degrees away from the "
            f"{edges.name(first.away)} to {mark_words(first.to, edges, unit)}, then square to "
            f"{mark_words(first.edge, edges, unit)}"
        )
    ends = from_to(first.start, first.stop, edges, unit)
    along = "" if first.at.hair else "along "
    return f"{along}{mark_words(first.at, edges, unit)}, {ends}"


def _point_to_point(line: SlantedLine, edges: Edges, unit: Unit) -> str:
    start, stop = (
        f"{mark_words(across, edges, unit)} meets {mark_words(along, edges, unit)}"
        for across, along in (line.start, line.stop)
    )
    return f"from where {start} to where {stop}"


def _spans(line: Found, pair: frozenset[Fence]) -> bool:
    """Whether one line alone reaches from one half of the sheet into the other."""
    return len({mark.fence for mark in line.marks} & pair) == 2


def _where(group: Sequence[Found], sheet: Sheet) -> str:
    """The corners, or the two edges, that cuts are at; nothing for one that spans the sheet."""
    corners: set[Corner] = set()
    edges: set[Fence] = set()
    for line in group:
        across = {mark.fence for mark in line.marks} & UPRIGHT
        along = {mark.fence for mark in line.marks} & LEVEL
        if len(across) == len(along) == 1:
            corners.add((next(iter(across)), next(iter(along))))
        else:
            edges |= next((own for own in (across, along) if len(own) == 1), set())
    if corners:
        return corner_words(corners)
    return pair_words(frozenset(edges), sheet) if len(edges) == 2 else ""


def _key(line: Found) -> Hashable:
    """The same for lines that are each other's mirror images, across or along the sheet."""
    if isinstance(line, CutLine):
        ends = [line.start, line.stop]
        if line.start.fence is not line.stop.fence:
            spanning: Hashable = tuple((mark.fence, _mark(mark)) for mark in ends)
        else:
            spanning = tuple(sorted(map(_mark, ends)))
        return "straight", _mark(line.at), spanning
    if isinstance(line, MitreLine):
        return "mitre", line.away in UPRIGHT, tuple(map(_mark, line.marks))
    points = (line.start, line.stop)
    if any(_spans(line, pair) for pair in (UPRIGHT, LEVEL)):
        return line.what, tuple((m.fence, _mark(m)) for point in points for m in point)
    return line.what, tuple(sorted(tuple(map(_mark, point)) for point in points))


def _mark(mark: Mark) -> tuple[bool, int, float]:
    return mark.fence in UPRIGHT, -1 if mark.score is None else mark.score, round(mark.at_mm, 2)
