"""Drawings as display lists in mm: strokes and texts that every writer takes.

shapes        Stroke, Label, LineKind, Anchor, Box, Drawing; line, rectangle, paragraph
metrics       how wide a text is, in the one shipped font that all formats are set in
legible       spelled, unshown: signs that no font here has a shape for, said by their names
pens          PENS: width and dashes of each kind of line, and what the legend says
label_placer  Placer: finds a place for a text that covers no line and no other text
page_sizes    Paper, PAPER_SIZES: letter, A4, 12 x 12 in, A3
tiles         needed(drawing, windows): which tiles show anything to cut, score, glue or read
pages         Page, lay_on_pages(drawing, paper): tiles, register marks, check bars, legend
text_pages    text_pages(title, lines, paper): plain text on pages
"""
