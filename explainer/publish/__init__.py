"""Stage 7, publish: editions into a site, whole or untouched."""
