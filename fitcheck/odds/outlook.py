"""What is asked about a checked design: the lengths its verdicts hang on, and who reads them."""

from __future__ import annotations

from dataclasses import replace

from fitcheck.fit.check import Check
from fitcheck.fit.contents import ContentFit, ContentVerdict
from fitcheck.fit.mates import cover_of
from fitcheck.fit.stood import further_rooms, stood_in
from fitcheck.kinds.kind import lays
from fitcheck.odds.arranged import CEILING, Arranged, arranged
from fitcheck.odds.content_readings import HEIGHT, content_label, single_reader
from fitcheck.odds.landing import PASSES, Landing, over_name, past_name, play_name, round_name
from fitcheck.odds.lid_readings import LID, lid_reader
from fitcheck.odds.mate_readings import GRID_TOP, GridReader, mate_reader
from fitcheck.odds.neck_readings import (
    LANDS,
    ON_NECK,
    ON_RIM,
    PAST_RIM,
    ROUND_NECK,
    necked_lid_reader,
)
from fitcheck.odds.quantities import (
    LID_PLAY,
    LINE,
    OVER_GRID,
    RIM,
    Outlook,
    Quantity,
    Smallest,
    content_slack,
    ease_name,
    lands_name,
    mate_play,
    mate_play_name,
    slack_name,
)
from fitcheck.odds.readings import (
    BASE_CALIPER,
    BASE_RISE,
    LID_CALIPER,
    LID_HEIGHT,
    SEAT,
    SIDES,
    Reader,
    family_name,
)
from fitcheck.odds.self_readings import SelfReader, ease_family
from fitcheck.packing.placing import Placement
from fitcheck.packing.room import Room
from fitcheck.pattern.sheet import Axis

Terms = tuple[tuple[float, str], ...]
ON_TABLE: Terms = ((-1.0, LID_HEIGHT), (-1.0, LID_CALIPER), (-1.0, BASE_CALIPER))
"""The height under a lid that stands on the table."""


def outlook_of(check: Check) -> Outlook:
    """What is asked about a checked design: the lid if it is not blocked, contents if placed."""
    readers: list[Reader] = []
    quantities: list[Quantity] = []
    smallest: list[Smallest] = []
    landing: Landing | None = None
    base, lid = check.assembly.base, check.assembly.lid
    for part in check.assembly.parts:
        readers.append(SelfReader(part.recipe.part))
        quantities.append(_ease(part.recipe.part))
    if lid is not None:
        if check.neck is None:
            slide = None if check.lid is None else check.lid.slide
            readers.append(lid_reader(base.folded, lid.folded, slide))
        else:
            parts = [part.folded for part in check.assembly.parts]
            necked = necked_lid_reader(base.folded, lid.folded, check.neck, parts)
            readers.append(necked)
            landing = Landing() if necked.passes else None
        quantities += _lid_quantities(landing)
        if landing is not None:
            smallest.append(Smallest(PASSES, tuple(past_name(axis) for axis in Axis)))
        if check.lid is not None and check.lid.line_mm is not None:
            quantities.append(Quantity(LINE, ((-1.0, ON_NECK), (1.0, ON_RIM))))
            quantities += [Quantity(lands_name(axis), ((1.0, LANDS[axis]),)) for axis in Axis]
        smallest.append(Smallest(LID_PLAY, tuple(play_name(axis) for axis in Axis)))
    several: Arranged | None = None
    for fit in check.mates:
        if not fit.blocked:
            reader = mate_reader(fit.mate, check.assembly)
            readers.append(reader)
            own = [Quantity(mate_play_name(fit.mate, way), reader.terms(way)) for way in fit.plays]
            quantities += own
            smallest.append(Smallest(mate_play(fit.mate), tuple(one.name for one in own)))
    covered = check.cover is not None and not _cover_blocked(check)
    if check.over_grid_mm is not None and covered:
        readers.append(GridReader(stood_in(check.assembly).mates[0]))
        quantities.append(Quantity(OVER_GRID, (*_ceiling(check), (1.0, GRID_TOP))))
    rooms = further_rooms(stood_in(check.assembly))
    alone = sum(fit.content.count for fit in check.contents) == 1 and not rooms
    if judged_contents(check) and alone:
        readers.append(single_reader(check.cavity.base, check.contents[0], _round_it(check)))
        own = _single_slacks((*_ceiling(check), *_under(check)) if covered else ())
        quantities += own
        smallest.append(Smallest(content_slack(0), tuple(one.name for one in own)))
    elif judged_contents(check):
        lines = range(len(check.contents)) if covered else ()
        heights = tuple(slack_name(index, "height") for index in lines)
        walls, several = arranged(
            check.cavity,
            placed_contents(check),
            heights,
            _round_it(check),
            (*_ceiling(check), *_under(check)),
            rooms,
        )
        readers.append(walls)
        sideways = several.names[: len(Axis)]
        smallest += [
            Smallest(content_slack(index), (*sideways, *heights[index : index + 1]))
            for index in range(len(check.contents))
        ]
    return Outlook(tuple(readers), tuple(quantities), tuple(smallest), several, landing)


