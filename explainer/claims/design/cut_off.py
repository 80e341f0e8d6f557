"""Readings at the ends of a scale: what lies beyond was not seen, so "it held steady" is not shown.

A gauge that stops at 100 reads 100 again and again, whatever happens above.  Such readings are
censored: a mean of them, and the spread about it, are too small (Tobin 1958, Econometrica 26, 24),
which is just what a test of equivalence takes for steadiness.  So it is where all readings stand on
two values: whatever lies between or beyond them was put on the one or the other.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from explainer.claims.build import Case
from explainer.claims.design.found import Found, points, read_by
from explainer.claims.evidence import Floats
from explainer.claims.verdict import Code, Verdict
from explainer.study.model import Table

#: From this share of cut-off readings on, nothing that rests on their being alike is backed.
MANY = 0.2
#: Without a declared end: readings piled up on the lowest or highest value, this many times as
#: often as on any other, and at least so many.
PILE, FEW = 3.0, 5
#: So many readings on two values are no accident, unless the gauge shows steps of that size.
TWO_VALUES = 6


def look(case: Case, verdict: Verdict) -> Found | None:
    """``cut-off``: readings at a declared end, or piled up on the outermost value."""
    low = high = total = 0
    piled = False
    for table, name in read_by(case):
        for source in _sources(case, table, name):
            # A pile is looked for at each checkpoint: at another one the items may all be alike.
            for values in _values(case, table, source):
                at_low, at_high, pile = _at_ends(case, source, values)
                low, high, total = low + at_low, high + at_high, total + len(values)
                piled = piled or pile
    if low + high == 0:
        return _on_two_values(case, verdict)
    share = (low + high) / total
    known = {"cut_low": low, "cut_high": high, "cut_of": total, "cut_piled": piled,
             "cut_many": share >= MANY}  # fmt: skip
    return Found(_left(verdict, share), ("cut-off",), known)


def _on_two_values(case: Case, verdict: Verdict) -> Found | None:
    """All readings of what a claim says is alike stand on two values, and no step of the gauge
    explains it.  What goes together with another measure may well have two (new or worn)."""
    for table, name in read_by(case):
        small = verdict.code == "against" and _only_small(verdict)
        if verdict.test.kind not in STEADY and not small:
            return None
        if getattr(case.test, "measure", None) != name:
            continue
        for source in _sources(case, table, name):
            values = table.frame[source].to_numpy(dtype=float)
            values = values[np.isfinite(values)]
            distinct, count = np.unique(values, return_counts=True)
            step = case.study.measure(source).resolution
            if len(distinct) != 2 or len(values) < TWO_VALUES or count.min() < 2:
                continue
            if step is not None and distinct[1] - distinct[0] < 1.5 * step:
                continue
            known = {"cut_low": int(count[0]), "cut_high": int(count[1]), "cut_of": len(values),
                     "cut_two": True, "cut_many": True}  # fmt: skip
            return Found(_left(verdict, 1.0), ("cut-off",), known)
    return None


def _sources(case: Case, table: Table, name: str) -> list[str]:
    """The measure itself, and for a difference or ratio the two it is worked out from."""
    how = case.study.measure(name).derived
    both = (how.difference or how.ratio or ()) if how is not None else ()
    return [name, *(m for m in both if m in table.measures)]


def _values(case: Case, table: Table, name: str) -> Iterator[Floats]:
    """The readings at each checkpoint that the test names, else at every one."""
    frame, column = table.frame, table.use
    named = points(case)
    if column is not None and named and not any(isinstance(p, tuple) for p in named.values()):
        frame = frame[frame[column].isin([*named.values()])]
    parts = [part for _, part in frame.groupby(column)] if column is not None else [frame]
    for part in parts:
        values = part[name].to_numpy(dtype=float)
        yield values[np.isfinite(values)]


def _at_ends(case: Case, name: str, values: Floats) -> tuple[int, int, bool]:
    """How many readings stand at the lowest and the highest end, and whether that is a pile."""
    measure = case.study.measure(name)
    low = int(np.sum(values == measure.lowest)) if measure.lowest is not None else 0
    high = int(np.sum(values == measure.highest)) if measure.highest is not None else 0
    if low or high or len(values) < FEW:
        return low, high, False
    distinct, count = np.unique(values, return_counts=True)
    if len(distinct) < 3:
        return 0, 0, False
    ends = {0: int(count[0]), len(count) - 1: int(count[-1])}
    at, most = max(ends.items(), key=lambda end: end[1])
    others = np.delete(count, at)
    if most < FEW or most < PILE * int(others.max()) or most < MANY * len(values):
        return 0, 0, False
    return (most, 0, True) if at == 0 else (0, most, True)


def _left(verdict: Verdict, share: float) -> Code:
    """No equivalence on readings of which many are cut off; a change they show is too small, not
    too large, and stands."""
    if share < MANY:
        return verdict.code
    zone = verdict.test.kind in STEADY and verdict.code in ("backed", "leans")
    margin = verdict.code == "against" and _only_small(verdict)
    return "cannot-tell" if zone or margin else verdict.code


def _only_small(verdict: Verdict) -> bool:
    """Against a change only because the whole range is too small to matter.  One that falls short
    of a size claimed does so at every larger size, too, and stands."""
    low, high, margin = verdict.low, verdict.high, verdict.detail.margin
    if margin is None or low is None or high is None:
        return False
    sized = getattr(verdict.test, "at_least", None) is not None
    return not sized and -margin <= low and high <= margin


#: Kinds that are backed by how alike readings are.
STEADY = frozenset({
    "no-change", "no-association", "same-line", "break-in", "no-worse", "no-difference", "settles",
    "agreement", "mean-is",
})  # fmt: skip
