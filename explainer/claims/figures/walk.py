"""Item by item along a figure, as a person goes through a table: what each did, told by the gauge.

A step counts where it is more than two readings of one spot can differ by chance (95%); smaller
ones are none.  Where the study knows nothing of its gauge, readings are told and no step is.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from explainer.analysis.gauge import DETECT
from explainer.claims import evidence
from explainer.claims.figure_data import (
    GroupsData,
    ItemLine,
    LimitData,
    OverUseData,
    Walk,
    WalkShape,
    WalkStep,
)
from explainer.claims.gauge_sight import gauge_of
from explainer.study.model import Study, Table

#: Items that are gone through one by one; more are counted.
MOST = 12
#: A first step that makes up this share of the whole change or more is a jump.
JUMP = 0.6


def walk(study: Study, table: Table, measure: str, data: object, odd: str = "") -> Walk | None:
    """The items of a figure in turn; None for a kind of figure whose items have no turn.

    ``odd``: the item that the figure itself finds to stand apart.
    """
    cells = evidence.grid(table, measure)
    read = cells.counts[cells.counts > 0]
    each = (float(read.mean()) if len(read) else 1.0) * (table.mean_of or 1)
    u = gauge_of(study.measure(measure), table, measure, each)
    sees = DETECT * u if u else None
    steps: list[WalkStep]
    if isinstance(data, OverUseData):
        steps = [_journey(line, sees, line.item == odd) for line in data.lines if line.y]
    elif isinstance(data, GroupsData):
        values = [(item, value) for group in data.groups for item, value in group.items]
        steps = _ranked(values, sees)
    elif isinstance(data, LimitData):
        steps = [WalkStep(r.item, "call", r.value, r.value, call=r.call) for r in data.readings]
    else:
        return None
    return Walk(measure, sees, tuple(steps[:MOST]), max(0, len(steps) - MOST)) if steps else None


def _journey(line: ItemLine, sees: float | None, odd: bool) -> WalkStep:
    """One item from its first reading to its last."""
    y = np.array(line.y)
    start, end = float(y[0]), float(y[-1])
    spread = float(y.max() - y.min())
    if sees is None or len(y) < 2:
        return WalkStep(line.item, "read", start, end, rest=spread, odd=odd)
    if spread <= sees:
        return WalkStep(line.item, "flat", start, end, rest=spread, odd=odd)
    far = _away_and_back(y, sees)
    if far is not None:
        return WalkStep(line.item, "back", start, end, line.use[far], float(y[far]), odd=odd)
    jump = _jump(y, sees)
    if jump is not None:
        after = float(y[jump:].max() - y[jump:].min())
        return WalkStep(line.item, "jump", start, end, line.use[jump], float(y[jump]), rest=after,
                        odd=odd)  # fmt: skip
    shape: WalkShape = "slide" if abs(end - start) > sees else "wobble"
    return WalkStep(line.item, shape, start, end, rest=spread, odd=odd)


def _away_and_back(y: evidence.Floats, sees: float) -> int | None:
    """Where an item turned that went further than the gauge sees and came back by as much."""
    turns = [
        k for k in range(1, len(y) - 1)
        if abs(y[k] - y[0]) > sees and abs(y[-1] - y[k]) > sees
        and (y[k] - y[0]) * (y[-1] - y[k]) < 0
    ]  # fmt: skip
    return max(turns, key=lambda k: abs(y[k] - y[0]), default=None)


def _jump(y: evidence.Floats, sees: float) -> int | None:
    """The reading at which an item had jumped, with all later ones alike; None without a jump."""
    if abs(y[-1] - y[0]) <= sees:
        return None
    for k in range(1, len(y) - 1):
        step, after = y[k] - y[k - 1], y[k:]
        before = y[:k]
        level = before.max() - before.min() <= sees and after.max() - after.min() <= sees
        if abs(step) > sees and level and abs(step) >= JUMP * abs(y[-1] - y[0]):
            return k
    return None


def _ranked(values: Sequence[tuple[str, float]], sees: float | None) -> list[WalkStep]:
    """Items from the most to the least, each against the one before."""
    steps: list[WalkStep] = []
    for item, value in sorted(values, key=lambda pair: -pair[1]):
        gap = steps[-1].start - value if steps else 0.0
        shape: WalkShape = "read"
        if sees is not None and steps:
            shape = "next" if gap > sees else "close"
        steps.append(WalkStep(item, shape, value, value, gap=gap))
    return steps
