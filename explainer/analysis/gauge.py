"""How much of what a gauge shows is the gauge and its operators?

Crossed random analysis of variance: every operator reads every part several times (AIAG MSA 4th
ed., ch. III-B; ISO 5725-6).  Here a part is an item.  Standard deviations in the measure's unit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import chdtri, fdtrc, fdtri

from explainer.analysis.result import Interval, Undefined
from explainer.analysis.sample import Array

#: An interaction with a larger p is pooled into the error (AIAG advises "a high significance
#: level"; its worked example prints .05, the usual choice of the trade is .25).
POOL_ABOVE = 0.25
#: With this many operators or parts, or fewer, the range of %GRR says nothing.
TOO_FEW_LEVELS = 2
#: Two readings differ for sure, at 95%, beyond this many gauge standard deviations.
DETECT = 1.959963984540054 * math.sqrt(2)

_METHOD = "crossed gauge study, random analysis of variance"
#: Sums of squares smaller than this share of the total are rounding of floats, not spread.
_NOTHING = 1e-12


@dataclass(frozen=True)
class GaugeStudy:
    """The parts of a gauge's spread, as standard deviations in the measure's unit.

    With one operator only ``ev``, ``pv`` and ``mdd_same_operator`` exist.
    """

    ev: float
    """Repeatability: equipment variation."""
    av: float | None
    """Reproducibility between operators: appraiser variation."""
    interaction: float | None
    """Operators who read some parts differently; 0 where pooled."""
    grr: float | None
    """√(ev² + av² + interaction²)."""
    pv: float
    """Part variation: what there is to tell apart."""
    tv: float | None
    """√(grr² + pv²)."""
    percent_study_variation: float | None
    """100·GRR/TV."""
    at95: Interval | None
    """95% range of %GRR; None where operators or parts are too few for any."""
    at80: Interval | None
    ndc: float | None
    """Number of distinct categories, √2·PV/GRR, not cut to a whole number."""
    mdd: float | None
    """Smallest difference of two single readings, by any operators, that is no gauge noise."""
    mdd_same_operator: float
    """The same for two readings by one operator."""
    interaction_f: float | None
    interaction_p: float | None
    pooled: bool
    """The interaction was pooled into the error (p > .25)."""
    usable: bool
    """False with two or fewer operators or parts: the range of %GRR means nothing."""
    n_parts: int
    n_operators: int
    n_repeats: int
    method: str = _METHOD


def arrange(
    parts: Sequence[object], operators: Sequence[object], values: npt.ArrayLike
) -> Array | Undefined:
    """Long columns to an array (parts, operators, repeats), in order of first appearance.

    Undefined (``unbalanced``) unless every operator read every part equally often; a missing
    (NaN) reading counts as not taken.
    """
    readings = np.asarray(values, dtype=np.float64)
    cells: dict[tuple[object, object], list[float]] = {}
    for part, operator, value in zip(parts, operators, readings, strict=True):
        cell = cells.setdefault((part, operator), [])
        if math.isfinite(value):
            cell.append(float(value))
    rows = list(dict.fromkeys(parts))
    columns = list(dict.fromkeys(operators))
    repeats = {len(cells.get((p, o), ())) for p in rows for o in columns}
    if len(repeats) != 1:
        return Undefined("no-readings" if not repeats else "unbalanced", len(rows), _METHOD)
    return np.array([[cells[p, o] for o in columns] for p in rows], dtype=np.float64)


def crossed(values: npt.ArrayLike, pool_above: float = POOL_ABOVE) -> GaugeStudy | Undefined:
    """Analysis of variance of ``values`` (parts, operators, repeats), in the measure's unit.

    σ²_E = MSE, σ²_PO = (MS_PO − MSE)/r, σ²_O = (MS_O − MS_PO)/(pr), σ²_P = (MS_P − MS_PO)/(or),
    negative ones set to 0.  An interaction with p > ``pool_above`` is pooled into the error.
    The range of %GRR is the modified large-sample one for part over gauge variance, with or
    without interaction (Burdick, Borror & Montgomery 2005, ch. 3; also SAS/STAT, PROC VARCOMP),
    carried to 100/√(1 + ratio).  Undefined: ``unbalanced`` (a missing repeat), ``no-repeats``,
    ``too-few-items``, ``no-spread``.
    """
    y = np.asarray(values, dtype=np.float64)
    if y.ndim != 3:
        raise ValueError(f"values of shape (parts, operators, repeats), not {y.shape}")
    p, o, r = y.shape
    if not np.all(np.isfinite(y)):
        return Undefined("unbalanced", p, _METHOD)
    if r < 2:
        return Undefined("no-repeats", p, _METHOD)
    if p < 2 or o < 1:
        return Undefined("too-few-items", p, _METHOD)
    scale = float(np.max(np.abs(y - y.mean())))
    if scale <= _NOTHING * float(np.max(np.abs(y))):
        return Undefined("no-spread", p, _METHOD)
    y = (y - y.mean()) / scale
    if o == 1:
        return _one_operator(y, scale)
    table = _analyse(y)
    f, p_value, pooled = _interaction(table, pool_above)
    return _study(_pool(table) if pooled else table, f, p_value, pooled, scale)


@dataclass(frozen=True)
class _Table:
    """Mean squares and degrees of freedom; ``po`` equals ``error`` where pooled."""

    p: int
    o: int
    r: int
    parts: float
    operators: float
    po: float
    error: float
    df_po: int
    df_error: int


def _analyse(y: Array) -> _Table:
    """Mean squares of ``y`` (parts, operators, repeats), about a grand mean of 0, in y's unit²."""
    p, o, r = y.shape
    cell, part, operator = y.mean(axis=2), y.mean(axis=(1, 2)), y.mean(axis=(0, 2))
    total = float(np.sum(y * y))
    inside = float(np.sum((y - cell[:, :, None]) ** 2))
    both = r * float(np.sum((cell - part[:, None] - operator[None, :]) ** 2))
    df_po, df_error = (p - 1) * (o - 1), p * o * (r - 1)
    return _Table(
        p,
        o,
        r,
        o * r * float(np.sum(part**2)) / (p - 1),
        p * r * float(np.sum(operator**2)) / (o - 1),
        (both if both > _NOTHING * total else 0.0) / df_po,
        (inside if inside > _NOTHING * total else 0.0) / df_error,
        df_po,
        df_error,
    )


