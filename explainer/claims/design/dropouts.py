"""Who left: items that were not read at every checkpoint, and whether that makes the verdict.

If the balls that went smoothest were taken out of play, those that stayed show less wear than all
of them had (Little & Rubin 2019, Statistical Analysis with Missing Data, ch. 1; ICH E9(R1)).  Two
answers stand side by side: of those who were there throughout, and of all that can be used, where
one who left counts with the last reading there is.  A reason it is where the two differ in verdict,
or where those who left had other readings than those who stayed; and none where no reading that is
missing could turn the verdict, however far it lay (the extreme case of a tipping-point analysis;
Yan, Lee & Li 2009, Journal of Biopharmaceutical Statistics 19, 1085, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pandas as pd

from explainer.analysis.result import t_p
from explainer.claims import evidence, rules
from explainer.claims.build import Case
from explainer.claims.design import chosen, unequal
from explainer.claims.design.found import (
    Found,
    judged_with,
    moved_there,
    of_items,
    points,
    range_shown,
    read_by,
)
from explainer.claims.evidence import Floats
from explainer.claims.verdict import Code, Verdict
from explainer.study.description.tests import Association, NoAssociation
from explainer.study.model import Table

#: Leaving goes with the readings where a two-sided test says so at this level: with few leavers
#: a stricter one would hardly ever see it.
TIED = 0.10
#: A checkpoint, or a stretch of use or of a series.
Span = tuple[float, float]


def look(case: Case, verdict: Verdict) -> Found | None:
    """``dropouts``, where some items of a table over use are not at every checkpoint."""
    here = [(t, m) for t, m in read_by(case)
            if (t.use is not None and len(t.checkpoints) > 1) or t.order is not None]  # fmt: skip
    if not here or not all(t is here[0][0] for t, _ in here):
        return None
    if chosen.look(case, verdict) is not None:
        return None  # those not followed were not picked, which is another matter
    table, names = _compared(case, here[0][0]), [m for _, m in here]
    seen = _seen(case, table, names)
    if seen is None or not seen.absent or len(seen.stayed) < 2:
        return None
    if unequal.by_design(case, table, names, set(seen.absent)):
        return None
    links = isinstance(case.test, Association | NoAssociation)
    stayed = judged_with(case, {table.name: _throughout(case, table, seen) if links else
                                of_items(table, set(seen.stayed))})
    if links and stayed.n_items < 3:  # any two points lie on a line, which is no answer
        stayed = replace(stayed, estimate=None, low=None, high=None)
    if verdict.detail.n_groups and not stayed.detail.n_groups and _several(table, seen):
        stayed = replace(stayed, estimate=None, low=None, high=None)  # each counted, no model once
    everyone = _carried(case, table, seen)
    whole = judged_with(case, {table.name: everyone}) if everyone is not None else verdict
    by, p = _otherwise(seen)
    tied = p < TIED
    theirs = verdict.code if _alike(stayed, verdict) else stayed.code
    code: Code = rules.between(rules.between(verdict.code, theirs), whole.code)
    turns, differ = code != verdict.code, {theirs, whole.code} != {verdict.code}
    if tied and not turns:
        code = rules.demoted(code)
    if code != verdict.code and _unturned(case, table, seen, verdict.code):
        code, tied, turns = verdict.code, False, False
    known = {
        "left": seen.lacking, "stayed": stayed.n_items,
        "stayed_all": len(seen.stayed) if stayed.n_items < len(seen.stayed) else 0,
        "left_tied": tied, "left_turns": differ,
        # That items moved explains a weaker verdict than this one, and no stronger one.
        "left_moved": () if not turns else moved_there(whole, verdict)
        or moved_there(stayed, verdict),
        "left_fragile": (whole.detail.fragile_item or "") if turns and whole.code == "cannot-tell"
        and "fragile" in whole.reasons and "fragile" not in verdict.reasons else "",
        "left_step": turns and "step" in stayed.reasons and "step" not in verdict.reasons,
        "left_by": by if tied else "", "left_p": p if tied else None,
        "left_early": len(seen.leavers) if by != "change" else sum(
            int(seen.last[k] > 0) for k in seen.leavers),
        "stayed_estimate": stayed.estimate,
        **dict(zip(("stayed_low", "stayed_high"), range_shown(stayed, verdict), strict=True)),
        "whole_n": whole.n_items, "whole_estimate": whole.estimate,
        **dict(zip(("whole_low", "whole_high"), range_shown(whole, verdict), strict=True)),
    }  # fmt: skip
    alone = {"left_own": verdict.code, "stayed_code": theirs, "whole_code": whole.code}
    return Found(code, ("dropouts",) if tied or turns else (), known, alone=alone)


def _several(table: Table, seen: _Followed) -> bool:
    """Whether those who stayed are of more than one group."""
    if table.group is None or table.group not in table.frame:
        return False
    here = table.frame[table.item].astype(str).isin(seen.stayed)
    return bool(table.frame.loc[here, table.group].nunique() > 1)


def _compared(case: Case, table: Table) -> Table:
    """The table of those alone that a claim sets side by side: who else left is no part of it."""
    by = getattr(case.test, "by", None)
    sides = [s for key in "ab" if (s := getattr(case.test, key, None)) is not None]
    if not isinstance(by, str) or by not in table.frame or by == table.use or len(sides) < 2:
        return table
    return of_items(table, {i for side in sides
                            for i in evidence.only(table, by, side).frame[table.item].astype(str)})


def _alike(stayed: Verdict, verdict: Verdict) -> bool:
    """Those who stayed are so alike that they have no range, and lie where the answer does."""
    few = stayed.code == "not-tested"  # which is no answer, wherever their number lies
    if few or stayed.estimate is None or stayed.low is not None or stayed.n_items < 2:
        return False
    low, high = verdict.low, verdict.high
    return low is not None and high is not None and low <= stayed.estimate <= high


def _unturned(case: Case, table: Table, seen: _Followed, code: Code) -> bool:
    """Whether a change stands with every missing end as far off as readings could be, either way.

    That is ``BEYOND`` times as far past all that were read as those lie apart, and no farther than
    the scale goes.  Of a claim that is not of a change between two checkpoints nobody knows.
    """
    named = points(case)
    ends = [float(p) for p in (named.get("from_"), named.get("to")) if isinstance(p, float | int)]
    if table.use is None or len(ends) < 2:
        return False
    scale, read = case.study.measure(seen.name), table.frame[seen.name]
    room = BEYOND * float(read.max() - read.min())
    low = max(float(read.min()) - room, -math.inf if scale.lowest is None else scale.lowest)
    high = min(float(read.max()) + room, math.inf if scale.highest is None else scale.highest)
    one_each = table.frame.drop_duplicates(table.item)
    for pair in ((low, high), (high, low)):
        frames = [table.frame]
        for end, value in zip(ends, pair, strict=True):
            lack = one_each[one_each[table.item].astype(str).isin(seen.unread(end))]
            frames.append(lack.assign(**{table.use: end, seen.name: value}))
        whole = replace(table, frame=pd.concat(frames, ignore_index=True))
        if judged_with(case, {table.name: whole}).code != code:
            return False
    return True


#: How far beyond all that were read a reading may have lain that nobody took, in ranges of those.
BEYOND = 0.5


def _throughout(case: Case, table: Table, seen: _Followed) -> Table:
    """Those who stayed, of a link at the checkpoints that it is worked out at for all of them."""
    test = case.test
    assert isinstance(test, Association | NoAssociation)
    sides = (evidence.operand(case.study, xy, test.table) for xy in (test.x, test.y))
    both, shared = evidence.at_shared(evidence.pairs_of_checkpoints(*sides))
    only = of_items(table, set(seen.stayed))
    if not shared or getattr(test, "within", False) in (True, "yes"):
        return only
    return replace(only, frame=only.frame[only.frame[table.use].isin(both.use)])


#: A span between two windows is looked at in so many stretches, each as long as the first window.
STRETCHES = 4


class _Followed:
    """Items by checkpoints (or stretches) in the span of a test, and who has all that it reads.

    ``read_at``: the places of the spans that the test reads; the others tell how far one who left
    had come.
    """

    def __init__(self, items: tuple[str, ...], spans: tuple[Span, ...], values: Floats,
                 axis: str, name: str, read_at: Sequence[int]) -> None:  # fmt: skip
        self.items, self.spans, self.values, self.axis = items, spans, values, axis
        self.name = name
        there = np.isfinite(values)
        whole = np.asarray(there[:, list(read_at)].all(axis=1), dtype=bool)
        some = np.asarray(there.any(axis=1), dtype=bool)
        self.stayed = tuple(i for i, ok in zip(items, whole, strict=True) if ok)
        #: Those in ``absent``, and those without any reading in the span, who tell nothing of it.
        self.lacking = tuple(i for i, ok in zip(items, whole, strict=True) if not ok)
        self.absent = tuple(i for i, ok, read in zip(items, whole, some, strict=True)
                            if read and not ok)  # fmt: skip
        last = np.array([np.flatnonzero(row)[-1] if row.any() else -1 for row in there])
        self.leavers = [k for k in range(len(items)) if there[k, 0] and last[k] < len(spans) - 1]
        self.last = last

    def unread(self, place: float) -> set[str]:
        """Those in ``absent`` without a reading at a checkpoint of the span."""
        (column,) = (k for k, span in enumerate(self.spans) if span == (place, place))
        gone = ~np.isfinite(self.values[:, column])
        return {i for i, no in zip(self.items, gone, strict=True) if no} & set(self.absent)


def _seen(case: Case, table: Table, names: list[str]) -> _Followed | None:
    """The readings of the last-named measure within the span; None where a test asks at one place.

    Whoever lacks another measure that the test reads at a checkpoint was not read there.
    """
    named = points(case)
    if "at" in named:
        return None
    whole = table.frame[names].notna().all(axis=1)
    frame = table.frame.assign(**{names[-1]: table.frame[names[-1]].where(whole)})
    read = replace(table, frame=frame)
    windows = [p for p in named.values() if isinstance(p, tuple)]
    if windows:
        return _between(read, names[-1], windows) if len(windows) == len(named) > 1 else None
    if table.use is None:
        return None
    cells = evidence.grid(read, names[-1])
    uses = tuple(float(u) for u in cells.uses)
    ends = [float(p) for p in named.values() if not isinstance(p, tuple)]
    low, high = (min(ends), max(ends)) if ends else (uses[0], uses[-1])
    keep = [k for k, use in enumerate(uses) if low <= use <= high]
    if len(keep) < 2:
        return None
    spans = tuple((uses[k], uses[k]) for k in keep)
    between = {"from_", "to"} <= set(named)  # a change is of what it names, and of nothing between
    read_at = [at for at, k in enumerate(keep) if not between or uses[k] in ends]
    values = cells.values[:, keep]
    return _Followed(tuple(cells.items), spans, values, table.use, names[-1], read_at)


def _between(table: Table, name: str, windows: list[tuple[float, float]]) -> _Followed | None:
    """The means in the first window, the last one and stretches between: a window has no one place,
    and whoever was there at first and not at last left somewhere on the way."""
    axis = table.order or table.use
    first, last = min(windows), max(windows)
    if axis is None or last[0] <= first[1]:
        return None
    edges = np.linspace(first[1], last[0], STRETCHES - 1)
    spans = (first, *((float(a), float(b)) for a, b in pairwise(edges)), last)
    columns = []
    for at, (low, high) in enumerate(spans):
        inner = 0 < at < len(spans) - 1
        rows = table.frame[table.frame[axis].between(low, high, inclusive="neither" if inner
                                                     else "both")]  # fmt: skip
        means = rows.groupby(rows[table.item].astype(str))[name].mean()
        columns.append(means.reindex(list(table.items)).to_numpy(dtype=float))
    values = np.stack(columns, axis=1)
    kept = [0, *(k for k in range(1, len(spans) - 1) if np.isfinite(values[:, k]).any()),
            len(spans) - 1]  # fmt: skip
    return _Followed(table.items, tuple(spans[k] for k in kept), values[:, kept], axis, name,
                     (0, len(kept) - 1))  # fmt: skip


def _carried(case: Case, table: Table, seen: _Followed) -> Table | None:
    """The table with the last reading of each one who left standing at the end, too; None for
    tests that ask about single checkpoints and not about a change from one to another."""
    named = points(case)
    # One reading alone is no change; and all of a change was done by the last reading there is.
    low, by = seen.spans[0][1], named.get("by")
    low = low if by is None else by[1] if isinstance(by, tuple) else float(by)
    left = [k for k in seen.leavers if seen.last[k] > 0 and seen.spans[int(seen.last[k])][0] > low]
    if not {"from_", "to"} <= set(named) or not left:
        return None
    frame, end = table.frame, seen.spans[-1]
    added = []
    for k in left:
        rows = frame[(frame[table.item].astype(str) == seen.items[k])
                     & frame[seen.axis].between(*seen.spans[int(seen.last[k])])]  # fmt: skip
        added.append(rows.assign(**{seen.axis: end[1]}))
    return replace(table, frame=pd.concat([frame, *added], ignore_index=True))


def _otherwise(seen: _Followed) -> tuple[str, float]:
    """Did those who left start elsewhere, or change otherwise while they were there?

    Which of the two is the plainer, and its two-sided p; p is 1 where nobody can say.
    """
    stay = [k for k, item in enumerate(seen.items) if item in set(seen.stayed)]
    if not seen.leavers or len(stay) < 3:
        return "", 1.0
    values = seen.values
    first = values[seen.leavers, 0]
    away = [("start", _apart(first, values[stay, 0]))]
    moved, theirs = [], []
    for k in seen.leavers:
        at = int(seen.last[k])
        if at > 0:
            change = values[stay, at] - values[stay, 0]
            spread = float(change.std(ddof=1))
            if spread > 0:
                moved.append((values[k, at] - values[k, 0] - float(change.mean())) / spread)
                theirs.append(len(stay))
    if moved:
        # Each in spreads of those who stayed, at the checkpoint it was last read at.
        n, k = min(theirs), len(moved)
        away.append(("change", t_p(float(np.mean(moved)) / math.sqrt(1 / k + 1 / n), n - 1)))
    return min(away, key=lambda found: found[1])


def _apart(few: Floats, many: Floats) -> float:
    """Two-sided p that ``few`` come from where ``many`` do, with the spread of the many.

    Where the many are all alike: how often those that lie apart are all of the few by luck.
    """
    spread = float(many.std(ddof=1))
    if np.ptp(many) == 0:
        apart = int((few != many[0]).sum())
        return math.comb(len(few), apart) / math.comb(len(few) + len(many), apart)
    gap = float(few.mean() - many.mean())
    return t_p(gap / spread / math.sqrt(1 / len(few) + 1 / len(many)), len(many) - 1)
