"""Columns that say how, where or by whom a reading was taken, and not what was tested.

They need no mention in study.yaml: what goes with a comparison is found from the columns that are
there, and only those are read whose name says what they hold.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

#: Words of a column's name: who read, or with what; and where.
WHO = ("operator", "tester", "technician", "inspector", "appraiser", "reader", "measured by",
       "read by", "desk", "gauge", "gage", "instrument", "device", "durometer")  # fmt: skip
WHEN = ("order", "turn", "sequence", "day", "date", "night", "time", "hour", "half", "week",
        "month", "visit")  # fmt: skip
KIND = ("model", "kind", "type", "class", "version", "material", "cover", "make")
WHOSE = ("ball", "sample", "specimen")
WHERE = ("lane", "session", "machine", "house", "center", "centre", "station", "squad")


def nuisances(header: Iterable[str]) -> tuple[str, ...]:
    """The columns whose name says that they hold who, with what, or where."""
    return tuple(column for column in header if _says(column, (*WHO, *WHERE)))


def of_time(header: Iterable[str]) -> tuple[str, ...]:
    """The columns whose name says that they hold when, or what came first."""
    return tuple(column for column in header if _says(column, WHEN))


def of_kind(header: Iterable[str]) -> tuple[str, ...]:
    """The columns whose name says that they hold what kind of item one is."""
    return tuple(column for column in header if _says(column, KIND))


def of_whose(header: Iterable[str]) -> tuple[str, ...]:
    """The columns whose name says that they hold what was read, of which an item may be a part."""
    return tuple(column for column in header if _says(column, WHOSE))


def looked_at(header: Iterable[str]) -> tuple[str, ...]:
    """The columns that are kept though nothing names them, in their order."""
    return tuple(column for column in header if _says(column, (*WHO, *WHERE, *WHEN, *KIND, *WHOSE)))


def _says(column: str, known: Iterable[str]) -> bool:
    words = re.sub(r"[^a-z]+", " ", column.lower()).strip()
    return any(re.search(rf"\b{word}s?\b", words) for word in known)
