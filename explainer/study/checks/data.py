"""What study.yaml says, held against the rows; and slips of data that are right in every cell."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from datetime import date
from itertools import combinations
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from explainer.errors import Problem, listed
from explainer.study.checks.context import Context, as_text, axis_of, values_of
from explainer.study.checks.warnings import suspect
from explainer.study.description import figures as fig, tests as tst
from explainer.study.description.rule import RuleLimit
from explainer.study.model import Table
from explainer.study.roles import of_whose
from explainer.study.tables import Sheet
from explainer.study.yaml12 import Path

_POINTS = {"from": "from_", "to": "to", "by": "by", "at": "at"}


def checkpoints_measured(c: Context) -> Iterator[Problem]:
    """A checkpoint inside the measured range was measured; beyond it the verdict says so."""
    for at, test in c.tests():
        points = {key: getattr(test, field, None) for key, field in _POINTS.items()}
        for sheet, measure in c.operands(at, test)[0]:
            for key, point in points.items():
                if not isinstance(point, float | tuple):
                    continue  # a `by` of text is a column
                wrong = list(_measured(c, (*at, key), sheet, measure, point))
                yield from wrong
                if any(problem.code == "no-use" for problem in wrong):
                    break  # the other checkpoints of this test have the same fault


def figure_points_measured(c: Context) -> Iterator[Problem]:
    """So was the checkpoint a figure is drawn at."""
    for i, figure in enumerate(c.description.figures):
        if isinstance(figure, fig.Groups | fig.Limit) and figure.at is not None:
            sheet = c.sheets.get(figure.table)
            if sheet is not None:
                yield from _measured(c, ("figures", i, "at"), sheet, figure.y, figure.at)


def stated_points_measured(c: Context) -> Iterator[Problem]:
    """And the one a printed number speaks of."""
    for i, stated in enumerate(c.description.stated):
        compute = stated.compute
        if compute is None or compute.what in ("r", "share", "rate", "count"):
            continue
        measure = getattr(compute, compute.what)
        sheet, _ = c.measure_in(("stated", i), measure, compute.table)
        for key in ("at", "to"):
            point = getattr(compute, key)
            if sheet is not None and point is not None:
                yield from _measured(c, ("stated", i, "compute", key), sheet, measure, point)


def one_limit(c: Context) -> Iterator[Problem]:
    """A limit is a lower one, an upper one, or both, with room between them."""
    blocks: list[tuple[Path, tst.LimitTest | fig.Limit | RuleLimit]] = [
        (at, test) for at, test in c.tests() if isinstance(test, tst.LimitTest)
    ]
    blocks += [(("figures", i), f) for i, f in enumerate(c.description.figures)
               if isinstance(f, fig.Limit)]  # fmt: skip
    if c.description.rule is not None and c.description.rule.limit is not None:
        blocks.append((("rule", "limit"), c.description.rule.limit))
    for at, block in blocks:
        low, high = block.at_least, block.at_most
        if low is None and high is None:
            yield c.error(at, "no limit", "`at_least`, `at_most` or both", key=True)
        elif low is not None and high is not None and low >= high:
            found = f"a limit from {low:g} up to {high:g}"
            yield c.error((*at, "at_most"), found, "one above `at_least`", code="limit")


def _measured(
    c: Context, at: Path, sheet: Sheet, measure: str, point: float | tuple[float, float]
) -> Iterator[Problem]:
    table = sheet.table
    if table is None or table.mean_of is not None:
        return
    axis = axis_of(table, point)
    if axis is None:
        found = f"a checkpoint for `{measure}`, but none in {table.file}"
        yield c.error(at, found, "`use:` to name the column of checkpoints", code="no-use")
        return
    values = values_of(table, axis)
    if not values:
        return
    if isinstance(point, tuple):
        first, last = point
        if first > last:
            yield c.error(at, f"a window from {first:g} to {last:g}", "the smaller one first")
        elif not any(first <= v <= last for v in values) and values[0] <= last <= values[-1]:
            found = f"a window from {first:g} to {last:g} in which nothing was measured"
            yield c.error(
                at, found, f"one with readings {_listed(axis, values)}", code="checkpoint"
            )
        elif last > values[-1] and axis == table.order and table.use is not None:
            along = values_of(table, table.use)
            if along and along[0] <= first and last <= along[-1]:
                yield c.warning(
                    at, f"a window of {axis} from {first:g} to {last:g}, which stops at "
                    f"{values[-1]:g}", f"one of {axis}, or no `order:` under the table to speak of "
                    f"{table.use}", "the claim is past the data", code="window-of-order",
                )  # fmt: skip
    elif values[0] <= point <= values[-1] and point not in values:
        found = f"the checkpoint {point:g}, which was not measured"
        yield c.error(at, found, f"one that was {_listed(axis, values)}", code="checkpoint")


def _listed(axis: str, values: tuple[float, ...]) -> str:
    return f"({axis} {listed((f'{v:g}' for v in values), 20)})".replace("`", "")


def windows_run_forward(c: Context) -> Iterator[Problem]:
    """A change is counted from one checkpoint to another, later or not, but not to itself."""
    for at, test in c.tests():
        first, last = getattr(test, "from_", None), getattr(test, "to", None)
        if first is not None and first == last:
            yield c.error((*at, "to"), "the same checkpoint as `from`", "another one")
        elif isinstance(first, float | tuple) and isinstance(last, float | tuple):
            starts = [p[0] if isinstance(p, tuple) else p for p in (first, last)]
            if starts[0] > starts[1]:
                yield c.warning(
                    (*at, "to"), f"a checkpoint before `from`, {starts[0]:g}",
                    "the later of the two", "what fell in use is told as a rise", "backwards",
                )  # fmt: skip


def counts_agree(c: Context) -> Iterator[Problem]:
    """``tested.count`` is the number of items in the tables it speaks of."""
    d = c.description
    shared = [n for n, t in d.tables.items() if t.tested is None and t.rows_are is None]
    groups: list[tuple[Path, int | None, str, list[str]]] = [
        (("tested", "count"), d.tested.count, d.tested.item, shared)
    ]
    for name, described in d.tables.items():
        if described.tested is not None and described.rows_are is None:
            own = described.tested
            groups.append((("tables", name, "tested", "count"), own.count, own.item, [name]))
    for at, count, each, names in groups:
        tables = [c.sheets[n].table for n in names]
        read = [t for t in tables if t is not None]
        if count is None or not read or len(read) < len(tables):
            continue
        # The item read again as a reference is no item tested, and may be counted or not.
        items = {item for t in read for item in t.items}
        tested = items - {t.reference for t in read}
        if count not in (len(items), len(tested)):
            files = ", ".join(dict.fromkeys(t.file for t in read))
            found = f"{count} as the count"
            expected = f"{len(items)}: as many different values of `{each}` are in {files}"
            yield c.error(at, found, expected, code="count")


def averages_agree(c: Context) -> Iterator[Problem]:
    """No printed average is of more items than were tested: its range would be too narrow.

    A table that says nothing of who was tested is held against the study's own count only where
    no table of single items is: else it may be of others.
    """
    d = c.description
    alone = all(t.rows_are is not None for t in d.tables.values())
    for name, described in d.tables.items():
        table, own = c.sheets[name].table, described.tested
        count = own.count if own is not None else d.tested.count if alone else None
        if described.rows_are is None or table is None or count is None:
            continue
        most = described.rows_are.mean_of
        if isinstance(most, str):
            counts = table.frame[most].to_numpy(dtype=float)
            most = int(np.nanmax(counts)) if np.isfinite(counts).any() else 0
        if most > count:
            each = own.item if own is not None else d.tested.item
            yield c.error(
                ("tables", name, "rows_are", "mean_of"),
                f"an average of {most:,} where {count:,} were tested",
                f"at most {count:,}, the `count` of each {each}", code="count",
            )  # fmt: skip


def _one_picked(c: Context, at: Path, test: tst.AnyTest) -> Iterator[Problem]:
    """``only`` leaves one item, and this kind of test holds items against one another."""
    for sheet, _ in c.operands(at, test)[0]:
        table, only = sheet.table, test.only or {}
        if table is None or not set(only) <= set(table.frame.columns):
            continue
        rows = np.ones(len(table.frame), dtype=bool)
        for column, value in only.items():
            rows &= np.array([as_text(v) == as_text(value) for v in table.frame[column]])
        left = table.frame[table.item][rows].unique()
        if len(left) == 1:
            can = listed(name for name, model in tst.kinds().items() if model.of_one)
            found = f"one {table.item} only (`{left[0]}`), and `{test.kind}` compares several"
            yield c.error((*at, "only"), found, f"more of them, or one of {can}", code="one-item",
                          key=True)  # fmt: skip
            return


def several_items(c: Context) -> Iterator[Problem]:
    """A claim about items in general is not tested on a single one."""
    for at, test in c.tests():
        if test.only and test.several and not test.of_one:
            yield from _one_picked(c, at, test)
        if not test.several or test.only:  # a claim about the one item picked
            continue
        for sheet, _ in c.operands(at, test)[0]:
            table = sheet.table
            if table is None or table.mean_of is not None or len(table.items) != 1:
                continue
            found = f"one {table.item} only (`{table.items[0]}`) in {table.file}"
            expected = f"at least two: one {table.item} says nothing about others"
            yield c.error(at, found, expected, code="one-item", key=True)
            break


def ids_once(c: Context) -> Iterator[Problem]:
    """Ids name one thing each."""
    d = c.description
    for what, entries in (("figures", d.figures), ("claims", d.claims), ("questions", d.questions)):
        seen: dict[str, int] = {}
        for i, entry in enumerate(entries):
            name = entry.id
            if name is None:
                continue
            if name in seen:
                line = c.source.document.places.get((what, seen[name], "id"), (1, 1))[0]
                hint = f"first on line {line}"
                yield c.error(
                    (what, i, "id"), f"the id `{name}` again", "each id once", hint, "twice"
                )
            seen.setdefault(name, i)


def dates_are_dates(c: Context) -> Iterator[Problem]:
    """Dates are days that exist, written year-month-day."""
    d = c.description
    dates: list[tuple[Path, str | None]] = []
    if d.report is not None:
        dates.append((("report", "date"), d.report.date))
    if d.rule is not None:
        dates.append((("rule", "in_force"), d.rule.in_force))
    dates.append((("edition",), d.edition))
    dates += [(("corrections", i, "date"), entry.date) for i, entry in enumerate(d.corrections)]
    for at, text in dates:
        if text is not None and not _is_date(text):
            expected = "a date as year-month-day, such as 2026-02-11"
            yield c.error(at, f"`{text[:40]}`", expected, code="date")


def edition_after_corrections(c: Context) -> Iterator[Problem]:
    """An edition that tells of a correction is not older than the correction."""
    d = c.description
    dates = [entry.date for entry in d.corrections]
    if d.edition is None or not all(map(_is_date, [d.edition, *dates])) or not dates:
        return
    if d.edition < max(dates):
        expected = f"the day of the latest correction, {max(dates)}, or later"
        yield c.error(("edition",), f"`{d.edition}`", expected, code="date")


def _is_date(text: str) -> bool:
    try:
        return bool(re.fullmatch(r"\d{4}-\d{2}-\d{2}", text)) and bool(date.fromisoformat(text))
    except ValueError:
        return False


def addresses_are_safe(c: Context) -> Iterator[Problem]:
    """The report's address is one a browser may be sent to."""
    report = c.description.report
    if report is None or report.link is None:
        return
    if not re.fullmatch(r"https?://[^\s<>\"'`]+", report.link):
        found = f"`{report.link[:60]}`"
        yield c.error(
            ("report", "link"), found, "an address that begins with https://", code="link"
        )


