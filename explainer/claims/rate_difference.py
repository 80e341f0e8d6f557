"""``rate-difference``: successes out of attempts under a against b, over whoever repeats."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from explainer.analysis import rates
from explainer.analysis.fragility import is_fragile
from explainer.analysis.result import Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, undefined, unsettled
from explainer.claims.change import change_power
from explainer.claims.detail import Detail, published
from explainer.claims.verdict import Strip, Verdict
from explainer.study.description.tests import RateDifference
from explainer.study.model import Table

Counts = npt.NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class RateDetail(Detail):
    a: str = ""
    b: str = ""
    by: str = ""
    within: str | None = None
    rate_a: float | None = None
    """Pooled share of successes under each condition, of those who tried both."""
    rate_b: float | None = None
    attempts: int = 0
    n_up: int = 0
    n_down: int = 0
    mix: float | None = None
    """The part of the pooled difference that who tried what makes alone."""
    pooled_difference: float | None = published("Difference of the pooled rates", "claim")
    odds_ratio: float | None = published("Odds ratio")
    p_cmh: float | None = published("p, within each (Cochran, Mantel and Haenszel)", "p")
    p_breslow_day: float | None = published(
        "p, that it differs from one to the next (Breslow and Day)", "p"
    )


def judge(case: Case) -> Verdict:
    """t over each one's own difference; pooled, Mantel–Haenszel and Breslow–Day beside it."""
    test = case.test
    assert isinstance(test, RateDifference)
    table = rates_table(case, test)
    if nothing := nothing_to_test(case, table, "rate"):
        return nothing
    who, cells = counts(table, test)
    n_rows = len(table.frame)
    detail: Story = {"a": str(test.a), "b": str(test.b), "by": test.by, "within": test.within}
    both = cells.sum(axis=2).min(axis=1) > 0
    stratified = rates.stratified(cells)
    if not isinstance(stratified, Undefined):
        detail |= {
            "pooled_difference": stratified.pooled_difference,
            "odds_ratio": stratified.odds_ratio, "p_cmh": stratified.p_cmh,
            "p_breslow_day": stratified.p_breslow_day,
        }  # fmt: skip
    if int(both.sum()) < 2:
        return unsettled(
            case, "cannot-tell", ["too-few-items"], unit="rate", n_items=int(both.sum()),
            n_rows=n_rows, table=table.name, detail=detail,
            method="per-item rate differences",
        )  # fmt: skip
    s, n = cells[both, :, 0], cells[both].sum(axis=2)
    result = rates.per_item_difference(s[:, 0], n[:, 0], s[:, 1], n[:, 1])
    if isinstance(result, Undefined):
        return undefined(case, result, unit="rate", n_rows=n_rows, table=table.name,
                         detail=detail)  # fmt: skip
    side = rules.SIDE[test.direction]
    code = rules.directed(result, side, None, None)
    gaps = s[:, 0] / n[:, 0] - s[:, 1] / n[:, 1]
    reasons: list[str] = []
    if rates.reversal(cells):
        reasons.append("reversal")
    names = [w for w, ok in zip(who, both, strict=True) if ok]
    each = [float(np.delete(gaps, i).mean()) for i in range(len(gaps))]
    fragile, which = is_fragile(result.value, each, case.limits["fragile_halving"])
    if fragile and code in ("backed", "leans", "against"):
        reasons.append("fragile")
        detail |= {"fragile_item": names[which], "fragile_without": each[which]}
        code = rules.unseated(code)
    if code == "cannot-tell" and len(gaps) <= 3:
        reasons.append("too-few-items")
    detail |= {
        "rate_a": float(s[:, 0].sum() / n[:, 0].sum()), "attempts": int(n.sum()),
        "rate_b": float(s[:, 1].sum() / n[:, 1].sum()),
        "n_up": int((gaps > 0).sum()), "n_down": int((gaps < 0).sum()),
        "mix": composition(s, n),
    }  # fmt: skip
    zone = (0.0, None) if side > 0 else (None, 0.0) if side < 0 else None
    return settled(
        case, code, result, unit="rate", n_rows=n_rows, table=table.name, reasons=reasons,
        detail=detail, power=change_power(gaps, None, "rate", case.limits),
        strip=Strip(result.value, result.at95.low, result.at95.high, zone, None, 0.0, "rate",
                    f"{test.b} ahead", f"{test.a} ahead", beyond=None if side else 0.0),
    )  # fmt: skip


def composition(successes: Counts, attempts: Counts) -> float:
    """How far apart the pooled rates would be if nobody did better under either side.

    Each one's rate is held at the mean of their two, so that only who tried what is left: the
    mix's part of the pooled difference, a less b (Kitagawa 1955, J. Am. Stat. Assoc. 50, 1168).
    Both arrays are (who, [a, b]), every attempt above 0; a share.
    """
    own = (successes / attempts).mean(axis=1)
    a, b = (float(np.average(own, weights=attempts[:, side])) for side in (0, 1))
    return a - b


def rates_table(case: Case, test: RateDifference) -> Table:
    """The table with the counts."""
    if test.table is not None:
        return case.study.tables[test.table]
    return next(t for t in case.study.tables.values() if test.successes in t.frame.columns)


def counts(table: Table, test: RateDifference) -> tuple[list[str], npt.NDArray[np.float64]]:
    """Who, and (who, [a, b], [successes, failures]); attempts of one who lacks a side are 0."""
    who = test.within or table.item
    frame = table.frame
    columns = [who, test.by, test.successes, test.attempts]
    kept = frame[columns].dropna()
    people = kept[who].astype(str).tolist()
    names = list(dict.fromkeys(people))
    place = {name: i for i, name in enumerate(names)}
    sides = {evidence.label(test.a): 0, evidence.label(test.b): 1}
    cells = np.zeros((len(names), 2, 2))
    made, tried = kept[test.successes].to_numpy(float), kept[test.attempts].to_numpy(float)
    for k, (name, condition) in enumerate(
        zip(people, kept[test.by].astype(str).tolist(), strict=True)
    ):
        side = sides.get(condition)
        if side is not None:
            cells[place[name], side] += made[k], tried[k] - made[k]
    return names, cells
