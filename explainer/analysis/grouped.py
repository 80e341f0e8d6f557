"""Items that come in groups (balls in models): what holds for these groups, and inside each.

More items of one group are not more groups.  A link that lives between the groups' means only is a
link between as many points as there are groups; inside a group it may be none, or turn round
(Robinson 1950, American Sociological Review 15, 351).  So a link over items is worked out from
each item's distance from its own group's mean: the correlation that is left when groups are fixed
effects, with n − g − 1 degrees of freedom for n items in g groups (Mundlak 1978).  A mean over
items gives each group the same weight, whichever group had more items in it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from explainer.analysis.association import ratio_r
from explainer.analysis.result import (
    Estimate,
    Undefined,
    few_or_flat,
    free_r,
    r_estimate,
    r_p,
    t_estimate,
    t_p,
)
from explainer.analysis.sample import Array, centred

#: Fewer degrees of freedom than this inside the groups say nothing of a link there.
FEWEST_DF = 3

#: The level at which groups differ.
APART = 0.05

Codes = npt.NDArray[np.intp]


def coded(group: npt.ArrayLike) -> tuple[int, Codes]:
    """How many groups, and each item's place among them."""
    names, codes = np.unique(np.asarray(group).ravel(), return_inverse=True)
    return int(names.size), codes


def with_mates(group: npt.ArrayLike) -> int | None:
    """How many items have others of their group beside them, where only some have: the scatter
    inside groups is theirs alone.  None where it is that of all items, or of none."""
    _, codes = coded(group)
    counts = np.bincount(codes)
    shared = int(counts[counts > 1].sum())
    return shared if 0 < shared < codes.size else None


def within_groups(x: npt.ArrayLike, y: npt.ArrayLike, group: npt.ArrayLike) -> Estimate | Undefined:
    """r of one (x, y) per item once each group has its own mean; finite numbers only.

    Ranges by Fisher's z with SE 1/√(n − g − 2), as for a partial correlation with g − 1 variables
    held fixed (Fisher 1924, Metron 3, 329).  Undefined: ``too-few-items`` below three degrees of
    freedom (with r as value where there is one), ``no-spread`` where x or y is the same for all
    items of each group.
    """
    method = "Pearson's r over items within groups, Fisher z"
    g, codes = coded(group)
    dx, dy = _about(np.asarray(x, float), codes, g), _about(np.asarray(y, float), codes, g)
    n = dx.size
    r = ratio_r(float(dx @ dx), float(dx @ dy), float(dy @ dy))
    df = n - g - 1
    if df < FEWEST_DF or r is None:
        return few_or_flat(n, n - df + FEWEST_DF, method, free_r(r, df))
    return r_estimate(r, 1 / math.sqrt(n - g - 2), r_p(r, df), n, method, df)


def lies_between(plain: float, inside: float) -> bool:
    """Whether less than half of a link over all items, by its r, is left inside their groups."""
    return math.copysign(inside, inside * plain) < abs(plain) / 2


def slope_within_groups(x: npt.ArrayLike, y: npt.ArrayLike, group: npt.ArrayLike) -> float | None:
    """The common slope of y on x inside the groups, in y's unit per x's; None without spread."""
    g, codes = coded(group)
    dx, dy = _about(np.asarray(x, float), codes, g), _about(np.asarray(y, float), codes, g)
    whole = float(dx @ dx)
    return float(dx @ dy) / whole if whole > 0 else None


def r_within(x: npt.ArrayLike, y: npt.ArrayLike, group: npt.ArrayLike) -> float | None:
    """r inside the groups, without ranges; None where nothing is left to relate."""
    dx, dy = about(x, group), about(y, group)
    return ratio_r(float(dx @ dx), float(dx @ dy), float(dy @ dy))


def about(values: npt.ArrayLike, group: npt.ArrayLike) -> Array:
    """Each value's distance from its group's mean, in the values' unit."""
    g, codes = coded(group)
    return _about(np.asarray(values, float), codes, g)


def group_means(d: npt.ArrayLike, group: npt.ArrayLike) -> Array:
    """Each group's own mean, in the order of their sorted names."""
    g, codes = coded(group)
    values = np.asarray(d, float)
    return np.array([values[codes == k].mean() for k in range(g)])


