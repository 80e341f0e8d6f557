"""What the gauge behind a measure can see: the smallest difference that is not its own noise."""

from __future__ import annotations

import math

from explainer.analysis.conformity import standard_uncertainty
from explainer.analysis.gauge import DETECT
from explainer.study.description.measures import Measure


def smallest_seen(measure: Measure, readings: float = 1.0) -> float | None:
    """Smallest difference between two means of ``readings`` each that 95% calls real.

    In the measure's unit; None where the study knows nothing of its gauge.
    """
    u = standard_uncertainty(
        measure.repeatability_sd, measure.resolution, max(1, math.floor(readings))
    )
    return DETECT * u if u else None
