"""What would explain boxes that came out other than said, and how to learn it."""

from __future__ import annotations

from fitcheck.learn.causes import Cause, How

OF = "{of}"
SOURCES = {
    "score": "the places of scores",
    "cut": "the sizes that sheets are cut to",
    "knife": "the cuts inside the sheet",
    "board": "the scoring board's own offset",
    "between": "the offset of scores between grooves",
    "scale": "the scoring board's scale",
    "trimmer": "the trimmer's own offset",
    "caliper": "the caliper of {of}",
    "crease": "the crease allowance of {of}",
    "give": "how far glued corners push out in {of}",
    "joint": "the thickness of the glued joints",
    "content": "the size of {of}",
    "humidity": "the humidity of the air",
}
UNITS = {"humidity": "% of relative humidity", "give": "of itself", "scale": "of the distance"}
"""Of what is no length in mm."""
MEASURED = {
    "caliper": "measure a stack of its sheets",
    "crease": "fold and measure its channels",
    "give": "glue and measure its corners",
}
"""What of a paper's coupon tells about an input."""


def cause_words(cause: Cause) -> str:
    """What would have to be off, and by how much."""
    kind = SOURCES.get(cause.source, f"the {cause.source} of {OF}").replace(OF, cause.of)
    what = cause.name or kind
    if cause.source == "score" and not cause.name:
        what += " in the grooves" if cause.in_groove else " between the grooves"
    if cause.how is How.SPREAD:
        return f"{what}: {cause.amount:.1f} times as far off as was said"
    unit = UNITS.get(cause.source, "mm")
    more = "more" if cause.amount > 0 else "less"
    said = f"{what}: {abs(cause.amount):.2g} {unit} {more} than was said"
    if cause.allowed:
        return f"{said}; the odds allow for so much, they only know too little of it"
    return said


def offer(cause: Cause) -> str:
    """How to learn it."""
    if cause.source == "content":
        return f"measure some of {cause.of}, and put size and size_u into models/items.toml"
    if cause.source == "humidity":
        return "read a hygrometer on the day, and freeze with --humidity LOW:HIGH"
    do = MEASURED.get(cause.source, "cut, score and measure its strips")
    return f"fitcheck coupon {cause.of} -o DIR, {do}, then fitcheck learn {cause.of} READINGS.csv"
