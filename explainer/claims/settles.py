"""``settles``: it changed up to a checkpoint, and after that no more than would matter."""

from __future__ import annotations

from dataclasses import dataclass

from explainer.analysis.change import mean_change
from explainer.analysis.limits import p_inside
from explainer.analysis.result import Estimate, Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, table_for, undefined
from explainer.claims.change import (
    change_of_one,
    change_power,
    change_strip,
    gauge_floor,
    only_group,
    too_small,
)
from explainer.claims.detail import Detail, published
from explainer.claims.reading_error import in_change, named
from explainer.claims.verdict import Code, Strip, Verdict
from explainer.study.description.tests import Settles


@dataclass(frozen=True, kw_only=True)
class SettlesDetail(Detail):
    early: float | None = published("Mean change up to then", "claim", beside="late")
    early_low: float | None = published("95% range of it, low end", "claim")
    early_high: float | None = published("95% range of it, high end", "claim")
    late: float | None = published("Mean change after it", "claim", beside="early")
    late_low90: float | None = published("90% range of that, low end", "claim")
    late_high90: float | None = published("90% range of that, high end", "claim")
    p_tost: float | None = published("p, equivalence after it (two one-sided tests)", "p")
    fails: str = ""
    """The half that decides: ``early`` or ``late``."""
    early_code: str = ""
    late_code: str = ""


def judge(case: Case) -> Verdict:
    """A change by t, and then equivalence by two one-sided tests; the weaker half decides."""
    test = case.test
    assert isinstance(test, Settles)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.from_, test.by, test.to):
        return nothing
    first = evidence.before_after(table, test.measure, test.from_, test.by)
    then = evidence.before_after(table, test.measure, test.by, test.to)
    margin = test.margin or measure.matters_from
    early, late = (
        in_change(
            change_of_one(table, test.measure, measure, half)
            or mean_change(half.change, floor_sd=gauge_floor(measure)),
            table, test.measure, *ends,
        )
        for half, ends in ((first, (test.from_, test.by)), (then, (test.by, test.to)))
    )  # fmt: skip
    rows = _rows(first, then, *(
        evidence.at(table, test.measure, end) for end in (test.by, test.to)
    ))  # fmt: skip
    detail: Story = {"margin": margin, "without": list(dict.fromkeys(first.without + then.without))}
    detail["one_item"] = named(late, then.items)
    for half in (early, late):
        if isinstance(half, Undefined):
            return undefined(case, half, unit=measure.unit, n_rows=rows, table=table.name,
                             detail=detail)  # fmt: skip
    assert isinstance(early, Estimate) and isinstance(late, Estimate)
    side = rules.SIDE[test.direction]
    codes = _codes(early, late, side, margin)
    code = rules.weakest(list(codes))
    # Where both halves stand alike, the one that is claimed last is shown.
    fails = "early" if codes[0] == code and codes[1] != code else "late"
    reasons = only_group(case, then.items, detail)
    if margin is None:
        reasons.append("no-margin")
    elif fails == "late" and rules.narrow(late, (-margin, margin)):
        reasons.append("narrow-zone")
    if code == "cannot-tell" and min(len(first.items), len(then.items)) <= 3 and (
        detail["one_item"] is None
    ):
        reasons.append("too-few-items")
    deciding = early if fails == "early" else late
    strip = change_strip(early, side, None, measure) if fails == "early" else Strip(
        value=late.value, low=late.at90.low, high=late.at90.high,
        claim_zone=(-margin, margin) if margin else None,
        small_zone=too_small(measure, margin), null=0.0, unit=measure.unit,
        less_is=measure.less_is or "", more_is=measure.more_is or "",
    )  # fmt: skip
    detail |= {
        "early": early.value, "early_low": early.at95.low, "early_high": early.at95.high,
        "late": late.value, "late_low90": late.at90.low, "late_high90": late.at90.high,
        "p_tost": p_inside(late, (-margin, margin)) if margin else None,
        "fails": fails, "early_code": codes[0], "late_code": codes[1],
    }  # fmt: skip
    return settled(
        case, code, deciding,
        unit=measure.unit, n_rows=rows, table=table.name, reasons=reasons, strip=strip,
        power=change_power((first if fails == "early" else then).change, margin, measure.unit,
                           case.limits),
        detail=detail, level=0.95 if fails == "early" else 0.90,
    )  # fmt: skip


def _rows(
    first: evidence.Before, then: evidence.Before, by: evidence.ItemValues, to: evidence.ItemValues
) -> int:
    """The readings used; those at the checkpoint between the two halves are counted once."""
    later = set(then.items) - set(first.items)
    return first.n_rows + by.rows_of(later) + to.rows_of(then.items)


def _codes(early: Estimate, late: Estimate, side: int, margin: float | None) -> tuple[Code, Code]:
    """The verdict on each half; without a margin nothing can be said of the second."""
    first = rules.directed(early, side, None, margin)
    then: Code = "cannot-tell" if margin is None else rules.in_zone(late, (-margin, margin))
    return first, then
