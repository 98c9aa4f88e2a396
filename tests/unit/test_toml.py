"""What a maker is told of a line that TOML does not take."""

from __future__ import annotations

import pytest

from fitcheck.errors import InputError
from fitcheck.workspace.toml import tables_of


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("floor = [4 1/8, 6 1/8]", 'a fraction stands in quotes, "4 1/8"'),
        ("depth = 7/8", 'a fraction stands in quotes, "7/8"'),
        ("depth = 0,875", "a number has a point, 0.875"),
        ("style = tray", "texts stand in quotes, keys before ="),
        ('title = "1/2 or 0,5" and more', "texts stand in quotes, keys before ="),
    ],
)
def test_a_number_that_is_written_otherwise_is_told_how(line: str, told: str) -> None:
    with pytest.raises(InputError) as error:
        tables_of(f'title = "Box"\n{line}\n', "box.toml")
    assert "is not TOML" in str(error.value) and told in str(error.value)
    assert "line 2" in str(error.value)
