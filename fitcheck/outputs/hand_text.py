"""What a session about tools found, as a text for the person at the bench."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fitcheck.learn.evaluate import NORMAL_FACTOR
from fitcheck.learn.hand_fit import Hand, HandFit, Work
from fitcheck.learn.hand_lines import Estimate
from fitcheck.learn.hand_pieces import Act
from fitcheck.learn.hand_profile import HandOutcome
from fitcheck.learn.hand_spread import Told, dof_to_know
from fitcheck.outputs.bench_words import wrapped

MOST_OF_A_SORT = 20
"""Lines; further ones are only counted."""
WELL = 0.25
"""A scatter that is known to that share of itself is known well."""
SURE = 0.005
"""Lengths are shown to a hundredth of a millimetre."""
WHAT = {
    Act.CUT: ("trimmer", "sheets come out", "large", "small", "cuts"),
    Act.GROOVE: ("grooves", "scores in them lie", "far from the fence", "near it", "scores"),
    Act.BETWEEN: ("between", "scores between grooves lie", "far", "near", "scores"),
    Act.KNIFE: ("knife", "", "", "", "cuts"),
}


def hand_text(outcome: HandOutcome) -> str:
    """The hands and the board as they were measured, and what was made of them."""
    fit = outcome.fit
    lines = [*_head(outcome), ""]
    for hand in fit.hands:
        if len(fit.hands) > 1:
            lines.append(f"{hand.person}:")
        lines += [line for work in hand.works for line in _work_lines(hand, work)]
    lines.append(_scale_line(fit.scale))
    lines += _profile_lines(outcome)
    for title, found in (
        ("set aside, not used:", fit.set_aside),
        ("noted:", (*outcome.notes, *fit.notes, *_same_board(outcome))),
    ):
        if found:
            lines += ["", title, *(f"  {line}" for line in found[:MOST_OF_A_SORT])]
            if len(found) > MOST_OF_A_SORT:
                lines.append(f"  and {len(found) - MOST_OF_A_SORT} more of this sort")
    lines += _need_lines(fit)
    return "\n".join(lines) + "\n"


def _same_board(outcome: HandOutcome) -> Iterator[str]:
    """Which papers' coupons count as scored on it."""
    for other in sorted(outcome.new.names - {outcome.name}):
        yield (
            f"papers learnt with {other} count as scored on this board; for one whose coupon was "
            "scored on another one, name that: fitcheck learn PAPER --rebuild --tools NAME"
        )


def _head(outcome: HandOutcome) -> Iterator[str]:
    count = len(outcome.records)
    records = "1 record" if count == 1 else f"{count} records"
    yield f"{outcome.name}: hand and board fitted from {outcome.readings} readings in {records}"
    if outcome.record is not None:
        yield f"  kept as   {outcome.record}"
    state = "written" if outcome.changed else "unchanged, byte for byte"
    yield f"  profile   {outcome.profile} ({state})"


def _work_lines(hand: Hand, work: Work) -> Iterator[str]:
    label, come, more, less, things = WHAT[work.act]
    words = []
    offset = hand.offset(work.act)
    if offset is not None and come:
        at = "" if work.act is Act.CUT else f" at {work.line.at_mm:.0f} mm"
        words.append(f"{come} {_off(offset, more, less)}{at}")
    words += _scatter_words(work, things, "that" if words else "the mark")
    yield wrapped("; ".join(words), label)


def _scatter_words(work: Work, things: str, where: str) -> Iterator[str]:
    """How far most lie from ``where``, or why that is not told."""
    scatter = work.scatter
    low, high = (NORMAL_FACTOR * mm for mm in (scatter.low_mm, scatter.high_mm))
    if scatter.told is Told.YES:
        yield f"95 of 100 {things} within {NORMAL_FACTOR * scatter.used_mm:.2f} mm of {where}"
        ends = f"up to {high:.2f}" if low < SURE else f"{low:.2f} to {high:.2f}"
        yield f"so few as {work.count} leave {ends} mm open"
    elif scatter.told is Told.STEPS:
        yield (
            f"how much they scatter is hidden by what is read of them: at most {high:.2f} mm in 95 "
            "of 100; read with a finer instrument"
        )
    elif scatter.told is Told.NOISE:
        noise = NORMAL_FACTOR * math.sqrt(work.noise.value)
        yield (
            f"how much they scatter is hidden: repeats say that what is read of them is itself off "
            f"by up to {noise:.2f} mm in 95 of 100; at most {high:.2f} mm, and up to that what was "
            "assumed is kept; read again what differs most"
        )
    else:
        yield f"{work.count} of them are too few to tell how much they scatter"


def _off(offset: Estimate, more: str, less: str) -> str:
    half = offset.half_width
    low, high = offset.value - half, offset.value + half
    if abs(offset.value) < SURE:
        return f"true (give or take {half:.2f} mm)"
    word = more if offset.value > 0 else less
    ends = sorted((abs(low), abs(high)))
    if low * high < 0:
        return f"{abs(offset.value):.2f} mm too {word}, give or take {half:.2f} mm: perhaps true"
    return f"{abs(offset.value):.2f} mm too {word} ({ends[0]:.2f} to {ends[1]:.2f})"


def _scale_line(scale: Estimate | None) -> str:
    if scale is None:
        return wrapped("scores lie too much alike to tell its scale", "board")
    per = 100.0 * scale.value
    half = 100.0 * scale.half_width
    word = "long" if per > 0 else "short"
    return wrapped(
        f"its scale is {abs(per):.2f} mm too {word} on 100 mm, give or take {half:.2f} mm", "board"
    )


def _profile_lines(outcome: HandOutcome) -> Iterator[str]:
    """What the odds take from now on, against what they took before."""
    new, old = outcome.new, outcome.new.assumed or outcome.old
    yield ""
    yield "the odds take, for 95 of 100 of them, where the profile was assumed before:"
    for label, now, before in (
        ("cuts", new.cut_u_mm, old.cut_u_mm),
        ("grooves", new.score_u_on_grid_mm, old.score_u_on_grid_mm),
        ("between", new.score_u_off_grid_mm, old.score_u_off_grid_mm),
        ("fence", new.fence_u_mm, old.fence_u_mm),
        ("knife", new.knife_u_mm, old.knife_u_mm),
    ):
        now_mm, before_mm = (NORMAL_FACTOR * u for u in (now, before))
        text = f"within {now_mm:.2f} mm, before {before_mm:.2f} mm"
        yield wrapped(text if now != before else f"within {now_mm:.2f} mm, as before", label)
    if len(new.people) > 1:
        names = ", ".join(name for name, _ in new.people)
        yield wrapped(f"{names} apart, with --by; without it whoever comes along", "by")


def _need_lines(fit: HandFit) -> Iterator[str]:
    needed = dof_to_know(WELL)
    short = [
        (hand.person, work, math.ceil(needed - work.line.rest.dof))
        for hand in fit.hands
        for work in hand.works
        if work.line.rest.dof < needed
    ]
    if not short:
        return
    yield ""
    yield f"to know how much they scatter to {100 * WELL:.0f} of 100:"
    for person, work, more in short:
        label, _, _, _, things = WHAT[work.act]
        who = f"{person}: " if len(fit.hands) > 1 else ""
        yield wrapped(f"{who}{more} more {things}, made and read like these", label)