def answers_read_well(c: Context) -> Iterator[Problem]:
    """``answers``, of a study or of one of its claims, names a study and one of its questions."""
    said = c.description
    given: list[tuple[tuple[str | int, ...], str | None]] = [(("answers",), said.answers)]
    given += [(("claims", i, "answers"), claim.answers) for i, claim in enumerate(said.claims)]
    for place, answers in given:
        if answers is not None and not re.fullmatch(r"[a-z0-9-]+/[a-z0-9-]+", answers):
            yield c.error(place, f"`{answers[:60]}`", "study-id/question-id", code="answers")


def percent_possible(c: Context) -> Iterator[Problem]:
    """``in: percent`` takes readings above 0: of nothing there is no share."""
    for at, test in c.tests():
        if getattr(test, "in_", None) != "percent":
            continue
        for sheet, measure in c.operands(at, test)[0]:
            table = sheet.table
            if table is None or table.mean_of is not None:
                continue
            low = table.frame[measure].dropna()
            low = low[low <= 0]
            if len(low):
                found = f"`{measure}` at {low.iloc[0]:g} in {table.file}, row {low.index[0]}"
                expected = "readings above 0: nothing has no percent"
                yield c.error((*at, "in"), found, expected, code="percent")


# Slips of data that are right in every cell: units mixed, zeros for gaps, one ball twice.
# Each is a warning: it may be so, and the author knows. None looks at a single reading, which
# ``warnings.py`` does.

