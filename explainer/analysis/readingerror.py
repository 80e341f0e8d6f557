"""What reading values off a printed chart adds to their uncertainty.

Errors that differ from reading to reading are already in the scatter between items.  What all
readings of one chart share, such as an axis taken a little too high, is not: it moves every level
by the same amount and cancels in a change or a difference.
"""

from __future__ import annotations

import math
from dataclasses import replace

from explainer.analysis.result import Estimate
from explainer.analysis.student import pooled_df, t_estimate


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
    """The mean level of items, with the chart's common error in its ranges and its p.

    se' = √(se² + half_width²/3); the common part is known, not estimated, so the degrees of
    freedom grow to df·(se'/se)⁴ (Welch–Satterthwaite, JCGM 100:2008, G.4).  An estimate without
    a standard error stays as it is.
    """
    u = common_reading_error(half_width, reads_level=True)
    if u == 0 or level.se is None or level.df is None:
        return level
    # A known part counts as one with endless degrees of freedom.
    df = min(pooled_df(level.se, level.df, u, math.inf), 1e9)
    wide = t_estimate(level.value, math.hypot(level.se, u), df, level.n_items, level.method)
    return replace(wide, method=f"{level.method}, with the chart's reading error")
