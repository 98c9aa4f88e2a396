"""The bench page: everything the commands do, on a page served to this machine alone."""