Floats = NDArray[np.float64]

#: What two units are apart, and which: a column in one and some rows in the other.
UNITS = {
    10.0: "cm and mm, or a point in the wrong place", 25.4: "inches and mm",
    1000 / 25.4: "µm and microinches", 1000.0: "thousandths and whole ones",
}  # fmt: skip
#: Readings that are none, in sheets that have no empty cells.
MARKS = (0.0, -1.0, -9.0, -99.0, -999.0, 99.0, 999.0, 9999.0)
#: So many other readings at least say where readings lie.
_FEW = 5
#: How near the others readings in the right unit have to come, as a share of their ends.
_NEAR = 0.8
#: Where most readings lie, whatever a few of them in another unit do.
_MOST = (0.15, 0.85)
#: A coincidence this rare among all pairs of items is taken for one ball under two names.
_RARE = 0.01


def _read(c: Context) -> Iterator[tuple[Sheet, Table]]:
    """The sheets that hold readings."""
    for sheet in c.sheets.values():
        if sheet.table is not None and sheet.roles is not None and sheet.table.mean_of is None:
            yield sheet, sheet.table


def units_mixed(c: Context) -> Iterator[Problem]:
    """All readings of an item, or at a checkpoint, that fit the others in another unit."""
    for sheet, table in _read(c):
        for name in sheet.roles.measures if sheet.roles else ():
            found = None
            for column in filter(None, (table.item, table.use, table.group)):
                if column != name:  # a group may be told by what is measured, too
                    found = found or _block_off(sheet, table, name, column)
            if found:
                yield found
    yield from _tables_off(c)


