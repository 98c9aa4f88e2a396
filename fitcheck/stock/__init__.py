"""Papers and tools as values with their uncertainty, and how a crease in a paper behaves."""
