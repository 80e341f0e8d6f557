"""Sheets whose layout is people: a column, or the same columns again, for each of them.

A head is published (a measure is called by it), a cell of a column of people is put into initials.
So what people head becomes rows, before any other way of turning columns is tried.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from dataclasses import dataclass, replace
from statistics import median

from explainer.draft.columns import Column, renamed
from explainer.draft.guess import Guess
from explainer.draft.headers import (
    ITEM_WORDS,
    MOST_LETTERS,
    ORDER_WORDS,
    USE_WORDS,
    Header,
    parse,
    slug,
)
from explainer.draft.wide import (
    LIKE_SCORES,
    NAMED_BY_SHEET,
    CalledSo,
    Found,
    long,
    of_rows,
    words_of_head,
)
from explainer.study.called import (
    is_called_so,
    is_strange,
    leading_name,
    named_after_people,
    says_by_whom,
)
from explainer.study.persons import OF_NAMES

#: Readings of one kind: the middle one of one column is at most so often that of another.
_ONE_KIND = 5.0
#: Numbers that people have beside their names in a sheet of scores, most often.
_SCORES = (60.0, 300.0)


@dataclass(frozen=True)
class _Headed:
    """A column headed by somebody, and what its head says besides."""

    column: Column
    person: str
    besides: str


def turned(
    called: CalledSo, columns: list[Column], guesses: list[Guess]
) -> tuple[list[Column], tuple[str, ...], bool]:
    """The columns with wide ones turned into rows, of which row of the sheet each comes then, and
    whether any were: people over their weeks or games are so twice."""
    rows, found = [*columns, _counting(columns)], False
    for way in (per_person, long):
        if (made := way(called, rows)) is not None:
            found, (rows, guess) = True, made
            guesses.append(guess)
    if not found:
        return renamed([_nobodys(c) for c in columns]), (), False
    row_of = next((c.cells for c in rows if c.header is _ROW), ())
    return renamed([_nobodys(c) for c in rows if c.header is not _ROW]), row_of, True


def _nobodys(column: Column) -> Column:
    """A column that one name heads, alone or before other words, without the name."""
    name, besides = leading_name(column.header.words)
    if not is_called_so(name):
        return column
    word = besides or ("reading" if column.numeric or column.pins else "label")
    asks = "its head looks like somebody's name, which is left out: what stands in it?"
    head = Header(column.header.written, word, column.header.unit)
    return replace(column, name=slug(word), header=head, asks=asks)


#: The head of a column that goes along while columns are turned into rows, and is then taken out.
_ROW = Header("", "")


def _counting(columns: list[Column]) -> Column:
    """Which row of the sheet each row is, as a column that no way of turning them looks at."""
    rows = len(columns[0].cells) if columns else 0
    return Column("row of the sheet", _ROW, tuple(str(n + 1) for n in range(rows)), True, sums=True)


def per_person(source: CalledSo, columns: list[Column]) -> Found | None:
    """Columns headed by people as a row for each of them: ``Week, Jane Doe, John Roe``.

    First names alone are words like others: they are people's where they head scores, where each
    head says that somebody read, and where nothing but weeks or games stands beside three of them.
    """
    headed = _of_one_kind(_without_numbers([
        one for c in columns if (one := _headed(c)) is not None
    ]))  # fmt: skip
    people = list(dict.fromkeys(one.person for one in headed))
    mail = all(map(_MAIL.fullmatch, people))
    like = "yes" if mail and len(people) > 1 else named_after_people(people)
    scores = all(like_scores(one.column) for one in headed)
    readers = all(says_by_whom(one.column.header.words) for one in headed)
    gone = {one.column.name for one in headed}
    kept = [c for c in columns if c.name not in gone]
    plain = any(person != person.casefold() for person in people) or mail  # else many a thing's
    sure = (like == "yes" and plain) or scores or readers or _only_counted(kept, len(people))
    if like == "no" or not sure:
        return None
    besides: dict[str, dict[str, Column]] = defaultdict(dict)
    for one in headed:
        besides[one.besides.casefold()].setdefault(one.person, one.column)
    of_balls = any(set(words_of_head(c)) & ITEM_WORDS for c in kept) and not scores
    word = "operator" if of_balls or readers else "bowler"
    rows = [
        (r, person) for r in range(len(columns[0].cells)) for person in people
        if any(person in by and by[person].cells[r] for by in besides.values())
    ]  # fmt: skip
    made = [Column(word, Header(word, word), tuple(person for _, person in rows), False)]
    made += [of_rows(c, [r for r, _ in rows]) for c in kept]
    made += [_read_of(source, by, said, rows, scores) for said, by in besides.items()]
    what = f"columns headed by {len(people)} names turned into rows, one for each {word}"
    who = "are they people, of whom initials are shown? If balls, call the column ball" \
        if word == "bowler" else "who took the reading?"  # fmt: skip
    return renamed(made), Guess(source.where, what, "please check", who, 90)


def _only_counted(columns: list[Column], people: int) -> bool:
    """Whether the columns beside those of three people or more only count weeks, games or shots."""
    beside = [set(words_of_head(c)) for c in columns if not c.sums]
    counted = all(words & (USE_WORDS.keys() | ORDER_WORDS | {"date"}) for words in beside)
    return people > 2 and bool(beside) and counted


def _headed(column: Column) -> _Headed | None:
    """Who heads a column of readings, or one in which nobody has any yet."""
    if column.sums or not (column.numeric or column.pins or not column.values):
        return None
    if re.fullmatch(r"[^,]+, ?\w\.?", column.header.written):  # `Doe, J`: no joules
        column = replace(column, header=Header(column.header.written, column.header.written))
    person, besides = leading_name(column.header.words)
    if not person and (_MAIL.fullmatch(column.header.written) or is_strange(column.header.words)):
        person = column.header.written if "@" in column.header.written else column.header.words
    return _Headed(column, person, besides) if person else None


#: An address of mail, which tells who somebody is as well as a name.
_MAIL = re.compile(r"[^\s@]{1,64}@[^\s@.]{1,64}(?:\.[^\s@.]{1,64})+")
_NUMBER = re.compile(r"\W*\d+\W*")


def _without_numbers(headed: list[_Headed]) -> list[_Headed]:
    """Heads that number people (``Jane Doe #1``, ``John Roe #2``) without the numbers, where each
    has one of their own: they count nothing."""
    numbers = [one.besides for one in headed if _NUMBER.fullmatch(one.besides)]
    people = [one.person for one in headed]
    if len(numbers) == len(headed) == len(set(numbers)) == len(set(people)):
        return [replace(one, besides="") for one in headed]
    return headed


def _of_one_kind(headed: list[_Headed]) -> list[_Headed]:
    """Of columns under the same words those with readings of one kind, by unit and size, for two
    people or more; with columns that have no readings yet."""
    alike: dict[str, list[_Headed]] = defaultdict(list)
    for one in headed:
        alike[one.besides.casefold()].append(one)
    found = []
    for group in alike.values():
        read = [(one, _middle(one.column)) for one in group if one.column.values]
        if len(read) < 2:
            continue
        middle = median(m for _, m in read)
        unit = Counter(one.column.header.unit for one, _ in read).most_common(1)[0][0]
        fits = [one for one, m in read if one.column.header.unit == unit
                and m <= _ONE_KIND * middle and middle <= _ONE_KIND * m]  # fmt: skip
        if len(fits) > 1:
            found += [*fits, *(one for one in group if not one.column.values)]
    return found


def _middle(column: Column) -> float:
    return abs(median(column.numbers)) if column.numbers else 0.0


def like_scores(column: Column) -> bool:
    """Whether a column holds games as people bowl them, or nothing."""
    if column.pins or not column.numbers:
        return column.pins or not column.values
    least, most = _SCORES
    return column.whole and median(column.numbers) >= least and max(column.numbers) <= most


def _read_of(
    source: CalledSo, by: dict[str, Column], said: str, rows: list[tuple[int, str]], scores: bool
) -> Column:
    """The readings under the same words of all people, as one column."""
    read = list(by.values())
    words = leading_name(read[0].header.words)[1]
    called, asks = parse(words[:MOST_LETTERS]) if words else Header("", ""), ""
    if not words:
        called, asks = (Header("", "score"), LIKE_SCORES) if scores else \
            (source.measured, NAMED_BY_SHEET)  # fmt: skip
    unit = next((c.header.unit for c in read if c.header.unit), called.unit)
    cells = tuple(by[person].cells[r] if person in by else "" for r, person in rows)
    return Column(
        slug(called.words), Header(words or called.words, called.words, unit), cells,
        any(c.numeric for c in read), marks=frozenset().union(*(c.marks for c in read)),
        heads=tuple(c.header.written for c in read), pins=all(c.pins for c in read), asks=asks,
    )  # fmt: skip


def in_one_column(columns: list[Column]) -> list[Column]:
    """A first and a last name in two columns as one name, which is what counts as one; one of them
    alone by its right name."""
    last = next((c for c in columns if _called(c, _LAST)), None)
    first = next((c for c in columns if _called(c, _FIRST)), None)
    if last is None or first is None:
        alone = next((c for c in columns if _called(c, OF_NAMES)), None)
        head = Header(alone.header.written, "bowler") if alone is not None else Header("", "")
        return renamed([replace(c, name="bowler", header=head) if c is alone else c
                        for c in columns]) if alone is not None else columns  # fmt: skip
    pairs = zip(first.cells, last.cells, strict=True)
    names = tuple(" ".join(filter(None, pair)) for pair in pairs)
    head = Header(f"{first.header.written} and {last.header.written}", "bowler")
    whole = replace(last, name="bowler", header=head, cells=names, empty=(),
                    heads=(first.header.written, last.header.written))  # fmt: skip
    return renamed([whole if c is last else c for c in columns if c is not first])


_LAST = frozenset(["last", "last name", "surname", "family name", "lastname", "nachname", "nom"])
_FIRST = (OF_NAMES - _LAST - {"full name", "fullname"}) | {"first"}


def _called(column: Column, words: frozenset[str]) -> bool:
    texts = not (column.numeric or column.pins) and bool(column.values)
    return texts and " ".join(words_of_head(column)) in words
