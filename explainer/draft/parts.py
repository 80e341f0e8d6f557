"""What each column of a tidy table is for: the item, its use, orders, conditions, measures."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

from explainer.draft.columns import Column, is_order
from explainer.draft.guess import Guess, Sure
from explainer.draft.headers import (
    DAYS_SINCE,
    GROUPS,
    ITEM_WORDS,
    MEASURE_WORDS,
    NOT_USE,
    OPERATORS,
    REMARKS,
    SET,
    USE_WORDS,
    Header,
    date_in,
)
from explainer.draft.items import LABELS, POINT, SERIAL, are_dates, item_of, word_of
from explainer.draft.properties import properties_of, stands_still, within
from explainer.draft.tidy import Tidy, said
from explainer.study.called import named_after_people
from explainer.study.carried import tells_nobody
from explainer.study.persons import is_person
from explainer.study.sums import MEANS

SUCCESSES = frozenset(
    ["strikes", "strike", "hits", "hit", "successes", "made", "spares", "spare", "passes", "passed"]
)
ATTEMPTS = frozenset(["attempts", "shots", "tries", "frames", "thrown", "chances", "racks",
                      "total"])  # fmt: skip
_FEET = frozenset(["feet", "distance", "foot"])
_BOARDS = frozenset(["board", "boards", "position"])
#: Groups whose members have something in common that each of them could owe its readings to.
_CLUSTERS = frozenset(
    ["team", "model", "brand", "lot", "batch", "make", "club", "league", "house", "mannschaft",
     "pair", "group", "species"]
)  # fmt: skip
#: Words for numbers that place or name a row.
_PLACES = frozenset(
    ["id", "no", "nr", "#", "date", "year", "lat", "lon", "lng", "latitude", "longitude",
     "timestamp", "epoch", "uuid", "device", "phone", "zip", "row", "serial", "s/n", "sn",
     "barcode", "price", "preis", "cost", "fee", "paid", "invoice", "seriennr", "seriennummer"]
)  # fmt: skip
#: Words for when something was bowled, beside counts of what was bowled then.
_CALENDAR = frozenset(["week", "weeks", "night", "nights", "day", "days", "session", "sessions"])
#: Words of ``MEANS`` that are a spread or a span, which a reading may be, too.
_ENDS_OF_MEANS = frozenset(["range", "var", "se", "sem", "cv", "sd", "std"])


@dataclass(frozen=True)
class Parts:
    """A table's columns by what they are for."""

    item: Column
    each: str
    """The word for one item."""
    use: Column | None
    order: Column | None
    operator: Column | None
    group: Column | None
    """Constant within an item."""
    condition: Column | None
    """Varies within an item."""
    counts: tuple[Column, Column] | None
    path: tuple[Column, Column] | None
    """(feet down the lane, board)."""
    measures: tuple[Column, ...]
    guesses: tuple[Guess, ...]
    further: tuple[Column, ...] = ()
    """Other conditions that vary within an item."""
    sorts: tuple[Column, ...] = ()
    """Numbers that were set for each item, such as a grit, beside another column of groups."""
    kinds: tuple[Column, ...] = ()
    """Words that sort items, beside another column of groups."""
    properties: tuple[Column, ...] = ()
    """Numbers of what each item is, or of what was set on it: no readings."""
    outer: Column | None = None
    """What items are numbered in anew (a model), where it takes both columns to name one; the
    cells of ``item`` are whole names then."""

    @property
    def strikes(self) -> tuple[str, ...]:
        """Heads of the columns that hold pins, of which strikes and spares were made."""
        made = [c for c in self.measures if c.name.startswith(("strike", "spare")) and c.heads]
        return tuple(head for column in made for head in column.heads)

    @property
    def counts_once(self) -> Column | None:
        """The column whose groups may count once each, to be confirmed: one that is called a team,
        a model or the like, with several items in its groups.  A hand or a sex never is."""
        if self.group is None or not said(self.group.header) & _CLUSTERS:
            return None
        members = Counter(dict(zip(self.item.cells, self.group.cells, strict=True)).values())
        return self.group if sum(n > 1 for n in members.values()) * 2 > len(members) else None

    @property
    def conditions(self) -> tuple[Column, ...]:
        """Every condition that varies within an item, the likeliest first."""
        return (*((self.condition,) if self.condition else ()), *self.further)


