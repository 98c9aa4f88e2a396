"""Nominal verdicts become odds: the errors of paper, tools, contents and weather, propagated."""
