"""Does use move an item along the line that different items lie on?  A ratio of two slopes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import stdtrit

from explainer.analysis.fieller import fieller_from
from explainer.analysis.result import Interval


@dataclass(frozen=True)
class SameLine:
    """The within slope as a share of the between slope."""

    share: float | None
    """1: use moves an item along the line; 0: the item stays where it was made."""
    at95: Interval
    at90: Interval
    at80: Interval
    slope_difference: float
    """Between minus within, in y's unit per x's."""
    df: float
    """Satterthwaite's degrees of freedom of that difference."""


def same_line(
    within: float,
    within_se: float,
    within_df: float,
    between: float,
    between_se: float,
    between_df: float,
    reliability: float = 1.0,
) -> SameLine:
    """share = (within / reliability) / between with Fieller's ranges, the two independent.

    ``reliability`` (0–1] is the share of the within-item spread of x that is not gauge scatter.
    """
    inner, inner_se = within / reliability, within_se / reliability
    both = inner_se**2 + between_se**2
    bottom = inner_se**4 / within_df + between_se**4 / between_df
    df = both**2 / bottom if bottom > 0 else min(within_df, between_df)

    def interval(level: float) -> Interval:
        t = float(stdtrit(df, (1 + level) / 2))
        return fieller_from(inner, inner_se**2, between, between_se**2, 0.0, t, level)

    share = inner / between if between != 0 and math.isfinite(inner / between) else None
    return SameLine(share, interval(0.95), interval(0.90), interval(0.80), between - inner, df)
