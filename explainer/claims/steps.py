"""``steps``: the more of a treatment, the more (or less) of a measure, all the way up."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from explainer.analysis.change import mean_change
from explainer.analysis.result import Estimate, Undefined, widened
from explainer.analysis.simultaneous import jonckheere, pair, slope_of_steps, step_weights
from explainer.claims import evidence, rules
from explainer.claims.build import (
    Case,
    Story,
    nothing_to_test,
    settled,
    table_for,
    undefined,
)
from explainer.claims.detail import Detail, published
from explainer.claims.two_sides import side_of
from explainer.claims.verdict import Strip, Verdict
from explainer.study.description.tests import Steps
from explainer.study.model import Table


@dataclass(frozen=True, kw_only=True)
class StepsDetail(Detail):
    per_step: float | None = published("Mean change per step (linear contrast)", "claim")
    n_steps: float | None = published("Steps")
    jonckheere: float | None = published("Jonckheere’s count of pairs in order")
    p_jonckheere: float | None = published("p of that count", "p")
    steps: tuple[str, ...] = ()
    means: tuple[float, ...] = ()
    paired: bool = False
    turns: bool = False
    """One step goes the other way for sure; the pair it lies between."""
    turn_from: str = ""
    turn_to: str = ""
    peak: str = ""
    """The step in the middle at which the means are farthest out; empty where none is."""
    jump_from: str = ""
    jump_to: str = ""
    """The pair that most of the way lies between, where each other one has little of it."""


def judge(case: Case) -> Verdict:
    """The linear contrast decides, unless one step surely goes the other way: then that step."""
    test = case.test
    assert isinstance(test, Steps)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.at):
        return nothing
    names = ordered_steps(table, test)
    seen = [side_of(table, test.measure, test.by, name, test.at) for name in names]
    items, rows = {i for s in seen for i in s.items}, sum(s.n_rows for s in seen)
    means = [float(s.values.mean()) if len(s.values) else float("nan") for s in seen]
    detail: Story = {"steps": names, "means": means, "n_steps": len(names)}
    paired = all(set(s.items) == items for s in seen) and len(items) > 1
    if len(names) < 3 or (not paired and min(len(s.values) for s in seen) < 2):
        none = Undefined("few-steps", len(items), fewest=3)
        return undefined(case, none, unit=measure.unit, n_rows=rows, table=table.name,
                         detail=detail)  # fmt: skip
    values = [np.array([s.as_dict()[i] for i in seen[0].items]) for s in seen] if paired else [
        s.values for s in seen
    ]
    off = table.shared_sd.get(test.measure, 0.0) if test.by == table.use else 0.0
    result = contrast(values, paired, off)
    count, p_count = jonckheere(values)
    detail |= {"jonckheere": count, "p_jonckheere": p_count, "paired": paired}
    if isinstance(result, Undefined):
        return undefined(case, result, unit=measure.unit, n_rows=rows, table=table.name,
                         detail=detail)  # fmt: skip
    side = rules.SIDE[test.direction] or (1 if result.value >= 0 else -1)
    detail |= {"per_step": result.value, "peak": _peak(names, means, side),
               **_jump(names, means, case.limits["plateau_low"])}  # fmt: skip
    code = rules.directed(result, rules.SIDE[test.direction], None, None)
    deciding, turn = result, _turn(values, paired, side, off)
    if turn is not None and code != "against":
        at, deciding = turn
        detail |= {"turns": True, "turn_from": names[at], "turn_to": names[at + 1]}
        code = "against"
    few = code == "cannot-tell" and min(len(v) for v in values) <= 3
    zone_side = side if detail.get("turns") else rules.SIDE[test.direction]
    return settled(
        case, code, deciding,
        unit=measure.unit, n_rows=rows, table=table.name,
        reasons=["too-few-items"] if few else [],
        strip=Strip(
            value=deciding.value, low=deciding.at95.low, high=deciding.at95.high,
            claim_zone=(0.0, None) if zone_side > 0 else (None, 0.0) if zone_side < 0 else None,
            small_zone=None, null=0.0, unit=measure.unit, less_is=measure.less_is or "",
            more_is=measure.more_is or "", beyond=None if zone_side else 0.0,
        ),
        detail=detail,
    )  # fmt: skip


def ordered_steps(table: Table, test: Steps) -> list[str]:
    """The steps as the claim orders them: as listed, else as numbers, else as they stand."""
    if test.order is not None:
        return [evidence.label(v) for v in test.order]
    values = list(dict.fromkeys(evidence.label(v) if isinstance(v, float) else str(v)
                                for v in table.frame[test.by]))  # fmt: skip
    try:
        return sorted(values, key=float)
    except ValueError:
        return values


def contrast(
    values: list[evidence.Floats], paired: bool, off: float = 0.0
) -> Estimate | Undefined:
    """Mean change per step: within each item where all were read at every step.

    ``off`` is the SD of an error that all items share at a step.
    """
    weights = step_weights(len(values))
    found = slope_of_steps(values) if not paired else mean_change(
        sum(w * v for w, v in zip(weights, values, strict=True)))
    if isinstance(found, Undefined):
        return found
    return widened(found, off * float(np.linalg.norm(weights)))


def _turn(
    values: list[evidence.Floats], paired: bool, side: int, off: float
) -> tuple[int, Estimate] | None:
    """A step that surely goes the other way, among all steps (Bonferroni); the clearest one."""
    found = []
    for at, (first, then) in enumerate(pairwise(values)):
        if paired:
            e = mean_change(then - first)
        else:
            both = pair(then, first, len(values))
            e = both if isinstance(both, Undefined) else both.alone
        if isinstance(e, Undefined) or e.p is None or side * e.value >= 0:
            continue
        e = widened(e, off * 2**0.5)
        if e.p is None:
            continue
        if e.p / 2 * (len(values) - 1) < 0.025:
            found.append((e.p, at, e))
    if not found:
        return None
    _, at, e = min(found, key=lambda f: f[0])
    return at, e


def _peak(names: list[str], means: list[float], side: int) -> str:
    """The step of the middle whose mean lies farthest the way the claim says; empty: none."""
    best = max(range(len(means)), key=lambda i: side * means[i])
    return names[best] if 0 < best < len(names) - 1 else ""


def _jump(names: list[str], means: list[float], most: float) -> Story:
    """Between which two steps ``most`` of the way lies, none of the rest going far either way."""
    whole = means[-1] - means[0]
    shares = [(then - first) / whole for first, then in pairwise(means)] if whole else [0.0]
    at = max(range(len(shares)), key=lambda i: shares[i])
    rest = [abs(share) for i, share in enumerate(shares) if i != at]
    if shares[at] < most or max(rest, default=1.0) > 1 - most:
        return {}
    return {"jump_from": names[at], "jump_to": names[at + 1]}
