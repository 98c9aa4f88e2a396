"""Odds on the page: columns whose areas are shares, bars in order, figures as they came."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest

from fitcheck.bench.told import told_odds
from fitcheck.design.model import LidVerdict
from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.agreement import Agreement
from fitcheck.odds.inputs import Humidity
from fitcheck.odds.intervals import Chance, Interval
from fitcheck.odds.result import Advice, Histogram, LidOdds, MateOdds, Odds, Spread
from fitcheck.odds.shares import Share
from fitcheck.outputs.check_text import headline
from fitcheck.outputs.odds_text import counted
from fitcheck.outputs.report.chances import shares_drawing, spread_drawing
from fitcheck.outputs.report.model import report_of
from fitcheck.outputs.report.render import report_page
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.mates import Into

DESIGN = read_design(Path(__file__).resolve().parents[2] / "models" / "lantern.toml")
SPREAD = Spread(0.5, 0.4, Interval(-0.28, 1.29, 0.01, 0.01))
HITS = dict(zip(LidVerdict, (60, 40, 300, 590, 10), strict=True))
LID = LidOdds(
    chances={verdict: Chance(hits, 1000) for verdict, hits in HITS.items()},
    plays=dict.fromkeys(Axis, SPREAD),
    smaller=SPREAD,
    histogram=Histogram((-0.5, -0.2, 0.0, 0.2, 0.8, 1.5, 2.0), (30, 70, 300, 400, 190, 10)),
    rim_clear=Chance(1000, 1000),
    steady=Chance(1000, 1000),
    shifty_mm=3.0,
)
SHARES = (Share("the lid's second score", 0.41), Share("the <b>board</b>", 0.2), Share("x", 0.001))
ODDS = Odds(
    boxes=1000,
    seed=7,
    humidity=Humidity(35.0, 65.0),
    lid=LID,
    contents=(),
    good=Chance(590, 1000),
    about="play",
    shares=SHARES,
    gains=(),
    agreement=Agreement((), (), 0, 0, 0),
    findings=(),
)


def test_the_area_of_a_column_is_its_share_of_the_boxes() -> None:
    drawing = spread_drawing(LID, DESIGN.bands, ODDS.boxes)
    root = ElementTree.fromstring(drawing.inline())
    columns = [e.attrib for e in root.iter() if e.attrib.get("class") == "column"]
    areas = [float(c["width"]) * float(c["height"]) for c in columns]
    assert [area / sum(areas) for area in areas] == pytest.approx(
        [count / 1000 for count in LID.histogram.counts],
        abs=3e-3,  # places are drawn to a hundredth of a millimetre
    )


def test_the_largest_share_has_the_longest_bar_and_dust_is_left_out() -> None:
    drawing = shares_drawing(SHARES)
    assert drawing is not None
    bars = [
        float(e.attrib["width"])
        for e in ElementTree.fromstring(drawing.inline()).iter()
        if e.attrib.get("class") == "bar"
    ]
    assert len(bars) == 2
    assert bars[0] / bars[1] == pytest.approx(0.41 / 0.2, rel=1e-3)
    assert "<b>" not in drawing.inline()


def test_the_page_shows_them_in_boxes_of_a_hundred() -> None:
    """590 of 1000 are 59 of 100, give or take 1.6: about 59."""
    change = "make the lid 2.5 mm wider and longer than the base instead of 2 mm"
    advice = Advice(change, ODDS.good, Chance(800, 1000), None)
    page = report_page(report_of(check(DESIGN), replace(ODDS, advice=advice)))
    assert "1000 boxes were made on paper" in page
    assert "35 to 65 % relative humidity" in page
    assert f"{change}: about 59 -&gt; about 80 of 100" in page
    assert "about 59 of 100 boxes made by hand come out right" in page
    section = page.split('id="odds-heading"')[1].split("</section>")[0]
    assert not re.search(r"variance|seed|\+-|root mean square", section)


def test_the_worse_number_stands_beside_the_better_one_wherever_it_is_told() -> None:
    """Of 20 000 boxes 8000 are 40 of 100 and 2200 are 11: who follows the steps has the 11.

    40 of 100 of 20 000 are known to 1.96 sqrt(0.4 x 0.6 / 20 000) = 0.7 of 100: give or take 1.
    """
    found = check(DESIGN)
    odds = replace(ODDS, good=Chance(8_000, 20_000), rounded=Chance(2_200, 20_000))
    often = "40 of 100 boxes made by hand come out right"
    less = ", 11 where they are cut and scored as the steps round it"
    assert headline(found, odds).endswith(f" as drawn; {often}{less}")
    assert f" That is as drawn; {often}{less}.</h1>" in report_page(report_of(found, odds))
    told = told_odds(found, odds, None)
    assert told["said"] == f"{often}, give or take 1{less}." and told["rounded"] == "11"
    (right,) = [said for whose, said in counted(odds) if whose == "right"]
    assert right[-1].endswith("; `fitcheck suggest` looks for sizes that a rule shows")
    # two of a hundred less are no news
    same = replace(odds, rounded=Chance(7_700, 20_000))
    assert headline(found, same).endswith(often)
    assert f"; {often}.</h1>" in report_page(report_of(found, same))
    assert told_odds(found, same, None)["rounded"] is None


def test_the_page_tells_of_each_part_what_the_check_tells() -> None:
    """Of 1000 boxes 590 are 59 of 100, known to 1.96 sqrt(0.59 x 0.41 / 1000) = 3.05: 4 at most.

    The collar of a shoulder box decides as often as the lid whether it comes out right.
    """
    collar = MateOdds(Into("collar", "base"), Chance(12_200, 20_000), {"width": SPREAD}, SPREAD)
    page = report_page(report_of(check(DESIGN), replace(ODDS, mates=(collar,))))
    table = (
        page.split("<caption>Of 100 boxes made by hand</caption>")[1].split("</table>")[0].strip()
    )
    play = "in 95 it has from 0.28 mm too little to 1.29 mm of play along the"
    assert [
        (row.findtext("th"), [one.text for one in row.iter("div")])
        for row in ElementTree.fromstring(table)
    ] == [
        ("right", ["about 59 come out right, give or take 4"]),
        (
            "lid",
            [
                "6 bind, 4 tight, about 30 snug, about 59 slide, 1 loose",
                f"{play} width",
                f"{play} length",
            ],
        ),
        ("collar", ["61 go into the base", f"{play} width"]),
    ]


def test_a_page_without_odds_or_lid_or_contents_says_nothing_of_them() -> None:
    bare = replace(DESIGN, parts=(DESIGN.base,), contents=())
    page = report_page(report_of(check(bare)))
    for heading in ("How sure", "The narrowest place", "Play of the lid", "Room to spare"):
        assert heading not in page
    assert "the parts fold without pressing" in page
    assert 'name="lift"' not in page and 'name="contents"' not in page
