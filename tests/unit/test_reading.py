"""Files are read only where they are files, and only up to the size of their kind."""

import os
from pathlib import Path

import pytest

from fitcheck.errors import InputError
from fitcheck.workspace.reading import Most, read_bounded


def test_a_file_of_the_largest_size_is_read_and_one_byte_more_is_not(tmp_path: Path) -> None:
    path = tmp_path / "big.toml"
    path.write_bytes(b"#" * 1_000_000)
    assert len(read_bounded(path, Most.DESIGN)) == 1_000_000
    path.write_bytes(b"#" * 1_000_001)
    with pytest.raises(InputError, match=r"big\.toml: is larger than 1 MB; allowed: at most 1 MB"):
        read_bounded(path, Most.DESIGN)


def test_what_is_no_file_is_refused_at_once(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path, reason in (
        (pipe, "device or a pipe"),
        (Path("/dev/zero"), "device or a pipe"),
        (tmp_path, "is a folder"),
        (Path("a\0b"), "null byte"),
        (Path("x" * 300), "File name too long"),
    ):
        with pytest.raises(InputError, match=reason):
            read_bounded(path, Most.DESIGN)


def test_a_missing_file_is_left_to_the_caller(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        read_bounded(tmp_path / "gone", Most.READINGS)
