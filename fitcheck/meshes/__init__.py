"""Mesh files become triangles in millimetres here: four formats, no references, bounded work."""
