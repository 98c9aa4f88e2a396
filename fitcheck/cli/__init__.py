"""The command line: one short module for each command, everything slow imported inside it."""
