"""A whole recipe from what a maker knows: what goes in, which box, which papers and board."""
