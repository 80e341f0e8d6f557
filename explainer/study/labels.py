"""Whether what stands in a cell could be somebody's name, by its looks alone."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

#: Words of places, things, turns and answers that nobody is called.
_WORDS = """
alley apparatus auto automatic average block both bottle box cabinet centre center clean club
control counter course desk device dry durometer eighth eleventh evening factory fifth first five
floor four fourth front game gauge gage group half instrument lab laboratory last league
left line lower machine manual meter middle mixed morning neither night nine ninth no none number
off office oiled on one other pattern plain polished reading rear right robot room run sanded second
sensor series session set seventh shift shop side site six sixth spot squad station system table
team ten tenth test third three top turn twelve two unit unknown upper used warehouse wear week wet
with without workshop worn year yes
"""
THINGS = frozenset(_WORDS.split())
#: The same, though some people are called so: in small letters only.
SMALL = frozenset(
    ["bench", "board", "bowl", "fresh", "hand", "high", "home", "house", "kit", "lane", "long",
     "low", "new", "old", "pit", "short", "spare", "stand"]
)  # fmt: skip
_WORD = re.compile(r"[^\W\d_]{2,}")
#: A number without a name may still be a telephone's, or a card's.
_LONG_NUMBER = re.compile(r"\+?0\d{5,}|\+?\d{7,}|\+\d{5,}")
_GAPS = frozenset(["", "-", "–", "—", ".", "?", "/", "n/a", "na", "nan", "none", "null", "x"])


def nobodys(label: str, head: str = "") -> bool:
    """Whether a label is plainly no name: numbers, single letters, and words for things, among them
    those of its column's ``head``: 3, B, desk A, counter."""
    known = {*THINGS, *(word.removesuffix("s") for word in map(str.casefold, _words(head)))}
    return all(
        word in SMALL or {low := word.casefold(), low.removesuffix("s")} & known
        for word in _words(label)
    )


def numbers_only(cells: Iterable[str], missing: Collection[str] = ()) -> bool:
    """Whether a column holds numbers and gaps, none of them as long as a telephone's."""
    return all(
        cell in missing or cell.casefold() in _GAPS
        or (_is_number(cell) and not _LONG_NUMBER.fullmatch(cell))
        for cell in map(str.strip, cells)
    )  # fmt: skip


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def _words(text: str) -> list[str]:
    return _WORD.findall(text.replace("_", " "))
