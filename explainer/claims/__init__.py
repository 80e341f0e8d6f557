"""Stage 3, judge: each claim held against the numbers; the chain; the open questions."""
