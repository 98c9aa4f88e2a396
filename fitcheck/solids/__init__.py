"""Solids for the printer: the only place that knows the solid modeller and the mesh libraries."""
