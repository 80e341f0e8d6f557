"""Did most of a change happen early, and does it level off?

The share of the total change done by a checkpoint named beforehand is a ratio of two means over
the same items; its range is Fieller's (Fieller 1954).  The shape of the whole course is a
description only, by AICc (Burnham & Anderson 2002), and never carries a verdict.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from explainer.analysis.change import mean_change
from explainer.analysis.fieller import fieller
from explainer.analysis.result import Estimate, Interval, Undefined
from explainer.study.thresholds import THRESHOLDS

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class BreakIn:
    """The share of the total change that had happened by the early checkpoint."""

    share: float
    """mean(early)/mean(total): 1 is all of it, above 1 an overshoot."""
    at95: Interval
    at90: Interval
    at80: Interval
    total: Estimate
    """The total change over items, in the measure's unit."""
    n_items: int
    method: str = "ratio of mean changes, Fieller"


def break_in(early: npt.ArrayLike, total: npt.ArrayLike) -> BreakIn | Undefined:
    """The share of each item's ``total`` change done ``early``, over items.

    ``early`` a_i = y at the named checkpoint − y at the start, ``total`` b_i = y at the end − y
    at the start, one pair per item; pairs with NaN are left out.  Undefined (``no-change``) unless
    the total change's 95% range excludes 0: a share of nothing has no meaning.
    """
    method = BreakIn.method
    a, b = np.asarray(early, dtype=np.float64), np.asarray(total, dtype=np.float64)
    both = np.isfinite(a) & np.isfinite(b)
    a, b = a[both], b[both]
    change = mean_change(b)
    share = float(a.mean() / b.mean()) if b.size and b.mean() != 0 else None
    if isinstance(change, Undefined):
        return Undefined(change.why, a.size, method, share)
    if not change.at95.excludes(0.0) or share is None:
        return Undefined("no-change", a.size, method, share)
    return BreakIn(
        share, fieller(a, b, 0.95), fieller(a, b, 0.90), fieller(a, b, 0.80), change, a.size
    )


def rates(
    early: npt.ArrayLike, late: npt.ArrayLike, span_early: float, span_late: float
) -> Estimate | Undefined:
    """Early change per use minus late change per use: paired t over items.

    ``early`` and ``late`` are each item's change over spans of ``span_early`` and ``span_late``
    uses (games); the result is in the measure's unit per use.  With a fall, a negative value
    says that it slows.  ValueError unless both spans are positive.
    """
    if span_early <= 0 or span_late <= 0:
        raise ValueError("a rate needs a positive span of use")
    a, b = np.asarray(early, dtype=np.float64), np.asarray(late, dtype=np.float64)
    both = np.isfinite(a) & np.isfinite(b)
    return mean_change(a[both] / span_early - b[both] / span_late)


#: Shapes a course may be described by; the order is the order of preference in a tie.
SHAPES = ("flat", "linear", "step", "levels-off")
#: AICc must favour a shape over the next by this much before it is named.
NAME_FROM = THRESHOLDS["delta_aicc"].value
#: With fewer checkpoints a bend cannot be told from scatter.
FEWEST_CHECKPOINTS = 4


@dataclass(frozen=True)
class Shape:
    """How the items' common course over use looks; a description, never evidence."""

    name: str | None
    """One of SHAPES; None unless it leads by ΔAICc ≥ 4, with every item left out in turn."""
    best: str
    """The shape with the lowest AICc, named or not."""
    delta: float | None
    """AICc of the next best shape minus that of the best; None where no reading ever changes."""
    aicc: dict[str, float]
    at: float | None
    """For ``step`` the middle of the gap it falls in; for ``levels-off`` the use at which 95% of
    the change (or all of it, for two straight segments) is done; within the data, else None."""
    n_items: int
    n_rows: int


def shape(
    use: npt.ArrayLike, values: npt.ArrayLike, name_from: float = NAME_FROM
) -> Shape | Undefined:
    """Describe the course of ``values`` (items, checkpoints) over ``use`` (checkpoints).

    Each item keeps its own level; flat, straight, one step (past the second checkpoint) and
    levelling off (1 − e^(−x/τ) and two segments, one family) are compared by AICc.  NaN cells
    are left out.  Undefined: ``too-few-checkpoints``, ``too-few-items`` (one item: nothing can
    be left out).
    """
    x, y = np.asarray(use, dtype=np.float64), np.asarray(values, dtype=np.float64)
    if y.ndim != 2 or x.shape != y.shape[1:]:
        raise ValueError(f"values of shape (items, {x.size}), not {y.shape}")
    y = np.where(np.isfinite(y), y, np.nan)
    y = y[np.isfinite(y).sum(axis=1) >= 2]
    seen = np.isfinite(y)
    if y.shape[0] < 2:
        return Undefined("too-few-items", y.shape[0], "shape by AICc")
    measured = seen.any(axis=0)
    x, y = x[measured], y[:, measured]
    if np.unique(x).size < FEWEST_CHECKPOINTS:
        return Undefined("too-few-checkpoints", y.shape[0], "shape by AICc")
    best, delta, scores, at = _describe(x, y)
    leads = [(best, delta), *(_describe(x, np.delete(y, i, axis=0))[:2] for i in range(len(y)))]
    clear = all(b == best and (d is None or d >= name_from) for b, d in leads)
    name = best if clear else None
    return Shape(name, best, delta, scores, at, y.shape[0], int(seen.sum()))


