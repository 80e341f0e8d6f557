"""Rows and columns that sum others up and are no readings: totals, averages, handicaps."""

from __future__ import annotations

import re
from collections.abc import Sequence

from explainer.draft.numbers import Writing

#: Words that head a row or column of sums (English, German, French, Spanish).
SUMS = frozenset(
    ["total", "totals", "subtotal", "sum", "sums", "gesamt", "summe", "somme", "suma", "tot", "ttl"]
)
#: Words that head one of averages or spreads.
MEANS = frozenset(
    ["mean", "means", "average", "averages", "avg", "ave", "median", "sd", "s.d.", "std", "stdev",
     "stddev", "se", "sem", "cv", "var", "variance", "range", "mittelwert", "mittel", "schnitt",
     "moyenne", "media", "promedio", "ø"]
)  # fmt: skip
#: Of these, the ones that are other words, too: alone they head a row, among others they may not.
_SHORT = frozenset(["se", "sem", "cv", "var", "range", "media", "mittel", "schnitt"])
#: Words for extremes and counts, which can be names as well (Max): such a row needs its numbers.
ENDS = frozenset(["min", "max", "n", "count", "minimum", "maximum"])
#: Words for a place, a handicap or a row's number: numbers that are no readings.
INDEXES = frozenset(
    ["pos", "position", "rank", "rk", "rnk", "place", "standing", "standings", "seed", "index",
     "idx", "hcp", "hdcp", "handicap", "platz", "rang", "row", "line", "#"]
)  # fmt: skip


def words_of(text: str) -> list[str]:
    return re.findall(r"[^\W\d_]+(?:\.[^\W\d_]+)*\.?|#|ø", text.casefold())


#: Words for a whole, which sum up where the others of their column are persons.
_WHOLES = frozenset(["team", "club", "house", "league", "field", "lane", "mannschaft", "pair"])
_PERSONS = frozenset(["bowler", "player", "name", "spieler", "joueur", "person", "member"])


def is_summary(text: str, head: set[str] | frozenset[str] = frozenset()) -> bool:
    """Whether a label says that its row sums others up: ``Total``, ``League average``, ``all``;
    and ``Team`` under a head (its words) of persons."""
    words = [w.rstrip(".") if w not in MEANS else w for w in words_of(text)]
    if not words or len(words) > 4 or re.match(r"[*†‡]", text):
        return False
    if len(words) == 1 and head & _PERSONS and words[0] in _WHOLES:
        return True
    if len(words) == 1:
        return words[0] in SUMS | MEANS | {"overall", "all", "everyone"}
    known = SUMS | (MEANS - _SHORT)
    return words[0] in known or words[-1] in known or words[0] in ("overall", "all")


def sums_up(
    above: Sequence[Sequence[str]], cells: Sequence[str], numeric: set[int], writing: Writing,
    names: Sequence[int],
) -> bool:  # fmt: skip
    """Whether a row without a name (or called min, max, n) holds the sums, means or ends of the
    rows above it, in every column of numbers and in two or more of them."""
    called = [cells[i] for i in names if cells[i]]
    ends = [c for c in called if c.casefold().strip(" .:") in ENDS]
    if (called and not ends) or len(above) < 3:
        return False
    checked = [
        _one_sums_up([row[i] for row in above], cells[i], writing)
        for i in sorted(numeric) if i < len(cells) and cells[i]
    ]  # fmt: skip
    return len(checked) >= (1 if ends else 2) and all(checked)


def _one_sums_up(above: Sequence[str], cell: str, writing: Writing) -> bool:
    read = writing.read(cell)
    given = [float(r[0]) for c in above if (r := writing.read(c)) is not None]
    if read is None or len(given) < 3:
        return False
    value = float(read[0])
    step = 0.51 * 10.0 ** -len(read[0].partition(".")[2])
    sums = (sum(given), sum(given) / len(given), min(given), max(given), float(len(given)))
    return any(abs(value - s) <= step for s in sums)
