"""The keys of mats and platforms."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from fitcheck.styles.keys import Name, PartFile, Sides, Slack
from fitcheck.workspace.lengths import Length


class InsertFile(PartFile):
    """The keys of all inserts."""

    ease: Slack | None = Field(
        default=None,
        description="How much smaller than the base's inside it is, both sides together: a length "
        "or a list [width, length].",
    )
    cut: Sides | None = Field(
        default=None,
        description="A list [width, length] as it is cut: a mat from edge to edge, the top of a "
        "platform from score to score; instead of ease.",
    )
    window: Sides | None = Field(
        default=None,
        description="A window in its middle that the contents stand in, a list [width, length]; "
        "default: none, and they stand on top.",
    )
    hold: Name | None = Field(
        default=None,
        description="The item of a [[content]] that a window is cut for, by its width and length; "
        "instead of window.",
    )
    play: Length | None = Field(
        default=None,
        description="How much larger than what it holds the window is, both sides together, a "
        "length; needed with hold.",
    )


class MatFile(InsertFile):
    """The keys of a mat."""

    style: Literal["mat"] = Field(description='The style: "mat".')


class PlatformFile(InsertFile):
    """The keys of a platform."""

    style: Literal["platform"] = Field(description='The style: "platform".')
    height: Length | None = Field(
        default=None, description="How high its top stands above the base's floor, a length."
    )
    legs: Length | None = Field(
        default=None, description="Its legs, a length from score to cut edge; instead of height."
    )
