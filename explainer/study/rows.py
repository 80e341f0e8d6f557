"""Checks of a table's rows: keys filled in, each reading once, one group per item, sane values."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from explainer import units
from explainer.errors import Problem, listed
from explainer.study.csvfile import SHOWN, fault
from explainer.study.description.sources import Measure
from explainer.study.description.study import Description
from explainer.study.roles import Roles, counts, tried
from explainer.study.unseen import blank


@dataclass(frozen=True)
class Rows:
    """A table's rows as the checks see them."""

    description: Description
    file: str
    frame: pd.DataFrame
    """Indexed by spreadsheet row."""
    roles: Roles
    codes: Mapping[str, NDArray[np.int64]]
    """Text columns as small numbers, quick to compare."""
    words: Mapping[str, tuple[str, ...]]
    """What those numbers stand for."""
    unread: tuple[str, ...] = ()
    """Columns of the file that nothing in the description names."""

    def row(self, position: int) -> int:
        """The spreadsheet row at a position from 0."""
        return int(self.frame.index.to_numpy()[position])

    def cell(self, position: int, column: str) -> Any:
        return self.frame[column].to_numpy()[position]


#: What one table may hold: more than a bench or a season ever gave, and little enough that
#: judging and drawing it takes seconds.  ``csvfile.MAX_NAMES`` bounds the items.
MAX_GROUPS, MAX_CHECKPOINTS, MAX_POINTS = 50, 200, 2_500


def bounded(r: Rows) -> Iterator[Problem]:
    """The groups and checkpoints of a table, and its items times its checkpoints, have an end."""
    groups = len(r.words.get(r.roles.group or "", ()))
    if groups > MAX_GROUPS:
        found, expected = f"{groups:,} different names", f"at most {MAX_GROUPS:,}"
        yield fault(r.file, 1, r.roles.group, found, expected, code="too-many")
    use = r.roles.use.column if r.roles.use else None
    points = r.frame[use].nunique() if use in r.frame else 1
    if points > MAX_CHECKPOINTS:
        found, expected = f"{points:,} different checkpoints", f"at most {MAX_CHECKPOINTS:,}"
        yield fault(r.file, 1, use, found, expected, code="too-many")
    pairs = points * max(1, len(r.words.get(r.roles.item, ())))
    if pairs > MAX_POINTS:
        found, expected = f"{pairs:,} pairs of item and checkpoint", f"at most {MAX_POINTS:,}"
        yield fault(r.file, 1, None, found, expected, code="too-many")


def keys_filled(r: Rows) -> Iterator[Problem]:
    """A row says which item, checkpoint and condition it belongs to."""
    for column in r.roles.keys:
        if column not in r.words:
            empty = np.isnan(r.frame[column].to_numpy())
        elif none := [n for n, word in enumerate(r.words[column]) if blank(word)]:
            empty = np.isin(r.codes[column], none)
        else:
            continue
        yield from few(r.file, r.frame, column, empty, _nothing, f"the {column} of this row")


#: The end of a sentence with another behind it: `used. All old balls are soft`, and neither
#: `St. Kea` nor `Boom! Pearl`.  Looked for from its stop on: a cell may be a million letters long.
_SAYS = re.compile(r"(?<=[^\W\d_]{3})[.!?…][\"'”’)]*\s+\S+\s+\S")


#: What no page shows: there a name of two lines reads like one of two words, and is another.
_BREAKS = re.compile(r"[\n\r\t]")


#: Letters of a name at most.  It stands in every sentence about it, on every drawing and page, and
#: a few of thirty thousand letters keep these busy for minutes.
MOST_LETTERS = 200
_LONG = re.compile(f".{{{MOST_LETTERS + 1}}}")


def names_say_nothing(r: Rows) -> Iterator[Problem]:
    """A name stands in the middle of our own sentences, so it is of one line, not too long, and may
    not end a sentence and begin another."""
    for column in r.roles.text:
        for sign, expected in (
            (_SAYS, "a name, without a sentence behind it"),
            (_BREAKS, "a name on one line, with spaces between its words"),
            (_LONG, f"a name of at most {MOST_LETTERS} letters"),
        ):
            says = [n for n, word in enumerate(r.words.get(column, ())) if sign.search(word)]
            if says:
                wrong = np.isin(r.codes[column], says)
                yield from few(r.file, r.frame, column, wrong, _cut, expected)


def _cut(cell: object) -> str:
    text = str(cell)
    return f"`{text[:MOST_LETTERS]}{'…' if len(text) > MOST_LETTERS else ''}`"


def rows_once(r: Rows) -> Iterator[Problem]:
    """No two rows agree in all keys where an order or repeat column tells rows apart."""
    keys = list(r.roles.keys)
    if not r.roles.numbered or len(r.frame) < 2 or _in_order(r):
        return
    again = np.flatnonzero(r.frame.duplicated(keys).to_numpy())
    arrays = [r.codes.get(key, r.frame[key].to_numpy()) for key in keys]
    apart = _tells_apart(r.unread)
    for position in again[:SHOWN]:
        alike = np.logical_and.reduce([array == array[position] for array in arrays])
        found = f"the same {', '.join(keys)} as row {r.row(int(np.argmax(alike)))}"
        expected = "each reading once"
        yield fault(r.file, r.row(position), None, found, expected, apart, code="duplicate")
        apart = ""  # said once
    if len(again) > SHOWN:
        more = f"{len(again) - SHOWN} more rows that stand twice"
        yield fault(r.file, r.row(again[SHOWN]), None, more, code="duplicate")