def mean_of_groups(
    d: npt.ArrayLike, group: npt.ArrayLike, *, floor_sd: float | None = None
) -> Estimate | Undefined:
    """The mean of the groups' means of ``d``, one number per item, in d's unit: these groups.

    SE² = Σ s²ₖ/nₖ / g² with Satterthwaite's degrees of freedom (Satterthwaite 1946), each group
    with its own spread; where a group is a single item, all share the spread within groups pooled
    (df n − g).  Groups are what they are, so how they differ among themselves is no part of it.
    Undefined: ``too-few-items`` where no group has two, ``no-spread`` where all spread is 0 and
    ``floor_sd``, the spread to assume then, is not given.
    """
    method = "mean of groups, t over items within groups"
    values, mean = np.asarray(d, float), float(group_means(d, group).mean())
    return _over_cells(mean, values, coded(group), 1, floor_sd, method)


def gap_within_groups(
    a: npt.ArrayLike, group_a: npt.ArrayLike, b: npt.ArrayLike, group_b: npt.ArrayLike, *,
    floor_sd: float | None = None,
) -> Estimate | Undefined:  # fmt: skip
    """a minus b, one number per item, inside each group that both sides come in, each group once.

    What sets the groups apart is no part of it, however many of each stand on either side.  Ranges
    as for ``mean_of_groups``, over the cells of group and side.  ValueError unless the same groups
    stand on both sides.
    """
    left, right = np.asarray(group_a, str), np.asarray(group_b, str)
    if set(left.tolist()) != set(right.tolist()):
        raise ValueError("a gap within groups needs the same groups on both sides")
    gaps = group_means(a, left) - group_means(b, right)
    values = np.concatenate((np.asarray(a, float), np.asarray(b, float)))
    _, of_a = coded(left)
    g, of_b = coded(right)
    cells = np.concatenate((of_a, of_b + g))
    method = "gap within groups, each counted once, t over items"
    return _over_cells(float(gaps.mean()), values, (2 * g, cells), 2, floor_sd, method)


def both_ways(
    each: npt.ArrayLike, values: npt.ArrayLike, cells: npt.ArrayLike, parts: npt.ArrayLike
) -> bool:
    """Whether the groups' numbers ``each`` lie on both sides of 0 and it shows that they differ.

    ``values`` scatter about the means of their ``cells`` by one and the same spread, and each
    group's number has ``parts`` times its square for a variance (1/n of a mean of n): the lowest
    and the highest are held against each other by t at 5%, on n − cells.  A sign that differs by
    a hair is no difference.
    """
    ways, share = np.asarray(each, float), np.asarray(parts, float)
    low, high = int(ways.argmin()), int(ways.argmax())
    if not ways[low] < 0 < ways[high]:
        return False
    g, codes = coded(cells)
    away = _about(np.asarray(values, float), codes, g)
    df = away.size - g
    if df < 1:
        return False
    variance = float(away @ away) / df * float(share[low] + share[high])
    return variance == 0 or t_p(float(ways[high] - ways[low]) / math.sqrt(variance), df) < APART


def shares_apart(part: npt.ArrayLike, whole: npt.ArrayLike, group: npt.ArrayLike,
                 one: int, other: int) -> bool:  # fmt: skip
    """Whether it shows that two groups, by their place among the sorted names, did another share.

    A group's share is its mean ``part`` over its mean ``whole``, one number per item each, and what
    an item's part is off that share scatters by one and the same spread in all groups (the ratio's
    variance of Cochran 1977, Sampling Techniques, 6.4): t at 5% on n − groups.
    """
    a, b = group_means(part, group), group_means(whole, group)
    if not b[one] or not b[other]:
        return False
    g, codes = coded(group)
    shares = a / np.where(b == 0, 1.0, b)
    away = np.asarray(part, float) - shares[codes] * np.asarray(whole, float)
    df, sizes = away.size - g, np.bincount(codes, minlength=g)
    if df < 1:
        return False
    se = math.sqrt(float(away @ away) / df * sum(1 / (sizes[k] * b[k] ** 2) for k in (one, other)))
    gap = float(a[one] / b[one] - a[other] / b[other])
    return gap != 0 and (se == 0 or t_p(gap / se, df) < APART)


def _over_cells(
    mean: float, values: Array, cells: tuple[int, Codes], sides: int, floor_sd: float | None,
    method: str,
) -> Estimate | Undefined:  # fmt: skip
    """``mean``, a sum of the means of cells over as many groups, with what they rest on."""
    (many, codes), n = cells, values.size
    groups = many / sides
    sizes = np.bincount(codes, minlength=many).astype(float)
    if n == many:
        return Undefined("too-few-items", n, method, mean)
    away = _about(values, codes, many)
    squares: Array = np.bincount(codes, weights=away**2, minlength=many).astype(np.float64)
    if not squares.any():
        if floor_sd is None or not floor_sd > 0:
            return Undefined("no-spread", n, method, mean)
        squares = np.asarray(floor_sd**2 * (sizes - 1), dtype=np.float64)
        method += ", with the spread that the gauge's step can hide"
    if (sizes < 2).any() or not (squares > 0).all():
        variance = float(squares.sum()) / (n - many) * float((1 / sizes).sum())
        return t_estimate(mean, math.sqrt(variance) / groups, n - many, n, method)
    parts = squares / (sizes - 1) / sizes
    whole = float(parts.sum())
    df = whole**2 / float((parts**2 / (sizes - 1)).sum())
    return t_estimate(mean, math.sqrt(whole) / groups, df, n, method)


