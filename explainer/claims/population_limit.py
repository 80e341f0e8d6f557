"""``population-limit``: a share of all such items, tested or not, meets a limit."""

from __future__ import annotations

from dataclasses import dataclass

from scipy.stats import binom

from explainer.analysis.limits import items_for_any_shape, reached_by
from explainer.analysis.result import Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, table_for, undefined
from explainer.claims.change import only_group
from explainer.claims.detail import Detail, published
from explainer.claims.limit import last_if_unsaid
from explainer.claims.reading_error import of_level
from explainer.claims.verdict import Power, Strip, Verdict
from explainer.study.description.tests import PopulationLimit


@dataclass(frozen=True, kw_only=True)
class PopulationLimitDetail(Detail):
    share: float | None = published("Share of all such {items} that the claim speaks of")
    mean: float | None = published("Mean of the {items}", "measure", beside="sd")
    sd: float | None = published("Spread of the {items} (standard deviation)", "measure")
    bound95: float | None = published("95% tolerance bound", "claim")
    meeting: float | None = published("{Items} read that meet the limit")
    items_any_shape: float | None = published(
        "{Items} it takes, all meeting it, whatever the shape of the scatter"
    )
    p_so_few: float | None = published("p, that so few meet it, if the share claimed did", "p")
    judged_at: float | None = None
    """The last checkpoint, where the study names none."""
    needs_low: float | None = None
    needs_high: float | None = None


def judge(case: Case) -> Verdict:
    """A one-sided 95% tolerance bound by the noncentral t (ISO 16269-6), over items."""
    test = case.test
    assert isinstance(test, PopulationLimit)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.at):
        return nothing
    at, judged_at = last_if_unsaid(table, test.measure, test.at)
    seen = evidence.at(table, test.measure, at)
    side = 1 if test.at_least is not None else -1
    limit = test.at_least if test.at_least is not None else test.at_most
    assert limit is not None
    meeting = int((side * (seen.values - limit) >= 0).sum())
    detail: Story = {
        "share": test.share, "needs_low": test.at_least, "needs_high": test.at_most,
        "without": list(seen.without), "judged_at": judged_at,
        "meeting": meeting,
        "items_any_shape": items_for_any_shape(test.share),
    }  # fmt: skip
    result = reached_by(seen.values, test.share, side, of_level(table, test.measure, at))
    if isinstance(result, Undefined):
        # The count assumes no shape, so it speaks where the scatter cannot: exact binomial tail.
        detail["p_so_few"] = float(binom.cdf(meeting, len(seen.values), test.share))
        return undefined(case, result, unit=measure.unit, n_rows=seen.n_rows, table=table.name,
                         detail=detail)  # fmt: skip
    zone = (test.at_least, test.at_most)
    code = rules.in_zone(result, zone)
    free = len(seen.values) >= items_for_any_shape(test.share)
    reasons = only_group(case, seen.items, detail)
    if code == "cannot-tell" and len(seen.items) <= 3:
        reasons.append("too-few-items")
    detail |= {
        "mean": float(seen.values.mean()), "sd": float(seen.values.std(ddof=1)),
        "bound95": result.at90.low if side > 0 else result.at90.high,
    }  # fmt: skip
    return settled(
        case, code, result,
        unit=measure.unit, n_rows=seen.n_rows, table=table.name, reasons=reasons,
        strip=Strip(
            value=result.value, low=result.at90.low, high=result.at90.high, claim_zone=zone,
            small_zone=None, null=None, unit=measure.unit,
            less_is=measure.less_is or "", more_is=measure.more_is or "",
        ),
        power=Power(None, None if free else items_for_any_shape(test.share), None, measure.unit),
        detail=detail,
    )  # fmt: skip