def _tells_apart(unread: tuple[str, ...]) -> str:
    """What to do where a column that is not read says how two rows differ."""
    if not unread:
        return "take one out; if both were read, give each a number of its own"
    which = f"{'one of ' if len(unread) > 1 else ''}{listed(unread, 5)}"
    does = ("tells them apart: name it as `by` of a claim or figure, as `operator` of a gauge "
            "figure, or as `order` of the table")  # fmt: skip
    return f"if {which} {does}"


def _in_order(r: Rows) -> bool:
    """A quick proof, for tables sorted as people sort them, that no row stands twice.

    The key that changes most often must count up within runs of the others, and each run's
    other keys must be new.  False means "not shown", not "twice".
    """
    keys = [r.codes.get(key, r.frame[key].to_numpy()) for key in r.roles.keys]
    *outer, inner = sorted(keys, key=lambda k: int(np.count_nonzero(k[1:] != k[:-1])))
    starts = np.zeros(len(inner), dtype=bool)
    starts[0] = True
    for key in outer:
        starts[1:] |= key[1:] != key[:-1]
    if not bool(np.all((inner[1:] > inner[:-1]) | starts[1:])):
        return False
    heads = pd.DataFrame({str(i): key[starts] for i, key in enumerate(outer)})
    return not heads.duplicated().any() if outer else True


def one_group_each(r: Rows) -> Iterator[Problem]:
    """An item stands in one group: in two, one of them is a slip."""
    group = r.roles.group
    items = r.codes.get(r.roles.item)
    groups = r.codes.get(group) if group is not None else None
    if group is None or items is None or groups is None:
        return
    width = int(groups.max()) + 1
    pairs, first = np.unique(items.astype(np.int64) * width + groups, return_index=True)
    seen: dict[int, int] = {}
    for position, pair in sorted(zip(first.tolist(), pairs.tolist(), strict=True)):
        owner = pair // width
        if owner not in seen:
            seen[owner] = position
            continue
        found = f"{r.cell(position, r.roles.item)} in the {group} {r.cell(position, group)}"
        earlier = seen[owner]
        expected = f"{r.cell(earlier, group)}, as in row {r.row(earlier)}"
        yield fault(r.file, r.row(position), group, found, expected, code="group")


def values_possible(r: Rows) -> Iterator[Problem]:
    """Readings lie where the description, or the kind of column, says they can."""
    for name in r.roles.measures:
        yield from out_of_range(r.file, r.frame, name, r.description.measures[name])
    columns = set(r.frame.columns)
    pairs = [pair for pair in sorted(counts(r.description)) if columns.issuperset(pair)]
    for column in dict.fromkeys(c for pair in pairs for c in pair):
        values = r.frame[column].to_numpy()
        wrong = (values < 0) | (~np.isnan(values) & (values % 1 != 0))
        if column in r.roles.measures and column not in tried(r.description):
            continue  # a printed number may be a ratio of sums of any measures
        yield from few(r.file, r.frame, column, wrong, _number, "a whole number, 0 or more")
    for successes, attempts in pairs:
        over = r.frame[successes].to_numpy() > r.frame[attempts].to_numpy()
        yield from few(r.file, r.frame, successes, over, _number, f"no more than the {attempts}")


def out_of_range(file: str, frame: pd.DataFrame, name: str, measure: Measure) -> Iterator[Problem]:
    """Cells of a measure below its ``lowest`` or above its ``highest``."""
    values, unit = frame[name].to_numpy(), units.short(measure.unit)
    if measure.lowest is not None:
        words = f"{measure.lowest:g} {unit}".strip() + " or more"
        yield from few(file, frame, name, values < measure.lowest, _number, words)
    if measure.highest is not None:
        words = f"at most {measure.highest:g} {unit}".strip()
        yield from few(file, frame, name, values > measure.highest, _number, words)


def _nothing(value: Any) -> str:
    shows = isinstance(value, str) and value != ""
    return "a cell in which nothing shows" if shows else "an empty cell"


def _number(value: Any) -> str:
    return f"{value:.10g}"


def few(
    file: str,
    frame: pd.DataFrame,
    column: str,
    wrong: NDArray[np.bool_],
    found: Callable[[Any], str],
    expected: str,
) -> Iterator[Problem]:
    """The first faulty cells of a column, and how many more there are."""
    positions = np.flatnonzero(wrong)
    if not len(positions):
        return
    rows, cells = frame.index.to_numpy(), frame[column].to_numpy()
    for position in positions[:SHOWN]:
        what = found(cells[position])
        yield fault(file, int(rows[position]), column, what, expected, code="impossible")
    if len(positions) > SHOWN:
        more = f"{len(positions) - SHOWN} more cells like these"
        yield fault(file, int(rows[positions[SHOWN]]), column, more, code="impossible")


Check = Callable[[Rows], Iterator[Problem]]

#: Run on the cells as they stand in the file.
AS_WRITTEN: tuple[Check, ...] = (keys_filled, names_say_nothing, rows_once, one_group_each)
#: Run once values are in the description's units and excluded readings are out.
AS_READ: tuple[Check, ...] = (values_possible,)
