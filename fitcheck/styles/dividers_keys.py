"""The keys of dividers, and what is left to the style by them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from fitcheck.styles.keys import PartFile, Sides, Slack
from fitcheck.workspace.lengths import Length

HAIR_MM = 0.8
"""The hair of the trade's rule for a slot: about 1/32 in (common practice, no source)."""
BELOW_RIM_MM = 0.4
"""What strips end below the rim of a base, so that a lid lies on its walls."""
MOST_COMPARTMENTS = 12
"""Along either side."""
Compartments = Annotated[int, Field(ge=1, le=MOST_COMPARTMENTS)]


class DividersFile(PartFile):
    """The keys of dividers."""

    style: Literal["dividers"] = Field(description='The style: "dividers".')
    rows: Compartments = Field(
        description="How many compartments stand along the base's length, a whole number from 1 to "
        f"{MOST_COMPARTMENTS}."
    )
    columns: Compartments = Field(
        description="How many compartments stand along the base's width, a whole number from 1 to "
        f"{MOST_COMPARTMENTS}."
    )
    ease: Slack | None = Field(
        default=None,
        description="How much shorter than the base's inside the strips are, both ends together: a "
        "length or a list [width, length].",
    )
    cut: Sides | None = Field(
        default=None,
        description="The strips as they are cut, a list [along the width, along the length]; "
        "instead of ease.",
    )
    pitch: Sides | None = Field(
        default=None,
        description="From one strip's middle to the next, a list [width, length]; default: what "
        "makes all compartments alike.",
    )
    height: Length | None = Field(
        default=None,
        description="How high the strips are, a length; default: the base's depth inside less "
        f"{BELOW_RIM_MM:g} mm.",
    )
    slot: Length = Field(
        default=HAIR_MM,
        description="The hair: how much wider a slot is than the strip that it takes, and how much "
        f"deeper than half the height, a length; default {HAIR_MM:g} mm.",
        json_schema_extra={"default": f"{HAIR_MM:g} mm"},
    )
