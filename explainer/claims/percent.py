"""``in: percent``: a change or difference told in percent, on log readings and turned back.

"Lost 20 percent" is about ratios, so the logs of the readings are compared within items, and the
mean log ratio is turned back into the change of the geometric mean (Bland & Altman 1996, BMJ 312,
1079).  The judges themselves know nothing of it: they are given the same study with the measure
in log percent, 100·ln(reading), and their verdict is turned back here.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any

import numpy as np

from explainer.analysis.limits import percent_of_log
from explainer.claims.build import Case, finite, table_for, unsettled
from explainer.claims.verdict import Power, Strip, Verdict
from explainer.study.model import Table

Judge = Callable[[Case], Verdict]

#: Fields of a record that are readings, sizes of a change, and sizes claimed.
_READINGS = ("mean_from", "mean_to", "mean_a", "mean_b")
_CHANGES = ("low90", "high90", "smallest_margin_shown", "fragile_without", "slope", "sd", "mdd",
            "without_flagged")  # fmt: skip


def in_percent(judge: Judge) -> Judge:
    """The judge, which also takes claims ``in: percent``."""

    def judged(case: Case) -> Verdict:
        if getattr(case.test, "in_", None) != "percent":
            return judge(case)
        table = table_for(case, case.test.measure)  # type: ignore[union-attr]
        values = table.frame[case.test.measure].to_numpy(dtype=float)  # type: ignore[union-attr]
        if table.mean_of is None and (values[np.isfinite(values)] <= 0).any():
            # Refused where the study is read; a study in memory has not been.
            return unsettled(case, "not-tested", [], unit="percent", n_items=len(table.items),
                             table=table.name, detail={"undefined": "not-positive"})  # fmt: skip
        return turned_back(judge(logged(case, table)), case)

    return judged


def logged(case: Case, table: Table) -> Case:
    """The case with its measure in log percent, and with the sizes it claims likewise."""
    test: Any = case.test
    values = table.frame[test.measure].to_numpy(dtype=float)
    level = float(np.exp(np.nanmean(np.log(values)))) if np.isfinite(values).any() else 1.0
    frame = table.frame.assign(**{test.measure: 100 * np.log(values)})
    shared = {**table.shared_sd}
    if test.measure in shared:
        shared[test.measure] *= 100 / level
    measure = case.study.measure(test.measure)
    scaled = {key: None if (size := getattr(measure, key)) is None else 100 * size / level
              for key in ("resolution", "repeatability_sd")}  # fmt: skip
    mine = measure.model_copy(update={"unit": "percent", "matters_from": None, **scaled})
    description = case.study.description
    measures = {**description.measures, test.measure: mine}
    study = replace(
        case.study, description=description.model_copy(update={"measures": measures}),
        tables={**case.study.tables, table.name: replace(table, frame=frame, shared_sd=shared)},
    )  # fmt: skip
    side = -1 if getattr(test, "direction", "any") in ("down", "lower") else 1
    sizes = {key: abs(_log(side * size)) for key in ("at_least", "margin", "about")
             if (size := getattr(test, key, None)) is not None}  # fmt: skip
    return replace(case, study=study, test=test.model_copy(update=sizes))


def _log(percent: float) -> float:
    """A change in percent as a change in log percent; a loss of all or more has no end."""
    return 100 * math.log1p(max(percent, -99.999999) / 100)


def _back(x: float | None) -> float | None:
    return None if x is None else finite(percent_of_log(x / 100))


def _ends(zone: Any) -> Any:
    return None if zone is None else tuple(_back(end) for end in zone)


def turned_back(verdict: Verdict, case: Case) -> Verdict:
    """The verdict of a logged case in percent, of the claim as its author wrote it."""
    test: Any = case.test
    unit = verdict.unit.replace(case.study.measure(test.measure).unit, "percent", 1)
    names = {f.name for f in fields(verdict.detail)}
    known: dict[str, Any] = {}
    for name in names & {*_READINGS, *_CHANGES}:
        value = getattr(verdict.detail, name)
        if isinstance(value, float):
            known[name] = math.exp(value / 100) if name in _READINGS else _back(value)
    sizes = {key: getattr(test, key, None) for key in ("at_least", "margin", "about")}
    known |= {key: value for key, value in sizes.items() if key in names}
    return replace(
        verdict, test=test, unit=unit, estimate=_back(verdict.estimate), low=_back(verdict.low),
        high=_back(verdict.high), strip=verdict.strip and _strip(verdict.strip),
        power=verdict.power and _power(verdict.power, sizes["at_least"] or sizes["margin"]),
        detail=replace(verdict.detail, **known),
    )  # fmt: skip


def _strip(strip: Strip) -> Strip:
    return replace(
        strip, value=_back(strip.value), low=_back(strip.low), high=_back(strip.high),
        claim_zone=_ends(strip.claim_zone), small_zone=_ends(strip.small_zone),
        null=_back(strip.null), beyond=_back(strip.beyond), inner=_ends(strip.inner),
    )  # fmt: skip


def _power(power: Power, size: float | None) -> Power:
    return replace(power, smallest_effect=_back(power.smallest_effect), at_effect=size)
