"""``rates``: successes out of attempts, pooled and for each who repeats."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from explainer.analysis import rates as stats
from explainer.analysis.result import Estimate, Interval
from explainer.claims.evidence import labels
from explainer.claims.figure_data import Rate, RatesData
from explainer.claims.figures.common import ends, number_rows
from explainer.claims.verdict import FigureResult, Finding, NumbersTable, Verdict
from explainer.study.description.figures import Rates
from explainer.study.description.tests import RateDifference
from explainer.study.model import Study, Table


def picture(study: Study, figure: Rates, verdicts: Sequence[Verdict]) -> FigureResult:
    """Pooled rates per condition and, with ``within``, each one's own."""
    table = study.tables[figure.table]
    frame = table.frame.dropna(subset=[figure.successes, figure.attempts])
    frame = frame[frame[figure.attempts] > 0]  # who never tried has no rate, and is none of them
    who = figure.within or table.item
    counts: dict[tuple[str, str], list[float]] = {}
    total: dict[str, list[float]] = {}
    for person, condition, made, tried in zip(
        frame[who].astype(str), labels(frame[figure.by]),
        frame[figure.successes].to_numpy(float).tolist(),
        frame[figure.attempts].to_numpy(float).tolist(),
        strict=True,
    ):  # fmt: skip
        for cell in (
            counts.setdefault((person, condition), [0.0, 0.0]),
            total.setdefault(condition, [0.0, 0.0]),
        ):
            cell[0] += made
            cell[1] += tried
    people = list(dict.fromkeys(p for p, _ in counts))
    once = _once(study.tables[figure.table], figure, counts)
    pooled = tuple(
        _range(_rate(c, *cell), [own for (_, side), own in counts.items() if side == c], once)
        for c, cell in total.items()
    )
    within = tuple(
        (p, tuple(_rate(c, *counts[p, c]) for c in total))
        for p in people
        if all((p, c) in counts for c in total)
    )
    apart = not any(all((p, r.name) in counts for r in pooled[:2]) for p in people)
    data = RatesData(pooled, within if figure.within else (), once, apart or len(pooled) < 2)
    rows: list[tuple[str | float | None, ...]] = [
        (name, r.name, r.successes, r.attempts, _percent(r))
        for name, rates in (("all", pooled), *within) for r in rates
    ]  # fmt: skip
    return FigureResult(
        figure, data, (*_findings(pooled, within), *_picked(figure, verdicts)),
        NumbersTable((who, figure.by, figure.successes, figure.attempts, "rate"),
                     ("", "", "count", "count", "percent"), number_rows(rows)),
        len(people), len(frame),
    )  # fmt: skip


def _picked(figure: Rates, verdicts: Sequence[Verdict]) -> list[Finding]:
    """A claim says that these were picked by what became of them: then no rate is a risk.

    Not where the rows gainsay it: of whoever tried again and again nothing was picked."""
    alike = (figure.successes, figure.attempts, figure.table)
    return [Finding("picked", {})] if any(
        isinstance(part.test, RateDifference) and part.test.in_ == "odds"
        and (part.test.successes, part.test.attempts, part.table) == alike
        and part.detail.undefined != "odds-of-repeats"
        for v in verdicts for part in v.each
    ) else []  # fmt: skip


def _percent(rate: Rate) -> float:
    """Exact where it can be: 100 * (23 / 80) is a hair less than 28.75, and rounds down."""
    return 100 * rate.successes / rate.attempts if rate.attempts else 0.0


def _once(
    table: Table, figure: Rates, counts: Mapping[tuple[str, str], Sequence[float]]
) -> bool:
    """Whether each attempt is by somebody else, as a claim about these rates takes it: rows are
    printed counts, or nobody tried twice.  Else shots of the same few would pass for so many."""
    tried: dict[str, float] = {}
    for (person, _), (_, attempts) in counts.items():
        tried[person] = tried.get(person, 0.0) + attempts
    named = figure.within not in (None, table.item)
    whole = figure.by == table.item and not named
    return table.counted or whole or max(tried.values(), default=0.0) <= 1


def _rate(name: str, successes: float, attempts: float) -> Rate:
    return Rate(name, int(successes), int(attempts), successes / attempts if attempts else 0.0)


def _range(rate: Rate, each: Sequence[Sequence[float]], once: bool) -> Rate:
    """With the range of the rate that all of them come to: over attempts, or over them, and then no
    narrower than so many attempts alone leave it, since few may come out alike by luck."""
    wide = stats.wilson(rate.successes, rate.attempts)
    low, high = (wide.low, wide.high) if isinstance(wide, Interval) else (None, None)
    if not once:
        least, most = ends(stats.of_people([s for s, _ in each], [n for _, n in each]))
        low = None if low is None or least is None else min(low, least)
        high = None if high is None or most is None else max(high, most)
    return replace(rate, low=low, high=high)


def _findings(
    pooled: Sequence[Rate], within: Sequence[tuple[str, tuple[Rate, ...]]]
) -> list[Finding]:
    if len(pooled) < 2:
        return []
    a, b = pooled[0], pooled[1]
    found = [Finding("pooled", {
        "a": a.name, "b": b.name, "rate_a": a.rate, "rate_b": b.rate,
        "difference": a.rate - b.rate, "attempts": a.attempts + b.attempts,
    })]  # fmt: skip
    both = [rates for _, rates in within]
    if len(both) < 2:
        return found
    gaps = np.array([rs[0].rate - rs[1].rate for rs in both])
    each = stats.per_item_difference(
        [rs[0].successes for rs in both], [rs[0].attempts for rs in both],
        [rs[1].successes for rs in both], [rs[1].attempts for rs in both],
    )  # fmt: skip
    low, high = ends(stats.possible(each) if isinstance(each, Estimate) else each)
    difference = float(gaps.mean()) if each.value is None else each.value
    found.append(Finding("stratified", {
        "a": a.name, "b": b.name, "difference": difference,
        "low": low, "high": high,
        "n_items": len(both), "n_up": int((gaps > 0).sum()), "n_down": int((gaps < 0).sum()),
    }))  # fmt: skip
    if stats.reversal(a.rate - b.rate, difference):
        found.append(Finding("reversal", {"pooled": a.rate - b.rate, "each": difference}))
    return found
