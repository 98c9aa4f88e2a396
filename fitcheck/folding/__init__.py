"""A flat pattern becomes a folded part: creases turn, corners push out, rolled frames close."""
