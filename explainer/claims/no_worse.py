"""``no-worse``: not worse than before, or than another group, by as much as would matter."""

from __future__ import annotations

from dataclasses import dataclass

from explainer.analysis.limits import Ends, p_inside
from explainer.claims import rules
from explainer.claims.build import (
    Case,
    Story,
    nothing_to_test,
    settled,
    table_for,
)
from explainer.claims.change import only_group, too_small
from explainer.claims.detail import Detail, published
from explainer.claims.difference import in_their_groups, power_of_gap, set_against
from explainer.claims.two_sides import named_twice, sides_of
from explainer.claims.verdict import Code, Strip, Verdict
from explainer.study.description.tests import NoWorse


@dataclass(frozen=True, kw_only=True)
class NoWorseDetail(Detail):
    worst95: float | None = published("95% bound on the side that is worse", "claim")
    p_worse: float | None = published("p, one-sided, against worse by the margin", "p")
    mean_a: float | None = published("Mean of the first, or after", "measure", beside="mean_b")
    mean_b: float | None = published("Mean of the second, or before", "measure", beside="mean_a")
    a: str = ""
    b: str = ""
    by: str = ""
    paired: bool = False
    n_a: int = 0
    n_b: int = 0


def judge(case: Case) -> Verdict:
    """A one-sided 95% bound against the margin (ICH E9, E10), over items."""
    test = case.test
    assert isinstance(test, NoWorse)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.from_, test.to, test.at):
        return nothing
    sides = in_their_groups(case.study, table, sides_of(table, test), test.by)
    means = dict(zip(("mean_a", "mean_b"), sides.means, strict=True))
    margin = test.margin or measure.matters_from
    detail: Story = {
        "a": "" if test.a is None else str(test.a), "b": "" if test.b is None else str(test.b),
        "by": test.by or "", "paired": sides.paired, "margin": margin, "n_a": len(sides.a),
        "n_b": len(sides.b), **means, **sides.story(), "groups_apart": False,
        "without": list(sides.without),
    }  # fmt: skip
    result = set_against(case, table, test.measure, sides, detail)
    if isinstance(result, Verdict):
        return result
    reasons = only_group(case, sides.items_a, detail) if test.by is None else []
    zone: Ends = (None, None)
    if margin is None:
        code: Code = "cannot-tell"
        reasons.append("no-margin")
    else:
        zone = (None, margin) if test.worse == "up" else (-margin, None)
        code = named_twice(rules.in_zone(result, zone), sides, reasons)
    if 1 < len(sides.a) <= 3 and code == "cannot-tell" and margin is not None:
        reasons.append("too-few-items")
    detail |= {
        "worst95": result.at90.high if test.worse == "up" else result.at90.low,
        "p_worse": p_inside(result, zone) if margin is not None else None,
    }  # fmt: skip
    return settled(
        case, code, result,
        unit=measure.unit, n_rows=sides.n_rows, table=table.name, reasons=reasons,
        strip=Strip(
            value=result.value, low=result.at90.low, high=result.at90.high,
            claim_zone=zone if margin is not None else None,
            small_zone=too_small(measure, margin), null=0.0,
            unit=measure.unit, less_is=measure.less_is or "", more_is=measure.more_is or "",
        ),
        power=power_of_gap(case, sides, result, margin, measure.unit), detail=detail,
    )  # fmt: skip
