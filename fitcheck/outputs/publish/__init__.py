"""A recipe to publish, as a page and as a PDF: one description, two ways to lay it out."""