def parts_of(table: Tidy) -> tuple[Tidy, Parts]:
    """The parts of a tidy table, with how sure each is; and the table, with a column for the item
    where it had none."""
    guesses: list[Guess] = []
    where = table.where or table.original

    def say(column: Column, what: str, sure: Sure, why: str = "", worth: int = 60) -> None:
        written = column.header.written or column.name
        guesses.append(Guess(f"{where}, column {written}", what, sure, why, worth))

    outer, inner = _nest(table)
    if outer is not None and inner is not None:
        item, each = _whole(outer, inner), word_of(inner)
        say(inner, f"with {outer.name} names each {each}: what counts as one", "please check",
            f"{len(item.distinct)} of them", 90)  # fmt: skip
    else:
        table, item, each = item_of(table, where, guesses)
    mine = (item, outer, inner)
    left = [c for c in table.columns if c not in mine and not c.sums and not c.pins]
    path = _pair(left, _FEET, _BOARDS)
    left = [c for c in left if not path or c not in path]
    counts = _counts(left)
    left = [c for c in left if not counts or c not in counts]
    use = _use_of(left, item)
    if use is None and (made := _days(left, item)) is not None:
        table, use = replace(table, columns=(*table.columns, made)), made
        left = [*left, made]
        guesses.append(Guess(f"{where}, column {made.header.written}",
                             "its days counted from the first one, in the new column day",
                             "please check", "how much use an item has had", 60))  # fmt: skip
    order = next((c for c in left if c is not use and is_order(c)), None)
    operator = next((c for c in left if not c.numeric and said(c.header) & OPERATORS), None)
    for column, what in ((use, "how much use an item has had"), (order, "numbers the rows"),
                         (operator, "who took the reading")):  # fmt: skip
        if column is not None:
            left.remove(column)
            check = column.counted or column.asks
            say(column, what, "please check" if check else "likely", column.asks)
    people = _has_people(table, item, each)
    left = [c for c in left if c not in _bar_ends(left, say, people)]
    group, conditions, sorts, kinds = _sorting(left, item, each, say)
    rest = [c for c in left if c not in (*conditions, *sorts, *kinds) and c is not group]
    properties = properties_of(rest, table, item, each, guesses)
    rest = [c for c in rest if c not in properties]
    measures = _measured(rest, item, use, say)
    if path:
        say(path[0], "feet down the lane", "likely")
        say(path[1], "the board the ball is on there", "likely")
    if counts:
        say(counts[0], "how many succeeded", "likely", f"out of {counts[1].name}")
    for column in left:
        used = (*measures, group, *conditions, *sorts, *kinds, *properties)
        if column not in used and not column.tick:
            _unused(column, say, people)
    return table, Parts(
        item, each, use, order, operator, group, conditions[0] if conditions else None, counts,
        path, measures, tuple(guesses), tuple(conditions[1:]), tuple(sorts), tuple(kinds),
        properties, outer,
    )  # fmt: skip


def _has_people(table: Tidy, item: Column, each: str) -> bool:
    """Whether a table has people in it, which publishing will hide."""
    return is_person(each) or named_after_people(item.distinct) == "yes" or any(
        is_person(c.name) for c in table.columns if not c.numeric
    )  # fmt: skip


def _goes(column: Column, people: bool) -> str:
    """Where a column goes that the study does not use, as publishing decides it."""
    goes = tells_nobody(column.name, column.distinct, people, column.marks)
    return "goes with the downloads" if goes else "in no download"


def _unused(column: Column, say: Say, people: bool) -> None:
    """A column that the study does not use, said; its remarks are asked about."""
    if remarks := _remarks(column):
        say(column, "remarks, in no download: is one a reason to leave its row out?",
            "please check", remarks, 35)  # fmt: skip
        return
    numbers = column.numeric and len(column.distinct) > 1 and not said(column.header) & SERIAL
    say(column, f"not used, {_goes(column, people)}", "please check" if numbers else "likely",
        worth=45)  # fmt: skip


#: Of the heads that name no item, those of a time.
_TIMES = frozenset(["date", "time", "day", "timestamp", "datum", "zeit", "datetime", "fecha",
                    "uhrzeit", "when"])  # fmt: skip


def _remarks(column: Column) -> str:
    """What a column of remarks says, its first three; empty for any other column."""
    if not said(column.header) & (REMARKS - _TIMES) or column.numeric or are_dates(column):
        return ""
    shown = [c if len(c) <= 40 else c[:39] + "…" for c in column.distinct]
    return "; ".join(shown[:3]) + (f"; {len(shown) - 3} more" if len(shown) > 3 else "")


#: What is numbered anew within each model: sample 2 of one is not sample 2 of another.
_NUMBERED = frozenset(["sample", "specimen", "piece", "copy", "replicate", "item", "ball", "unit"])
#: What such numbers stand within.
_AROUND = frozenset(["model", "ball", "type", "cover", "name", "line", "lot", "batch", "product"])


