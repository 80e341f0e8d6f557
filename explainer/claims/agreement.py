"""``agreement``: two instruments read the same items; how far apart may their readings lie?"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from explainer.analysis.change import mean_change
from explainer.analysis.limits import limits_of_agreement
from explainer.analysis.result import Estimate, Undefined, t_p
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, table_for, undefined
from explainer.claims.detail import Detail, published
from explainer.claims.two_sides import paired_or_not, side_of
from explainer.claims.verdict import Code, Strip, Verdict
from explainer.study.description.tests import Agreement


@dataclass(frozen=True, kw_only=True)
class AgreementDetail(Detail):
    offset: float | None = published("Average of the first less the second", "claim")
    offset_low: float | None = published("95% range of it, low end", "claim")
    offset_high: float | None = published("95% range of it, high end", "claim")
    sd_between: float | None = published("Spread of the differences (standard deviation)", "claim")
    agree_low: float | None = published("Lower limit of agreement", "claim", beside="agree_high")
    agree_high: float | None = published("Upper limit of agreement", "claim", beside="agree_low")
    slope_pairs: float | None = published("Change of the difference for each unit of the reading")
    p_slope: float | None = published("p of that change", "p")
    split_calls: float | None = published(
        "{Items} that the two put on different sides of the limit"
    )
    a: str = ""
    b: str = ""
    tolerance: float | None = None
    limit: float | None = None


def judge(case: Case) -> Verdict:
    """Limits of agreement (Bland & Altman 1986) with exact bounds (Carkeet 2015), over items."""
    test = case.test
    assert isinstance(test, Agreement)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit):
        return nothing
    first, second = (side_of(table, test.measure, test.by, v, None) for v in (test.a, test.b))
    sides = paired_or_not(table, test.by, first, second, again=True)
    within = test.within or measure.matters_from
    detail: Story = {"a": str(test.a), "b": str(test.b), "tolerance": within, "limit": test.limit,
                     "without": list(sides.without)}  # fmt: skip
    result: Estimate | Undefined
    if not sides.paired:
        result = Undefined("no-pairs", 0, "limits of agreement")
    else:
        result = limits_of_agreement(sides.a - sides.b)
    if isinstance(result, Undefined):
        return undefined(case, result, unit=measure.unit, n_rows=sides.n_rows, table=table.name,
                         detail=detail)  # fmt: skip
    code: Code = "cannot-tell"
    reasons: list[str] = []
    if within is None:
        reasons.append("no-margin")
    else:
        code = rules.in_zone(result, (None, within))
    if code == "cannot-tell" and len(sides.a) <= 3 and within is not None:
        reasons.append("too-few-items")
    detail |= _told(sides.a, sides.b, test.limit)
    return settled(
        case, code, replace(result, p=None),
        unit=measure.unit, n_rows=sides.n_rows, table=table.name, reasons=reasons,
        strip=Strip(
            value=result.value, low=result.at90.low, high=result.at90.high,
            claim_zone=None if within is None else (0.0, within), small_zone=None, null=0.0,
            unit=measure.unit, less_is="closer together", more_is="farther apart",
        ),
        detail=detail,
    )  # fmt: skip


def _told(a: evidence.Floats, b: evidence.Floats, limit: float | None) -> Story:
    """Offset, limits and slope of the differences, and how often the two call differently."""
    d, middle = a - b, (a + b) / 2
    offset, sd = float(d.mean()), float(d.std(ddof=1))
    ranged = mean_change(d)
    told: Story = {
        "offset": offset, "sd_between": sd, "agree_low": offset - 1.959964 * sd,
        "agree_high": offset + 1.959964 * sd,
        "offset_low": ranged.at95.low if isinstance(ranged, Estimate) else None,
        "offset_high": ranged.at95.high if isinstance(ranged, Estimate) else None,
        "split_calls": None if limit is None else int(((a >= limit) != (b >= limit)).sum()),
    }  # fmt: skip
    away = middle - middle.mean()
    if len(d) > 2 and float(away @ away) > 0:
        slope = float(away @ d) / float(away @ away)
        rest = d - offset - slope * away
        se = math.sqrt(float(rest @ rest) / (len(d) - 2) / float(away @ away))
        told |= {"slope_pairs": slope, "p_slope": t_p(slope / se, len(d) - 2) if se else None}
    return told
