"""Readings that stand apart in a series, found without letting them hide each other.

The Hampel identifier: distance from the median in robust standard deviations (Hampel 1974, Leys
et al. 2013).  A flag is a reason to look, never to delete: a reading goes only for a recorded
physical cause.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from explainer.analysis.result import Undefined
from explainer.analysis.sample import Array
from explainer.analysis.trend import theil_sen
from explainer.study.thresholds import THRESHOLDS

#: Flag beyond this many robust standard deviations (Leys et al. 2013: 3 is "very conservative").
ROBUST_SDS = THRESHOLDS["outlier_k"].value
#: Makes the median absolute deviation of a normal sample estimate its standard deviation.
MAD_TO_SD = 1.4826
#: Below this many readings the median absolute deviation says too little to flag by.
FEWEST_FOR_FLAGS = 5
#: More than this share flagged is a mixture or a drift, not outliers.
SHARE_FLAGGED = THRESHOLDS["many_flagged"].value


def flag(
    x: npt.ArrayLike,
    gauge_step: float | None = None,
    *,
    detrend: bool = False,
    robust_sds: float = ROBUST_SDS,
) -> npt.NDArray[np.bool_]:
    """True where a reading lies more than ``robust_sds``·1.4826·MAD from the median.

    ``x`` one series in order, in its own unit; NaN is never flagged.  ``detrend`` removes the
    Theil–Sen line over the order first.  Where more than half the readings agree (MAD 0), one
    ``gauge_step`` stands for the spread; without a step nothing is flagged.
    """
    values = np.asarray(x, dtype=np.float64)
    flags = np.zeros(values.shape, dtype=np.bool_)
    seen = np.isfinite(values)
    known = values[seen]
    if known.size < FEWEST_FOR_FLAGS:
        return flags
    rest = _detrended(np.flatnonzero(seen).astype(np.float64), known) if detrend else known
    away = np.abs(rest - np.median(rest))
    scale = MAD_TO_SD * float(np.median(away))
    # Readings that agree but for the last bit of a float have no spread.
    if scale <= 1e-12 * float(np.max(np.abs(known))):
        if not gauge_step:
            return flags
        scale = gauge_step
    flags[seen] = away > robust_sds * scale * (1 + 1e-12)
    return flags


def _detrended(order: Array, values: Array) -> Array:
    """``values`` without their Theil–Sen line over ``order``, in their unit."""
    line = theil_sen(order, values)
    return values if isinstance(line, Undefined) else values - line.slope * order


def many_flagged(flags: npt.NDArray[np.bool_], share: float = SHARE_FLAGGED) -> bool:
    """True when so many are flagged that "outlier" is the wrong word."""
    return bool(flags.size) and float(np.mean(flags)) > share