def _nest(table: Tidy) -> tuple[Column | None, Column | None]:
    """(what items are numbered in, the column of their numbers); neither where one name is enough.

    The numbers run anew, and the same ones stand in most of what is around them.
    """
    columns = table.columns
    inner = next((c for c in columns if said(c.header) & _NUMBERED and not c.header.unit), None)
    around = [c for c in columns if c is not inner and not c.numeric and said(c.header) & _AROUND]
    if inner is None or not around or not all(inner.cells):
        return None, None
    outer = around[0]
    pairs = set(zip(outer.cells, inner.cells, strict=True))
    alike = len(pairs) > len(inner.distinct) and len(outer.distinct) > 1
    plain = all(len(name) <= 2 for name in inner.distinct)  # 1, 2, 3 or A, B, C: no name alone
    several = len(pairs) >= 2 * len(outer.distinct)
    return (outer, inner) if alike and plain and several else (None, None)


def _whole(outer: Column, inner: Column) -> Column:
    """The items by their whole names, under the name of the column of their numbers."""
    cells = tuple(f"{a} {b}" for a, b in zip(outer.cells, inner.cells, strict=True))
    return replace(inner, cells=cells, numeric=False)


Say = Callable[..., None]


def _is_label(column: Column, item: Column) -> bool:
    """A column that only names, dates or places rows, though it is made of numbers."""
    words = said(column.header)
    if words & _PLACES or re.search(r"[$€£¥]", column.header.written):
        return True
    rows = [str(n + 1) for n in range(len(column.cells))]
    if words == {POINT} and list(column.cells) == rows:
        return True  # the points of a chart, numbered
    plain = column.whole and not column.header.unit
    if plain and words <= ITEM_WORDS | LABELS:  # `Lane`: a name, whatever counts as one here
        return True
    if not plain or words & MEASURE_WORDS:  # `Ball speed`: read, though no two are alike
        return False
    named = bool(words & ITEM_WORDS) and len(column.distinct) == len(item.distinct)
    return named or _runs_on(column, item)


#: So few items in a row may have numbers in a row by chance.
_FEW_IN_A_ROW = 5


def _runs_on(column: Column, item: Column) -> bool:
    """Whether each item has the next number, as jobs, tickets and ranks are numbered in a list."""
    seen = list(dict.fromkeys(zip(item.cells, column.cells, strict=True)))
    numbers = [float(cell) for _, cell in seen if column.reads(cell)]
    if not len(seen) == len(numbers) == len(item.distinct) > _FEW_IN_A_ROW:
        return False
    return all(b - a == 1 for a, b in pairwise(numbers))


