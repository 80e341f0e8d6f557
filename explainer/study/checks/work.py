"""That what a study asks for can be worked out and drawn in minutes, and within a gigabyte."""

from __future__ import annotations

from collections.abc import Iterator

from explainer.errors import Problem
from explainer.study.checks.context import Context
from explainer.study.description import figures as fig, tests as tst
from explainer.study.model import Table
from explainer.study.yaml12 import Path

#: Readings of one item in turn that a drift is worked out of, every two of which have a slope; and
#: of a gauge in one figure, each of which is a dot.
MOST_IN_TURN, MOST_OF_A_GAUGE = 10_000, 20_000
#: Readings looked at again by all claims and series of a study: a fifth of a second a million.
MOST_AGAIN = 1_000_000_000
#: Rows that all figures together draw a mark each for: some 2 kB of memory a row.
MOST_DRAWN = 500_000
#: What costs as much beside, in readings: an item of a working out without another one; each
#: reading of a series, and each item of it.
_ANEW, _IN_SERIES, _A_SERIES = 60, 500, 50_000


def few_in_turn(c: Context) -> Iterator[Problem]:
    """No series and no gauge has more readings than can be worked out or drawn in a minute."""
    for at, table, measure in _series(c, tst.Trend):
        longest = max(_in_turn(table, measure), default=0)
        if longest > MOST_IN_TURN:
            expected = f"at most {MOST_IN_TURN:,} (averages of some in turn, or a part of them)"
            yield c.error(at, f"{longest:,} readings of one {table.item} in turn", expected)
    for at, figure, table in _figures(c):
        if isinstance(figure, fig.Gauge) and len(table.frame) > MOST_OF_A_GAUGE:
            found = f"{len(table.frame):,} readings to draw a dot for each"
            yield c.error((*at, "table"), found, f"at most {MOST_OF_A_GAUGE:,}")


def little_again(c: Context) -> Iterator[Problem]:
    """All claims and series together look at no more readings again than take some minutes."""
    asked = [(at, sum(n * n // 2 + _IN_SERIES * n + _A_SERIES for n in _in_turn(table, measure)))
             for at, table, measure in _series(c, tst.Trend, tst.Since)]  # fmt: skip
    asked += [(at, _without_each(table)) for at, table in _left_out(c)]
    so_far = 0
    for at, again in asked:
        so_far += again
        if so_far > MOST_AGAIN:
            found = f"{so_far:,} readings to look at again, with those of the others so far"
            expected = (f"at most {MOST_AGAIN:,} in a study: fewer readings or items in a table, "
                        "or fewer claims about them")  # fmt: skip
            yield c.error(at, found, expected)
            return


def few_drawn(c: Context) -> Iterator[Problem]:
    """All figures with a mark for each row stay within the memory that is promised."""
    rows = 0
    for at, figure, table in _figures(c):
        if isinstance(figure, fig.ShotSeries | fig.Scatter | fig.BallPaths):
            rows += len(table.frame)
            if rows > MOST_DRAWN:
                found = f"{rows:,} rows to draw, with those of the figures before it"
                expected = f"at most {MOST_DRAWN:,} in a study (averages, or a part of them)"
                yield c.error((*at, "table"), found, expected)
                return


def _figures(c: Context) -> Iterator[tuple[Path, fig.Figure, Table]]:
    """The figures whose table was read."""
    for i, figure in enumerate(c.description.figures):
        sheet = c.sheets.get(figure.table)
        if sheet is not None and sheet.table is not None:
            yield ("figures", i), figure, sheet.table


def _series(c: Context, *kinds: type[tst.ClaimTest]) -> Iterator[tuple[Path, Table, str]]:
    """What is read in turn: the claims of these ``kinds``, then the figures of a series."""
    for at, test in c.tests():
        if isinstance(test, kinds):
            for sheet, measure in c.operands(at, test)[0]:
                if sheet.table is not None and measure in sheet.table.frame:
                    yield (*at, "measure"), sheet.table, measure
    for at, figure, table in _figures(c):
        if isinstance(figure, fig.ShotSeries) and figure.y in table.frame:
            yield (*at, "y"), table, figure.y


def _in_turn(table: Table, measure: str) -> list[int]:
    """How many readings of each item there are."""
    return [int(n) for n in table.frame.groupby(table.item, observed=True)[measure].count()]


def _left_out(c: Context) -> Iterator[tuple[Path, Table]]:
    """The claims that are worked out again without each item, by the table they read."""
    for at, test in c.tests():
        if test.without_each:
            tables = [sheet.table for sheet, _ in c.operands(at, test)[0]]
            read = [table for table in tables if table is not None]
            if read:
                yield at, max(read, key=lambda table: len(table.items))


def _without_each(table: Table) -> int:
    """Readings looked at where each item is left out in turn; repeats are averaged before."""
    along = [name for name in (table.item, table.use, table.order) if name is not None]
    points = len(table.frame[along].drop_duplicates())
    return len(table.items) * (points + _ANEW * len(table.items))
