"""The statistics behind the odds: chances, intervals with their sampling errors, shares, proof."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.odds.agreement import Agreement
from fitcheck.odds.intervals import Chance, Interval
from fitcheck.odds.quantities import LID_PLAY, mate_play
from fitcheck.odds.result import LidOdds, Odds
from fitcheck.odds.shares import remainder
from fitcheck.outputs.bench_words import NOT_KNOWN, row
from fitcheck.outputs.odds_text import about_words

SHOWN_SHARES = 8
SHOWN_GAINS = 5
LEAST_SHARE = 0.01


def odds_details(odds: Odds) -> str:
    """Odds, intervals, shares, what would better them, and how far they can be trusted."""
    lines = ["", f"odds over {odds.boxes} virtual boxes (seed {odds.seed})"]
    if odds.lid is not None:
        lines += _lid_lines(odds.lid)
    for mate in odds.mates:
        lines.append(row(mate.mate.called, f"goes {chance(mate.goes)}"))
        for way, spread in mate.plays.items():
            if not mate.mate.held(way):
                continue
            lines.append(row("", f"play {way} {interval(spread.interval)}"))
        if odds.above is not None and odds.above.mate == mate.mate:
            under = f"low enough for the {odds.above.cover}"
            lines.append(row("", f"{under} {chance(odds.above.fits)}"))
            lines.append(row("", f"room above {interval(odds.above.room.interval)}"))
    for one in odds.contents:
        count = f"{one.content.count} x " if one.content.count > 1 else ""
        lines.append(row("content", f"{count}{one.content.item.name} fits {chance(one.fits)}"))
        lines.append(row("", f"smallest room to spare {interval(one.slack.interval)}"))
    if odds.at_ease is not None:
        lines.append(row("parts", f"none fights itself {chance(odds.at_ease)}"))
    lines.append(row("all right", f"{chance(odds.good)}"))
    lines += _share_lines(odds)
    for label, gain in zip(_labels("better by"), odds.gains[:SHOWN_GAINS], strict=False):
        few = gain.after.boxes
        of = "all right" if few == odds.boxes else f"of the first {few} boxes all right"
        lines.append(row(label, f"{gain.what}: {of} {chance(gain.before)} -> {chance(gain.after)}"))
    lines += agreement_lines(odds.agreement)
    return "\n".join(lines) + "\n"


def chance(value: Chance) -> str:
    """A chance in per cent with its sampling error; always and never are given as bounds.

    >>> chance(Chance(84_100, 100_000)), chance(Chance(0, 100_000))
    ('84.1 % +- 0.1', 'under 0.003 %')
    """
    if not value.known:
        return NOT_KNOWN
    low, high = value.bounds
    if value.hits == 0:
        return f"under {_fine(100.0 * high)} %"
    if value.hits == value.boxes:
        return f"over {100.0 - float(_fine(100.0 * (1.0 - low))):g} %"
    error = max(100.0 * value.error, 0.001)
    places = 1 if error >= 0.05 else 2 if error >= 0.005 else 3
    return f"{100.0 * value.share:.{places}f} % +- {error:.{places}f}"


def _fine(per_cent: float) -> str:
    return f"{per_cent:.1g}" if per_cent < 1.0 else f"{per_cent:.1f}"


def interval(value: Interval) -> str:
    """A 95 % interval with the sampling error of its ends."""
    error = max(value.low_error, value.high_error)
    return f"{value.low:.2f} to {value.high:.2f} mm in 95 % of boxes (ends +- {error:.3f})"


def _labels(first: str) -> Iterator[str]:
    yield first
    while True:
        yield ""


def _lid_lines(lid: LidOdds) -> Iterator[str]:
    for label, (verdict, odds) in zip(_labels("lid"), lid.chances.items(), strict=False):
        yield row(label, f"{verdict:<7} {chance(odds)}")
    for axis, spread in lid.plays.items():
        yield row("", f"play along the {axis} {interval(spread.interval)}")
    if not lid.steady.certain:
        under = f"less than {lid.shifty_mm:.3g} mm along both"
        yield row("", f"{under} {chance(lid.steady)}")
    if not lid.rim_clear.certain:
        yield row("", f"rim off the table {chance(lid.rim_clear)}")


def _share_lines(odds: Odds) -> Iterator[str]:
    """The shares of the variance, with what pairs taking turns account for."""
    shown = [one for one in odds.shares[:SHOWN_SHARES] if one.share >= LEAST_SHARE]
    if not shown:
        return
    mates = {mate_play(one.mate): f"the {one.mate.whose} smaller play" for one in odds.mates}
    named = {LID_PLAY: "the lid's smaller play"} | mates
    about = named.get(odds.about, about_words(odds).replace("the room to", "the smallest room to"))
    yield row("due to", f"of the variance of {about}:")
    for one in shown:
        yield row("", f"{one.name}: {one.share:.0%}")
    rest = sum(one.share for one in odds.shares) - sum(one.share for one in shown)
    if rest >= LEAST_SHARE:
        yield row("", f"all others together: {rest:.0%}")
    if remainder(odds.shares) >= LEAST_SHARE:
        yield row("", f"which side and axis happens to bind: {remainder(odds.shares):.0%}")


def agreement_lines(agreement: Agreement) -> Iterator[str]:
    """How far the three answers agree."""
    if agreement.boxes:
        alike = f"{agreement.boxes} boxes folded anew: {agreement.verdicts_alike} verdicts alike"
        worst = max(
            agreement.refolded, key=lambda one: one.rms_mm / max(one.u_mm, 1e-9), default=None
        )
        if worst is not None:
            alike += f"; {worst.name} departs most, by {worst.rms_mm:.3f} mm (root mean square)"
        yield row("proof", alike)
        close = agreement.close
        if close.boxes:
            yield row(
                "",
                f"{close.boxes} more, the nearest to another verdict and the furthest out: "
                f"{close.verdicts_alike} alike"
                + (f", {close.strays} not by a hair alone" if close.strays else ""),
            )
    apart = max(agreement.laws, key=lambda one: one.apart, default=None)
    if apart is not None and not agreement.linear_enough:
        yield row(
            "",
            f"the linear law alone would be off: {apart.name} "
            f"{apart.linear_mean_mm:.2f} +- {apart.linear_u_mm:.2f} mm, samples "
            f"{apart.sampled_mean_mm:.2f} +- {apart.sampled_u_mm:.2f} mm; the samples count",
        )
    elif apart is not None:
        yield row("", "the linear law and the samples agree within a tenth of the spread")
