"""What study.yaml says, held against the rows."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date

import numpy as np

from explainer.errors import Problem, listed
from explainer.study.checks.context import Context, axis_of, rows_of, values_of
from explainer.study.description import figures as fig, tests as tst
from explainer.study.description.rule import RuleLimit
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
        left = rows_of(table, only)[table.item].unique()
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


def rates_tried(c: Context) -> Iterator[Problem]:
    """A figure of rates has an attempt to show at least: of none there is no rate."""
    for i, figure in enumerate(c.description.figures):
        sheet = c.sheets.get(figure.table) if isinstance(figure, fig.Rates) else None
        if sheet is None or sheet.table is None or not isinstance(figure, fig.Rates):
            continue
        rows = rows_of(sheet.table, figure.only)
        columns = [figure.successes, figure.attempts]
        if not set(columns) <= set(rows.columns) or rows.empty:
            continue
        if not (rows[columns].dropna()[figure.attempts] > 0).any():
            found = f"no `{figure.attempts}` above 0 in {sheet.file}"
            yield c.error(("figures", i, "attempts"), found, "one attempt at least", code="no-rate")


def percent_possible(c: Context) -> Iterator[Problem]:
    """``in: percent`` takes readings above 0: of nothing there is no share."""
    for at, test in c.tests():
        if getattr(test, "in_", None) != "percent":
            continue
        for sheet, measure in c.operands(at, test)[0]:
            table = sheet.table
            if table is None or table.mean_of is not None:
                continue
            rows = rows_of(table, test.only)
            low = rows.loc[rows[measure] <= 0, measure]
            if len(low):
                found = f"`{measure}` at {low.iloc[0]:g} in {table.file}, row {low.index[0]}"
                expected = "readings above 0: nothing has no percent"
                yield c.error((*at, "in"), found, expected, code="percent")
