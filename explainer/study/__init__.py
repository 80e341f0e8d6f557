"""Stage 1, read: a study folder in, a checked ``Study`` out."""
