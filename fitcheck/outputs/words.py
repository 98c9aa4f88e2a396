"""The words that fitcheck uses, those of the trade and its own, each explained in a few lines.

Trade words are common practice, no source, where nothing else is said.
"""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "adhesive": "What holds a joint: tape or glue. Its thickness counts in a glued corner or seam; "
    "the key is joint, the usual values stand in the tools' profile.",
    "allowance": "What is added or taken off so that folded parts come out as meant; of a fold it "
    "is the crease allowance.",
    "base": "The part that contents lie in and that a lid closes.",
    "batch": "Sheets of a paper that were made together. Another batch may be thicker or fold "
    "otherwise: it is learnt under a name of its own.",
    "bead": "The ridge that a score pushes out on the far face of the paper. A fold goes towards "
    "the bead.",
    "bind": "A lid binds where it presses by more than a tight one may: it does not go on unless "
    "it is forced, and then walls bow in or corners open.",
    "bite": "How far a wall's inside face stands inside its score line: the caliper less the "
    "crease allowance.",
    "board": "The scoring board: a plate with grooves at equal distances and a fence that the "
    "sheet's edge is held against.",
    "bow": "How far the middle of a wall stands out or in at the rim, between its corners.",
    "caliper": "The thickness of a paper, as a caliper or micrometer reads it; in inches often "
    "given in points, thousandths of an inch.",
    "channel": "A strip of a coupon folded up at two scores, so that two walls stand on a floor; "
    "how wide it is between or over them tells the crease allowance.",
    "clear": "By how much a lid in one piece with its box is longer than the floor, from score to "
    "score, or a tuck's lid narrower than the room between its walls.",
    "collar": "A ring that stands in a base and that a lid of the base's own size goes over, so "
    "that the two rims meet.",
    "content": "A thing that goes in: a card, a block, a cylinder, a ball or a mesh; each is an "
    "item with a source, `fitcheck list items`.",
    "coupon": "A test strip or corner that is cut, scored and folded to measure what a paper, a "
    "board or a hand does: `fitcheck coupon`.",
    "crease": "The line that a score is folded along.",
    "crease allowance": "How much further out than its score line a folded wall's outside face "
    "stands. Measured with a coupon; until then a rule of thumb (0.61 of the caliper, 0.80 where "
    "board is cut half through).",
    "divider": "A strip that stands in a base and crosses others in slots, so that each makes "
    "compartments.",
    "double wall": "A wall that is folded over at its rim and comes down again inside.",
    "dummy": "A printed stand-in: of a content, to try a box with, or of a box, to try a lid with: "
    "`fitcheck dummy`.",
    "dust flap": "A flap at the end of a carton's side wall; it is turned in before the lid goes "
    "over it.",
    "ease": "By how much a part that goes into or round another one is smaller or larger.",
    "feel": "What a lid does when it is let go: it has to be forced, holds the box, stays, floats, "
    "sinks or drops.",
    "fence": "The edge of the board that a sheet's edge is held against; scores are measured from "
    "it.",
    "flat": "Lying on its largest face, its smallest size up.",
    "floor": "A part's bottom panel; as a size it is from score to score.",
    "flush": "Level with each other, so that no step is felt.",
    "fold angle": "How far a crease is folded: 0 degrees is flat, 90 stands a wall up, 180 "
    "closes a hem.",
    "forecast": "What is said of a box before it is made: how many of 100 come out right, and "
    "with how much play. Frozen, nothing changes it, and boxes that are made tell how good it "
    "was: `fitcheck record DESIGN --forecast`.",
    "frame": "The hollow rim that a wall rolled inwards makes round an opening.",
    "gauge": "A print that tells how true a printer is: `fitcheck gauge`.",
    "give": "How far a glued corner pushes its walls out, as a share of a sheet and the glue on "
    "it: 1 is all of it, 0 is nothing. Paper gives as well where a lid presses a little.",
    "grain": "The way that a paper's fibres run. It folds cleanly along the grain, and grows and "
    "shrinks with the air's humidity mostly across it. A bought sheet's grain is taken along the "
    "side that is named second: 11 x 17 is long grain, 17 x 11 short grain.",
    "groove": "One of the board's lines; a score in a groove is truer than one between.",
    "hair": "A millimetre at the most, and mostly half of that: a cut a hair inside a score leaves "
    "that much room. The drawing has it exactly.",
    "half cut": "A cut through half the thickness instead of a score, on the face that comes to "
    "lie outside the fold, as a hinge.",
    "hand": "How far off somebody's cuts and scores come out. Strips that they cut and score "
    "measure it: `fitcheck coupon TOOLS`; `--by NAME` takes the hand of one person.",
    "hem": "A fold of 180 degrees, closed flat: the paper lies on itself. On a paper's coupon it "
    "is read from the cut edge to the fold.",
    "hinge": "A crease that a lid in one piece with its box turns about.",
    "hygroexpansion": "The share of its length that a sheet grows for each % of relative "
    "humidity, along and across its grain. A strip of 200 mm that is 1 mm longer in 70 % than in "
    "30 % has 0.000125. A tag card's maker gives up to 0.000045 along and 0.000127 across. It "
    "stands in the paper's file.",
    "inside": "Between the inside faces of the walls.",
    "joint": "Two faces glued together, and the thickness of what is between them.",
    "lay": "How a content lies: flat, on edge, on end, or any of them. It stands in the design's "
    "[[content]].",
    "lid": "The part that closes a box: it comes down over its base, or hangs on it by a crease. "
    "How it goes on is told by its play.",
    "liner": "Paper glued inside a box, on its floor or its walls. No check counts it: it takes "
    "its own thickness and its tape's from the room, at each wall.",
    "lip": "The flap at a hinged lid's free edge: it comes down over the front wall, or behind it.",
    "lock": "What holds a lid that is tucked in: shoulders of the dust flaps in slits at the ends "
    "of the tuck flap's crease.",
    "loose": "A lid is loose where its smaller play is so large that it may fall off: from 1.5 mm, "
    "unless the design's bands say otherwise. It shifts about from twice that along either axis, "
    "however snug it is along the other; so does a drawer in its sleeve.",
    "mat": "A flat sheet on a base's floor, with a window or without one; of what is added to a "
    "box, paper of another colour that is glued on its lid or its walls.",
    "mate": "How one part goes over, into or along another, or a lid turns; each has a play or a "
    "clearance.",
    "mitre": "A slanted cut at a corner, so that two ends meet or clear each other.",
    "notch": "A half-round bite out of a wall's rim for a finger. A sleeve has it drawn; where "
    "check names one for the walls of a base, it is cut by hand before they are folded.",
    "odds": "How many of 100 boxes made by hand, with these papers and tools, come out right.",
    "opening": "Between a rolled frame's inner walls: what goes in has to pass there.",
    "overlap": "How far a lid comes down over its base.",
    "oversize": "How much longer and wider a lid's floor is than the base's, score to score.",
    "panel": "A flat piece of a part between scores and cut edges: a floor, a wall, a tab, a flap.",
    "part": "What is cut from one sheet and folded: a base, a lid, a sleeve, a collar, an insert.",
    "pattern": "All panels of a part as they lie flat on its sheet, with the scores between them: "
    "`fitcheck sheet` draws it.",
    "permeance": "How much air a paper lets through; makers give it as Gurley seconds or Bendtsen "
    "ml/min.",
    "play": "How far a part can be pushed to and fro once it is on, both sides together; negative "
    "where it presses.",
    "point": "A thousandth of an inch of paper thickness, as paper makers say it: 12 pt.",
    "push out": "The tab and the glue inside a corner push the wall over them outwards at the "
    "rim. The tray of a paper's coupon tells how far.",
    "reveal": "What shows of the base below the lid's rim.",
    "right": "A box is right when its lid goes on as wanted, its rim off the table, neither lid "
    "nor drawer shifts about (from twice the play that a lid is loose from, along either axis), "
    "what stands in the base is no higher than the lid allows, the contents go in, every mate goes "
    "and no part fights itself.",
    "rim": "The edge of a wall opposite the floor.",
    "rise": "How much higher a collar is cut than its base is deep.",
    "scatter": "How much things that are made alike differ: two of three lie within it to either "
    "side.",
    "score": "The line pressed into the paper so that it folds there; not a cut.",
    "seam": "The glued flap that closes a tube.",
    "setback": "How far a tab's score is moved inward, so that the wall glued over it stands "
    "upright; no rule shows so little, and the steps tell it as a hair.",
    "shadow box": "A box whose walls are rolled inwards into a frame round an opening: style "
    "shadow-box.",
    "sheets": "The sizes of paper that a workshop has. Where its tools file lists none, letter, A4 "
    "and 12 x 12 in are taken. To list yours, write calibration/tools/my-sheets.toml: format = 1, "
    'like = "score-board-metric", sheets = ["a4", "a3", ["450 mm", "640 mm"]], each on a line, '
    'and in the design tools = "my-sheets". Names are letter, a4, 12x12 and a3; the grain is '
    "taken along the side named second.",
    "short": "By how much the lids of a carton are shorter than its floor, from score to score.",
    "shoulder box": "A base and a lid of one size that meet at a line, over a collar in the base.",
    "sink": "A close lid sinks on the air that has to leave below it; in seconds, from a lid that "
    "rests in a corner to one in the middle of its play.",
    "slack": "What is left free round the contents, both sides together.",
    "sleeve": "A tube that a tray slides into as a drawer.",
    "slide": "A lid slides where it has more play than a snug one and less than a loose one.",
    "slit": "A cut of no width.",
    "snug": "A lid with next to no play: it goes on without a push and stays. It has up to 0.2 mm, "
    "unless the design's bands say otherwise.",
    "stack": "Sheets of one paper pressed together and measured at once; the reading over their "
    "number is the caliper.",
    "standard uncertainty": "How well a value is known: in two of three cases the truth lies "
    "within it to either side, in 95 of 100 within twice as much.",
    "stock": "A paper, by its name: `fitcheck list stocks`.",
    "tab": "A flap at a wall's end that is glued to the wall beside it.",
    "tight": "A lid is tight where it presses by so little that paper gives and it goes on with a "
    "push: by up to 0.15 mm, unless the design's bands say otherwise. The further it comes down "
    "over its base the harder the push, which check tells under feel.",
    "tools": "A board, a trimmer and an adhesive, with how true they are: `fitcheck list tools`.",
    "tray": "Four walls round a floor, the corners held by glued tabs.",
    "tuck flap": "The flap at a lid's free edge that goes down behind a wall.",
    "window": "A hole cut in a mat or the top of a platform, that the contents stand in; or in a "
    "lid, with a clear sheet behind it.",
}


def explained(word: str) -> tuple[str, str] | None:
    """The word as it is listed, and what it means; None for an unknown one.

    >>> explained("Dust-Flaps")[0], explained("scores")[0]
    ('dust flap', 'score')
    """
    asked = " ".join(word.replace("-", " ").replace("_", " ").split()).lower()
    asked = asked.removeprefix("a ").removeprefix("an ").removeprefix("the ")
    for form in (asked, asked.removesuffix("s"), asked.removesuffix("d"), asked.removesuffix("es")):
        if form in WORDS:
            return form, WORDS[form]
    return None
