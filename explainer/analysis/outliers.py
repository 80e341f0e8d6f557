"""Readings that stand apart in a series, found without letting them hide each other.

Two rules: the Hampel identifier (distance from the median in robust standard deviations; Hampel
1974, Leys et al. 2013) and Rosner's generalised extreme studentised deviate (Rosner 1983; NIST
e-Handbook 1.3.5.17.3).  A flag is a reason to look, never to delete: a reading goes only for a
recorded physical cause.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

from explainer.analysis.result import Undefined
from explainer.analysis.trend import theil_sen
from explainer.study.thresholds import THRESHOLDS

Array = npt.NDArray[np.float64]

#: Flag beyond this many robust standard deviations (Leys et al. 2013: 3 is "very conservative").
ROBUST_SDS = THRESHOLDS["outlier_k"].value
#: Makes the median absolute deviation of a normal sample estimate its standard deviation.
MAD_TO_SD = 1.4826
#: Below this many readings the median absolute deviation says too little to flag by.
FEWEST_FOR_FLAGS = 5
#: Rosner's critical values are good from about 15 readings (NIST e-Handbook: 15 for n, 25 best).
FEWEST_FOR_ESD = 15
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
    line = theil_sen(order, values)
    return values if isinstance(line, Undefined) else values - line.slope * order


def many_flagged(flags: npt.NDArray[np.bool_], share: float = SHARE_FLAGGED) -> bool:
    """True when so many are flagged that "outlier" is the wrong word."""
    return bool(flags.size) and float(np.mean(flags)) > share


@dataclass(frozen=True)
class Esd:
    """Rosner's test for up to ``len(r)`` outliers."""

    r: tuple[float, ...]
    """R_i: the largest deviation over the standard deviation, one removed after another."""
    lam: tuple[float, ...]
    """λ_i: the critical value each R_i is held against."""
    count: int
    """The largest i with R_i > λ_i; earlier ones may fall short (masking)."""
    indices: tuple[int, ...]
    """Positions in the input of the ``count`` outliers, most extreme first."""
    n: int
    alpha: float


def generalized_esd(x: npt.ArrayLike, most: int, alpha: float = 0.05) -> Esd | Undefined:
    """Rosner's generalised ESD test for at most ``most`` outliers in ``x`` (any unit).

    NaN is left out.  Undefined (``too-few-readings``, ``no-spread``) below 15 readings or where
    all agree.  The count is the *largest* i with R_i > λ_i: stopping at the first i that falls
    short would miss outliers that hide each other.
    """
    method = "Rosner's generalised ESD"
    values = np.asarray(x, dtype=np.float64)
    left = np.flatnonzero(np.isfinite(values))
    n = left.size
    if n < FEWEST_FOR_ESD:
        return Undefined("too-few-readings", n, method)
    if float(np.ptp(values[left])) <= 1e-12 * float(np.max(np.abs(values[left]))):
        return Undefined("no-spread", n, method)
    r: list[float] = []
    lam: list[float] = []
    removed: list[int] = []
    for i in range(1, min(most, n - 2) + 1):
        rest = values[left]
        away = np.abs(rest - rest.mean())
        sd = float(rest.std(ddof=1))
        if sd <= 1e-12 * float(np.max(np.abs(values))) or sd == 0.0:
            break
        worst = int(np.argmax(away))
        r.append(float(away[worst]) / sd)
        lam.append(_critical(n, i, alpha))
        removed.append(int(left[worst]))
        left = np.delete(left, worst)
    count = max((i + 1 for i in range(len(r)) if r[i] > lam[i]), default=0)
    return Esd(tuple(r), tuple(lam), count, tuple(removed[:count]), n, alpha)


def _critical(n: int, i: int, alpha: float) -> float:
    df = n - i - 1
    t = float(stdtrit(df, 1 - alpha / (2 * (n - i + 1))))
    return float((n - i) * t / np.sqrt((df + t * t) * (n - i + 1)))
