"""``gauge``: every reading of every part by every operator, and what the gauge adds."""

from __future__ import annotations

from collections.abc import Sequence
from math import isclose

import numpy as np

from explainer.analysis.gauge import GaugeStudy, arrange, crossed
from explainer.analysis.result import Undefined
from explainer.claims.figure_data import GaugeData, GaugeReading
from explainer.claims.figures.common import number_rows
from explainer.claims.repeatability import numbers, step_of
from explainer.claims.verdict import FigureResult, Finding, NumbersTable, Verdict
from explainer.study.description.figures import Gauge
from explainer.study.model import Study

#: Two averages as near as this are one and the same, worked out in another order.
HAIR = 1e-9


def picture(study: Study, figure: Gauge, verdicts: Sequence[Verdict]) -> FigureResult:
    """Readings by part and operator."""
    table = study.tables[figure.table]
    frame = table.frame.dropna(subset=[figure.y])
    readings = tuple(
        GaugeReading(str(p), str(o), int(r), float(y))
        for p, o, r, y in zip(
            frame[table.item],
            frame[figure.operator],
            frame[figure.repeat],
            frame[figure.y],
            strict=True,
        )
    )
    values = frame[figure.y].to_numpy(float)
    cells = arrange(frame[table.item].tolist(), frame[figure.operator].tolist(), values)
    result = cells if isinstance(cells, Undefined) else crossed(cells)
    sound = result if isinstance(result, GaugeStudy) else None
    operators = tuple(dict.fromkeys(r.operator for r in readings))
    data = GaugeData(
        readings, tuple(dict.fromkeys(r.part for r in readings)), operators,
        sound.grr if sound else None,
        numbers(sound, step_of(values, study.measure(figure.y).resolution))["mdd"]
        if sound else None,
    )  # fmt: skip
    unit = study.measure(figure.y).unit
    return FigureResult(
        figure, data, tuple(_findings(data, result)),
        NumbersTable((table.item, figure.operator, figure.repeat, figure.y), ("", "", "", unit),
                     number_rows((r.part, r.operator, r.repeat, r.y) for r in readings)),
        len(data.parts), len(readings),
    )  # fmt: skip


def _findings(data: GaugeData, study: GaugeStudy | Undefined) -> list[Finding]:
    found: list[Finding] = []
    if isinstance(study, GaugeStudy) and study.percent_study_variation is not None:
        at95 = study.at95 if study.usable else None  # as the claim has it
        found.append(Finding("share", {
            "percent": study.percent_study_variation,
            "low": at95.low if at95 else None,
            "high": at95.high if at95 else None, "mdd": data.mdd,
            "n_items": study.n_parts, "n_operators": study.n_operators,
            "n_repeats": study.n_repeats, "ev": study.ev, "av": study.av,
        }))  # fmt: skip
    elif data.mdd is not None:
        found.append(Finding("sees", {"mdd": data.mdd}))
    found += _hands(data)
    spreads = [(float(np.ptp([r.y for r in data.readings if r.part == p])), p) for p in data.parts]
    # Where the widest two are as wide as each other (but for rounding) there is no widest.
    widest = sorted((spread for spread, _ in spreads), reverse=True)
    tied = len(widest) > 1 and isclose(widest[0], widest[1], rel_tol=1e-9, abs_tol=1e-12)
    if spreads and not tied:
        spread, part = max(spreads)
        top = max(r.y for r in data.readings if r.part == part)
        found.append(Finding("worst-item", {"item": part, "spread": spread},
                             (float(data.parts.index(part)), top)))  # fmt: skip
    return found


def _hands(data: GaugeData) -> list[Finding]:
    """Who reads highest and who lowest, each part counting once; whether always the same one."""
    means = {
        operator: {
            part: float(np.mean(own)) for part in data.parts
            if (own := [r.y for r in data.readings if (r.part, r.operator) == (part, operator)])
        }
        for operator in data.operators
    }  # fmt: skip
    parts = [p for p in data.parts if all(p in own for own in means.values())]
    if len(means) < 2 or not parts:
        return []
    level = {operator: float(np.mean([own[p] for p in parts])) for operator, own in means.items()}
    high, low = max(level, key=level.__getitem__), min(level, key=level.__getitem__)
    ranked = sorted(level.values())
    if ranked[-1] - ranked[0] < HAIR or ranked[-1] - ranked[-2] < HAIR:  # nobody reads highest
        return []
    always = all(means[high][p] - HAIR > max(own[p] for o, own in means.items() if o != high)
                 for p in parts)
    return [Finding("operators", {"high": high, "low": low, "apart": level[high] - level[low],
                                  "always": always})]  # fmt: skip