@dataclass(frozen=True)
class Moments:
    """How sure the means of groups' means of x and y are: variances, covariance, df of x's."""

    mean_x: float
    mean_y: float
    var_x: float
    var_y: float
    cov: float
    df: float


def moments(x: npt.ArrayLike, y: npt.ArrayLike, group: npt.ArrayLike) -> Moments | None:
    """Each group once, as in ``mean_of_groups``; None where no group has two items."""
    a, b = np.asarray(x, float), np.asarray(y, float)
    g, codes = coded(group)
    n, sizes = a.size, np.bincount(codes, minlength=g).astype(float)
    if n == g:
        return None
    dx, dy = _about(a, codes, g), _about(b, codes, g)
    xx, yy, xy = (np.bincount(codes, weights=p, minlength=g) for p in (dx * dx, dy * dy, dx * dy))
    means = float(group_means(a, group).mean()), float(group_means(b, group).mean())
    if (sizes < 2).any():
        share = float((1 / sizes).sum()) / (n - g) / g**2
        whole = [float(s.sum()) * share for s in (xx, yy, xy)]
        return Moments(means[0], means[1], whole[0], whole[1], whole[2], float(n - g))
    weight = 1 / (sizes - 1) / sizes / g**2
    var_x, var_y, cov = (float((s * weight).sum()) for s in (xx, yy, xy))
    below = float(((xx * weight) ** 2 / (sizes - 1)).sum())
    return Moments(*means, var_x, var_y, cov, var_x**2 / below if below > 0 else float(n - g))


def _about(values: Array, codes: Codes, g: int) -> Array:
    """Deviations from each group's own mean; exact zeros where there is only rounding."""
    away = np.zeros_like(values)
    for k in range(g):
        here = codes == k
        if here.any():
            away[here] = centred(values[here])[1]
    return away


# What is left of a link over items once other things about them are held alike.
# Analysis of covariance (Fisher 1932, Statistical Methods for Research Workers, 4th ed., §49.1):
# x and y are each freed of what the given numbers and groups account for by least squares, and
# what is left is related. The slope of one remainder on the other is that of the regression of y
# on x and all of the given (Frisch & Waugh 1933; Lovell 1963, J. Am. Stat. Assoc. 58, 993), and
# their r is the partial correlation with as many variables held fixed (Fisher 1924, Metron 3,
# 329).

#: A remainder this small beside what it is a remainder of is rounding.
NOTHING_LEFT = 1e-9


def design(columns: Sequence[npt.ArrayLike], groups: Sequence[npt.ArrayLike]) -> Array:
    """What is held alike, one row per item: a constant, the numbers about their means, and for
    each grouping a column of 0 and 1 for every group but the first."""
    n = len(np.asarray([*columns, *groups][0]))
    parts = [np.ones(n)]
    for column in columns:
        numbers = np.asarray(column, dtype=np.float64)
        away = centred(numbers)[1] if n else numbers  # nobody has all that is held alike
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
    degrees of freedom (with r as value where there is one), ``none-free`` where what is left can
    only lie on one line, ``no-spread`` where x or y is the same for all, ``nothing-left`` where
    the given accounts for all of x or y.
    """
    method = "partial correlation over items, Fisher z"
    n = len(np.asarray(x))
    if not n:
        return Undefined("too-few-items", 0, method, None, FEWEST_DF + 2)
    r, df = r_left(x, y, given), n - int(np.linalg.matrix_rank(given)) - 1
    if df < FEWEST_DF or r is None:
        flat = any(not centred(np.asarray(v, dtype=np.float64))[1].any() for v in (x, y))
        few = "none-free" if df < 1 and r is not None else "too-few-items"
        why = few if df < FEWEST_DF else "no-spread" if flat else "nothing-left"
        return Undefined(why, n, method, free_r(r, df), n - df + FEWEST_DF)
    return r_estimate(r, 1 / math.sqrt(df - 1), r_p(r, df), n, method, df)
