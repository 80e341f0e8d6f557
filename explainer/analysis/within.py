"""As an item's x changes, does its y change with it?  And is that what differs between items?

Repeated measures correlation (Bland & Altman 1995; Bakdash & Marusich 2017) describes; its degrees
of freedom count readings.  The pooled within slope with a range over items decides.  The slope
between items stands beside it (Mundlak 1978).

The within slope's uncertainty is the sandwich, corrected for few items: CR2 (Bell & McCaffrey
2002; Pustejovsky & Tipton 2018).  Each item's part of the sum is scaled so that the variance is
unbiased where readings are independent, and Student's t gets the degrees of freedom of
Satterthwaite's rule.  They are items − 1 where all items' x moved alike, and fewer where a few
items moved most.  Items − 1 throughout would be too sure: with 4 or 8 items whose slopes average 0
and whose movement differs widely, it finds a link in 23–25% of simulated studies instead of 5%;
Satterthwaite's in 5–8%.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from explainer.analysis.association import ratio_r, slope
from explainer.analysis.grouped import APART
from explainer.analysis.result import (
    Estimate,
    Undefined,
    pooled_df,
    r_estimate,
    r_p,
    t_estimate,
    t_p,
)
from explainer.analysis.sample import ROUNDING, Array

Codes = npt.NDArray[np.intp]

METHOD = "pooled slope within items, range over items (CR2)"


@dataclass(frozen=True)
class Within:
    """One relation seen within items and between them; slopes in y's unit per x's."""

    r: float
    """Repeated measures correlation."""
    r_estimate: Estimate
    """Its ranges by Fisher's z, SE 1/√(df − 1); p on df.  Counts readings, so decides nothing."""
    df: int
    """N − n − 1: N readings of the n items whose x moved."""
    slope: Estimate
    """The common slope within items; its standard error and df over items (CR2)."""
    slope_se_readings: float
    """The slope's standard error where readings count as independent; df as above."""
    slope_between: Estimate | None
    """Least squares on item means; None below three items or without spread."""
    slope_difference: float | None
    """Between minus within."""
    difference_df: float | None
    difference_t: float | None
    """By √(SE_W² + SE_B²) with SE_W = ``slope_se_readings``, as a mixed model has it."""
    p_slopes_differ: float | None
    p_slopes_differ_items: float | None
    """The same with the within slope's standard error over items: for slopes that vary by item.
    With groups the larger of two: by their mean slope, and with items weighed by how x moved."""
    items: tuple[str, ...]
    """In order of first appearance; the order of the ``loo`` arrays."""
    item_slopes: dict[str, float | None]
    """Each item's own slope; None where its x did not move."""
    items_same_sign: int
    """Items whose own slope has the sign of the common one."""
    slope_without_time: Estimate | None
    """The slope without what all items share at each checkpoint, groups weighed as in ``slope``;
    None if nothing is left."""
    r_per_slope: float
    """What turns a slope within items into r within them: Sx/Sy, in x's unit per y's."""
    r_per_slope_without_time: float | None
    """The same for what checkpoints' effects leave of x and y; None with the slope."""
    link: float
    """r with groups weighed as in ``slope``, whose sign it has; ``r`` itself without groups."""
    group_slopes: tuple[float, ...]
    """The groups' own slopes, by their sorted names; empty where ``slope`` is not their mean."""
    groups_apart: bool
    """Whether these go both ways and it shows that the lowest and the highest differ (t at 5%)."""
    r_loo: Array
    """r without each item; NaN where that leaves nothing to relate."""
    slope_loo: Array

    @property
    def carriers(self) -> tuple[str, ...]:
        """The items that the slope and r rest on: those whose x moved."""
        return tuple(name for name, own in self.item_slopes.items() if own is not None)


@dataclass(frozen=True)
class OneItem:
    """How one item's y went with its x, from reading to reading; slopes in y's unit per x's."""

    slope: Estimate
    r: float
    df: int
    """Readings − 2."""
    slope_without_use: Estimate | None
    """The slope freed from a steady drift of both along use; None if nothing is left of x, or
    fewer than two readings beside what is fitted."""
    r_without: tuple[float | None, ...]
    """r without each reading in turn."""


@dataclass(frozen=True)
class _Sums:
    """Per item: sums of squares and products about its own means."""

    sxx: Array
    sxy: Array
    syy: Array