def _cover_blocked(check: Check) -> bool:
    """Whether what turns or slides over the base never comes there, so that nothing reads how high
    it is."""
    cover = cover_of(check.design)
    return any(fit.blocked for fit in check.mates if fit.mate == cover)


def _round_it(check: Check) -> tuple[str, ...]:
    """The parts whose walls contents meet."""
    stood = stood_in(check.assembly).mates
    return ("base", *(name for own in stood for name in own.mate.movers))


def judged_contents(check: Check) -> bool:
    """Whether there is an arrangement of the contents whose slack can be followed."""
    if not check.contents:
        return False
    return all(fit.slack is not None for fit in check.contents)


def known_contents(check: Check) -> bool:
    """Whether it is known how the contents go in, or that they never do.

    Where no place was found and nothing proves that there is none, boxes cannot be counted.
    """
    if not check.contents or judged_contents(check):
        return True
    return any(fit.verdict is ContentVerdict.DOES_NOT_FIT for fit in check.contents)


def _lid_quantities(landing: Landing | None) -> list[Quantity]:
    kinds = {play_name: LID}
    if landing is not None:
        kinds = {over_name: LID, past_name: PAST_RIM, round_name: ROUND_NECK}
    plays = [
        Quantity(name(axis), tuple((1.0, family_name(what, axis, side)) for side in SIDES))
        for name, what in kinds.items()
        for axis in Axis
    ]
    rim = ((-1.0, SEAT), (1.0, LID_HEIGHT), (2.0, LID_CALIPER), (1.0, BASE_RISE))
    return [*plays, Quantity(RIM, rim)]


def _ease(part: str) -> Quantity:
    return Quantity(ease_name(part), ((1.0, ease_family(part)),))


def placed_contents(check: Check) -> list[ContentFit]:
    """The contents where they were placed; one that is alone and does not go in, in the middle."""
    return [
        fit if fit.placements else _in_the_middle(fit, check.cavity.room) for fit in check.contents
    ]


def _in_the_middle(fit: ContentFit, room: Room) -> ContentFit:
    poses = {pose.name: pose for pose in lays(fit.content.item, fit.content.lay)}
    middle = 0.5 * room.width_mm, 0.5 * room.length_mm, 0.0
    place = Placement(fit.content.item.name, poses[fit.orientation], *middle, fit.turn_deg)
    return replace(fit, placements=(place,))


def _under(check: Check) -> Terms:
    """What contents stand on beside the base's floor."""
    return ((1.0, GRID_TOP),) if stood_in(check.assembly).raised else ()


def _ceiling(check: Check) -> Terms:
    """What the height over the base's floor is the sum of, with signs.

    A lid whose rim stands on the table is as high as its own walls.
    """
    on_table = check.lid is not None and check.lid.reveal_mm < 0.0
    return ON_TABLE if on_table else CEILING


def _single_slacks(ceiling: Terms) -> list[Quantity]:
    """What a content that is alone leaves sideways, and under a ceiling if there is one."""
    found = [
        Quantity(
            slack_name(0, axis),
            tuple((1.0, family_name(content_label(0), axis, side)) for side in SIDES),
        )
        for axis in Axis
    ]
    if ceiling:
        terms = (*ceiling, (1.0, HEIGHT))
        found.append(Quantity(slack_name(0, "height"), terms))
    return found
