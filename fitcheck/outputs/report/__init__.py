"""The report: one self-contained page, with the drawings and the turning view that it shows."""
