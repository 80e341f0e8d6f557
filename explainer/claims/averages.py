"""``difference`` from what a report prints: mean, standard deviation and count of each side.

That is enough for Welch's range between different items.  For the same items twice the spread of
their differences is missing; it lies between what two correlations of an item's readings give, and
so does the answer: both ranges are worked out, the wider one is shown, and where they disagree the
verdict is the weaker.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from explainer.analysis.difference import paired_from_printed, welch_from_printed
from explainer.analysis.result import Estimate, Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, settled, undefined
from explainer.claims.change import change_strip
from explainer.claims.verdict import Code, Verdict
from explainer.study.description.measures import Measure
from explainer.study.description.tests import Difference
from explainer.study.model import Table

#: How alike an item's two readings may be: not at all, to nearly the same.  Items that read high
#: once read high again, so that a negative correlation is left out.
CORRELATIONS = (0.0, 0.9)


@dataclass(frozen=True)
class Printed:
    """One side as printed."""

    mean: float
    sd: float
    n: int


def of_averages(case: Case, table: Table) -> Verdict | None:
    """The verdict from printed numbers; None where a side has no single row with mean, SD and n."""
    test = case.test
    assert isinstance(test, Difference)
    a, b = (printed(table, test, value) for value in (test.a, test.b))
    if a is None or b is None:
        return None
    measure = case.study.measure(test.measure)
    paired = test.within is not None or test.by == table.use
    detail: Story = {
        "a": str(test.a), "b": str(test.b), "by": test.by, "paired": paired, "averages": True,
        "mean_a": a.mean, "mean_b": b.mean, "n_a": a.n, "n_b": b.n, "mean_of": table.mean_of,
        "margin": measure.matters_from, "at_least": test.at_least,
    }  # fmt: skip
    if paired:
        return _paired(case, table, measure, a, b, detail)
    result = welch_from_printed(a.mean, a.sd, a.n, b.mean, b.sd, b.n)
    if isinstance(result, Undefined):
        return undefined(case, result, unit=measure.unit, n_rows=2, table=table.name, detail=detail)
    return _verdict(case, table, measure, result, _code(case, measure, result), [], detail)


def printed(table: Table, test: Difference, value: str | float) -> Printed | None:
    """Mean, SD and count that one row prints for a side; None unless it is one row with all."""
    if test.by == table.use:
        rows = table.frame[table.frame[test.by] == float(value)]
    else:
        rows = evidence.only(table, test.by, value).frame
        if test.at is not None and table.use is not None and isinstance(test.at, float):
            rows = rows[rows[table.use] == test.at]
    if len(rows) != 1 or table.sd_column is None or table.mean_of is None:
        return None
    mean, sd = float(rows[test.measure].iloc[0]), float(rows[table.sd_column].iloc[0])
    n = table.mean_of if table.n_column is None else rows[table.n_column].iloc[0]
    if not (math.isfinite(mean) and math.isfinite(sd) and sd >= 0 and math.isfinite(n)):
        return None
    return Printed(mean, sd, int(n))


def _paired(
    case: Case, table: Table, measure: Measure, a: Printed, b: Printed, detail: Story
) -> Verdict:
    """Both ends of what the missing correlation leaves open."""
    n = min(a.n, b.n)
    ends = [paired_from_printed(a.mean, a.sd, b.mean, b.sd, n, r) for r in CORRELATIONS]
    found = [e for e in ends if isinstance(e, Estimate)]
    if len(found) < len(ends):
        missing = next(e for e in ends if isinstance(e, Undefined))
        return undefined(case, missing, unit=measure.unit, n_rows=2, table=table.name,
                         detail=detail)  # fmt: skip
    codes = [_code(case, measure, e) for e in found]
    wide = max(found, key=lambda e: e.at95.high - e.at95.low)
    tight = min(found, key=lambda e: e.at95.high - e.at95.low)
    detail |= {"tight_low": tight.at95.low, "tight_high": tight.at95.high}
    return _verdict(case, table, measure, wide, rules.between(*codes), ["only-averages"], detail)


def _code(case: Case, measure: Measure, e: Estimate) -> Code:
    assert isinstance(case.test, Difference)
    side = rules.SIDE[case.test.direction]
    return rules.directed(e, side, case.test.at_least, measure.matters_from)


def _verdict(
    case: Case, table: Table, measure: Measure, e: Estimate, code: Code, reasons: list[str],
    detail: Story,
) -> Verdict:  # fmt: skip
    test, margin = case.test, measure.matters_from
    assert isinstance(test, Difference)
    side = rules.SIDE[test.direction]
    if margin is not None and e.at95.excludes(0) and e.at90.inside(-margin, margin):
        reasons.append("real-but-small")
    return settled(
        case, code, e, unit=measure.unit, n_rows=2, table=table.name, reasons=reasons,
        strip=change_strip(e, side, test.at_least, measure),
        detail={**detail, "p_line": rules.p_of_size(e, side, test.at_least)},
    )  # fmt: skip
