"""Where names are found, files are read strictly, and written whole or not at all."""
