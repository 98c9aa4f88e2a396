"""The limits between which a source says that a size lies."""

from collections.abc import Iterator, Sequence

RECTANGULAR = 2 * 3**0.5
"""A rectangular distribution's full width over its standard uncertainty (JCGM 100, 4.3.7)."""


def range_problems(
    sizes: Sequence[float], ranges: Sequence[Sequence[float]]
) -> Iterator[tuple[str, str, str]]:
    """What is wrong, allowed and to do for each range that does not hold its size, mm."""
    for size, (least, most) in zip(sizes, ranges, strict=False):
        if not least <= size <= most:
            yield (
                f"range [{least:g}, {most:g}] mm does not hold the size {size:g} mm",
                "least <= size <= largest",
                "correct the range or the size",
            )
