"""Do x and y contain one another?  Then they are tied before anybody measures anything.

A change against its own start, a total against its part, two ratios with one denominator: chance
readings alone give such pairs a correlation (Pearson 1897, Proceedings of the Royal Society 60,
489; Kronmal 1993, Journal of the Royal Statistical Society A 156, 379).  For a change against its
own start there is a sound neighbor: the change against the mean of both readings (Oldham 1962,
Journal of Chronic Diseases 15, 969).

What is shared is read off how measures are derived, and off the numbers themselves, since a column
worked out in a spreadsheet does not say so.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations
from typing import Literal

import numpy as np

from explainer.analysis.association import pearson
from explainer.analysis.result import Estimate
from explainer.claims import evidence
from explainer.claims.evidence import Side
from explainer.study.description.sources import Derived
from explainer.study.model import Study

Others = list[tuple[Side, evidence.Floats]]

#: Numbers this close, in standard deviations of what they should equal, are the same but for
#: rounding; and so few items may agree by chance.
ROUNDED, FEWEST = 0.01, 4


@dataclass(frozen=True)
class SharedPart:
    """What ties x to y, and for a change and its start the two readings it is made of."""

    kind: Literal["start", "denominator", "part"]
    after: Side | None = None
    before: Side | None = None
    """One is x or y itself, the other the difference's other end."""


def shared_part(
    study: Study, x: Side, y: Side, point: evidence.Checkpoint | None = None
) -> SharedPart | None:
    """What x and y have in common, or None: by derivation first, then by their numbers."""
    return _derived(study, x, y) or _by_numbers(study, x, y, point)


def oldham(shared: SharedPart, point: evidence.Checkpoint | None) -> Estimate | None:
    """r of the change with the mean of both readings, over items; None where there is none.

    Without a common part: with equal error in both readings, their sum and difference are
    uncorrelated by chance alone.
    """
    if shared.after is None or shared.before is None:
        return None
    pairs = evidence.pairs_of_items(shared.after, shared.before, point)
    r = pearson(pairs.x - pairs.y, (pairs.x + pairs.y) / 2)
    return r if isinstance(r, Estimate) else None


def _derived(study: Study, x: Side, y: Side) -> SharedPart | None:
    for (_, one), (table, other) in ((x, y), (y, x)):
        how = study.measure(other).derived
        if how is not None and how.difference is not None and one in how.difference:
            first, second = how.difference
            return SharedPart("start", (table, first), (table, second))
        if how is not None and how.ratio is not None and one in how.ratio:
            return SharedPart("part")
    ours, theirs = study.measure(x[1]).derived, study.measure(y[1]).derived
    if ours is None or theirs is None or x[0] is not y[0]:
        return None
    if ours.ratio is not None and theirs.ratio is not None and ours.ratio[1] == theirs.ratio[1]:
        return SharedPart("denominator")
    if set(_ends(ours)) & set(_ends(theirs)):
        return SharedPart("part")
    return SharedPart("part") if _of_one_path(ours, theirs) else None


def _ends(how: Derived) -> tuple[str, ...]:
    return how.difference or how.ratio or ()


def _of_one_path(ours: Derived, theirs: Derived) -> bool:
    """A path's total hook ends on a board of the same path."""
    kinds = {ours.what, theirs.what}
    return ours.path is not None and ours.path == theirs.path and kinds == {
        "total hook", "board at"}  # fmt: skip


def _by_numbers(
    study: Study, x: Side, y: Side, point: evidence.Checkpoint | None
) -> SharedPart | None:
    """Columns that are sums, differences or quotients of one another in every item."""
    pairs = evidence.pairs_of_items(x, y, point)
    if len(pairs.x) < FEWEST:
        return None
    others: list[tuple[Side, evidence.Floats]] = []
    mine = [t.name for t in (x[0], y[0])]
    others_too = [t.name for t in study.tables.values()
                  if t.item == x[0].item and t.mean_of is None]  # fmt: skip
    for table in dict.fromkeys((*mine, *others_too)):
        sheet = study.tables.get(table)
        for name in sheet.measures if sheet is not None else ():
            if sheet is None or (table, name) in ((x[0].name, x[1]), (y[0].name, y[1])):
                continue
            known = evidence.at(sheet, name, point if sheet.use else None).as_dict()
            if set(pairs.items.tolist()) <= set(known):
                column = np.array([known[i] for i in pairs.items])
                others.append(((sheet, name), column))
    return _sums(x, y, pairs, others) or _quotients(pairs, others)


def _sums(
    x: Side, y: Side, pairs: evidence.Pairs, others: Others
) -> SharedPart | None:
    """A difference, or a total.

    y = x + z is the same sum whether y is the total of two parts or x is the change that led from
    z to y.  Where none of the three is ever below 0 it is taken for a total, which is the safer.
    """
    for side, z in others:
        if min(float(v.min()) for v in (pairs.x, pairs.y, z)) >= 0 and (
            _same(pairs.y, pairs.x + z) or _same(pairs.x, pairs.y + z)
        ):
            return SharedPart("part")
        for one, mine, theirs in ((x, pairs.x, pairs.y), (y, pairs.y, pairs.x)):
            if _same(theirs, z - mine):
                return SharedPart("start", side, one)
            if _same(theirs, mine - z):
                return SharedPart("start", one, side)
    return None


def _quotients(pairs: evidence.Pairs, others: Others) -> SharedPart | None:
    columns = [column for _, column in others]
    for z in columns:
        x, y = pairs.x, pairs.y
        if _same(x * z, y) or _same(y * z, x) or _same(x * y, z):
            return SharedPart("part")
    for c, a in permutations(columns, 2):
        if _same(pairs.x * c, a) and any(_same(pairs.y * c, b) for b in columns if b is not a):
            return SharedPart("denominator")
    return None


def _same(one: evidence.Floats, other: evidence.Floats) -> bool:
    """Equal in every item but for rounding; a column without spread is like any other."""
    spread = float(np.std(other))
    return spread > 0 and bool(np.max(np.abs(one - other)) <= ROUNDED * spread)
