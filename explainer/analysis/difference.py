"""The difference between two groups of items, without assuming they spread alike."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from explainer.analysis.change import spread, t_estimate
from explainer.analysis.result import Estimate, Undefined

METHOD = "difference of group means, Welch's t"


def welch(a: npt.ArrayLike, b: npt.ArrayLike) -> Estimate | Undefined:
    """Mean of ``a`` minus mean of ``b`` (one number per item; NaN left out), Welch 1947.

    Undefined: ``too-few-items`` below two in either group, ``no-spread`` where neither spreads.
    """
    x, y = (np.asarray(v, dtype=np.float64) for v in (a, b))
    x, y = x[np.isfinite(x)], y[np.isfinite(y)]
    n = int(x.size + y.size)
    gap = float(x.mean() - y.mean()) if x.size and y.size else None
    if min(x.size, y.size) < 2 or gap is None:
        return Undefined("too-few-items", n, METHOD, gap)
    part_x, part_y = spread(x) ** 2 / x.size, spread(y) ** 2 / y.size
    both = part_x + part_y
    if both == 0.0:
        return Undefined("no-spread", n, METHOD, gap)
    share_x, share_y = part_x / both, part_y / both
    df = 1 / (share_x**2 / (x.size - 1) + share_y**2 / (y.size - 1))
    return t_estimate(gap, math.sqrt(both), df, n, METHOD)
