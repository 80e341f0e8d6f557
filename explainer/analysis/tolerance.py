"""Between what bounds does a stated share of all items lie, as far as a few of them tell?

One-sided tolerance factors from the noncentral t (ISO 16269-6; NIST/SEMATECH e-Handbook 7.2.6.3),
for readings that scatter normally; and, for any shape at all, how many items have to be read
before the least of them is a bound (Wilks 1941).
"""

from __future__ import annotations

import math

import numpy.typing as npt
from scipy.special import nctdtrit, ndtri

from explainer.analysis.result import LEVELS, Estimate, Interval, Undefined
from explainer.analysis.sample import mean_sd, readings


def factor(n: int, share: float, confidence: float) -> float:
    """k: mean − k·s lies below the value that ``share`` of all items exceed, this surely.

    ValueError below two items and for a share or confidence that is not between 0 and 1.
    """
    if n < 2 or not (0 < share < 1 and 0 < confidence < 1):
        raise ValueError("a tolerance factor needs two items and shares between 0 and 1")
    root = math.sqrt(n)
    return float(nctdtrit(n - 1, float(ndtri(share)) * root, confidence)) / root


def reached_by(
    values: npt.ArrayLike, share: float, side: int, shared_sd: float = 0.0
) -> Estimate | Undefined:
    """The value that ``share`` of all such items reach or exceed (side 1; −1: do not exceed).

    In the unit of ``values``, one per item.  Its 90% range has a 95% tolerance bound at either
    end.  Undefined below two items or without any spread.  ``shared_sd``, in the same unit, is of
    an error that all values share: each end moves out by it as two independent parts add.
    """
    method = "one-sided tolerance factors, noncentral t"
    x = readings(values)
    if x.size < 2:
        return Undefined("too-few-items", x.size, method, float(x[0]) if x.size else None)
    mean, sd = mean_sd(x)
    if sd == 0:
        return Undefined("no-spread", x.size, method, mean)
    at = []
    middle = mean - side * float(ndtri(share)) * sd
    for level in LEVELS:
        far, near = (factor(x.size, share, (1 + way * level) / 2) for way in (1, -1))
        low, high = sorted((mean - side * far * sd, mean - side * near * sd))
        off = float(ndtri((1 + level) / 2)) * shared_sd
        at.append(Interval(middle - math.hypot(middle - low, off),
                           middle + math.hypot(high - middle, off), level) if off
                  else Interval(low, high, level))  # fmt: skip
    return Estimate(middle, at[0], at[1], at[2], None, x.size, method)


def items_for_any_shape(share: float, confidence: float = 0.95) -> int:
    """How many items, all of which meet a limit, show that ``share`` of all do (Wilks 1941)."""
    return math.ceil(math.log(1 - confidence) / math.log(share))


def limits_of_agreement(d: npt.ArrayLike) -> Estimate | Undefined:
    """How far apart 95 of 100 pairs of readings lie at most: |mean| + 1.96 s of differences ``d``.

    The farther of Bland & Altman's limits (1986, Lancet i, 307), with the exact bounds of both
    from the noncentral t (Carkeet 2015, Optometry and Vision Science 92, e71).  In d's unit.
    """
    method = "limits of agreement, bounds by the noncentral t"
    x = readings(d)
    if x.size < 2:
        return Undefined("too-few-items", x.size, method, float(abs(x[0])) if x.size else None)
    mean, sd = mean_sd(x)
    if sd == 0:
        return Undefined("no-spread", x.size, method, abs(mean))
    at = []
    for level in LEVELS:
        far, near = (factor(x.size, 0.975, (1 + way * level) / 2) for way in (1, -1))
        at.append(Interval(max(0.0, abs(mean) + near * sd), abs(mean) + far * sd, level))
    return Estimate(abs(mean) + float(ndtri(0.975)) * sd, at[0], at[1], at[2], None, x.size, method)
