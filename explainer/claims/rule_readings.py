"""How a study's own items, gauge and operators stand to the limit of its rule."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from explainer.analysis.conformity import Call, judge_reading
from explainer.claims import evidence
from explainer.claims.limit import LimitDetail, uncertainty
from explainer.claims.verdict import OperatorLevel, RuleReadings, Stand, Verdict
from explainer.study.description.figures import Gauge
from explainer.study.description.rule import RuleLimit
from explainer.study.description.tests import LimitTest, Repeatability
from explainer.study.model import Study, Table


def rule_readings(study: Study, verdicts: Sequence[Verdict]) -> RuleReadings:
    """What was read of the rule's measure; empty where no rule has a limit."""
    rule = study.description.rule
    if rule is None or rule.limit is None:
        return RuleReadings()
    column, desks, n_items = _desks(study, rule.limit.measure, verdicts)
    return RuleReadings(_stands(study, rule.limit, verdicts), column, desks, n_items)


def stand(
    study: Study, table: Table, limit: RuleLimit, at: float | None,
    values: Sequence[float], readings: float,
) -> Stand | None:  # fmt: skip
    """How many of ``values``, each the mean of so many readings, meet a limit.

    None where nobody knows the gauge, so that nothing can be called, or nothing was read.
    """
    rule = study.description.rule
    given = rule.u if rule is not None else None
    many = max(1, math.floor(readings))
    measure = study.measure(limit.measure)
    u, df = uncertainty(measure, table, many, given)
    known = (given, measure.repeatability_sd, measure.resolution)
    if u is None or not any(part is not None for part in known) or not len(values):
        return None
    calls = [judge_reading(float(v), u, limit.at_least, limit.at_most, df) for v in values]
    made = [c for c in calls if isinstance(c, Call)]
    count = {call: sum(c.call == call for c in made) for call in ("pass", "too-close", "fail")}
    return Stand(len(made), count["pass"], count["too-close"], count["fail"], at, table.name,
                 many, made[0].guard)  # fmt: skip


def _stands(
    study: Study, limit: RuleLimit, verdicts: Sequence[Verdict]
) -> tuple[Stand, ...]:
    """By the claim that judged them where there is one, so that a card says what the page says."""
    for part in (p for v in verdicts for p in v.each):
        test, detail = part.test, part.detail
        if (
            isinstance(test, LimitTest) and isinstance(detail, LimitDetail) and detail.items
            and test.measure == limit.measure and detail.u is not None
            and (test.at_least, test.at_most) == (limit.at_least, limit.at_most)
        ):  # fmt: skip
            calls = [str(item["call"]) for item in detail.items]
            at = test.at if isinstance(test.at, int | float) else detail.judged_at
            many = max(1, part.n_rows // max(1, len(calls)))
            return (Stand(
                len(calls), calls.count("pass"), calls.count("too-close"), calls.count("fail"),
                at, part.table, many, detail.guard or 0.0,
            ),)  # fmt: skip
    table = _table(study, limit.measure)
    if table is None:
        return ()
    ends = (table.checkpoints[0], table.checkpoints[-1]) if len(table.checkpoints) > 1 else (None,)
    found = []
    for at in ends:
        seen = evidence.at(table, limit.measure, at)
        each = seen.n_rows / max(1, len(seen.items))
        found.append(stand(study, table, limit, at, seen.values.tolist(), each))
    return tuple(s for s in found if s is not None)


def _table(study: Study, measure: str) -> Table | None:
    """The table of the items the study is about in which they were read most often."""
    own = [t for t in study.tables.values() if measure in t.measures and t.mean_of is None]
    each = study.description.tested.item
    ours = [t for t in own if t.item == each] or own
    return max(ours, key=lambda t: len(t.checkpoints), default=None)


def _desks(
    study: Study, measure: str, verdicts: Sequence[Verdict]
) -> tuple[str, tuple[OperatorLevel, ...], int]:
    """The operators of a gauge test (else of a gauge figure) of the measure, highest first."""
    tests = [
        (part.table, part.test.operator) for v in verdicts for part in v.each
        if isinstance(part.test, Repeatability) and part.test.measure == measure and part.table
    ]  # fmt: skip
    drawn = [
        (f.table, f.operator) for f in study.description.figures
        if isinstance(f, Gauge) and f.y == measure
    ]  # fmt: skip
    for name, operator in (*tests, *drawn):
        table = study.tables[name]
        frame = table.frame.dropna(subset=[measure])
        cells = frame.groupby([table.item, operator], sort=False, observed=True)[measure].mean()
        grid = cells.unstack(operator).dropna()
        if grid.shape[1] < 2 or not len(grid):
            continue
        levels = grid.mean()
        middle = float(np.mean(levels))
        desks = [OperatorLevel(str(who), float(level) - middle) for who, level in levels.items()]
        return operator, tuple(sorted(desks, key=lambda d: (-d.apart, d.name))), len(grid)
    return "", (), 0
