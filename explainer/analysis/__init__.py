"""Stage 2, reanalyse: arrays in, numbers with their likely ranges out; no words, no files."""
