"""Does it go together: lid over base, contents into base, a part with itself."""
