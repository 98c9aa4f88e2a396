"""Results become text, JSON and files; each format is one small module that prints nothing."""
