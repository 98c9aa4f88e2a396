"""Several bodies in one room: arranged, or proved not to fit, or honestly neither."""