def aicc(rss: float, n: int, k: int) -> float | None:
    """N·ln(RSS/N) + 2K + 2K(K+1)/(N−K−1); None where N − K − 1 is not positive, or RSS is 0."""
    if n - k - 1 <= 0 or rss <= 0:
        return None
    return n * float(np.log(rss / n)) + 2 * k + 2 * k * (k + 1) / (n - k - 1)


def _describe(x: Array, y: Array) -> tuple[str, float | None, dict[str, float], float | None]:
    """Best shape, its lead, all AICc and where it bends, for items × checkpoints."""
    seen = np.isfinite(y)
    centred = np.where(seen, y - np.nanmean(y, axis=1, keepdims=True), 0.0)
    size = float(np.max(np.abs(centred)))
    if size <= 1e-12 * float(np.nanmax(np.abs(y))):
        return "flat", None, {}, None
    centred /= size
    total = float(np.sum(centred**2))
    steps, bends, decays = _step_bases(x), _bend_bases(x), _decay_bases(x)
    fits = {
        "flat": (total, None, 0),
        "linear": (_best_fit(centred, seen, (x[:1], x[None, :]))[0], None, 1),
        "step": (*_best_fit(centred, seen, steps), 2),
        "levels-off": (
            *min((_best_fit(centred, seen, b) for b in (bends, decays)), key=lambda fit: fit[0]),
            2,
        ),
    }
    n, items = int(seen.sum()), y.shape[0]
    scores = {}
    for name, (rss, _, extra) in fits.items():
        # A perfect fit has RSS 0 but for rounding; the floor keeps its logarithm finite.
        score = aicc(max(rss, 1e-20 * total), n, items + extra + 1)
        if score is not None:
            scores[name] = score
    ranked = sorted(scores, key=lambda name: (scores[name], SHAPES.index(name))) or ["flat"]
    # Too few readings to score every shape: none can be said to lead.
    delta = scores[ranked[1]] - scores[ranked[0]] if len(scores) == len(SHAPES) else 0.0
    at = fits[ranked[0]][1]
    return ranked[0], delta, scores, at if at is not None and at <= x.max() else None


#: Places where a course may bend, and for each a vector over checkpoints (places, checkpoints);
#: a fit scales one of them by one common size.
_Bases = tuple[Array, Array]


def _step_bases(x: Array) -> _Bases:
    """A step in each gap but the first, where levelling off says the same."""
    uses = np.unique(x)
    places = (uses[1:-1] + uses[2:]) / 2
    return places, (x >= places[:, None]).astype(np.float64)


def _bend_bases(x: Array) -> _Bases:
    """Straight up to c, then flat, for c from the second checkpoint to before the last."""
    uses = np.unique(x)
    places = np.linspace(uses[1], uses[-1], 102)[:-1]
    return places, np.minimum(x, places[:, None])


def _decay_bases(x: Array) -> _Bases:
    """1 − e^(−(x − x₀)/τ), placed at the use by which 95% of its change is done."""
    uses = np.unique(x)
    span, gap = uses[-1] - uses[0], uses[1] - uses[0]
    taus = np.geomspace(min(gap, span / 20) / 4, span, 120)
    return uses[0] + np.log(20) * taus, -np.expm1(-(x - uses[0]) / taus[:, None])


def _best_fit(
    centred: Array, seen: npt.NDArray[np.bool_], bases: _Bases
) -> tuple[float, float | None]:
    """Least RSS over ``bases`` and its place, every item at its own level, one common size."""
    places, basis = bases
    total = float(np.sum(centred**2))
    level = (basis @ seen.T) / seen.sum(axis=1)
    moved = np.where(seen, basis[:, None, :] - level[:, :, None], 0.0)
    length = np.sum(moved**2, axis=(1, 2))
    shared = np.sum(moved * centred, axis=(1, 2))
    gain = np.divide(shared**2, length, out=np.zeros_like(length), where=length > 0)
    best = int(np.argmax(gain))
    return total - float(gain[best]), float(places[best])
