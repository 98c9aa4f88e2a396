"""Lengths are read from and shown in the units of the bench here; everywhere else they are mm."""

import enum
import math
import re
from collections.abc import Callable, Sequence

from fitcheck.plain import shown, written_out


class Unit(enum.StrEnum):
    """A unit that a length can be written in."""

    MM = "mm"
    CM = "cm"
    IN = "in"
    PT = "pt"
    """The paper maker's point, a thousandth of an inch (not the printer's type point)."""


MM_PER: dict[Unit, float] = {Unit.MM: 1.0, Unit.CM: 10.0, Unit.IN: 25.4, Unit.PT: 0.0254}
"""Millimetres in one of each unit; all exact."""

FRACTION = 32
"""Inches are shown in fractions no finer than one over this."""
FRACTION_EXACT_MM = 0.05
"""A fraction of an inch is shown only when it is this near to the true length."""
HAND_MM = 0.5
"""The finest step that a hand sets with a metric rule (common practice, no source)."""
ROUNDED_MM = 0.02
"""A length that is told by no more beside itself is not called rounded."""
ZERO_MM = 0.005
"""Below this a length is shown as nothing at all."""
LONGEST_TEXT = 80
"""No length takes more letters to write."""
TIMES = " x "
"""Between sizes across each other."""
NUDGE = 1e-9
"""Far below every digit shown, far above the error of a float."""

_SPELLINGS = {
    "mm": Unit.MM,
    "cm": Unit.CM,
    "in": Unit.IN,
    "inch": Unit.IN,
    "inches": Unit.IN,
    '"': Unit.IN,
    "\u2033": Unit.IN,
    "pt": Unit.PT,
}
_NUMBER = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:e[+-]?[0-9]+)?"
# These see texts of bounded length in which every run of blanks is one space.
_LENGTH = re.compile(
    rf"(?P<sign>[+-]?) ?"
    rf"(?:(?:(?P<whole>[0-9]+)(?: ?- ?| ))?(?P<over>[0-9]+) ?/ ?(?P<under>[0-9]+)"
    rf"|(?P<number>{_NUMBER}))"
    rf" ?(?P<unit>[a-z]+|\"|\u2033)?",
    re.IGNORECASE,
)
_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+ ?[a-z\"\u2033]*", re.IGNORECASE)


def parse_length(value: str | int | float, unit: Unit) -> float:
    """Read a length and return it in mm; ``unit`` is meant where the text names none.

    Fractions, mixed numbers and decimals are read, with mm, cm, in (or ``"``) or pt behind them.
    Raises ``ValueError`` with a message that says what to write instead.

    >>> round(parse_length("3 5/8", Unit.IN), 6)
    92.075
    >>> parse_length("9.2 cm", Unit.IN)
    92.0
    >>> round(parse_length("12pt", Unit.MM), 4)
    0.3048
    """
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError("is not a length: write a number, or a text such as '3 5/8' or '92 mm'")
    millimetres = _parse_text(value, unit) if isinstance(value, str) else _scale(value, unit)
    if not math.isfinite(millimetres):
        raise ValueError("is not a finite length: write it in digits, such as 92")
    return millimetres


def _scale(value: float, unit: Unit) -> float:
    try:
        return float(value) * MM_PER[unit]
    except OverflowError:
        return math.inf


def _parse_text(text: str, unit: Unit) -> float:
    text = " ".join(written_out(text).split())
    if not text:
        raise ValueError("is empty: write a length such as '3 5/8' or '92 mm'")
    if len(text) > LONGEST_TEXT:
        raise ValueError(
            f"is too long for a length, {len(text)} letters: write one like '3 5/8' or '92 mm'"
        )
    if _COMMA.fullmatch(text):
        raise ValueError(f"has a decimal comma: write {text.replace(',', '.')}")
    found = _LENGTH.fullmatch(text)
    if found is None:
        raise ValueError("is not a length: write it like '3 5/8', '3.625 in', '92 mm' or '12 pt'")
    spelled = found["unit"]
    if spelled is not None:
        if spelled.lower() not in _SPELLINGS:
            raise ValueError(f"has an unknown unit {shown(spelled)}: allowed are mm, cm, in and pt")
        unit = _SPELLINGS[spelled.lower()]
    if found["number"] is not None:
        number = float(found["number"])
    else:
        under = float(found["under"])
        if under == 0:
            raise ValueError("divides by zero: write a fraction such as 3/8")
        number = float(found["whole"] or 0) + float(found["over"]) / under
    return _scale(-number if found["sign"] == "-" else number, unit)


def show_mm(mm: float) -> str:
    """A length in millimetres with two decimals.

    >>> show_mm(92.075)
    '92.08 mm'
    """
    return f"{show_number(mm, 2)} mm"


def show_inches(mm: float) -> str:
    """A length in inches: the nearest 1/32 where that is exact to 0.05 mm, decimals otherwise.

    >>> show_inches(92.075), show_inches(92.5), show_inches(-0.79375)
    ('3 5/8 in', '3.642 in', '-1/32 in')
    """
    parts = round(mm / MM_PER[Unit.IN] * FRACTION)
    exact = abs(mm - parts * MM_PER[Unit.IN] / FRACTION) <= FRACTION_EXACT_MM + NUDGE
    if not exact or (parts == 0 and abs(mm) >= ZERO_MM):
        return f"{show_number(mm / MM_PER[Unit.IN], 3)} in"
    sign = "-" if parts < 0 else ""
    whole, over = divmod(abs(parts), FRACTION)
    if over == 0:
        return f"{sign}{whole} in"
    shared = math.gcd(over, FRACTION)
    fraction = f"{over // shared}/{FRACTION // shared}"
    return f"{sign}{whole} {fraction} in" if whole else f"{sign}{fraction} in"