def _is_use(column: Column, item: Column) -> bool:
    """Whether a column counts an item's use: by its head, and because it goes on within items or
    is shared by them."""
    words = said(column.header)
    if not column.numeric or not words & USE_WORDS.keys() or words & NOT_USE:
        return False
    if column.header.unit and column.header.unit not in USE_WORDS.values():
        return False  # roughness after 60 games, in microinches
    several = any(len(v) > 1 for v in within(item, column).values())
    return several or len(column.distinct) <= max(2, len(item.distinct) // 2)


def _use_of(columns: list[Column], item: Column) -> Column | None:
    """The column of use; of several in a table with one row for each item (games in the first
    half, games in the second) none is: they are readings."""
    found = [c for c in columns if _is_use(c, item)]
    if len(found) > 1 and len(item.distinct) == len(item.cells):
        return None
    # The week a game was bowled in goes further than the game of the night.
    dated = [c for c in found if c.whole and said(c.header) & _CALENDAR]
    return next(iter([*dated, *found]), None)


def _measured(
    columns: list[Column], item: Column, use: Column | None, say: Say
) -> tuple[Column, ...]:
    """The columns of readings; averages, by their name, are asked about."""
    found = tuple(
        c for c in columns if c.numeric and c.values and not _is_label(c, item)
        and not (use is not None and _counts_too(c, item))
    )  # fmt: skip
    for column in found:
        if said(column.header) & (MEANS - _ENDS_OF_MEANS):
            say(column, "averages, by its name, and no readings of single ones", "please check",
                "if so: rows_are: {mean_of: how many} under the table")  # fmt: skip
    return found


def _counts_too(column: Column, item: Column) -> bool:
    """A second count of use (the game of a night, where weeks are counted): no reading."""
    return column.whole and not column.header.unit and _is_use(column, item)


def _bar_ends(columns: list[Column], say: Say, people: bool) -> list[Column]:
    """Columns ``NAME low`` and ``NAME high`` beside a column ``NAME``: the ends of error bars."""
    written = {c.header.written: c for c in columns if c.numeric}
    ends = [
        written[f"{name} {end}"] for name in written
        if f"{name} low" in written and f"{name} high" in written for end in ("low", "high")
    ]  # fmt: skip
    for column in ends:
        say(column, f"an end of an error bar: not used, {_goes(column, people)}", "likely")
    return ends


def _days(columns: list[Column], item: Column) -> Column | None:
    """Days since the first, where rows are dated and most items come back on other days."""
    for column in columns:
        days = [date_in(c) for c in column.cells]
        if column.numeric or not days or any(d is None or len(c) > 10 for c, d in zip(
            column.cells, days, strict=True
        )):  # fmt: skip
            continue
        again = [len(v) > 1 for v in within(item, column).values()]
        if sum(again) > 0.5 * len(again) and "day" not in {c.name for c in columns}:
            known = [d for d in days if d is not None]
            since = tuple(f"{(d - min(known)).days}" for d in known)
            return Column("day", Header(column.header.written, DAYS_SINCE), since, True)
    return None


# -- counts, paths, groups, conditions ---------------------------------------------------------


def _pair(
    columns: list[Column], first: frozenset[str], second: frozenset[str]
) -> tuple[Column, Column] | None:
    one = next((c for c in columns if c.numeric and said(c.header) & first), None)
    two = next((c for c in columns if c.numeric and said(c.header) & second and c is not one), None)
    return (one, two) if one and two else None


def _counts(columns: list[Column]) -> tuple[Column, Column] | None:
    whole = [c for c in columns if c.whole and all(c.cells) and not c.marks]
    found = _pair(whole, SUCCESSES, ATTEMPTS)
    if found is None or len(found[0].heads) != len(found[1].heads):
        return None
    made, tried = found[0].numbers, found[1].numbers
    if len(made) == len(tried) and all(a <= b for a, b in zip(made, tried, strict=True)):
        return found
    return None


def _sorting(
    columns: list[Column], item: Column, each: str, say: Say
) -> tuple[Column | None, list[Column], list[Column], list[Column]]:
    """(a column that sorts items into groups, those of a few set values that differ within,
    further ones of numbers that were set for each item, and of words that sort items, too)."""
    group: Column | None = None
    conditions: list[Column] = []
    sorts: list[Column] = []
    kinds: list[Column] = []
    for column in columns:
        most = 8 if said(column.header) & (SET | GROUPS) else min(8, len(item.distinct))
        few = 2 <= len(column.distinct) <= max(2, most)
        if column.numeric and not _is_set(column, item):
            continue
        full = all(column.reads(c) for c, one in zip(column.cells, item.cells, strict=True) if one)
        if not few or not full or said(column.header) & REMARKS or are_dates(column):
            continue
        shown = ", ".join(column.distinct[:6])
        if stands_still(item, column):
            if column.tick:
                say(column, f"tells each {each} apart by a mark", "please check", shown)
            elif group is None and len(column.distinct) < len(item.distinct):
                group = column
                say(column, f"sorts each {each} into a group", "likely", shown)
            elif column.numeric and len(column.distinct) < len(item.distinct):
                sorts.append(column)
                say(column, f"was set for each {each}, and no reading", "please check", shown)
            elif group is not None and _sorts_too(column, item):
                kinds.append(column)
                say(column, f"sorts each {each}, too", "likely", shown)
        else:
            conditions.append(column)
            sure: Sure = "please check" if column.numeric else "likely"
            say(column, f"a condition that changes within a {each}", sure, shown)
    return group, conditions, sorts, kinds


def _sorts_too(column: Column, item: Column) -> bool:
    """Whether words put several items into each of two groups, or more."""
    members = Counter(dict(zip(item.cells, column.cells, strict=True)).values())
    return not column.numeric and sum(n > 1 for n in members.values()) > 1


def _is_set(column: Column, item: Column) -> bool:
    """Whether numbers were set and not read: they stand beside each item equally often, as the
    numbers of two gauges do and readings do not, and are whole and bare or called so."""
    pairs = Counter(zip(item.cells, column.cells, strict=True))
    everywhere = len(pairs) == len(item.distinct) * len(column.distinct)
    crossed = len(item.distinct) > 1 and everywhere and len(set(pairs.values())) == 1
    named = bool(said(column.header) & SET)
    if named:
        repeats = len(column.values) >= 2 * len(column.distinct)
        return crossed or (repeats and len(column.distinct) <= 4)
    return crossed and column.whole and not column.header.unit
