"""``share-of-items``: every, most or so many of the items changed the way the claim says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaincinv

from explainer.analysis.result import LEVELS, Estimate, Interval, Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, table_for, undefined
from explainer.claims.change import only_group
from explainer.claims.detail import Detail, published
from explainer.claims.reading_error import told_from
from explainer.claims.verdict import Code, Power, Strip, Verdict
from explainer.study.description.tests import ShareOfItems


@dataclass(frozen=True, kw_only=True)
class ShareOfItemsDetail(Detail):
    moved: float | None = published(
        "{Items} that moved that way, past all the gauge is known to mistake"
    )
    too_close: float | None = published("{Items} whose change is too small for the gauge to call")
    not_moved: float | None = published("{Items} that did not move that way, past the same")
    seen_from: float | None = published(
        "Smallest change of one {item} the gauge can see", "measure"
    )
    needed_share: float | None = None
    every: bool = False
    stayed: tuple[str, ...] = ()
    """Items that surely did not, and those nobody can say of."""
    unsure: tuple[str, ...] = ()
    out_of_reach: bool = False
    """So few items that not even all of them would show it."""
    least_items: int | None = None
    """How many it takes at least, if all of them do."""


@dataclass(frozen=True)
class _Counts:
    """How the items moved, as a claim's way is counted."""

    moved: int
    close: int
    n: int
    that_way: int
    """By the readings alone, whatever the gauge."""


def judge(case: Case) -> Verdict:
    """Each item by the gauge; "most" by Clopper & Pearson's exact range (1934), over items."""
    test = case.test
    assert isinstance(test, ShareOfItems)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    if nothing := nothing_to_test(case, table, measure.unit, test.from_, test.to):
        return nothing
    seen = evidence.before_after(table, test.measure, test.from_, test.to)
    ends = (test.from_, test.to)
    sight = told_from(measure, table, test.measure, seen.readings_each, ends)
    side = rules.SIDE[test.direction]
    size = np.abs(seen.change) if side == 0 else side * seen.change
    surely, open_ = _called(size, sight, test.at_least)
    that_way = size >= test.at_least if test.at_least is not None else size > 0
    counts = _Counts(int(surely.sum()), int(open_.sum()), len(size), int(that_way.sum()))
    every = test.share == "every"
    needed = 0.5 if test.share == "most" else 1.0 if every else float(test.share)
    detail: Story = {
        "moved": counts.moved, "too_close": counts.close,
        "not_moved": counts.n - counts.moved - counts.close, "seen_from": sight,
        "needed_share": needed, "every": every, "without": list(seen.without),
        "stayed": _named(seen.items, ~surely & ~open_), "unsure": _named(seen.items, open_),
    }  # fmt: skip
    if not counts.n:
        return undefined(case, Undefined("too-few-items", 0), unit="share", n_rows=0,
                         table=table.name, detail=detail)  # fmt: skip
    reasons = only_group(case, seen.items, detail) if not every else []
    if every:
        code, more = _of_these(counts, sight)
        power = None
    else:
        code, more, detail = _of_such(counts, needed, detail)
        power = Power(None, detail["least_items"], None, "share")
    return settled(
        case, code, _estimate(counts, every),
        unit="share", n_rows=seen.n_rows, table=table.name, reasons=[*reasons, *more],
        strip=_strip(counts, every, needed), power=power, detail=detail,
    )  # fmt: skip


def _called(
    size: evidence.Floats, sight: float | None, at_least: float | None
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which items surely moved so (by ``at_least``, where the claim says how far), and of which
    nobody can tell: those nearer to that size than the gauge can see."""
    line = sight or 0.0
    if at_least is None:
        surely, open_ = size > line, np.abs(size) <= line if sight else size == 0
    elif sight is None:
        surely, open_ = size >= at_least, np.zeros(len(size), dtype=bool)
    else:
        surely, open_ = size > at_least + line, np.abs(size - at_least) <= line
    return surely, open_ & ~surely


def _named(items: Sequence[str], which: NDArray[np.bool_]) -> list[str]:
    return [i for i, here in zip(items, which, strict=True) if here]


def _of_these(counts: _Counts, sight: float | None) -> tuple[Code, list[str]]:
    """"every": these items, one by one; without a known gauge readings can lean, no more."""
    if counts.moved == counts.n:
        return ("backed", []) if sight else ("leans", ["gauge-too-coarse"])
    if counts.moved + counts.close < counts.n:
        return ("against", []) if sight else ("cannot-tell", ["gauge-too-coarse"])
    return ("leans" if counts.that_way == counts.n else "cannot-tell"), []


def _of_such(counts: _Counts, needed: float, detail: Story) -> tuple[Code, list[str], Story]:
    """"most", or a share: items like these, by the exact range of the share."""
    e = _estimate(counts, False)
    least = least_items(needed)
    detail = {**detail, "least_items": least, "out_of_reach": counts.n < least}
    if e.at95.low > needed:
        return "backed", [], detail
    if e.at95.high < needed:
        return "against", [], detail
    reasons = ["too-few-items"] if counts.n < least else []
    return ("leans" if e.at80.low > needed else "cannot-tell"), reasons, detail


def least_items(share: float, level: float = 0.95) -> int:
    """The fewest items that can show more than ``share`` of all, if every one of them does."""
    n = 1
    while clopper_pearson(n, n, level).low <= share:
        n += 1
    return n


def clopper_pearson(successes: int, n: int, level: float) -> Interval:
    """The exact range of a share (Clopper & Pearson 1934), by the beta distribution."""
    tail = (1 - level) / 2
    low = float(betaincinv(successes, n - successes + 1, tail)) if successes else 0.0
    high = float(betaincinv(successes + 1, n - successes, 1 - tail)) if successes < n else 1.0
    return Interval(low, high, level)


def _estimate(counts: _Counts, every: bool) -> Estimate:
    """The share by the readings; each end of its range counts the unsure ones against itself.

    For "every" the ends are counts of these items: nothing is said of others.
    """
    at = []
    for level in LEVELS:
        if every:
            low, high = counts.moved / counts.n, (counts.moved + counts.close) / counts.n
        else:
            low = clopper_pearson(counts.moved, counts.n, level).low
            high = clopper_pearson(counts.moved + counts.close, counts.n, level).high
        at.append(Interval(low, high, level))
    method = "each item by the gauge" if every else "exact binomial range over items"
    return Estimate(counts.that_way / counts.n, at[0], at[1], at[2], None, counts.n, method)


def _strip(counts: _Counts, every: bool, needed: float) -> Strip:
    e = _estimate(counts, every)
    return Strip(
        value=e.value, low=e.at95.low, high=e.at95.high, claim_zone=(needed, 1.0), small_zone=None,
        null=None, unit="share", less_is="fewer of them", more_is="more of them",
    )  # fmt: skip
