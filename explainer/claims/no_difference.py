"""``no-difference``: two groups, or two instruments on the same items, are alike on average."""

from __future__ import annotations

from dataclasses import dataclass

from explainer.analysis.limits import p_inside
from explainer.claims import rules
from explainer.claims.build import (
    Case,
    Story,
    nothing_to_test,
    settled,
    table_for,
)
from explainer.claims.change import too_small
from explainer.claims.detail import Detail, published
from explainer.claims.difference import in_their_groups, power_of_gap, set_against
from explainer.claims.two_sides import named_twice, paired_or_not, side_of
from explainer.claims.verdict import Code, Strip, Verdict
from explainer.study.description.tests import NoDifference


@dataclass(frozen=True, kw_only=True)
class NoDifferenceDetail(Detail):
    mean_a: float | None = published("Mean of the first", "measure", beside="mean_b")
    mean_b: float | None = published("Mean of the second", "measure", beside="mean_a")
    p_tost: float | None = published("p, equivalence (two one-sided tests)", "p")
    low90: float | None = published("90% range, low end", "claim")
    high90: float | None = published("90% range, high end", "claim")
    smallest_margin_shown: float | None = published(
        "Smallest margin, by the 90% range alone", "claim"
    )
    paired: bool = False
    n_a: int = 0
    n_b: int = 0


def judge(case: Case) -> Verdict:
    """Two one-sided tests against the margin (Schuirmann 1987), by Welch's range or by pairs."""
    test = case.test
    assert isinstance(test, NoDifference)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.at):
        return nothing
    a, b = (side_of(table, test.measure, test.by, value, test.at) for value in (test.a, test.b))
    both = paired_or_not(table, test.by, a, b, again=test.within is not None)
    sides = in_their_groups(case.study, table, both, test.by)
    means = dict(zip(("mean_a", "mean_b"), sides.means, strict=True))
    margin = test.margin or measure.matters_from
    detail: Story = {
        "paired": sides.paired, "margin": margin, "n_a": len(sides.a), "n_b": len(sides.b),
        **means, **sides.story(), "groups_apart": False, "without": list(sides.without),
    }  # fmt: skip
    result = set_against(case, table, test.measure, sides, detail)
    if isinstance(result, Verdict):
        return result
    zone = None if margin is None else (-margin, margin)
    code: Code = "cannot-tell" if zone is None else rules.in_zone(result, zone)
    reasons = ["no-margin"] if zone is None else []
    if zone is not None and rules.narrow(result, zone):
        reasons.append("narrow-zone")
    code = named_twice(code, sides, reasons)
    if code == "cannot-tell" and zone is not None and 1 < min(len(sides.a), len(sides.b)) <= 3:
        reasons.append("too-few-items")
    detail |= {
        "low90": result.at90.low, "high90": result.at90.high,
        "p_tost": None if zone is None else p_inside(result, zone),
        "smallest_margin_shown": max(abs(result.at90.low), abs(result.at90.high)),
    }  # fmt: skip
    return settled(
        case, code, result,
        unit=measure.unit, n_rows=sides.n_rows, table=table.name, reasons=reasons,
        strip=Strip(
            value=result.value, low=result.at90.low, high=result.at90.high, claim_zone=zone,
            small_zone=too_small(measure, margin), null=0.0, unit=measure.unit,
            less_is=measure.less_is or "", more_is=measure.more_is or "",
        ),
        power=power_of_gap(case, sides, result, margin, measure.unit), detail=detail,
    )  # fmt: skip
