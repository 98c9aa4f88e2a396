"""What the blanks of a design are called and what they are for, in words of the bench."""

from __future__ import annotations

from collections.abc import Mapping

NAMES: Mapping[str, str] = {
    "stock": "paper",
    "tools": "board",
    "by": "whose design",
    "licence": "what others may do with it",
    "want": "a lid is right when it",
    "want_sink": "the lid is to sink in",
    "joint": "glue, thickness",
    "lay": "lies",
    "vary": "sizes differ",
    "decoration_g": "decoration, grams",
    "item": "what",
    "same_sheet": "from the base's sheet, scores nearer the edges by",
    "oversize": "larger than the base by",
    "slack": "free around the contents",
    "sleeve.ease": "larger than the tray by",
    "collar.ease": "smaller than the base by",
    "dividers.ease": "shorter than the base's inside by",
    "insert.ease": "smaller than the base's inside by",
}
"""What keys are called that do not read as words of the bench; those of one place come first."""
HELPS: Mapping[str, str] = {
    "style": "How this part is folded.",
    "stock": "The paper it is cut from. Papers that you measured are told from those "
    "that are assumed.",
    "floor": "The bottom, from score to score: what you set on the board between two "
    "scores. The box is a little larger outside, by the paper's thickness and "
    "its folds.",
    "inside": "What is free between the walls. The bottom is then worked out from it.",
    "opening": "What is free between the rolled walls. The bottom is then worked out from it.",
    "slack": "What is left free around the contents, both sides together. The bottom "
    "then follows the contents.",
    "depth": "How high the wall is, from its score to the edge of the sheet, or to the next score.",
    "frame": "How wide the flat rim is that the wall is rolled into.",
    "inner_wall": "How high the wall is that goes down again inside the rim. As high as the "
    "depth is usual; left out, it is worked out so that it stands upright.",
    "flap": "How wide the strip is that is glued to the bottom inside, at the foot of "
    "the inner wall.",
    "tabs": "Which walls carry the tabs that the corners are glued with: those across "
    "the width or those across the length.",
    "tab_setback": "How much the tab's score stands back from the corner, so that it folds freely.",
    "grain": "Which way the paper bends more easily.",
    "oversize": "How much wider and longer the lid's bottom is than the base's, from "
    "score to score. More makes it looser.",
    "same_sheet": "The lid is cut from a sheet as large as the base's, with its scores so "
    "much nearer the edges.",
    "joint": "How thick the glue is that you use.",
    "count": "How many of it go in.",
    "lay": "Whether it lies flat, stands on an edge or on an end, or as it fits best.",
    "vary": "Whether each piece differs from the next, or all of a batch differ alike.",
    "item": "What goes in: one of the things that are known, or were given their size.",
    "title": "What the box is called.",
    "unit": "What lengths are in that say no unit themselves. Choosing another moves no size.",
    "want": "Which lids count as right: snug, sliding, and others if you want them.",
    "tools": "The board that you score on and the trimmer that you cut with.",
    "colour": "In pictures only: a name such as white or teal, or #f3ead6.",
    "printed": "In pictures only: dots, stripes or check on its outside.",
}
"""What a blank is for; for all others the file's own words do."""
SIDES: Mapping[str, tuple[str, str]] = {
    "sleeve.ease": ("across", "up"),
    "dividers.ease": ("along the width", "along the length"),
    "dividers.cut": ("along the width", "along the length"),
}
"""What the two lengths of a pair are at a place, where they are not width and length."""