def within(
    x: npt.ArrayLike, y: npt.ArrayLike, item: npt.ArrayLike, use: npt.ArrayLike | None = None,
    group: Mapping[str, str] | None = None,
) -> Within | Undefined:  # fmt: skip
    """The relation of y to x within ``item``, one row per item and checkpoint ``use``.

    An item whose x did not move says nothing of a link: it has no part in the slope, in r or in
    their counts, only in the line between items and in what all share at a checkpoint.
    With each item's ``group`` the slope is the mean of the groups' own slopes, where x moved in
    each of them: a group with more items, or in which x moves more, is no more than one.

    Rows with a cell that is not finite are left out.  Undefined: ``too-few-items`` for one item
    and ``one-moved`` where x moved in one alone (both with the slope as value), ``no-spread``
    where x or y never moves within an item, ``no-pairs`` without a row.
    """
    names, code, a, b, kept = _finite_rows(x, y, item)
    n_items = int(np.unique(code).size)
    if a.size == 0:
        return Undefined("no-pairs", 0, METHOD)
    counts = np.bincount(code, minlength=len(names))
    (mean_x, dx), (mean_y, dy) = _about(a, code, counts), _about(b, code, counts)
    sums = _carrying(_sums(dx, dy, code, len(names)))
    sxx, sxy, syy = (float(s.sum()) for s in (sums.sxx, sums.sxy, sums.syy))
    r = ratio_r(sxx, sxy, syy)
    if r is None:
        why = "no-spread" if n_items > 1 else "too-few-items"
        return Undefined(why, n_items, METHOD, sxy / sxx if sxx > 0 and n_items > 1 else None)
    moved = int(np.count_nonzero(sums.sxx))
    each = () if group is None or moved < 2 else _slopes_of_groups(sums, names, group)
    pooled = mean_slope(each) if each else slope_within(sums.sxx, sums.sxy) if moved > 1 else None
    if pooled is None:
        why = "one-moved" if moved < 2 <= n_items else "too-few-items"
        return Undefined(why, n_items, METHOD, sxy / sxx)
    carry = (sums.sxx > 0)[code]
    common, df = pooled.value, int(carry.sum()) - moved - 1
    se_readings = float(np.linalg.norm((dy - common * dx)[carry])) / math.sqrt(df * sxx)
    here = counts > 0
    between = line if isinstance(line := slope(mean_x[here], mean_y[here]), Estimate) else None
    by_readings = _difference(common, se_readings, df, between)
    by_items = _least_apart(pooled, sums, between)
    own, method = _own_slopes(names, sums), f"{METHOD}, each group counted once" if each else METHOD
    r_loo, slope_loo = _without_each(sums)
    sorts = None if group is None or not each else np.array([group.get(n, "") for n in names])[code]
    without_time = _without_time(dx, dy, code, use, kept, moved, sorts)
    return Within(
        r=r,
        r_estimate=_r_ranges(r, df, moved),
        df=df,
        slope=t_estimate(pooled.value, pooled.se, pooled.df, moved, method),
        group_slopes=tuple(s.value for s in each), groups_apart=_both_ways(each),
        link=_link(sums, names, group) if group is not None and each else r,
        slope_se_readings=se_readings,
        slope_between=between,
        slope_difference=between.value - common if between else None,
        difference_df=by_readings[1] if by_readings else None,
        difference_t=by_readings[0] if by_readings else None,
        p_slopes_differ=t_p(*by_readings) if by_readings else None,
        p_slopes_differ_items=t_p(*by_items) if by_items else None,
        items=names,
        item_slopes=own,
        items_same_sign=sum(s is not None and s * common > 0 for s in own.values()),
        slope_without_time=without_time and without_time[0],
        r_per_slope=math.sqrt(sxx / syy),
        r_per_slope_without_time=without_time and without_time[1],
        r_loo=r_loo, slope_loo=slope_loo,
    )  # fmt: skip


def _finite_rows(
    x: npt.ArrayLike, y: npt.ArrayLike, item: npt.ArrayLike
) -> tuple[tuple[str, ...], Codes, Array, Array, npt.NDArray[np.bool_]]:
    """The items, and of the rows without an empty cell: whose each is, x and y; which those are."""
    names, codes = _coded(item)
    a, b = np.asarray(x, dtype=np.float64).ravel(), np.asarray(y, dtype=np.float64).ravel()
    kept = np.isfinite(a) & np.isfinite(b)
    return names, codes[kept], a[kept], b[kept], kept