def show_length(mm: float, unit: Unit) -> str:
    """A length in the design's unit, with what the other rule has nearest in brackets.

    >>> show_length(92.075, Unit.IN)
    '3 5/8 in (92.08 mm)'
    >>> show_length(92.5, Unit.MM), show_length(0.2, Unit.MM)
    ('92.50 mm (3 21/32 in)', '0.20 mm')
    """
    near = show_hand(mm, Unit.IN)
    inches = "" if near == "0" and abs(mm) >= ZERO_MM else f" ({near} in)"
    if unit is Unit.IN:
        return f"{show_inches(mm)} ({show_mm(mm)})"
    if unit is Unit.MM:
        return f"{show_mm(mm)}{inches}"
    if unit is Unit.CM:
        return f"{show_number(mm / MM_PER[unit], 3)} cm{inches}"
    return f"{show_number(mm / MM_PER[unit], 1)} pt ({show_mm(mm)})"


def show_one(mm: float, unit: Unit) -> str:
    """A length in the unit of the rule alone, as it is drawn, with no more digits than it has.

    >>> show_one(92.075, Unit.IN), show_one(92.075, Unit.MM), show_one(70.0, Unit.CM)
    ('3 5/8 in', '92.08 mm', '70 mm')
    """
    return show_inches(mm) if unit is Unit.IN else f"{float(show_number(mm, 2)):g} mm"


def show_number(number: float, places: int) -> str:
    """A number with so many decimals; halves go away from nought whatever the last bit says.

    >>> show_number(9.525, 2), show_number(1.5875, 3), show_number(-0.0001, 2)
    ('9.53', '1.588', '0.00')
    """
    text = f"{number + math.copysign(NUDGE, number):.{places}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def hand_unit(unit: Unit) -> Unit:
    """The unit of the rule that a hand sets: inches where a design is in inches, otherwise mm."""
    return Unit.IN if unit is Unit.IN else Unit.MM


def hand_step_mm(unit: Unit) -> float:
    """The finest step that a hand sets in a unit: 1/32 in, or half a millimetre.

    >>> hand_step_mm(Unit.IN), hand_step_mm(Unit.CM)
    (0.79375, 0.5)
    """
    return MM_PER[Unit.IN] / FRACTION if unit is Unit.IN else HAND_MM


def rounding_mm(mm: float, unit: Unit, to: Callable[[float], int] = round) -> float:
    """How much more than a length its step is that a hand can set, the nearest or that by `to`.

    >>> round(rounding_mm(80.69, Unit.MM), 3), round(rounding_mm(54.28, Unit.IN, math.ceil), 3)
    (-0.19, 0.489)
    """
    step = hand_step_mm(unit)
    off = (round(mm / step) if is_set_by_hand(mm, unit) else to(mm / step)) * step - mm
    return off if abs(off) > NUDGE else 0.0


def is_set_by_hand(mm: float, unit: Unit) -> bool:
    """Whether a length lies at a step that a hand can set, but for what is not called rounded.

    >>> is_set_by_hand(62.85, Unit.IN), is_set_by_hand(80.51, Unit.MM)
    (False, True)
    """
    return abs(math.remainder(mm, hand_step_mm(unit))) <= ROUNDED_MM


def show_hand(mm: float, unit: Unit) -> str:
    """A length rounded to what a hand can set, without its unit.

    >>> show_hand(73.63, Unit.IN), show_hand(73.63, Unit.MM), show_hand(70.0, Unit.MM)
    ('2 29/32', '73.5', '70')
    """
    step = hand_step_mm(unit)
    rounded = round(mm / step) * step
    return show_inches(rounded).removesuffix(" in") if unit is Unit.IN else f"{rounded:g}"


def show_hands(lengths_mm: Sequence[float], unit: Unit, word: str = " and ") -> str:
    """Lengths that a hand sets, in one unit, and what is said once in the other one in brackets.

    >>> show_hands([9.525, 63.5], Unit.IN), show_hands([209.55, 241.3], Unit.IN, " x ")
    ('3/8 and 2 1/2 in (9.5 and 63.5 mm)', '8 1/4 x 9 1/2 in (209.6 x 241.3 mm)')
    >>> show_hands([70.0, 80.0, 20.0], Unit.MM, " x ")
    '70 x 80 x 20 mm (2 3/4 x 3 5/32 x 25/32 in)'
    """
    step = hand_step_mm(unit)
    lengths_mm = [round(mm / step) * step for mm in lengths_mm]
    mine = _listed([show_hand(mm, unit) for mm in lengths_mm], word)
    if unit is Unit.IN:
        other = _listed([show_number(mm, 1) for mm in lengths_mm], word)
        return f"{mine} in ({other} mm)"
    other = _listed([show_hand(mm, Unit.IN) for mm in lengths_mm], word)
    return f"{mine} mm ({other} in)"


def _listed(texts: Sequence[str], word: str) -> str:
    if word == TIMES:
        return word.join(texts)
    return word.join([", ".join(texts[:-1]), texts[-1]] if len(texts) > 1 else texts)


def show_cut(mm: float, unit: Unit) -> str:
    """The least length that a hand can cut off and that is not less: 1/32 in or half a millimetre.

    >>> show_cut(0.13, Unit.IN), show_cut(0.9, Unit.IN), show_cut(0.6, Unit.MM)
    ('1/32 in', '1/16 in', '1 mm')
    """
    step = hand_step_mm(unit)
    least = math.ceil(mm / step - NUDGE) * step
    if unit is Unit.IN:
        return show_inches(least)
    return f"{least:g} mm"
