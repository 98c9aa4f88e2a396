"""The lid that sinks in the time that is wanted, against every lid near it folded by itself."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.grid import steps_for
from fitcheck.odds.odds import odds_of
from fitcheck.odds.options import Kind
from fitcheck.odds.start import start_of
from fitcheck.odds.suggest import suggest
from fitcheck.odds.wanted_sink import best_sinker

BOXES = 2000
NOISE = 0.05
"""Two counts of 300 boxes with other draws differ by this at the most, mostly."""


def wanting(tmp_path: Path) -> Path:
    path = tmp_path / "some.toml"
    path.write_text(
        'format = 1\ntitle = "Some"\nunit = "mm"\nwant_sink = "2 s to 10 s"\n'
        '[base]\nstyle = "tray"\nstock = "cover-80"\nfloor = [76, 108]\ndepth = 22\n'
        '[lid]\nstyle = "tray"\nstock = "cover-80"\ndepth = 18\noversize = 2\n'
    )
    return path


def test_no_lid_near_it_sinks_as_wanted_much_oftener(tmp_path: Path) -> None:
    """Brute force over 16 lids, each folded with gradients of its own."""
    design = read_design(wanting(tmp_path))
    start = start_of(design, check(design))
    assert start is not None and design.lid is not None
    best = best_sinker(start, steps_for(design.tools, design.unit), 0)
    assert best is not None
    shares = {}
    for wide, long in itertools.product((1.0, 1.5, 2.0, 2.5), repeat=2):
        other = check(design.with_parts(replace(design.lid, size_mm=(wide, long))))
        odds = odds_of(other, BOXES, folded_again=0)
        if other.fits and odds.feel is not None and odds.feel.wanted is not None:
            shares[wide, long] = odds.feel.wanted.share
    assert best.wanted.share >= max(shares.values()) - NOISE
    assert best.wanted.share > shares[2.0, 2.0]


def test_suggest_offers_it_first_and_says_how_often(tmp_path: Path) -> None:
    found = suggest(read_design(wanting(tmp_path)), BOXES)
    assert found.original.wanted is not None
    first = found.ranked[0]
    assert Kind.SINKS in first.kinds and first.wanted is not None
    assert first.wanted.share > found.original.wanted.share
    again = odds_of(check(first.design), BOXES, folded_again=0).feel
    assert again is not None and again.wanted is not None
    assert abs(again.wanted.share - first.wanted.share) <= NOISE
