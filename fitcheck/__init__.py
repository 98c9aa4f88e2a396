"""fitcheck answers whether a folded cardstock box takes its contents and lid, before it is cut."""

__version__ = "0.4.0"
