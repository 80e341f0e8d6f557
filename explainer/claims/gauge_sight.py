"""What the gauge behind a measure can see: the smallest difference that is not its own noise."""

from __future__ import annotations

import math

import numpy as np

from explainer.analysis.conformity import standard_uncertainty
from explainer.analysis.gauge import DETECT
from explainer.claims import evidence
from explainer.study.description.measures import Measure
from explainer.study.model import Study, Table


def smallest_seen(measure: Measure, readings: float = 1.0) -> float | None:
    """Smallest difference between two means of ``readings`` each that 95% calls real.

    In the measure's unit; None where the study knows nothing of its gauge.
    """
    u = standard_uncertainty(
        measure.repeatability_sd, measure.resolution, max(1, math.floor(readings))
    )
    return DETECT * u if u else None


def gauge_of(measure: Measure, table: Table, name: str, readings: float) -> float | None:
    """Standard uncertainty of one item's value, a mean of ``readings``, in the measure's unit.

    The gauge as declared, else as repeat readings of one item show it; None where neither does.
    """
    sd = measure.repeatability_sd
    if sd is None and (again := evidence.repeats(table, name)) is not None:
        sd = again.sd
    if sd is None:
        return None
    return standard_uncertainty(sd, measure.resolution, max(1, math.floor(readings)))


def reliability_between(
    study: Study, side: evidence.Side, values: evidence.Floats, readings: float
) -> float | None:
    """Share of the variance over items, each a mean of ``readings``, that is not the gauge's.

    None where the study knows nothing of its gauge, or items do not differ.  0 to 1.
    """
    measure = study.measure(side[1])
    u = standard_uncertainty(
        measure.repeatability_sd, measure.resolution, max(1, math.floor(readings))
    )
    spread = float(np.var(values, ddof=1)) if len(values) > 1 else 0.0
    return None if u is None or spread <= 0 else max(0.0, 1 - u * u / spread)


def reliability_within(
    study: Study, side: evidence.Side, pairs: evidence.Pairs
) -> float | None:
    """Share of the within-item spread of x that is not gauge scatter; None if that is unknown.

    1 − (repeatability² / readings) / variance of x about its item's mean.  Gauge scatter in x
    shrinks the within slope far more than the between slope, since x moves little within an item.
    Source: Carroll et al. 2006, Measurement Error in Nonlinear Models, ch. 3 (attenuation).
    """
    sd = study.measure(side[1]).repeatability_sd
    if sd is None:
        return None
    away = np.concatenate(
        [pairs.x[pairs.items == i] - pairs.x[pairs.items == i].mean() for i in pairs.names]
    )
    df = len(away) - len(pairs.names)
    spread = float((away**2).sum() / df) if df > 0 else 0.0
    counts = evidence.grid(*side).counts
    readings = max(1.0, float(counts[counts > 0].mean()))
    if spread <= 0:
        return None
    return min(1.0, max(0.05, 1 - sd**2 / readings / spread))
