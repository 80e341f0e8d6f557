"""Read over unequal stretches: what is compared is a mean over use, and use alone sets it apart.

Where one group was read up to sixty games and another up to ten, or one was thrown sixty times and
another twelve, their means differ by wear even if they are alike at every game (a comparison over
different ranges of a covariate that matters; Cochran 1965, Journal of the Royal Statistical Society
A 128, 234, from memory).  So the claim is judged again over the stretch that all of them share.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from explainer.claims import rules
from explainer.claims.build import Case
from explainer.claims.design import turns
from explainer.claims.design.found import Found, judged_with, range_shown, read_by
from explainer.claims.evidence import label, labels
from explainer.claims.verdict import Code, Verdict
from explainer.study.model import Table

#: Kinds that set sides by side what items read on average.
SIDES = frozenset({"difference", "no-difference", "no-worse", "ranking", "spread", "steps"})
#: Kinds that set items side by side; over checkpoints they hold them to shared ones themselves.
LINKS = frozenset({"association", "no-association"})


def look(case: Case, verdict: Verdict) -> Found | None:
    """``unequal-use``: over the stretch that all share the verdict is another one.

    What is open has no verdict to lose; that its averages are of other stretches is told all the
    same, with what the shared one gives where that leaves it as open.
    """
    test, read = case.test, list(read_by(case))
    answered = verdict.code in ("backed", "leans", "against")
    if not read or not (answered or test.kind in SIDES):
        return None
    table, names = read[0][0], [name for _, name in read]
    axis = _axis(case, table)
    if axis is None or any(t is not table for t, _ in read):
        return None
    if axis == table.order and turns.in_turn(case, table, names[0]):
        return None  # not one stretch each, but both in turn: that look counts each order once
    rows = _rows(case, table, names, axis, compared_alone=not answered)
    who = [rows[table.item].astype(str)]
    if test.kind in SIDES:
        who.append(_sides(case, table).reindex(rows.index))
    stretch = rows[axis].groupby(who, observed=True)
    one_side = not answered and who[1].nunique() < 2  # and no average on the other
    if len(stretch) < 2 or one_side or _alike(stretch, rows[axis]):
        return None
    shared = _shared(table, axis, rows[axis], stretch)
    if shared is None and answered:
        same = axis == table.use and _at_each(case, table, rows) == {verdict.code}
        code = verdict.code if same else rules.demoted(verdict.code)
        return Found(code, ("unequal-use",) if code != verdict.code else (), {"unequal": True})
    again = _again(case, table, axis, shared) if shared else None
    if again is None or not (answered or again.code == verdict.code):
        return Found(verdict.code, (), {"unequal": True})
    code = rules.between(verdict.code, again.code)
    low, high = range_shown(again, verdict)
    known = {
        "unequal": True, "unequal_from": float(min(shared or ())),
        "unequal_to": float(max(shared or ())),
        "unequal_estimate": again.estimate, "unequal_low": low, "unequal_high": high,
    }  # fmt: skip
    alone = {"unequal_own": verdict.code, "unequal_code": again.code}
    return Found(code, ("unequal-use",) if code != verdict.code else (), known, alone=alone)


def _rows(
    case: Case, table: Table, names: list[str], axis: str, *, compared_alone: bool
) -> pd.DataFrame:
    """The rows that are read, in the window that is asked for; of the two compared, or of all."""
    rows = table.frame[table.frame[names].notna().all(axis=1) & table.frame[axis].notna()]
    at, a, b = (getattr(case.test, name, None) for name in ("at", "a", "b"))
    if isinstance(at, tuple):
        rows = rows[rows[axis].between(*at)]
    if compared_alone and a is not None and b is not None:
        sides = _sides(case, table).reindex(rows.index)
        rows = rows[sides.isin([label(a), label(b)])]
    return rows


def _again(case: Case, table: Table, axis: str, shared: list[float]) -> Verdict:
    """The claim judged over the stretch that all share."""
    keep = table.frame[axis].isin(shared)
    uses = tuple(c for c in table.checkpoints if c in set(shared)) if axis == table.use else (
        table.checkpoints)
    return judged_with(
        case, {table.name: replace(table, frame=table.frame[keep], checkpoints=uses)})


def _at_each(case: Case, table: Table, rows: pd.DataFrame) -> set[Code]:
    """The verdicts at each checkpoint alone; none where one of the items is in none of them."""
    sides = _sides(case, table)
    frames = {use: rows[rows[table.use] == use] for use in table.checkpoints}
    two = {use: f for use, f in frames.items() if sides.reindex(f.index).nunique() > 1}
    seen = {item for f in two.values() for item in f[table.item].astype(str)}
    if seen < set(rows[table.item].unique().astype(str)):
        return set()
    return {judged_with(case, {table.name: replace(table, frame=f, checkpoints=(use,))}).code
            for use, f in two.items()}  # fmt: skip


def by_design(case: Case, table: Table, names: list[str], left: set[str]) -> bool:
    """All of one side of a comparison were read over a shorter stretch than the other: the study
    was made so, nobody left, and this look has held them to what they share."""
    axis = _axis(case, table)
    if axis is None or case.test.kind not in SIDES:
        return False
    rows = table.frame[table.frame[names].notna().all(axis=1)]
    items, sides = rows[table.item].astype(str), _sides(case, table).reindex(rows.index)
    short = [set(items[sides == side]) for side in sides.unique()]
    return any(side <= left for side in short) and all(
        side <= left or not side & left for side in short)


def _axis(case: Case, table: Table) -> str | None:
    """What a mean is taken over: checkpoints, else what orders the rows; None for no mean over it.

    At one checkpoint it is the rows in order, and so for links, which see to checkpoints.
    """
    test, at = case.test, getattr(case.test, "at", None)
    if test.kind not in SIDES | LINKS or getattr(test, "within", None) is True:
        return None
    by = getattr(test, "by", None)
    if test.kind in SIDES and (by is None or by == table.use):
        return None
    axis = table.order if isinstance(at, tuple) else None
    if axis is None and (at is None or isinstance(at, tuple)) and test.kind in SIDES:
        axis = table.use
    axis = axis or (table.order if at is None and table.use is None else None)
    return axis if axis in table.frame and axis != by else None


def _sides(case: Case, table: Table) -> pd.Series[str]:
    """The side of each row by the column a test compares."""
    column = getattr(case.test, "by", "")
    return labels(table.frame[column]).astype(str)


def _alike(stretch: pd.api.typing.SeriesGroupBy[Any, Any], values: pd.Series[float]) -> bool:
    """All were read over the same stretch, but for a step of it at either end."""
    ends = stretch.agg(["min", "max"])
    levels = np.unique(values.to_numpy(dtype=float))
    if len(levels) < 3:
        return bool((ends.nunique() == 1).all())
    at = {side: np.searchsorted(levels, ends[side].to_numpy(dtype=float)) for side in ends}
    # Conditions in turn (odd and even numbers) start and end as many steps apart as there are.
    return all(int(np.ptp(place)) <= max(1, len(levels) // 20) for place in at.values())


def _shared(
    table: Table, axis: str, values: pd.Series[float],
    stretch: pd.api.typing.SeriesGroupBy[Any, Any],
) -> list[float] | None:  # fmt: skip
    """The levels that all share: the same checkpoints, or a stretch of a series; None without."""
    if axis == table.use:
        seen = [set(level.tolist()) for _, level in stretch]
        common = sorted(set.intersection(*seen))
    else:
        ends = stretch.agg(["min", "max"])
        low, high = float(ends["min"].max()), float(ends["max"].min())
        common = sorted({float(v) for v in values if low <= v <= high})
    return common or None