def _interaction(table: _Table, pool_above: float) -> tuple[float | None, float, bool]:
    """F (None where the error is 0), its p, and whether to pool."""
    if table.error == 0:
        return None, (1.0 if table.po == 0 else 0.0), table.po == 0
    f = table.po / table.error
    p_value = float(fdtrc(table.df_po, table.df_error, f))
    return f, p_value, p_value > pool_above


def _pool(table: _Table) -> _Table:
    """The table with the interaction counted into the error, by degrees of freedom."""
    df = table.df_po + table.df_error
    error = (table.po * table.df_po + table.error * table.df_error) / df
    return _Table(table.p, table.o, table.r, table.parts, table.operators, error, error, df, df)


def _study(
    table: _Table, f: float | None, p_value: float, pooled: bool, scale: float
) -> GaugeStudy:
    """Variance components of the table; ``scale`` turns its unit back into the measure's."""
    p, o, r = table.p, table.o, table.r
    ev2 = table.error
    po2 = max((table.po - table.error) / r, 0.0)
    av2 = max((table.operators - table.po) / (p * r), 0.0)
    pv2 = max((table.parts - table.po) / (o * r), 0.0)
    grr, pv = math.sqrt(ev2 + av2 + po2), math.sqrt(pv2)
    tv = math.hypot(grr, pv)
    usable = min(p, o) > TOO_FEW_LEVELS
    return GaugeStudy(
        ev=math.sqrt(ev2) * scale,
        av=math.sqrt(av2) * scale,
        interaction=math.sqrt(po2) * scale,
        grr=grr * scale,
        pv=pv * scale,
        tv=tv * scale,
        percent_study_variation=100 * (grr / tv) if tv > 0 else None,
        at95=_range_of_percent(table, pooled, 0.95),
        at80=_range_of_percent(table, pooled, 0.80),
        ndc=math.sqrt(2) * pv / grr if grr > 0 else None,
        mdd=DETECT * grr * scale,
        mdd_same_operator=DETECT * math.sqrt(ev2) * scale,
        interaction_f=f,
        interaction_p=p_value,
        pooled=pooled,
        usable=usable,
        n_parts=p,
        n_operators=o,
        n_repeats=r,
    )


def _range_of_percent(table: _Table, pooled: bool, level: float) -> Interval | None:
    """The range of 100·GRR/TV from that of R = σ²_P/σ²_GRR, as 100/√(1 + R)."""
    low, high = (_ratio_end(table, pooled, level, lower) for lower in (True, False))
    if low is None or high is None:
        return None
    return Interval(100 / math.sqrt(1 + high), 100 / math.sqrt(1 + low), level)


def _ratio_end(table: _Table, pooled: bool, level: float, lower: bool) -> float | None:
    """One modified large-sample limit of part variance over gauge variance, not below 0.

    ``scale`` turns MS_P into a limit of its own expectation (1 − G₁ or 1 + H₁ in the book); the
    F quantiles set MS_P against the error it is tested by and against MS_O.
    """
    p, o, r = table.p, table.o, table.r
    tail = (1 - level) / 2
    area = 1 - tail if lower else tail
    scale = (p - 1) / float(chdtri(p - 1, tail if lower else 1 - tail))
    f_error = float(fdtri(p - 1, table.df_po, area))
    by_operators = o * scale * float(fdtri(p - 1, o - 1, area)) * table.operators
    if table.parts <= f_error * table.po:
        return 0.0
    if pooled:
        square = (f_error - scale * f_error**2) * table.error**2 / table.parts
        above = p * (scale * table.parts - table.error + square)
        below = o * (p * r - 1) * table.error + by_operators
    else:
        above = p * scale * (table.parts - f_error * table.po)
        below = p * o * (r - 1) * table.error + o * (p - 1) * table.po + by_operators
    return max(above, 0.0) / below if below > 0 else None


def _one_operator(y: Array, scale: float) -> GaugeStudy:
    """Parts and repeats only: repeatability, and nothing about operators."""
    p, _, r = y.shape
    inside = float(np.var(y[:, 0, :], axis=1, ddof=1).mean())
    between = r * float(np.var(y[:, 0, :].mean(axis=1), ddof=1))
    pv = math.sqrt(max((between - inside) / r, 0.0))
    return GaugeStudy(
        ev=math.sqrt(inside) * scale,
        av=None,
        interaction=None,
        grr=None,
        pv=pv * scale,
        tv=None,
        percent_study_variation=None,
        at95=None,
        at80=None,
        ndc=None,
        mdd=None,
        mdd_same_operator=DETECT * math.sqrt(inside) * scale,
        interaction_f=None,
        interaction_p=None,
        pooled=False,
        usable=False,
        n_parts=p,
        n_operators=1,
        n_repeats=r,
    )
