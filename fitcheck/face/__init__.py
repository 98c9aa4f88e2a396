"""The face of the program for Python: what other rooms know as plain public values and arrays."""
