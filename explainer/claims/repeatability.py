"""``repeatability``: how much of what a gauge shows is the gauge itself?"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from explainer.analysis.gauge import GaugeStudy, arrange, crossed
from explainer.analysis.result import Interval, Undefined
from explainer.claims import rules
from explainer.claims.build import Case, Story, nothing_to_test, table_for, undefined
from explainer.claims.detail import Detail, made, published
from explainer.claims.verdict import Strip, Verdict
from explainer.study.description.tests import Repeatability


@dataclass(frozen=True, kw_only=True)
class RepeatabilityDetail(Detail):
    n_operators: int = 0
    repeats: int | None = None
    good_enough: float | None = None
    """Percent of study variation: good below the first, poor above the second."""
    poor: float | None = None
    detects: float | None = None
    pooled: bool | None = None
    """The interaction went into the error term."""
    ev: float | None = published("Same hand, again (repeatability)", "measure")
    av: float | None = published("Between hands (reproducibility)", "measure")
    grr: float | None = published("Gauge as a whole", "measure")
    pv: float | None = published("Between {items}", "measure")
    tv: float | None = published("All of it together", "measure")
    percent_study_variation: float | None = published("Gauge, as a share of it all", "claim")
    ndc: float | None = published("Groups it can tell apart")
    mdd: float | None = published("Readings this close could be the same", "measure")


def judge(case: Case) -> Verdict:
    """%GRR of a crossed study with its range (AIAG MSA 4th ed.; Burdick et al. 2005)."""
    test = case.test
    assert isinstance(test, Repeatability)
    table = table_for(case, test.measure)
    if nothing := nothing_to_test(case, table, "percent"):
        return nothing
    frame = table.frame
    readings = frame[test.measure].to_numpy(dtype=float)
    cells = arrange(frame[table.item].tolist(), frame[test.operator].tolist(), readings)
    study = cells if isinstance(cells, Undefined) else crossed(cells)
    detail: Story = {
        "n_operators": int(frame[test.operator].nunique()),
        "good_enough": test.good_enough or case.limits["gauge_good"], "detects": test.detects,
    }  # fmt: skip
    step = step_of(readings, case.study.measure(test.measure).resolution)
    if isinstance(study, Undefined) or study.percent_study_variation is None:
        if not isinstance(study, Undefined):
            detail |= numbers(study, step)
        return _no_study(case, study, table.name, len(frame), detail)
    sees = max(study.mdd, step) if study.mdd is not None else None
    good = test.good_enough or case.limits["gauge_good"]
    marginal = None if test.good_enough else case.limits["gauge_poor"]
    detail["poor"] = marginal or good
    at95 = study.at95 if study.usable else None
    bounds = None if at95 is None else (at95.low, at95.high)
    inner = None if study.at80 is None else (study.at80.low, study.at80.high)
    code = rules.good_gauge(study.percent_study_variation, bounds, inner, good, marginal)
    reasons = [] if study.usable else ["too-few-items"]
    if test.detects is not None and sees is not None:
        # The smallest gap it sees is one guess without a range: it backs nothing by itself, and
        # from too few hands it speaks against nothing, either.
        code = "backed" if code == "backed" else "leans"
        if test.detects < sees:
            reasons.append("gauge-too-coarse")
            code = "against" if study.usable else "cannot-tell"
    return Verdict(
        claim=case.claim, test=test, code=code, reasons=tuple(reasons),
        estimate=study.percent_study_variation,
        low=at95.low if at95 else None, high=at95.high if at95 else None,
        level=0.95 if at95 else None, unit="percent", p=None, p_holm=None,
        n_items=study.n_parts, n_rows=len(frame), method=study.method,
        strip=_strip(case, replace(study, mdd=sees), good, marginal, at95),
        detail=made(case.kind.detail, {
            **detail, **numbers(study, step), "pooled": study.pooled, "repeats": study.n_repeats,
        }),
        table=table.name,
    )  # fmt: skip


def _strip(
    case: Case, study: GaugeStudy, good: float, marginal: float | None, at95: Interval | None
) -> Strip:
    """%GRR against what will do; or, for a claim to see a size, the smallest size it does see."""
    test = case.test
    assert isinstance(test, Repeatability)
    if test.detects is not None and study.mdd is not None:
        return Strip(
            study.mdd, None, None, (0.0, test.detects), None, None,
            case.study.measure(test.measure).unit, "sees finer", "sees only coarser", rough=True,
        )  # fmt: skip
    return Strip(
        study.percent_study_variation, at95.low if at95 else None, at95.high if at95 else None,
        (0.0, marginal or good), None, None, "percent",
        "the gauge adds little", "the gauge drowns it", sure=(0.0, good) if marginal else None,
    )  # fmt: skip


def numbers(study: GaugeStudy, step: float) -> dict[str, float | None]:
    """The extra numbers of the contract; nothing smaller than a ``step`` of the readings is seen:
    readings that repeat to the last digit may differ by what that digit hides."""
    mdd = study.mdd if study.mdd is not None else study.mdd_same_operator
    return {
        "ev": study.ev, "av": study.av, "grr": study.grr, "pv": study.pv, "tv": study.tv,
        "percent_study_variation": study.percent_study_variation, "ndc": study.ndc,
        "mdd": max(mdd, step),
    }  # fmt: skip


#: Readings with more decimals than this were worked out, and show no step.
MOST_DECIMALS = 9


def step_of(readings: npt.NDArray[np.float64], declared: float | None) -> float:
    """How finely readings are stated: as declared, else their last decimal; 0 without one."""
    if declared is not None:
        return declared
    known = readings[np.isfinite(readings)]
    decimals = next((d for d in range(MOST_DECIMALS)
                     if np.allclose(known, known.round(d), rtol=0, atol=1e-12)), None)  # fmt: skip
    return 0.0 if decimals is None else float(10.0**-decimals)


def _no_study(
    case: Case, study: GaugeStudy | Undefined, table: str, rows: int, detail: Story
) -> Verdict:
    """One operator, missing repeats, or readings that never differ."""
    if isinstance(study, GaugeStudy):
        why = "one-operator" if detail["n_operators"] == 1 else "no-spread"
        study = Undefined(why, study.n_parts, study.method)
    return undefined(case, study, unit="percent", n_rows=rows, table=table, detail=detail)