def within_one(
    x: Array, y: Array, use: Array | None, sd_x: float, sd_y: float, known: float, method: str
) -> OneItem | Undefined:
    """The readings ``x`` and ``y`` of a single item, in turn, along ``use`` where there is one.

    ``sd_x`` and ``sd_y`` are what the gauge may be off by in each of them, known on ``known``
    degrees of freedom; an error in x moves y by the slope (Fuller 1987, Measurement Error Models,
    section 1.1: effective variance).  The range is the wider of that and the one by the scatter
    of the readings about their own line, on readings − 2: what wanders by itself would else be
    taken for a link.  Undefined (``no-spread``) where x or y stands still, (``too-few-readings``)
    below three.
    """
    if x.size < 3:
        return Undefined("too-few-readings", 1, method, None, 3)
    dx, dy = x - x.mean(), y - y.mean()
    r = ratio_r(float(dx @ dx), float(dx @ dy), float(dy @ dy))
    fitted = _line_of_one(dx, dy, x.size - 2, sd_x, sd_y, known, method)
    if r is None or fitted is None:
        return Undefined("no-spread", 1, method)
    without = None
    if use is not None and x.size > 4 and (along := use - use.mean()).any():
        share = along / float(along @ along)
        free_x, free_y = dx - along * float(share @ dx), dy - along * float(share @ dy)
        if np.max(np.abs(free_x)) > ROUNDING * np.max(np.abs(dx)):
            without = _line_of_one(free_x, free_y, x.size - 3, sd_x, sd_y, known, method)
    each = (np.arange(x.size) != i for i in range(x.size))
    return OneItem(fitted, r, x.size - 2, without,
                   tuple(_r_of(x[keep], y[keep]) for keep in each))  # fmt: skip


def _line_of_one(
    dx: Array, dy: Array, df: int, sd_x: float, sd_y: float, known: float, method: str
) -> Estimate | None:
    """Least squares from deviations; the wider of the gauge's range and the scatter's."""
    sxx = float(dx @ dx)
    if sxx <= 0:
        return None
    value = float(dx @ dy) / sxx
    rest = dy - value * dx
    gauge = t_estimate(value, math.hypot(sd_y, value * sd_x) / math.sqrt(sxx), known, 1, method)
    scatter = t_estimate(value, math.sqrt(float(rest @ rest) / df / sxx), df, 1, method)
    return max(gauge, scatter, key=lambda e: e.at95.high - e.at95.low)


def _r_of(x: Array, y: Array) -> float | None:
    """Pearson's r, None without spread."""
    dx, dy = x - x.mean(), y - y.mean()
    return ratio_r(float(dx @ dx), float(dx @ dy), float(dy @ dy))


def _coded(item: npt.ArrayLike) -> tuple[tuple[str, ...], Codes]:
    """Distinct items in order of first appearance, and each row's place among them."""
    found, first, codes = np.unique(
        np.asarray(item).ravel(), return_index=True, return_inverse=True
    )
    order = np.argsort(first)
    place = np.empty(order.size, dtype=np.intp)
    place[order] = np.arange(order.size)
    return tuple(str(name) for name in found[order].tolist()), place[codes]


def _about(values: Array, code: Codes, counts: npt.NDArray[np.int64]) -> tuple[Array, Array]:
    """Item means and deviations from them; zeros where an item has only rounding."""
    n = counts.size
    first = np.zeros(n)
    first[code[::-1]] = values[::-1]
    size = np.maximum(counts, 1)
    # From each item's first value, so that a large level costs no digits.
    moved = values - first[code]
    shift = np.bincount(code, weights=moved, minlength=n) / size
    away = moved - shift[code]
    away = away - (np.bincount(code, weights=away, minlength=n) / size)[code]
    widest, largest = np.zeros(n), np.zeros(n)
    np.maximum.at(widest, code, np.abs(away))
    np.maximum.at(largest, code, np.abs(values))
    return first + shift, np.where((widest <= ROUNDING * largest)[code], 0.0, away)


def _sums(dx: Array, dy: Array, code: Codes, n: int) -> _Sums:
    """Each item's sums from deviations about its own means, one value per row."""
    def per_item(product: Array) -> Array:
        return np.asarray(np.bincount(code, weights=product, minlength=n), dtype=np.float64)

    return _Sums(per_item(dx * dx), per_item(dx * dy), per_item(dy * dy))


