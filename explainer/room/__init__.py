"""The workroom: the whole of it on a local page, for whoever does not use a terminal."""
