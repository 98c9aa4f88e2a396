"""Of two sizes that are advised none does nothing: a change of both was told where one does it all.

The words are a literal expectation: boxes with only the length's ease changed, folded and
counted by themselves, come out right as often as those with both.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.agreement.test_advice import advised
from tests.agreement.test_suggest_parts import read, share

COLLAR = """format = 1
title = "A box for a beeswax candle"
unit = "mm"
[base]
style = "tray"
stock = "cardstock-270"
floor = [85, 85]
depth = 60
[collar]
style = "collar"
stock = "cardstock-270"
ease = {ease}
rise = 30
[lid]
style = "tray"
stock = "cardstock-270"
oversize = 0
depth = 40
"""


@pytest.mark.parametrize("ease", ["1.5", "[1.5, 1.5]"])
def test_only_the_size_that_helps_is_advised(tmp_path: Path, ease: str) -> None:
    found = advised(read(tmp_path, COLLAR.format(ease=ease)))
    assert found is not None and found.design is not None
    assert found.change == "give the collar 2 mm of ease along the length instead of 1.5 mm"
    both = share(read(tmp_path, COLLAR.format(ease="[2, 2]")))
    assert share(found.design) > both - 0.005
