"""Words that say that a row or column sums others up: ``Total``, ``League average``, ``all``."""

from __future__ import annotations

import re
from collections.abc import Set as AbstractSet

from explainer.study.persons import is_person

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


def words_of(text: str) -> list[str]:
    return re.findall(r"[^\W\d_]+(?:\.[^\W\d_]+)*\.?|#|ø", text.casefold())


#: Words for a whole, which sum up where the others of their column are persons.
_WHOLES = frozenset(["team", "club", "house", "league", "field", "lane", "mannschaft", "pair"])


def _of_people(word: str) -> bool:
    return is_person(word) or word == "name"


def is_summary(text: str, head: AbstractSet[str] = frozenset()) -> bool:
    """Whether a label says that its row sums others up: ``Total``, ``League average``, ``all``;
    and ``Team`` under a head (its words) of persons."""
    words = [w.rstrip(".") if w not in MEANS else w for w in words_of(text)]
    if not words or len(words) > 4 or re.match(r"[*†‡]", text):
        return False
    if len(words) == 1 and words[0] in _WHOLES and any(map(_of_people, head)):
        return True
    if len(words) == 1:
        return words[0] in SUMS | MEANS | {"overall", "all", "everyone"}
    known = SUMS | (MEANS - _SHORT)
    return words[0] in known or words[-1] in known or words[0] in ("overall", "all")


def sums_in_words(cell: str) -> bool:
    """Whether a cell says that its own number sums others up: ``Avg 46``, ``Total: 1,310``."""
    found = re.fullmatch(r"([^\W\d_]+\.?)[\s:=]*[-+]?\d[\d.,' ]*", cell.strip())
    return found is not None and found[1].casefold().rstrip(".") in SUMS | MEANS