def _block_off(sheet: Sheet, table: Table, name: str, column: str) -> Problem | None:
    frame = table.frame[[column, name]].dropna()
    groups = frame.groupby(column, observed=True, sort=False)[name]
    for value in _apart(groups.min(), groups.max()):
        is_mine = frame[column] == value
        mine, rest = (frame[name][which].to_numpy(dtype=float) for which in (is_mine, ~is_mine))
        factor = _off(mine, rest) if len(mine) > 1 else None
        if factor is None:
            continue
        shown = f"{value:g}" if isinstance(value, float) else str(value)
        row = int(frame.index[is_mine][0])
        return _mixed(sheet, row, name, f"{column} {shown}", mine, rest, factor)
    return None


def _apart(lows: pd.Series[float], highs: pd.Series[float]) -> list[Any]:
    """The groups whose readings all lie below, or all above, those of every other: two at most.

    A column may hold as many groups as rows, so none is held against all the others.
    """
    if len(lows) < 2:
        return []
    low, high = lows.to_numpy(dtype=float), highs.to_numpy(dtype=float)
    others_low = np.full(len(low), low.min())
    others_low[low.argmin()] = np.partition(low, 1)[1]
    others_high = np.full(len(high), high.max())
    others_high[high.argmax()] = np.partition(high, -2)[-2]
    return list(lows.index[(high < others_low) | (low > others_high)])


def _tables_off(c: Context) -> Iterator[Problem]:
    """A whole table whose readings of the same items fit those of another one in another unit."""
    sheets = list(_read(c))
    for (_, one), (sheet, other) in combinations(sheets, 2):
        if not set(one.items) & set(other.items):
            continue
        for name in sheet.roles.measures if sheet.roles else ():
            if name not in one.measures:
                continue
            a, b = (t.frame[name].dropna().to_numpy(dtype=float) for t in (one, other))
            factor = _off(b, a) if len(b) > 1 else None
            if factor is not None:
                row = int(other.frame.index[0])
                yield _mixed(sheet, row, name, "this table", b, a, factor)


def _off(mine: Floats, rest: Floats) -> float | None:
    """The factor that puts all of ``mine`` among the rest, none of which they reach as they are."""
    rest = rest[rest != 0]  # a gap filled with a zero must not hide a unit, nor the other way round
    if len(rest) < _FEW or min(mine.min(), rest.min()) <= 0:
        return None
    low, high = float(rest.min()), float(rest.max())
    if mine.max() >= low and mine.min() <= high:
        return None
    fits = []
    for factor in UNITS:
        for times in (factor, 1 / factor):
            moved = mine * times
            near = low * _NEAR <= moved.min() and moved.max() <= high / _NEAR
            steady = max(high / low, float(mine.max() / mine.min())) < factor / 2
            if near and steady:
                fits.append((abs(np.log(np.median(moved) / np.median(rest))), times))
    return min(fits)[1] if fits else None


