"""How much of Markdown one text may hold."""

from __future__ import annotations

import re

#: What one text may hold: each line, mark of a list or quote and cell of a table is a block that is
#: laid out for itself, and the cells that rows of a table lack are filled up.
MOST_LINES, MOST_STARTS, MOST_CELLS = 500, 1_000, 2_000
_STARTS = re.compile(r"[ \t]*(?:(?:>|[-+*][ \t]|\d{1,9}[.)][ \t])[ \t]*)+")
_RULED = re.compile(r"[ \t>]*+\|?[ \t]*+:?-++:?[ \t]*+(?:\|[ \t]*+:?-*+:?[ \t]*+)+")


def few_blocks(text: str) -> str:
    """The text itself; ValueError with what is expected where it holds too much to lay out."""
    lines = text.splitlines()
    if len(lines) > MOST_LINES:
        raise ValueError(f"at most {MOST_LINES} lines in a text")
    starts = filter(None, map(_STARTS.match, lines))
    if sum(len(start[0].replace(">", "> ").split()) for start in starts) > MOST_STARTS:
        raise ValueError(f"at most {MOST_STARTS:,} marks of lists and quotes in a text")
    widest = max((line.count("|") + 1 for line in lines if _RULED.fullmatch(line)), default=0)
    if widest * len(lines) > MOST_CELLS:
        raise ValueError(f"at most {MOST_CELLS:,} cells in the tables of a text")
    return text
