"""Does use move an item along the line that different items lie on?

The within slope as a share of the between slope, with Fieller's range: 1 says that a ball
brought to a reading by use behaves as one that started with it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from explainer.analysis.fieller import fieller_from
from explainer.analysis.result import Interval
from explainer.analysis.student import pooled_df, t_quantile


@dataclass(frozen=True)
class SameLine:
    """The within slope over the between slope."""

    share: float | None
    """None where the between slope is exactly 0."""
    at90: Interval
    """Both ends infinite where the between slope may be 0: the share is not bounded."""
    at80: Interval
    at95: Interval
    slope_difference: float
    """Between minus within (Mundlak 1978), the within slope freed from gauge scatter."""
    df: float
    """Of that difference, by Satterthwaite; also behind the ranges."""


def same_line(
    within_slope: float,
    within_se: float,
    within_df: float,
    between_slope: float,
    between_se: float,
    between_df: float,
    reliability: float = 1.0,
) -> SameLine:
    """Share of the line, from both slopes (y's unit per x's), their standard errors and df.

    ``reliability`` is the share of x's variance within items that is not gauge scatter, in
    (0, 1]: scatter in x flattens the within slope by that factor, so the slope and its standard
    error are divided by it (Carroll et al. 2006, Measurement Error in Nonlinear Models, ch. 3).
    ValueError outside (0, 1].  The two slopes are taken as independent.
    """
    if not 0 < reliability <= 1:
        raise ValueError(f"a reliability lies above 0 and up to 1, not at {reliability}")
    slope, se = within_slope / reliability, within_se / reliability
    df = pooled_df(se, within_df, between_se, between_df)

    def share_at(level: float) -> Interval:
        t = t_quantile(level, df)
        return fieller_from(slope, se * se, between_slope, between_se * between_se, 0.0, t, level)

    share = slope / between_slope if between_slope != 0 else None
    if share is not None and not math.isfinite(share):
        share = None
    return SameLine(
        share, share_at(0.90), share_at(0.80), share_at(0.95), between_slope - slope, df
    )
