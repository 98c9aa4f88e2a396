"""Bytes changed as hands, disks and other programs change them."""

from __future__ import annotations

from hypothesis import strategies as st

MOST_BYTES = 1_000_000
TOKENS = tuple(
    text.encode("utf-8", "surrogatepass")
    for text in (
        *("", "\0", "\n", "\r", "\t", '"', "'''", "[", "]", "[[", "]]", "{", "}", "=", ",", ";"),
        *("#", ".", "-", "0", "-1", "1e308", "5e-324", "nan", "inf", "1" * 400, "9" * 5000),
        *(" " * 300, "a" * 300, "[" * 500, "a." * 500, "../", "/dev/zero", "CON", "nul.", "\u202e"),
        *("\ud800", "\x1b[31m", "=cmd|' /C calc'!A0", "<script>", "%s%n", "1/0", "1/1000000007"),
        *("2000 mm", "0.1 mm", "2000", "0.001", "500", "true", "[[content]]\n", "[base]\n"),
        *("stack", "channel", "outside-x", "item", "mesh", "sphere", "2026-02-30", "0x1p9"),
    )
)


@st.composite
def mutated(draw: st.DrawFn, data: bytes) -> bytes:
    """The bytes with one to six changes."""
    for _ in range(draw(st.integers(1, 6))):
        at = draw(st.integers(0, len(data)))
        size = draw(st.sampled_from((1, 1, 2, 4, 9, 40, 200)))
        match draw(st.integers(0, 7)):
            case 0:  # a bit
                bit = 1 << draw(st.integers(0, 7))
                data = data[:at] + bytes(b ^ bit for b in data[at : at + 1]) + data[at + 1 :]
            case 1:  # a byte
                data = data[:at] + bytes([draw(st.integers(0, 255))]) + data[at + 1 :]
            case 2:  # left out
                data = data[:at] + data[at + size :]
            case 3:  # said again
                data = data[: at + size] + data[at:]
            case 4:  # cut off
                data = data[:at] if draw(st.integers(0, 4)) == 0 else data
            case 5:  # something written over or between
                over = draw(st.sampled_from((0, size)))
                data = data[:at] + draw(st.sampled_from(TOKENS)) + data[at + over :]
            case 6:  # a number changed
                data = _with_number(data, at, draw(st.sampled_from(NUMBERS)))
            case _:  # two pieces changed about
                to = draw(st.integers(0, len(data)))
                low, high = min(at, to), max(at, to)
                data = data[:low] + data[high : high + size] + data[low:high] + data[high + size :]
    return data[:MOST_BYTES]


NUMBERS = (b"0", b"-1", b"1e9", b"1e-9", b"2000", b"0.25", b"500", b"3 1/7", b"007", b"1_0", b"nan")


def _with_number(data: bytes, at: int, number: bytes) -> bytes:
    """The next number after a place becomes another one."""
    low = next((k for k in range(at, len(data)) if data[k : k + 1].isdigit()), None)
    if low is None:
        return data
    high = low
    while high < len(data) and (data[high : high + 1].isdigit() or data[high : high + 1] == b"."):
        high += 1
    return data[:low] + number + data[high:]
