"""``over-use``: an early step, how much of the change was done by then, and what came after."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np

from explainer.claims import evidence
from explainer.claims.change import surely, surely_moved
from explainer.claims.figure_data import ItemLine, OverUseData
from explainer.claims.figures.common import mean_of
from explainer.claims.verdict import Finding

#: A share of the whole change done by an early checkpoint that is worth pointing at.
EARLY = 0.6
#: A share from which on little is left, where every later checkpoint stays there, too.
NEARLY_ALL = 0.9


def early_step(data: OverUseData, stayed: list[ItemLine], shared: float) -> list[Finding]:
    """The first early checkpoint by which more than half of the change had surely happened.

    In the first half of the use an even slope has no more than half behind it, so that is also
    what tells a slope that is not even.  It has to stand out over items for every checkpoint that
    was looked at (Bonferroni), and so has what came back later.  Each share is that of the items
    read at that checkpoint and at both ends: a change in who was read must not look like a change
    that came back.
    """
    first, last = data.means[0], data.means[-1]
    shares = [_share_by(stayed, m.use, data.models) for m in data.means]
    if any(share is None for share in shares):
        return []
    nearly = next((m.use for i, m in enumerate(data.means)
                   if all((s or 0.0) >= NEARLY_ALL for s in shares[i:])), None)  # fmt: skip
    looked = [(point, share or 0.0)
              for point, share in zip(data.means[1:-1], shares[1:-1], strict=True)
              if (point.use - first.use) <= (last.use - first.use) / 2]  # fmt: skip
    for point, share in looked:
        # Where half of that was gone again on the way, the change that is left came after it.
        if any((s or 0.0) < share / 2
               for s, m in zip(shares, data.means, strict=True) if m.use > point.use):
            continue
        if share >= EARLY and _more_than(0.5, stayed, point.use, data.models, shared, len(looked)):
            return [Finding("early-step", {
                "by": point.use, "share": share, "of": last.use,
                "nearly_by": nearly if nearly != last.use else None,
                "flat": int(all(abs((s or 0.0) - 1) <= 1 - NEARLY_ALL + 1e-9
                                for s, m in zip(shares, data.means, strict=True)
                                if m.use >= point.use)),
                "back": int(_more_than(1.0, stayed, point.use, data.models, shared, 1)),
                **_after(point.use, stayed, data, shared),
                **_past(point.use, stayed, data, shared),
            }, (point.use, point.mean))]  # fmt: skip
    return []


def _done_by(
    stayed: list[ItemLine], use: float
) -> tuple[list[str], evidence.Floats, evidence.Floats]:
    """The items read at ``use``, their change by then, and their whole change."""
    read = [(dict(zip(line.use, line.y, strict=True)), line) for line in stayed]
    here = [(y[use], line) for y, line in read if use in y]
    return (
        [line.item for _, line in here],
        np.array([then - line.y[0] for then, line in here], dtype=float),
        np.array([line.y[-1] - line.y[0] for _, line in here], dtype=float),
    )


def _share_by(
    stayed: list[ItemLine], use: float, models: Mapping[str, str]
) -> float | None:
    """The share of their whole change that items had done by ``use``; None without one."""
    names, done, changed = _done_by(stayed, use)
    if not names:
        return None
    part, whole = (mean_of(v, names, models).value for v in (done, changed))
    return part / whole if part is not None and whole else None


def _more_than(
    share: float, stayed: list[ItemLine], use: float, models: Mapping[str, str], shared: float,
    looks: int,
) -> bool:  # fmt: skip
    """Whether items had done more than that share of their whole change by ``use``, at 95% shared
    out among so many ``looks``.

    Fieller's way of asking it: a t range over each item's part less that share of its whole.
    ``shared``: the SD of an error that all items have in common at a checkpoint.
    """
    names, done, changed = _done_by(stayed, use)
    whole = mean_of(changed, names, models).value or 0.0
    error = shared * math.sqrt(1 + (1 - share) ** 2 + share**2)
    way = surely(mean_of(done - share * changed, names, models), looks, error)
    return way == math.copysign(1, whole)


def _after(
    by: float, stayed: list[ItemLine], data: OverUseData, shared: float
) -> dict[str, float | int | None]:
    """How the average went on from ``by``: ``gone_at``, the first checkpoint at which some of what
    was done by then had surely gone again, and whether it surely ``moved`` between any two.

    Paired t ranges over the items read at both, at 95% shared out among all pairs (Bonferroni).
    """
    pairs = list(combinations([m.use for m in data.means if m.use >= by], 2))
    ways = {pair: _surely(pair, stayed, data.models, shared, len(pairs)) for pair in pairs}
    whole = data.means[-1].mean - data.means[0].mean
    gone = (late for (first, late), way in ways.items() if first == by and way * whole < 0)
    return {"gone_at": next(gone, None), "moved": int(any(ways.values()))}


def _past(
    by: float, stayed: list[ItemLine], data: OverUseData, shared: float
) -> dict[str, float | int | None]:
    """``past_at``, the checkpoint after ``by`` at which the average lay furthest past its end, if
    clearly past it, and whether it surely came ``past_back`` from there, at 95% shared out among
    all checkpoints that could have been the furthest."""
    later = [m.use for m in data.means[:-1] if m.use > by]
    shares = {use: _share_by(stayed, use, data.models) or 0.0 for use in later}
    far = max(later, key=lambda use: shares[use], default=None)
    if far is None or shares[far] - 1 <= 1 - NEARLY_ALL + 1e-9:
        return {"past_at": None, "past_back": 0}
    back = _surely((far, data.means[-1].use), stayed, data.models, shared, len(later))
    whole = data.means[-1].mean - data.means[0].mean
    return {"past_at": far, "past_back": int(back * whole < 0)}


def _surely(
    pair: Sequence[float], stayed: list[ItemLine], models: Mapping[str, str], shared: float,
    looks: int,
) -> int:  # fmt: skip
    """Which way the items moved between two checkpoints, 1 or −1; 0 where that may be luck."""
    read = [(line.item, dict(zip(line.use, line.y, strict=True))) for line in stayed]
    both = [(item, y[pair[1]] - y[pair[0]]) for item, y in read if pair[0] in y and pair[1] in y]
    moved = np.array([change for _, change in both], dtype=float)
    mean = mean_of(moved, [item for item, _ in both], models)
    return surely_moved(moved, mean, looks, shared * math.sqrt(2))