def _mixed(
    sheet: Sheet, row: int, name: str, whose: str, mine: Floats, rest: Floats, times: float
) -> Problem:
    factor = max(times, 1 / times)
    does = f"times {factor:.4g}" if times > 1 else f"divided by {factor:.4g}"
    why = next(text for size, text in UNITS.items() if abs(size - factor) < 1e-6 * size)
    return suspect(
        sheet, row, name, f"{mine.min():g} to {mine.max():g} for {whose}",
        f"something like the others, which run from {rest.min():g} to {rest.max():g}",
        "they are used as they stand", "unit-mixed", f"{does} they would fit: {why}?",
    )  # fmt: skip


def marks_for_gaps(c: Context) -> Iterator[Problem]:
    """A zero, or 999, far from all other readings: a gap that somebody filled."""
    for sheet, table in _read(c):
        for name in sheet.roles.measures if sheet.roles else ():
            column = table.frame[name].dropna()
            for mark in MARKS:
                here, rest = column[column == mark], column[column != mark].to_numpy(dtype=float)
                if not len(here) or len(rest) < _FEW or set(rest.tolist()) == {1.0}:
                    continue
                gap = min(abs(rest - mark))
                low, high = np.quantile(rest, _MOST)
                span = float(high - low) / (_MOST[1] - _MOST[0])
                outside = mark < rest.min() or mark > rest.max()
                if not outside or gap <= max(span, 0.0) or rest.min() <= 0:
                    continue
                times = f", {len(here)} times" if len(here) > 1 else ""
                yield suspect(
                    sheet, int(here.index[0]), name, f"{mark:g}{times}",
                    f"something like the others, which run from {rest.min():g} to {rest.max():g}",
                    "it is used as a reading", "gap-filled",
                    f"if it means that nothing was read: `missing: [\"{mark:g}\"]`",
                )  # fmt: skip


def spelled_twice(c: Context) -> Iterator[Problem]:
    """Two names of items, or of conditions, that differ in case, spaces, hyphens or zeros."""
    for sheet, table in _read(c):
        for column in sheet.roles.text if sheet.roles else ():
            seen: dict[str, str] = {}
            names = table.frame[column].astype(str).drop_duplicates()
            for row, name in zip(names.index.tolist(), names, strict=True):
                first = seen.setdefault(_spelling(name), name)
                if first == name:
                    continue
                yield suspect(
                    sheet, row, column, f"`{name}`, beside `{first}` above",
                    "one spelling for one and the same", "they count as two", "spelled-twice",
                )  # fmt: skip


#: Greek and Cyrillic letters that look the same as a Latin one.
_ALIKE = str.maketrans("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧοАВЕЅІЈКМНОРСТХУаеосрхуіјѕ",
                       "ABEZHIKMNOPTYXoABESIJKMHOPCTXYaeocpxyijs")  # fmt: skip


def _spelling(name: str) -> str:
    """What stays of a name that was typed in another way: letters and numbers."""
    alike = unicodedata.normalize("NFKC", name).translate(_ALIKE).casefold()
    text = re.sub(r"(?<!\d)[\s_.\-/#]+|[\s_.\-/#]+(?!\d)", "", alike)
    return re.sub(r"(?<!\d)0+(?=\d)", "", text)


def named_twice(c: Context) -> Iterator[Problem]:
    """Items whose every reading is that of another, or as far from it: one ball under two names,
    or a pasted block."""
    for sheet, table in _read(c):
        names = list(sheet.roles.measures) if sheet.roles else []
        if not names or len(table.items) < 3:
            continue
        series = {
            str(item): _readings(rows, names)
            for item, rows in table.frame.groupby(table.item, observed=True, sort=False)
        }
        moved = {item: np.round(cells - cells[:1], 9)[1:] + 0.0 for item, cells in series.items()}
        same = _copies(series)
        copies = {**_copies(moved), **same}
        if not copies:
            continue
        two, one = next(iter(copies.items()))
        how = "the same as" if two in same else "equally far from that of"
        row = int(table.frame.index[(table.frame[table.item] == two)][0])
        more = f", and {len(copies) - 1} more like it" if len(copies) > 1 else ""
        yield suspect(
            sheet, row, table.item, f"`{two}`, with every reading {how} `{one}`{more}",
            "readings of its own",
            f"they count as {len(copies) + len(set(copies.values()))}", "named-twice",
        )  # fmt: skip


