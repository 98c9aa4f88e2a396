"""What a learning session found, as a text for the person at the bench."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from fitcheck.fit.lid import LidFit
from fitcheck.learn.batches import batches_apart_mm
from fitcheck.learn.bench_readings import Kind
from fitcheck.learn.compare import Change, LidChange, changes
from fitcheck.learn.model_stock import T
from fitcheck.learn.needs import WANTED, Need, need_of
from fitcheck.learn.session_results import Emptied, Outcome

LABEL = 24
WORDS = {
    "corner give": "push-out over t + g - s",
    "scale_x": "scale error x",
    "scale_y": "scale error y",
    "scale_z": "scale error z",
    "outside_offset_mm": "outside offset",
    "hole_offset_mm": "hole offset",
    "first_layer_mm": "first-layer spread",
    "height_offset_mm": "height offset",
}
RATIOS = frozenset({"corner give", "board scale", "scale_x", "scale_y", "scale_z"})
SEEN = 0.5
"""Below this share of what readings scatter by themselves the scatter of pieces is not seen."""
MOST_OF_A_SORT = 20
"""Lines; further ones are only counted."""


def learn_text(outcome: Outcome, wanted: Mapping[str, float]) -> str:
    """The profile before and after, what was set aside, and what more would help."""
    lines = [*_head(outcome), ""]
    changed = changes(outcome)
    lines += [_change_line(change) for change in changed]
    lines += _noise_lines(outcome)
    for title, found in (
        ("set aside, not used:", outcome.learnt.set_aside),
        ("noted:", (*outcome.notes, *outcome.learnt.notes)),
    ):
        if found:
            lines += ["", title, *(f"  {line}" for line in found[:MOST_OF_A_SORT])]
            if len(found) > MOST_OF_A_SORT:
                lines.append(f"  and {len(found) - MOST_OF_A_SORT} more of this sort")
    if any(change.disagrees for change in changed) and len(outcome.records) > 1:
        lines += ["", *_apart_lines(outcome)]
    lines += ["", "to know it better:", *_need_lines(outcome, {**WANTED, **wanted})]
    return "\n".join(lines) + "\n"


def lid_text(lid: LidChange) -> str:
    """What it does to the lid of a design."""
    return "\n".join(["", *_lid_lines(lid)]) + "\n"


def emptied_text(outcome: Emptied) -> str:
    """That no record of a name counts any more, and what the name stands for now."""
    lines = [f"{outcome.name}: no record of this {outcome.kind} counts now"]
    lines += [
        f"  set aside     {record}, kept as it is; 'fitcheck learn {outcome.name} --take-back "
        f"{record}' counts it again"
        for record in outcome.aside
    ]
    if outcome.profile is not None:
        lines.append(f"  taken away    {outcome.profile}, which was made of it")
    now = f"{outcome.base}" if outcome.base else f"nothing: there is no such {outcome.kind} now"
    return "\n".join([*lines, f"  stands for    {now}"]) + "\n"


def _head(outcome: Outcome) -> Iterator[str]:
    rows = sum(len(entry.readings) for entry in outcome.learnt.entries)
    yield f"{outcome.name}: {outcome.kind} fitted from {rows} readings in {_records(outcome)}"
    if outcome.record is not None:
        yield f"  kept as       {outcome.record}"
    state = "written" if outcome.changed else "unchanged, byte for byte"
    yield f"  profile       {outcome.profile} ({state})"
    if outcome.given is not None:
        given = outcome.given
        yield (
            f"  taken as given  tools {given.tools}, joint {given.joint_mm:.2f} +- "
            f"{given.joint_u_mm:.2f} mm, tab setback {given.setback_mm:.2f} mm, "
            f"instrument within {given.tolerance_mm:.2f} mm"
        )


def _records(outcome: Outcome) -> str:
    count = len(outcome.records)
    return "1 record" if count == 1 else f"{count} records"


def _change_line(change: Change) -> str:
    found = change.found
    label = f"  {WORDS.get(found.name, found.name):<{LABEL}}"
    if found.kept:
        value = _pair(found.name, found.value, found.u)
        return f"{label}{value}   these readings cannot tell it: kept as it was believed"
    text = f"{label}{_pair(found.name, found.value, found.u)}"
    if change.before is None:
        return f"{text}   not known before"
    text += f"   before {_pair(found.name, *change.before)}"
    return f"{text}   differs by more than both allow for" if change.disagrees else text


def _apart_lines(outcome: Outcome) -> Iterator[str]:
    thing = "paper" if outcome.kind is Kind.STOCK else "printer"
    yield "what differs by more than both allow for was averaged:"
    yield f"  if it is another {thing}, or another batch, learn it under another name"
    yield (
        f"  if older readings no longer hold, 'fitcheck learn {outcome.name} --set-aside RECORD' "
        "leaves a record out"
    )


def _pair(name: str, value: float, u: float) -> str:
    if name == "corner give":
        return f"{value:.2f} +- {u:.2f}"
    if name in RATIOS:
        return f"{100 * value:+.3f} +- {100 * u:.3f} %"
    return f"{value:.4f} +- {u:.4f} mm"


def _noise_lines(outcome: Outcome) -> Iterator[str]:
    fit = outcome.learnt.fit
    what = "scores" if outcome.kind is Kind.STOCK else "printed features"
    if fit.noise_dof == float("inf"):
        yield f"  scatter of {what}: too few readings to tell, {fit.noise:.3f} mm taken as usual"
    elif fit.noise < SEEN * fit.spread.hidden:
        yield (
            f"  scatter of {what}: hidden by what is read of them, at most "
            f"{fit.spread.most_noise:.2f} mm in 95 of 100"
        )
    else:
        yield f"  scatter of {what}: {fit.noise:.3f} mm, as the readings show"
    if fit.day_mm > 0:
        yield f"  scatter from day to day: about {fit.day_mm:.3f} mm, all folds of a day together"
    yield "  (+- is a standard uncertainty: the truth lies within twice of it, 95 times in 100)"


def _need_lines(outcome: Outcome, wanted: Mapping[str, float]) -> Iterator[str]:
    for found in outcome.learnt.properties:
        if found.name not in wanted or found.kept:
            continue
        need = need_of(outcome.learnt, found.name, wanted[found.name])
        label = f"  {WORDS.get(found.name, found.name):<{LABEL}}"
        apart = batches_apart_mm(outcome.learnt.entries) if found.name == T else None
        if apart is not None and need.more != 0:
            yield (
                f"{label}two stacks differ by {apart:.3f} mm a sheet, more than readings do: they "
                "may be two batches, and this lies between them; --set-aside RECORD leaves the "
                "older one out, or a name for each keeps them apart"
            )
        else:
            yield label + _need(need)


def _need(need: Need) -> str:
    goal, floor = _u(need.name, need.wanted_u), _u(need.name, need.floor_u)
    if need.more == 0:
        return f"known to {goal} or better"
    if need.more is None:
        return (
            f"{goal} is out of reach: resolution, joint and board leave {floor} however often it "
            "is read"
        )
    number, what = (need.more, "reading") if need.pieces is None else (need.pieces, "piece")
    count = f"1 more {what}" if number == 1 else f"{number} more {what}s"
    return f"{count}, spread like these, would reach {goal}"


def _u(name: str, u: float) -> str:
    if name == "corner give":
        return f"{u:.2f}"
    return f"{100 * u:.3f} %" if name in RATIOS else f"{u:.4f} mm"


def _lid_lines(lid: LidChange) -> Iterator[str]:
    yield f"the lid of {lid.title}:"
    if lid.before is not None:
        yield f"  before  {_lid(lid.before)}"
    yield f"  after   {_lid(lid.after)}"


def _lid(fit: LidFit) -> str:
    width, length = fit.slide.travels[0].play_mm, fit.slide.travels[1].play_mm
    return f"{fit.verdict}: play width {_play(width)}, length {_play(length)}"


def _play(mm: float) -> str:
    return f"presses by {-mm:.2f} mm" if mm <= -0.005 else f"{max(mm, 0.0):.2f} mm"
