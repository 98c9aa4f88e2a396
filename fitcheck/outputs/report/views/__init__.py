"""Shaded views drawn as SVG, far faces first, so that a picture needs no display."""