def _copies(series: Mapping[str, Floats]) -> dict[str, str]:
    """Which items read as another did, cell by cell, where chance hardly makes one such pair.

    What is read again and again of one item tells nothing new, so each value counts once; and how
    often two values are one and the same is asked of one item of each kind, not of its copies.
    """
    same: dict[tuple[Any, ...], list[str]] = {}  # items by what was read of them: one pass
    for item, cells in series.items():
        same.setdefault((len(cells), cells.tobytes()), []).append(item)
    kinds = [series[items[0]] for items in same.values()]
    alike = _alike(np.concatenate(kinds)) if kinds else np.array([])
    pairs = len(series) * (len(series) - 1) / 2
    found: dict[str, str] = {}
    for one, *others in same.values():
        cells = series[one]
        each = [np.unique(cells[np.isfinite(cells[:, k]), k]).size for k in range(cells.shape[1])]
        told = len(others) * (len(others) + 1) / 2  # so many pairs: by Markov so much rarer
        if others and float(np.prod(alike ** np.array(each))) * pairs / told < _RARE:
            found |= dict.fromkeys(others, one)
    return found


def items_of_one(c: Context) -> Iterator[Problem]:
    """Shots that count as items, beside a column that says which few balls they are of.

    Shots of one ball are more alike than shots of another: eighty of four balls are four balls
    (Hurlbert 1984, Ecological Monographs 54, 187, on pseudoreplication).
    """
    for sheet, table in _read(c):
        for column in of_whose(map(str, table.others.columns)) if table.others is not None else ():
            assert table.others is not None
            whose = table.others[column].reindex(table.frame.index).astype(str).str.strip()
            pairs = pd.DataFrame({"item": table.frame[table.item].astype(str), "of": whose})
            pairs = pairs[~pairs["of"].isin(("", "nan", "None"))].drop_duplicates()
            balls = pairs["of"].nunique()
            if not pairs["item"].is_unique or not 1 < balls <= len(pairs) / 2:
                continue
            yield suspect(
                sheet, int(pairs.index[0]), table.item,
                f"{len(pairs)} of them, of {balls} in the column `{column}`",
                f"`each: {column}`, where those of one are alike",
                "each counts as if nothing tied it to another, and ranges are too narrow",
                "finer-item",
            )  # fmt: skip


def _readings(rows: pd.DataFrame, names: list[str]) -> Floats:
    """What was read, row by row, alike where it is the same: one sort of gap, one zero."""
    cells = np.array(rows[names].to_numpy(dtype=float), order="C")
    cells[np.isnan(cells)] = np.nan
    return cells + 0.0


def _alike(cells: Floats) -> Floats:
    """How likely two readings of each column, drawn from it, are one and the same; never 0."""
    likely = []
    for column in cells.T:
        counts = np.unique(column[np.isfinite(column)], return_counts=True)[1]
        n = counts.sum()
        likely.append((float((counts * (counts - 1)).sum()) + 1) / (n * (n - 1) + 1))
    return np.array(likely)


def tables_copied(c: Context) -> Iterator[Problem]:
    """Two files that hold the same readings, row by row."""
    for (_, one), (sheet, two) in combinations(list(_read(c)), 2):
        shared = [m for m in (sheet.roles.measures if sheet.roles else ()) if m in one.measures]
        if one.file == two.file or not shared:
            continue
        a, b = (t.frame[shared].dropna() for t in (one, two))
        known, read = set(_rows(a)), _rows(b)
        again = [k for k, row in enumerate(read) if row in known]
        if len(set(read)) < _FEW or len(again) < _FEW or len(again) < _NEAR * len(b):
            continue
        if len(b) < len(a) and set(two.items) <= set(one.items):
            continue  # some of the same items' readings again: a part, set apart on purpose
        yield suspect(
            sheet, int(b.index[again[0]]), None,
            f"{len(again):,} of {len(b):,} rows with the same readings as {one.file}",
            "readings of its own", "each table counts by itself", "table-copied",
        )  # fmt: skip


def _rows(frame: pd.DataFrame) -> list[tuple[Any, ...]]:
    return [tuple(row) for row in frame.to_numpy(dtype=float).tolist()]
