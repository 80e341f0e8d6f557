"""Warnings: rows that look like a slip of the hand, and what a study leaves out."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

import numpy as np
import pandas as pd

from explainer.errors import Problem, listed
from explainer.study.checks.context import Context, as_text
from explainer.study.csvfile import SHOWN
from explainer.study.description import figures as fig, tests as tst
from explainer.study.description.tests import Operand
from explainer.study.roles import derived, nuisances
from explainer.study.tables import Sheet
from explainer.study.yaml12 import Path

#: A reading this many times what all others span is looked at for a point in the wrong place.
_FAR = 3.0
#: Fewer readings than this say nothing about where the others lie.
_FEW = 6
#: The code of a measure that nobody read.
UNREAD = "unread"
#: Where most items are read once, the same row again is no repeat reading but a row pasted twice.
_MOSTLY_ONCE = 0.8


def rows_pasted_twice(c: Context) -> Iterator[Problem]:
    """A row that says the same as an earlier one, in a table that otherwise says things once."""
    for sheet in c.sheets.values():
        if sheet.table is None or sheet.roles is None or sheet.roles.numbered:
            continue
        if sheet.table.mean_of is not None or not sheet.roles.keys:
            continue
        said = dict.fromkeys((*sheet.roles.keys, *sheet.roles.values))
        frame = sheet.table.frame[list(said)]
        sizes = frame.groupby(list(sheet.roles.keys), observed=True).size()
        if len(sizes) < 2 or float((sizes == 1).mean()) < _MOSTLY_ONCE:
            continue
        for position in np.flatnonzero(frame.duplicated().to_numpy())[:SHOWN]:
            first = int(np.flatnonzero((frame == frame.iloc[position]).all(axis=1).to_numpy())[0])
            yield suspect(
                sheet, int(frame.index[position]), None,
                f"the same in every column as row {frame.index[first]}",
                "each reading once", "both are counted, as repeat readings", "pasted-twice",
            )  # fmt: skip


def measures_read(c: Context) -> Iterator[Problem]:
    """Every measure has a reading somewhere: one whose column stands empty tells nothing."""
    columns: dict[str, list[bool]] = {}
    for sheet in c.sheets.values():
        for name in sheet.roles.measures if sheet.table is not None and sheet.roles else ():
            assert sheet.table is not None
            read = bool(sheet.table.frame[name].notna().any())
            columns.setdefault(name, []).append(read)
    for name, read_in in columns.items():
        if not any(read_in):
            yield c.warning(
                ("measures", name), f"no reading of `{name}` in any table",
                "readings, or no such measure", "nothing can be said of it", UNREAD,
            )  # fmt: skip


def points_misplaced(c: Context) -> Iterator[Problem]:
    """A reading ten times too large or too small for the others, and right with the point moved."""
    for sheet in c.sheets.values():
        if sheet.table is None or sheet.roles is None or sheet.table.mean_of is not None:
            continue
        for name in sheet.roles.measures:
            yield from _misplaced(sheet, name, sheet.table.frame[name])


def _misplaced(sheet: Sheet, name: str, column: pd.Series[float]) -> Iterator[Problem]:
    values = column.to_numpy()
    known = np.flatnonzero(np.isfinite(values) & (values > 0))
    if len(known) < _FEW or np.nanmin(values) < 0:
        return
    ordered = known[np.argsort(values[known])]
    for at, other, moved in ((ordered[-1], ordered[-2], 0.1), (ordered[0], ordered[1], 10.0)):
        ratio = values[at] / values[other]
        low, high = values[ordered[1]], values[ordered[-2]]
        if max(ratio, 1 / ratio) > _FAR and low <= values[at] * moved <= high:
            yield suspect(
                sheet, int(column.index[at]), name, f"{values[at]:g}",
                f"something like the others, which run from {low:g} to {high:g}",
                "it is used as it stands", "misplaced",
                f"is it {values[at] * moved:g}, with the point elsewhere?",
            )  # fmt: skip


def sizes_seen(c: Context) -> Iterator[Problem]:
    """Sizes of a measure are no larger than all its readings span: else nothing could matter."""
    for name, measure in c.description.measures.items():
        tables = [s.table for s in c.sheets.values() if s.table and name in s.measures]
        values = [t.frame[name].dropna() for t in tables if name in t.frame]
        read = np.concatenate([v.to_numpy() for v in values]) if values else np.array([])
        if len(read) < _FEW or read.max() <= read.min():
            continue
        for key in ("matters_from", "resolution"):
            size, span = getattr(measure, key), float(read.max() - read.min())
            if size is not None and size > span:
                yield c.warning(
                    ("measures", name, key), f"`{key}: {size:g}`",
                    f"a size no larger than what all readings of `{name}` span, {span:.3g}",
                    "nothing in the data can be told from nothing", "wide-margin", key=False,
                )  # fmt: skip


def suspect(
    sheet: Sheet, row: int, cell: str | None, found: str, expected: str, happens: str, code: str,
    hint: str = "",
) -> Problem:  # fmt: skip
    """A warning about a row of a file, or about a cell of it."""
    return Problem(
        sheet.file, row=row, cell=cell, found=found, expected=expected, happens=happens,
        severity="warning", code=code, hint=hint,
    )  # fmt: skip


# Warnings: what a study may leave out, and what the reader then misses.

def anything_to_show(c: Context) -> Iterator[Problem]:
    """A study without claims or figures says little."""
    for what, entries in (("claims", c.description.claims), ("figures", c.description.figures)):
        if not entries:
            yield c.warning(
                (what,), f"no {what}", f"at least one of the {what}",
                f"the page has no {what} part", f"no-{what}",
            )  # fmt: skip


def claims_shown(c: Context) -> Iterator[Problem]:
    """Each tested claim can be seen on some figure; one about two measures, on a figure of both."""
    drawn = [{*_measures(figure), *_along(c, figure)} for figure in c.description.figures]
    for i, claim in enumerate(c.description.claims):
        if claim.figure is not None:
            continue
        needed = [set(_measures(test)) for test in claim.all_tests]
        if any(needed) and not any(wanted <= shown for wanted in needed for shown in drawn):
            yield c.warning(
                ("claims", i, "id"), f"no figure that shows the claim `{claim.id}`",
                "one drawn from what it speaks of", "readers cannot see it", "unshown", key=False,
            )  # fmt: skip


def _measures(block: object) -> list[str]:
    """The measures that a test speaks of, or a figure draws."""
    values = [getattr(block, key, None) for key in ("measure", "x", "y", "successes", "board")]
    return [v.measure if isinstance(v, Operand) else str(v) for v in values if v is not None]


def _along(c: Context, figure: object) -> list[str]:
    """The measures that are worked out from the ball paths a figure draws."""
    if not isinstance(figure, fig.BallPaths):
        return []
    return [name for name, m in derived(c.description) if m.derived.path == figure.table]  # type: ignore[union-attr]


def figures_explained(c: Context) -> Iterator[Problem]:
    """Each figure has a word from the author."""
    for i, figure in enumerate(c.description.figures):
        if figure.say is None:
            yield c.warning(
                ("figures", i, "id"), f"no `say` for the figure `{figure.id}`",
                "a word from you about it", "only our own sentences stand under it", "unsaid",
                key=False,
            )  # fmt: skip


def sources_named(c: Context) -> Iterator[Problem]:
    """Each table says where its numbers stand."""
    if c.description.data_source is not None:
        return
    for name, table in c.description.tables.items():
        if table.source is None:
            yield c.warning(
                ("tables", name), f"no `source` for the table `{name}`",
                "where its numbers stand in the report", "readers cannot look them up", "no-source",
            )  # fmt: skip


def limits_reachable(c: Context) -> Iterator[Problem]:
    """A limit lies where readings can lie at all."""
    said = c.description
    found: list[tuple[Path, str, object]] = []
    if said.rule is not None and said.rule.limit is not None:
        found.append((("rule", "limit"), said.rule.limit.measure, said.rule.limit))
    found += [
        (("figures", i), figure.y, figure)
        for i, figure in enumerate(said.figures)
        if isinstance(figure, fig.Limit)
    ]
    found += [(at, test.measure, test) for at, test in c.tests() if isinstance(test, tst.LimitTest)]
    for at, name, block in found:
        measure = said.measures.get(name)
        for key in ("at_least", "at_most"):
            limit = getattr(block, key)
            if measure is None or limit is None:
                continue
            low, high = measure.lowest, measure.highest
            if (low is not None and limit < low) or (high is not None and limit > high):
                ends = (f"{low:g} or more" if low is not None else "",
                        f"at most {high:g}" if high is not None else "")  # fmt: skip
                yield c.warning(
                    (*at, key), f"the limit {limit:g}, where no reading of `{name}` can lie",
                    " and ".join(filter(None, ends)), "every reading falls on one side of it",
                    "unreachable", key=False,
                )  # fmt: skip


def one_uncertainty(c: Context) -> Iterator[Problem]:
    """How far a value judged may be off belongs to the readings: claims and figures give it
    alike."""
    told: list[tuple[Path, float | None, tuple[object, ...]]] = [
        ((*at, "u"), test.u, (test.table or next(iter(c.holding(test.measure)), None),
                              test.measure, test.at, test.take))
        for at, test in c.tests() if isinstance(test, tst.LimitTest)
    ]  # fmt: skip
    told += [(("figures", i, "u"), f.u, (f.table, f.y, f.at, "mean"))
             for i, f in enumerate(c.description.figures) if isinstance(f, fig.Limit)]  # fmt: skip
    given: dict[tuple[object, ...], float] = {}
    for at, u, readings in told:
        if u is not None and (first := given.setdefault(readings, u)) != u:
            yield c.warning(
                at, f"`u: {u:g}`, where the same readings of `{readings[1]}` were given {first:g}",
                "one number for the same readings", "the larger counts for all of them",
                "two-us", key=False,
            )  # fmt: skip


_PAGE = re.compile(r"\b(?:page|p\.) ?(\d+)\b", re.IGNORECASE)


def pages_there(c: Context) -> Iterator[Problem]:
    """Pages that are named are pages the report has."""
    said = c.description
    if said.report is None or said.report.pages is None:
        return
    named: list[tuple[Path, object]] = [
        (("claims", i, "page"), claim.page) for i, claim in enumerate(said.claims)
    ]
    named += [(("tables", name, "source"), t.source) for name, t in said.tables.items()]
    named += [(("figures", i, "report_figure"), f.report_figure)
              for i, f in enumerate(said.figures)]  # fmt: skip
    named += [(("stated", i, "where"), entry.where) for i, entry in enumerate(said.stated)]
    for at, text in named:
        pages = [text] if isinstance(text, int) else map(int, _PAGE.findall(str(text or "")))
        for page in pages:
            if page > said.report.pages:
                yield c.warning(
                    at, f"page {page}", f"a page of the report, which has {said.report.pages}",
                    "readers cannot look it up", "no-page", key=False,
                )  # fmt: skip


def pairs_named(c: Context) -> Iterator[Problem]:
    """Items that stand on both sides of a comparison do so all of them, or the study says why."""
    for at, test in c.tests():
        if isinstance(test, tst.Ranking):
            yield from _blocks_named(c, at, test)
        if not isinstance(test, tst.Difference | tst.NoDifference | tst.NoWorse | tst.Spread):
            continue
        can = isinstance(test, tst.Difference)
        by, named = test.by, [side for side in (test.a, test.b) if side is not None]
        if by is None or len(named) < 2 or getattr(test, "within", None) is not None:
            continue
        if not can and nuisances([by]):
            continue  # two gauges or two people on the same items are pairs by nature
        for sheet, _ in c.operands(at, test)[0]:
            table = sheet.table
            if table is None or by == table.use or by not in table.frame:
                continue
            text = table.frame[by].map(as_text).astype(str)
            a, b = (set(table.frame.loc[text == as_text(side), table.item].astype(str))
                    for side in named)  # fmt: skip
            both, one = sorted(a & b), sorted(a ^ b)
            if both and one:
                yield c.warning(
                    (*at, "by"), f"{listed(both, 4)} under both, {listed(one, 4)} under one only",
                    f"`within: {table.item}` to compare each with itself, or names of their own"
                    if can else "all of them under both, or names of their own",
                    "all are taken as different ones, and the claim can only lean", "pairs",
                    key=False,
                )  # fmt: skip


def _blocks_named(c: Context, at: Path, test: tst.Ranking) -> Iterator[Problem]:
    """Items that stand in several of the groups a ranking compares stand in all of them."""
    if test.within is not None or nuisances([test.by]):
        return
    for sheet, _ in c.operands(at, test)[0]:
        table = sheet.table
        if table is None or test.by == table.use or test.by not in table.frame:
            continue
        text = table.frame[test.by].map(as_text).astype(str)
        wanted = [as_text(v) for v in test.order or ()] or sorted(set(text))
        items = [set(table.frame.loc[text == side, table.item].astype(str)) for side in wanted]
        times = Counter(item for here in items for item in here)
        many = sorted(i for i, n in times.items() if n > 1)
        some = sorted(i for i, n in times.items() if n < len(items))
        if many and some:
            yield c.warning(
                (*at, "by"), f"{listed(many, 4)} in several, {listed(some, 4)} not in all of them",
                f"`within: {table.item}` to compare each with itself, or names of their own",
                "all are taken as different ones, and the claim can only lean", "pairs", key=False,
            )  # fmt: skip


def margins_set(c: Context) -> Iterator[Problem]:
    """Measures that claims compare have a smallest size that matters."""
    seen: set[str] = set()
    for _, test in c.tests():
        name = getattr(test, "measure", None)
        if not test.needs_margin or name is None or test.own_margin is not None:
            continue
        measure = c.description.measures.get(name)
        if measure is None or measure.matters_from is not None or name in seen:
            continue
        seen.add(name)
        yield c.warning(
            ("measures", name), f"no `matters_from` for `{name}`",
            "the smallest change a bowler would notice",
            "nothing can be shown to be too small to matter", "no-margin",
        )  # fmt: skip


def averages_have_room(c: Context) -> Iterator[Problem]:
    """An average said to be about a number has a size by which it may miss it."""
    for at, test in c.tests():
        if not isinstance(test, tst.MeanIs) or test.value is None or test.within is not None:
            continue
        measure = c.description.measures.get(test.measure)
        if test.at_least is None and test.at_most is None and measure is not None \
                and measure.matters_from is None:  # fmt: skip
            yield c.warning(
                (*at, "value"), f"`value: {test.value:g}` with nothing said of how near is near",
                "`within:` how far from it still counts, or `at_least` or `at_most`",
                "the claim can't be called backed", "no-margin", key=False,
            )  # fmt: skip
