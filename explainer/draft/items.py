"""What counts as one: the column that names the items, made where several or none name them."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import replace
from itertools import pairwise

from explainer.draft.columns import Column, is_order
from explainer.draft.guess import Guess, Sure
from explainer.draft.headers import (
    GROUPS,
    ITEM_WORDS,
    OPERATORS,
    REMARKS,
    SET,
    USE_WORDS,
    Header,
    date_in,
)
from explainer.draft.tidy import Tidy, said

#: Words that only say that a column holds names.
LABELS = frozenset(
    ["id", "no", "no.", "nr", "number", "name", "label", "code", "#", "the", "tag", "what", "s",
     "your", "is"]
)  # fmt: skip
_IDS = frozenset(["id", "no", "nr", "code", "tag", "serial", "seriennr", "label", "name", "#"])
#: What a table of points without a name for them gets.
POINT = "point"


def item_of(table: Tidy, where: str, guesses: list[Guess]) -> tuple[Tidy, Column, str]:
    """The column that names what counts as one; made where several columns name it, or none."""
    points = sorted(
        ((_names_items(c, n), -n, c) for n, c in enumerate(table.columns)), key=lambda p: p[:2]
    )
    worth, _, found = points[-1]
    if worth < 0:
        names = [c for c in table.columns if _names_rows(c)]
        if not names:
            return _numbered(table, where, guesses)
        found = names[0]
    found = _ball_of(_finer(found, table.columns), table.columns)
    for part in _together(found, table.columns):
        return _joined(table, part, found, where, guesses)
    each = word_of(found)
    rivals = [c for w, _, c in points[:-1] if c is not found and w >= worth - 1 and w > 4]
    sure: Sure = "please check" if rivals or worth < 6 or len(found.distinct) < 2 else "likely"
    why = f"{len(found.distinct)} of them"
    if rivals:
        why += f"; {rivals[0].header.written} could be, too"
    guesses.append(Guess(f"{where}, column {found.header.written or found.name}",
                         f"names each {each}: what counts as one", sure, why, 90))  # fmt: skip
    empty = [r + 2 for r, cell in enumerate(found.cells) if not cell]
    if empty:
        rows = ", ".join(map(str, empty[:5])) + (", …" if len(empty) > 5 else "")
        guesses.append(Guess(f"{where}, column {found.header.written or found.name}",
                             f"no {each} in {len(empty)} rows of the copy", "please check",
                             f"row{'s' * (len(empty) > 1)} {rows}", 85))  # fmt: skip
    return table, found, each


def _names_rows(column: Column) -> bool:
    """Whether a column has a word of its own for each row, as one of groups has beside means."""
    full = len(column.distinct) == len(column.cells) > 1
    plain = not (column.numeric or column.pins or column.sums or are_dates(column))
    return full and plain and not said(column.header) & REMARKS and not are_hashes(column)


def word_of(column: Column) -> str:
    """The word for one of what a column names."""
    apart = re.sub(r"(?<=[a-z]{2})(?=[A-Z])", " ", column.header.words).casefold()
    words = [w for w in re.findall(r"[^\W\d_]+", apart) if w not in LABELS]
    known = next((w for w in words if w in ITEM_WORDS - SERIAL), "")
    if not known and said(column.header) & SERIAL:
        return "ball"  # what a number is stamped on; the draft marks the word
    if not known and not words:
        named = "name" in said(column.header) and not re.search(r"\d", "".join(column.distinct))
        return "bowler" if named else "item"  # the draft marks the word, to be confirmed
    return known or " ".join(words)


def _names_items(column: Column, place: int) -> int:
    """How likely a column names what counts as one; below 0 where it cannot."""
    words = said(column.header)
    distinct, rows = len(column.distinct), len(column.values)
    if not rows or column.sums or column.pins or words & REMARKS or are_dates(column):
        return -10
    if rows < 0.6 * len(column.cells) or (column.numeric and not column.whole):
        return -10
    named = bool(words & ITEM_WORDS)
    points = 6 * named + 3 * bool(words & _IDS) + (2 if not column.numeric else -4 * (not named))
    points += 2 if distinct < rows else 0
    points += 4 if column.numeric and words & _IDS else 0
    points -= 8 * bool(words & USE_WORDS.keys() or is_order(column) or words & OPERATORS)
    points -= 5 * bool(words & (SET | GROUPS) and not named) + (place > 2)
    points -= 8 * (are_hashes(column) or (distinct == 1 and rows > 1 and not named))
    if column.numeric and (column.header.unit or (named and distinct < 2)):
        points -= 8
    if not named and not words & _IDS and not column.numeric and _are_sentences(column):
        points -= 6
    return points


def are_dates(column: Column) -> bool:
    return not column.numeric and any(date_in(c) for c in column.distinct[:3])


def are_hashes(column: Column) -> bool:
    """Whether every row has a long code of its own, as an app numbers its records."""
    given = column.values
    return len(set(given)) == len(given) and all(
        re.fullmatch(r"[0-9a-f-]{8,}", c.casefold()) for c in given
    )


def _are_sentences(column: Column) -> bool:
    return sum(len(c.split()) > 4 for c in column.distinct) > 0.5 * len(column.distinct)


#: Words for a ball as its owner calls it, and for the number stamped on it.
_BALL = frozenset(["ball", "kugel", "boule", "bola"])
SERIAL = frozenset(["serial", "seriennr", "seriennummer", "s/n", "sn"])


def _ball_of(found: Column, columns: tuple[Column, ...]) -> Column:
    """The column of balls' names, where each has one serial number: pages call them by their names.

    One name over several serials is a model's.
    """
    if not said(found.header) & SERIAL or said(found.header) & _BALL:
        return found
    for column in columns:
        pairs = {(a, b) for a, b in zip(column.cells, found.cells, strict=True) if a or b}
        if said(column.header) & _BALL and len(pairs) == len(found.distinct) == len(
            column.distinct
        ):  # fmt: skip
            return column
    return found


def _finer(found: Column, columns: tuple[Column, ...]) -> Column:
    """The column that names single ones where ``found`` names their kind: a serial number under a
    model, a bowler in a team."""
    for column in columns:
        words = said(column.header)
        if column is found or not words & (_IDS | ITEM_WORDS) or words & REMARKS or column.sums:
            continue
        kinds: dict[str, set[str]] = defaultdict(set)
        for cell, kind in zip(column.cells, found.cells, strict=True):
            kinds[cell].add(kind)
        more = len(found.distinct) < len(column.distinct) < len(column.values)
        if "team" in said(found.header) and not column.numeric:  # one row for each of its members
            more = len(found.distinct) < len(column.distinct)
        whole = not column.numeric or (column.whole and bool(words & _IDS))
        if more and whole and not are_hashes(column) and all(len(k) == 1 for k in kinds.values()):
            return column
    return found


def _together(found: Column, columns: tuple[Column, ...]) -> list[Column]:
    """A column of kinds that a plain number needs beside it to name one: model and no."""
    if not found.numeric or not said(found.header) & _IDS or said(found.header) & ITEM_WORDS:
        return []
    for column in columns:
        kinds = said(column.header) & (GROUPS | ITEM_WORDS)
        if column is found or column.numeric or not kinds or not all(column.cells):
            continue
        pairs = set(zip(column.cells, found.cells, strict=True))
        if len(pairs) > len(found.distinct) and len(column.distinct) > 1:
            return [column]
    return []


def _joined(
    table: Tidy, kind: Column, number: Column, where: str, guesses: list[Guess]
) -> tuple[Tidy, Column, str]:
    each = "ball" if "ball" not in {c.name for c in table.columns} else "item"
    cells = tuple(f"{a} {b}" for a, b in zip(kind.cells, number.cells, strict=True))
    heads = (kind.header.written, number.header.written)
    item = Column(each, Header(" and ".join(heads), each), cells, False, heads=heads)
    guesses.append(Guess(f"{where}, columns {' and '.join(heads)}",
                         f"name each {each} together: what counts as one", "please check",
                         f"{len(item.distinct)} of them", 90))  # fmt: skip
    return replace(table, columns=(item, *table.columns)), item, each


def _numbered(table: Tidy, where: str, guesses: list[Guess]) -> tuple[Tidy, Column, str]:
    """A table whose columns name nothing, as one read off a chart: each row of the sheet for
    itself, with all that was read in it."""
    rows = table.row_of or tuple(str(n + 1) for n in range(len(table.columns[0].cells)))
    item = Column(POINT, Header(POINT, POINT), rows, False)
    heads = ", ".join(_heads_of(table))
    guesses.append(Guess(where, "no column says which ball (or bowler) a row belongs to: "
                         f"each row counts as one {POINT}", "please check",
                         f"the columns are {heads}; add one that names them", 95))  # fmt: skip
    return replace(table, columns=(item, *table.columns)), item, POINT


def _heads_of(table: Tidy) -> list[str]:
    """The heads of a table as its sheet has them, whatever became of its columns."""
    before = dict(pairwise(table.columns))
    made = [c for c, behind in before.items() if behind.heads and not c.heads and table.row_of]
    return [head for c in table.columns if c not in made
            for head in (c.heads or (c.header.written,))]  # fmt: skip