def _carrying(sums: _Sums) -> _Sums:
    """The same, with nothing from items whose x stood still: y alone would thin out r."""
    moved = sums.sxx > 0
    return replace(sums, sxy=np.where(moved, sums.sxy, 0.0), syy=np.where(moved, sums.syy, 0.0))


def _r_ranges(r: float, df: int, n_items: int) -> Estimate:
    """Fisher's ranges of r with SE 1/√(df − 1) (Bakdash & Marusich 2017); open for df of 1."""
    se_z = 1 / math.sqrt(df - 1) if df > 1 else math.inf
    method = "repeated measures correlation, Fisher z"
    return r_estimate(r, se_z, r_p(r, df), n_items, method, df)


def _difference(
    common: float, se: float, df: float, between: Estimate | None
) -> tuple[float, float] | None:
    """t and df of between minus within; None without a between slope or any scatter."""
    if between is None or between.se is None or between.df is None:
        return None
    both = math.hypot(se, between.se)
    if both == 0:
        return None
    return (between.value - common) / both, pooled_df(se, df, between.se, between.df)


def _least_apart(
    pooled: ClusteredSlope, sums: _Sums, between: Estimate | None
) -> tuple[float, float] | None:
    """The same over items, by the weighing that shows less: the line between weighs items and not
    groups, and two slopes must not differ by their weights alone."""
    ways = [w for w in (pooled, slope_within(sums.sxx, sums.sxy)) if w is not None]
    found = [_difference(w.value, w.se, w.df, between) for w in ways]
    return max((d for d in found if d is not None), key=lambda d: t_p(*d), default=None)


def _own_slopes(names: tuple[str, ...], sums: _Sums) -> dict[str, float | None]:
    """Each item's least-squares slope; None where its x did not move."""
    return {
        name: xy / xx if xx > 0 else None
        for name, xx, xy in zip(names, sums.sxx.tolist(), sums.sxy.tolist(), strict=True)
    }


def _without_each(sums: _Sums) -> tuple[Array, Array]:
    """r and slope without each item; sums from both sides, so that nothing is subtracted."""
    xx, xy, yy = (_others(s) for s in (sums.sxx, sums.sxy, sums.syy))
    r = np.full(xx.size, np.nan)
    for i, parts in enumerate(zip(xx.tolist(), xy.tolist(), yy.tolist(), strict=True)):
        value = ratio_r(*parts)
        if value is not None:
            r[i] = value
    line = np.full(xx.size, np.nan)
    np.divide(xy, xx, out=line, where=xx > 0)
    return r, line


def _others(values: Array) -> Array:
    """For each place the sum of all other places."""
    before = np.concatenate(([0.0], np.cumsum(values[:-1])))
    after = np.concatenate((np.cumsum(values[:0:-1])[::-1], [0.0]))
    return np.asarray(before + after, dtype=np.float64)


def _without_time(
    dx: Array,
    dy: Array,
    code: Codes,
    use: npt.ArrayLike | None,
    kept: npt.NDArray[np.bool_],
    moved: int,
    sorts: npt.NDArray[np.str_] | None,
) -> tuple[Estimate, float] | None:
    """The slope freed from checkpoints' effects, and what turns it into r of what is left.

    None without checkpoints or scatter.
    """
    if use is None:
        return None
    time = np.unique(np.asarray(use).ravel()[kept], return_inverse=True)[1]
    item = np.unique(code, return_inverse=True)[1]
    groups = None if sorts is None else np.unique(sorts, return_inverse=True)[1]
    found = slope_without_time(dx, dy, item, time, groups)
    if found is None:
        return None
    method = f"{METHOD}, checkpoint effects removed"
    return t_estimate(found.value, found.se, found.df, moved, method), found.r_per_slope


class ClusteredSlope(NamedTuple):
    """A slope in y's unit per x's, its CR2 standard error and Satterthwaite's df."""

    value: float
    se: float
    df: float
    r_per_slope: float = math.nan
    """Spread of x over that of y, in x's unit per y's: the slope times this is r."""
    lent: bool = False
    """Whether its standard error is the spread of other groups' items, for want of its own."""


def slope_within(sxx: Array, sxy: Array) -> ClusteredSlope | None:
    """The common slope Σsxy/Σsxx when every item has its own level.

    ``sxx`` and ``sxy`` are each item's sums about its own means.  With weights w = sxx/Σsxx and
    item slopes b = sxy/sxx the definition comes down to SE² = Σw²(b − slope)²/(1 − w): for items
    whose x moved alike exactly the t test of their slopes.  None where one item alone moved.
    """
    whole = float(sxx.sum())
    weight = sxx / whole
    if float(weight.max()) >= 1:
        return None
    slope = float(sxy.sum()) / whole
    score = (sxy - sxx * slope) / whole
    se = math.sqrt(float(np.sum(score**2 / (1 - weight))))
    spread = np.diag(weight) - np.outer(weight, weight)
    return ClusteredSlope(slope, se, _df(spread, 1 / np.sqrt(1 - weight)))


