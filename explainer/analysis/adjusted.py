"""What is left of a link over items once other things about them are held alike.

Analysis of covariance (Fisher 1932, Statistical Methods for Research Workers, 4th ed., §49.1): x
and y are each freed of what the given numbers and groups account for by least squares, and what is
left is related.  The slope of one remainder on the other is that of the regression of y on x and
all of the given (Frisch & Waugh 1933; Lovell 1963, J. Am. Stat. Assoc. 58, 993), and their r is the
partial correlation with as many variables held fixed (Fisher 1924, Metron 3, 329).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from explainer.analysis.association import ratio_r
from explainer.analysis.grouped import FEWEST_DF
from explainer.analysis.result import Estimate, Undefined, r_estimate, r_p
from explainer.analysis.sample import Array, centred

#: A remainder this small beside what it is a remainder of is rounding.
NOTHING_LEFT = 1e-9


def design(columns: Sequence[npt.ArrayLike], groups: Sequence[npt.ArrayLike]) -> Array:
    """What is held alike, one row per item: a constant, the numbers about their means, and for
    each grouping a column of 0 and 1 for every group but the first."""
    n = len(np.asarray([*columns, *groups][0]))
    parts = [np.ones(n)]
    for column in columns:
        _, away = centred(np.asarray(column, dtype=np.float64))
        size = float(np.linalg.norm(away))
        parts.append(away / size if size > 0 else away)
    for group in groups:
        names, codes = np.unique(np.asarray(group).ravel(), return_inverse=True)
        parts += [(codes == k).astype(np.float64) for k in range(1, names.size)]
    return np.column_stack(parts)


def left_of(values: npt.ArrayLike, given: Array) -> Array:
    """``values`` less what ``given`` accounts for; exact zeros where only rounding is left."""
    whole = np.asarray(values, dtype=np.float64)
    rest = whole - given @ np.linalg.lstsq(given, whole, rcond=None)[0]
    spread = float(np.linalg.norm(centred(whole)[1])) if whole.size else 0.0
    none = float(np.linalg.norm(rest)) <= NOTHING_LEFT * spread or spread == 0
    return np.zeros_like(rest) if none else np.asarray(rest, dtype=np.float64)


def r_left(x: npt.ArrayLike, y: npt.ArrayLike, given: Array) -> float | None:
    """r of what is left of x and y; None where nothing is left to relate."""
    dx, dy = left_of(x, given), left_of(y, given)
    return ratio_r(float(dx @ dx), float(dx @ dy), float(dy @ dy))


def slope_left(x: npt.ArrayLike, y: npt.ArrayLike, given: Array) -> float | None:
    """Slope of y on x with the given held alike, in y's unit per x's; None without spread."""
    dx, dy = left_of(x, given), left_of(y, given)
    whole = float(dx @ dx)
    return float(dx @ dy) / whole if whole > 0 else None


def partial(x: npt.ArrayLike, y: npt.ArrayLike, given: Array) -> Estimate | Undefined:
    """r of one (x, y) per item with the given held alike; finite numbers only.

    With k columns held alike (beside the constant) the degrees of freedom are n − k − 2, and the
    ranges are by Fisher's z with SE 1/√(n − k − 3).  Undefined: ``too-few-items`` below three
    degrees of freedom (with r as value where there is one), ``nothing-left`` where the given
    accounts for all of x or y.
    """
    method = "partial correlation over items, Fisher z"
    n = len(np.asarray(x))
    r, df = r_left(x, y, given), n - int(np.linalg.matrix_rank(given)) - 1
    if df < FEWEST_DF or r is None:
        return Undefined("too-few-items" if df < FEWEST_DF else "nothing-left", n, method, r)
    return r_estimate(r, 1 / math.sqrt(df - 1), r_p(r, df), n, method, df)
