"""The shapes a term takes in running text: case, plural, hyphens, apostrophes."""

from __future__ import annotations

import re

#: A word, or the apostrophe inside one; what lies between two of these is a gap.
PIECE = re.compile(r"[^\W_]+|['’]")

_HISSES = ("s", "x", "z", "ch", "sh")


def key(text: str) -> str:
    """``text`` as names are compared: no case, one space for any space or hyphen.

    >>> key("Back-end  Reaction") == key("back end reaction")
    True
    """
    return " ".join("'" if p == "’" else p.casefold() for p in PIECE.findall(text))


def plural(name: str) -> str:
    """The regular plural of a name's last word; irregular ones stand in the entry's ``also``."""
    if name.endswith(_HISSES):
        return name + "es"
    if name.endswith("y") and name[-2:-1] not in "aeiou":
        return name[:-1] + "ies"
    return name + "s"


def slug(name: str) -> str:
    """The anchor of a term: lower-case words joined by hyphens, apostrophes dropped."""
    return "-".join(PIECE.findall(re.sub("['’]", "", name.casefold())))
