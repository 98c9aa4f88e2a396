"""Designs that the commands' tests run on, so that the shipped examples may change."""

TOFFEES = """\
# A tray with a lid for the evening lantern walk: wrapped toffees side by side.
format = 1
title  = "Toffee box"
unit   = "mm"

[base]
style  = "tray"
stock  = "cover-80"
floor  = [70, 80]
depth  = 25

[lid]
style  = "tray"
stock  = "cover-80"
oversize = 2
depth  = 18

[[content]]
item   = "toffee-wrapped"
count  = 6
lay    = "flat"
"""

FRAMED = """\
# A season pass of card size lies in a framed box under a lid.
format = 1
title  = "Framed box"
unit   = "in"
joint  = "0.1 mm"

[base]
style  = "shadow-box"
stock  = "cardstock-270"
floor  = ["3 1/4", "4 1/2"]
depth  = "7/8"
frame  = "3/8"
flap   = "11/32"

[lid]
style  = "tray"
stock  = "patterned-160"
oversize = "1/16"
depth  = "5/8"

[[content]]
item   = "card-id1"
count  = 1
lay    = "flat"
"""