def _slopes_of_groups(
    sums: _Sums, names: tuple[str, ...], group: Mapping[str, str]
) -> tuple[ClusteredSlope, ...]:
    """The slope within the items of each group; empty where x stood still in all items of one.

    A group of which one item moved has that item's slope, as sure as items of the other groups
    are alike: the spread of their own slopes, pooled.  Empty where no group has two.
    """
    moved = sums.sxx > 0
    sorted_ = np.array([group.get(name, "") for name in names])
    if len(np.unique(sorted_)) < 2 or set(sorted_[moved]) != set(sorted_):
        return ()
    own = sums.sxy[moved] / sums.sxx[moved]
    of = sorted_[moved]
    away = np.concatenate([own[of == one] - own[of == one].mean() for one in np.unique(of)])
    spare = len(own) - len(np.unique(of))
    if spare < 1:
        return ()
    spread = math.sqrt(float(away @ away) / spare)
    slopes = []
    for one in np.unique(of):
        here = sorted_ == one
        alone = ClusteredSlope(float(own[of == one][0]), spread, float(spare), lent=True)
        slopes.append(slope_within(sums.sxx[here], sums.sxy[here]) or alone)
    return tuple(slopes)


def _link(sums: _Sums, names: tuple[str, ...], group: Mapping[str, str]) -> float:
    """r of rows that weigh as their groups' slopes do in the mean of them: one over Sxx each."""
    sorted_ = np.array([group.get(name, "") for name in names])
    own = [[float(s[sorted_ == one].sum()) for s in (sums.sxy, sums.syy)]
           / sums.sxx[sorted_ == one].sum() for one in np.unique(sorted_)]  # fmt: skip
    slopes, squares = np.sum(own, axis=0).tolist()
    return ratio_r(float(len(own)), slopes, squares) or 0.0


def _both_ways(each: Sequence[ClusteredSlope]) -> bool:
    """Whether slopes lie on both sides of 0, the outermost two further apart than their luck."""
    if len(each) < 2:
        return False
    low, high = min(each, key=lambda s: s.value), max(each, key=lambda s: s.value)
    if not low.value < 0 < high.value:
        return False
    gap = mean_slope((low._replace(value=-low.value), high))  # half of it, with half its SE
    return gap.se == 0 or t_p(gap.value / gap.se, gap.df) < APART


def mean_slope(each: Sequence[ClusteredSlope]) -> ClusteredSlope:
    """The mean of slopes that have nothing to do with each other, df by Satterthwaite (1946).

    Where a spread is lent to some, it is one for all of them, and what is known of it is all that
    is known of any item's scatter: no more degrees of freedom than it has.
    """
    parts, df = (np.array(v) for v in zip(*((s.se**2, s.df) for s in each), strict=True))
    lent = np.array([s.lent for s in each])
    whole, value = float(parts.sum()), float(np.mean([s.value for s in each]))
    below = float((parts[~lent] ** 2 / df[~lent]).sum())
    most = float(df[~lent].sum())
    if lent.any():
        most = float(df[lent].min())
        below += float(parts[lent].sum()) ** 2 / most
    found = whole**2 / below if below > 0 else most
    return ClusteredSlope(value, math.sqrt(whole) / len(each), min(found, most))


