"""Which columns of a file go with the downloads though nothing in the study uses them.

A column that study.yaml never mentions may tell of anybody: whose ball it is, who drilled it, what
was remarked.  Of such columns only plain numbers go along, and what says when, where and with what
a reading was taken in words that nobody is called.  ``columns: {lot: lot}`` of a table takes
another one along, unless its head or its cells lead to somebody who is not to be named.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

from explainer.study.description.study import Description
from explainer.study.labels import nobodys, numbers_only
from explainer.study.model import Table
from explainer.study.naming import Hidden
from explainer.study.people import hides_people, how_named
from explainer.study.persons import is_person
from explainer.study.roles import says_how

#: Words in the head of a column that lead to somebody, whole ...
_PRIVATE = frozenset(
    ["account", "bank", "card", "cell", "contact", "dob", "fax", "iban", "licence", "license",
     "login", "mobile", "plz", "postal", "ssn", "tel", "town", "user", "username", "zip"]
)  # fmt: skip
#: ... and within a longer one, in whatever way it is written.
_WITHIN = re.compile(r"address|birth|mail|phone|surname|firstname|lastname|fullname|postcode|passp")


def carried(
    description: Description, tables: Collection[Table], column: str, cells: Collection[str],
    hidden: Iterable[str],
) -> bool:
    """Whether a column that no table reads goes with the downloads.

    ``cells`` is all it holds, ``tables`` those of its file (as they were read, or with their
    people's names hidden), ``hidden`` the names that nothing published may give away.
    """
    wanted = any(column in description.tables[t.name].columns for t in tables)
    if wanted and all(how_named(description, t.name) == "shown" for t in tables):
        return True
    if private(column):
        return False
    if wanted:
        return not _gives_away(Hidden.of(hidden), cells)
    hides = any(hides_people(description, t) for t in tables)
    missing = {mark for t in tables for mark in description.tables[t.name].missing}
    return tells_nobody(column, cells, hides, missing)


def tells_nobody(
    column: str, cells: Collection[str], hides: bool, missing: Collection[str] = ()
) -> bool:
    """Whether a column that nothing reads and nobody asked for goes with the downloads of a file
    that ``hides`` people, or has none: there a member's number tells who somebody is as well as a
    name does."""
    if hides or private(column):
        return False
    return numbers_only(cells, missing) or (
        says_how(column) and all(nobodys(cell, column) for cell in cells)
    )


def _gives_away(hidden: Hidden, cells: Iterable[str]) -> bool:
    return any((hidden.given_away(cell) or ("", False))[1] for cell in cells)


def private(column: str) -> bool:
    """Whether the head of a column leads to somebody: email, date of birth, bowler_id."""
    plain = re.sub(r"[\W_]+", " ", re.sub(r"(?<=[a-z])(?=[A-Z])", " ", column)).casefold()
    inside = _WITHIN.search(plain.replace(" ", ""))
    return bool(inside) or is_person(plain) or bool(_PRIVATE & set(plain.split()))
