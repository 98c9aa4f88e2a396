"""The flat side of a part: its panels, creases and joints, and the plan that cuts and scores it."""
