"""The phrase book: read, compiled, chosen and filled in."""
