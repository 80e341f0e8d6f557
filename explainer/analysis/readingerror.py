"""What reading values off a printed chart adds to their uncertainty.

Errors that differ from reading to reading are already in the scatter between items.  What all
readings of one chart share, such as an axis taken a little too high, is not: it moves every level
by the same amount and cancels in a change or a difference.
"""

from __future__ import annotations

import math
from dataclasses import replace

from scipy.special import ndtri

from explainer.analysis.result import Estimate, Interval, t_p


def common_reading_error(half_width: float, reads_level: bool) -> float:
    """Standard uncertainty that all readings of one chart share, in their unit.

    An error anywhere within ±half_width is as likely as any other: half_width/√3, the standard
    deviation of the rectangular distribution (JCGM 100:2008, 4.3.7).  0 for what is not a level
    but a change or difference read off one chart.  ValueError below 0.
    """
    if not half_width >= 0:
        raise ValueError(f"a half-width is a size, not {half_width}")
    return half_width / math.sqrt(3) if reads_level else 0.0


def widened(level: Estimate, half_width: float) -> Estimate:
    """The mean level of items, with the chart's common error in its ranges, se and p.

    With u = half_width/√3, se' = √(se² + u²), and a range reaches √((t·se)² + (z·u)²) to either
    side: t for the scatter that was estimated from few items, the normal quantile z for the part
    that is known.  (Student's t on se' with Welch–Satterthwaite degrees of freedom would let a
    known error make a range narrower.)  An estimate without a standard error stays as it is.
    """
    u = common_reading_error(half_width, reads_level=True)
    if u == 0 or level.se is None or level.df is None:
        return level
    se = math.hypot(level.se, u)
    return replace(
        level,
        at95=_wider(level.at95, level.value, u),
        at90=_wider(level.at90, level.value, u),
        at80=_wider(level.at80, level.value, u),
        p=t_p((level.value - level.null) / se, level.df),
        se=se,
        method=f"{level.method}, with the chart's reading error",
    )


def _wider(interval: Interval, value: float, u: float) -> Interval:
    """The interval about ``value`` with a known standard uncertainty ``u`` added in quadrature."""
    known = float(ndtri((1 + interval.level) / 2)) * u
    return Interval(
        value - math.hypot(value - interval.low, known),
        value + math.hypot(interval.high - value, known),
        interval.level,
    )