def slope_without_time(
    dx: Array, dy: Array, item: Codes, time: Codes, group: Codes | None = None
) -> ClusteredSlope | None:
    """The same with an effect per checkpoint as well, from deviations about items' own means.

    With each row's ``group`` it is the mean of the groups' own slopes, all freed from the same
    effects: what a mean of groups' slopes with the effects in it has to be held against.

    Where checkpoints are missing, each item's part is scaled by one number that makes it
    unbiased, not by CR2's matrix; in full tables the two are the same.  None where nothing of x
    is left (in one group, too), or too few readings to see any scatter.
    """
    effects = _effects(item, time)
    largest = float(np.max(np.abs(dx))), float(np.max(np.abs(dy)))
    if min(largest) == 0 or dx.size - effects.n_items - effects.n_free < 2:
        return None
    groups = np.zeros(dx.size, dtype=np.intp) if group is None else group
    sides = np.equal.outer(groups, np.unique(groups))
    moved, answer = effects.freed(dx / largest[0]), effects.freed(dy / largest[1])
    each = np.column_stack([effects.freed(np.where(s, dx, 0.0) / largest[0]) for s in sides.T])
    square = each.T @ each
    if not moved.any() or np.linalg.matrix_rank(square, tol=_NOTHING, hermitian=True) < len(square):
        return None
    inverse = np.linalg.inv(square)
    own = inverse @ each.T @ answer
    # What each reading weighs in the mean of the slopes.
    part = each @ inverse @ np.full(len(square), 1 / len(square))
    whole = float(part @ part)
    weight = np.bincount(item, part**2) / whole
    fitted = np.column_stack([np.bincount(item, part * column) for column in each.T])
    spread = np.diag(weight) - effects.taken(part) / whole - fitted @ inverse @ fitted.T / whole
    # An item that hardly moved has hardly a part in this; one that alone moved has no scatter.
    took_part = weight > 1e-9
    left = np.where(took_part, np.diag(spread), 1.0)
    if np.any(left <= 1e-9 * weight):
        return None
    scale = np.sqrt(np.where(took_part, weight, 0.0) / left)
    score = np.bincount(item, part * (answer - each @ own))
    unit = largest[1] / largest[0]
    most = float(np.linalg.norm(answer))
    per_slope = float(np.linalg.norm(moved)) / most / unit if most > 0 else math.nan
    se = float(np.linalg.norm(score * scale))
    return ClusteredSlope(float(own.mean()) * unit, se * unit, _df(spread, scale), per_slope)


#: A sum of squares of values of size 1 that is no more than rounding.
_NOTHING = 1e-9


@dataclass(frozen=True)
class _Effects:
    """Levels of items and effects of checkpoints, to be taken out of a column of readings."""

    item: Codes
    time: Codes
    per_cell: Array
    """Readings by item and checkpoint."""
    inverse: Array
    """Of the checkpoints' cross products once items' levels are out; a generalised one."""
    n_free: int
    """Effects that can be told from the items' levels."""

    @property
    def n_items(self) -> int:
        return int(self.per_cell.shape[0])

    def _by_cell(self, values: Array) -> Array:
        cell = self.item * self.per_cell.shape[1] + self.time
        sums = np.bincount(cell, values, minlength=self.per_cell.size)
        return np.asarray(sums.reshape(self.per_cell.shape))

    def freed(self, values: Array) -> Array:
        """Values without items' levels and checkpoints' effects; zeros where only rounding is."""
        per_item = self.per_cell.sum(axis=1)
        away = values - (np.bincount(self.item, values) / per_item)[self.item]
        effect = self.inverse @ np.bincount(self.time, away)
        moved = (self.per_cell @ effect) / per_item
        return _whole(np.asarray(away - effect[self.time] + moved[self.item]))

    def taken(self, values: Array) -> Array:
        """What the effects take of the items' sums' covariances, items by items."""
        sums = self._by_cell(values)
        return np.asarray(sums @ self.inverse @ sums.T)


def _effects(item: Codes, time: Codes) -> _Effects:
    """The effects of ``time`` beside a level for each ``item``."""
    shape = int(item.max()) + 1, int(time.max()) + 1
    cell = item * shape[1] + time
    per_cell = np.bincount(cell, minlength=shape[0] * shape[1]).reshape(shape).astype(np.float64)
    per_item, per_time = per_cell.sum(axis=1), per_cell.sum(axis=0)
    cross = np.diag(per_time) - per_cell.T @ (per_cell / per_item[:, None])
    roots, vectors = np.linalg.eigh(cross)
    kept = roots > 1e-9 * per_time.max()
    inverse = (vectors[:, kept] / roots[kept]) @ vectors[:, kept].T
    return _Effects(item, time, per_cell, inverse, int(kept.sum()))


def _df(spread: Array, scale: Array) -> float:
    """Satterthwaite: (sum of the roots)² over the sum of their squares, for scaled scores."""
    spread = scale[:, None] * spread * scale
    return float(np.trace(spread) ** 2 / np.sum(spread**2))


def _whole(values: Array) -> Array:
    """Zeros where only rounding is left of values that had size 1."""
    return values if float(np.max(np.abs(values))) > ROUNDING else np.zeros_like(values)
