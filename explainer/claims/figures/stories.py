"""One item followed through a figure: its start, its end, against the others, held to the gauge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from explainer.analysis.drift import bends, jump, p_lag1
from explainer.analysis.rates import newcombe
from explainer.analysis.result import Undefined
from explainer.analysis.sample import Grid
from explainer.claims import evidence
from explainer.claims.figure_data import (
    GroupsData,
    ItemLine,
    ItemSeries,
    LimitData,
    OverUseData,
    Point,
    RatesData,
    ScatterData,
    ShotSeriesData,
    Walk,
    WalkShape,
    WalkStep,
    WalkSum,
)
from explainer.claims.reading_error import told_from
from explainer.study.description.figures import AnyFigure, OverUse, Rates, Scatter
from explainer.study.model import Study, Table
from explainer.study.thresholds import thresholds

#: With more items than this nobody follows one; all of them are in the table.
MOST = 40
#: Two changes as far apart as this are one and the same, worked out in another order.
HAIR = 1e-9


@dataclass(frozen=True)
class Story:
    """What one item did between its own first and last checkpoint, in the measure's unit."""

    item: str
    measure: str
    first: float
    last: float
    """Its checkpoints."""
    start: float
    end: float
    others: int
    """Other items that were read at both of its checkpoints."""
    further: int
    """Those of them that moved further the way it did; where it did not move, those that did."""
    seen: float | None
    """Smallest change that 95% calls more than the gauge's own scatter; None where the study does
    not know its gauge, or the readings were taken off a chart."""
    strayed: float | None = None
    """Its reading in between that lies farthest from where it began, where it ended there, too."""
    strayed_too: float | None = None
    """One in between that lies as far the other way."""
    against: int = 0
    """How many of the others went the other way."""

    @property
    def change(self) -> float:
        return self.end - self.start


def stories(study: Study, figure: AnyFigure) -> tuple[Story, ...]:
    """A story for each item that a figure follows through use, in the order of its table.

    None for figures that follow nobody, for crowds, and for people: nobody is singled out.
    """
    if isinstance(figure, OverUse):
        table, name = study.tables[figure.table], figure.y
    elif isinstance(figure, Scatter) and figure.joined:
        table, name = evidence.operand(study, figure.y, figure.table)
    else:
        return ()
    cells = evidence.grid(table, name)
    if isinstance(figure, Scatter):  # a trail has a dot only where both were read
        cells = _where_both(cells, evidence.grid(*evidence.operand(study, figure.x, figure.table)))
    if table.people or len(cells.uses) < 2 or not 0 < len(cells.items) <= MOST:
        return ()
    found = []
    for row, item in enumerate(cells.items):
        here = np.flatnonzero(np.isfinite(cells.values[row]))
        if len(here) < 2:
            continue
        first, last = int(here[0]), int(here[-1])
        own = float(cells.values[row, last] - cells.values[row, first])
        rest = np.delete(cells.values[:, last] - cells.values[:, first], row)
        rest = rest[np.isfinite(rest)]
        past = (
            rest > own + HAIR if own > HAIR else rest < own - HAIR if own < -HAIR
            else abs(rest) > HAIR
        )  # fmt: skip
        # A printed average is of several readings, and its gauge error is that of their mean.
        readings = float(min(cells.counts[row, first], cells.counts[row, last]))
        readings *= table.mean_of or 1
        ends = (float(cells.uses[first]), float(cells.uses[last]))
        # What one shot differs from the next by is not the gauge's doing alone.
        own_gauge = study.measure(name)
        thrown = table.order is not None and own_gauge.repeatability_sd is None
        silent = table.reading_error or thrown
        seen = None if silent else told_from(own_gauge, table, name, readings, ends)
        found.append(Story(
            str(item), name, *ends,
            float(cells.values[row, first]), float(cells.values[row, last]),
            len(rest), int(past.sum()), seen, *_strayed(cells.values[row, here]),
            against=int((rest * np.sign(own) < -HAIR).sum()),
        ))  # fmt: skip
    return tuple(found)


def _where_both(cells: Grid, beside: Grid) -> Grid:
    """``cells`` without the readings of items and checkpoints that ``beside`` lacks."""
    known = {(item, use) for row, item in enumerate(beside.items)
             for column, use in enumerate(beside.uses) if np.isfinite(beside.values[row, column])}
    kept = np.array([[(item, use) in known for use in cells.uses] for item in cells.items])
    return replace(cells, values=np.where(kept, cells.values, np.nan))


def _strayed(read: evidence.Floats) -> tuple[float | None, float | None]:
    """How far readings went in between that begin and end alike, and where they went as far the
    other way as well; None where they did not."""
    away = read - read[0]
    if abs(away[-1]) > HAIR or abs(away).max() <= HAIR:
        return None, None
    farthest = read[np.argmax(abs(away))]
    other = read[np.argmin(abs(read + farthest - 2 * read[0]))]
    return float(farthest), float(other) if abs(other + farthest - 2 * read[0]) <= HAIR else None


# Item by item along a figure, as a person goes through a table: what each did, told by the gauge.
# A step counts where it is more than two readings of one spot can differ by chance (95%); smaller
# ones are none. Where the study knows nothing of its gauge, readings are told and no step is.

#: Items that are gone through one by one; more are counted.
STEPS = 12
#: A first step that makes up this share of the whole change or more is a jump.
JUMP = 0.6
#: A drift that luck alone makes more often than this is none.
LUCK = 0.05
#: Which of two measures moved by more than its gauge blurs, x and y -> what is told.
MOVED: dict[tuple[bool, bool], WalkShape] = {
    (True, True): "both", (True, False): "across", (False, True): "upright",
    (False, False): "neither",
}  # fmt: skip


def walk(study: Study, figure: AnyFigure, data: object, odd: str = "") -> Walk | None:
    """The items of a figure in turn; None for a kind of figure whose items have no turn.

    ``odd``: the item that the figure itself finds to stand apart.
    """
    table = study.tables[figure.table]
    if isinstance(data, RatesData) and isinstance(figure, Rates):
        if len(data.pooled) < 2:  # nobody has a second condition to go to
            return None
        tried = _tried(data)
        whole = _sum_of([(s.item, s.end - s.start, s.shape != "luck") for s in tried], None)
        return _cut(Walk(figure.successes, None, tried, 0, _sides(data), whole=whole))
    if isinstance(data, ScatterData) and isinstance(figure, Scatter):
        return _cut(_two_measures(study, figure, data))
    measure = getattr(figure, "y", None)
    if not isinstance(measure, str):
        return None
    sees = gauge_sees(study, table, measure, isinstance(data, OverUseData))
    steps: list[WalkStep]
    made = Walk(measure, sees, (), 0)
    if isinstance(data, OverUseData):
        made = replace(made, whole=_journeys(data, sees))
        steps = [_journey(line, sees, line.item == odd) for line in data.lines if line.y]
    elif isinstance(data, GroupsData):
        values = [(item, value) for group in data.groups for item, value in group.items]
        steps = _ranked(values, sees)
    elif isinstance(data, LimitData):
        steps = [WalkStep(r.item, "call", r.value, r.value, call=r.call) for r in data.readings]
        made = replace(made, limits=(data.at_least, data.at_most))
    elif isinstance(data, ShotSeriesData):
        ahead = thresholds(study.description)["delta_aicc"]
        steps = [_series(one, ahead) for one in data.series if one.shots]
    else:
        return None
    return _cut(replace(made, steps=tuple(steps)))


#: Fewer than this need no sum: whoever heard them has it.
SUMMED = 3


def _sum_of(moved: Sequence[tuple[str, float, bool]], sees: float | None) -> WalkSum | None:
    """Which way items went; each with its change and whether that is more than chance."""
    if len(moved) < SUMMED:
        return None
    ups, downs = (sum(s * change > 0 for _, change, _ in moved) for s in (1, -1))
    sign = (ups > downs) - (ups < downs)
    if not sign:
        return WalkSum(len(moved), 0, ups, 0) if ups else None
    far = sorted(((sign * change, item) for item, change, _ in moved), reverse=True)
    lead = far[0][0] - far[1][0]
    return WalkSum(
        n=len(moved), sign=sign, went=max(ups, downs),
        surely=sum(sign * change > 0 and sure for _, change, sure in moved),
        against=tuple(item for item, change, _ in moved if sign * change < 0),
        furthest=far[0][1] if lead > HAIR else "", clear=sees is not None and lead > sees,
    )  # fmt: skip


def _journeys(data: OverUseData, sees: float | None) -> WalkSum | None:
    """Of items over use, read at both ends: also who was the first to move."""
    ends = (data.checkpoints[0], data.checkpoints[-1])
    both = [line for line in data.lines if line.use and (line.use[0], line.use[-1]) == ends]
    moved = [(line.item, line.y[-1] - line.y[0]) for line in both]
    known = sees is not None
    whole = _sum_of([(i, c, known and abs(c) > (sees or 0.0)) for i, c in moved], sees)
    if whole is None or not whole.sign or sees is None:
        return whole
    since = {
        line.item: min((use for use, y in zip(line.use, line.y, strict=True)
                        if whole.sign * (y - line.y[0]) > sees), default=None)
        for line in both
    }  # fmt: skip
    soonest = min((use for use in since.values() if use is not None), default=None)
    due = [use for use in data.checkpoints if soonest is not None and use <= soonest]
    if not due or any(not set(due) <= set(line.use) for line in both):
        return whole  # nobody moved, or one that was not read by then may have been before them
    first = tuple(item for item, use in since.items() if use == soonest)
    return replace(whole, first=first, first_by=soonest)


def _cut(whole: Walk) -> Walk | None:
    """No more items than somebody listens to; None of no items."""
    kept, left = whole.steps[:STEPS], max(0, len(whole.steps) - STEPS)
    return replace(whole, steps=kept, left=left) if kept else None


def gauge_sees(study: Study, table: Table, measure: str, through: bool) -> float | None:
    """The smallest difference between two values in the figure that is not reading error;
    ``through``: where they are of two checkpoints."""
    cells = evidence.grid(table, measure)
    read = cells.counts[cells.counts > 0]
    each = (float(read.mean()) if len(read) else 1.0) * (table.mean_of or 1)
    ends = table.checkpoints[:2] if through else ()
    return told_from(study.measure(measure), table, measure, each, ends)


def _sides(data: RatesData) -> tuple[str, ...]:
    return data.pooled[0].name, data.pooled[-1].name


def _tried(data: RatesData) -> tuple[WalkStep, ...]:
    """Whoever repeats, under the first condition and the last: what the luck of tries leaves."""
    steps = []
    for who, rates in data.within:
        a, b = rates[0], rates[-1]
        gap = newcombe(b.successes, b.attempts, a.successes, a.attempts)
        if isinstance(gap, Undefined):
            continue
        shape: WalkShape = "luck"
        if gap.at95.low > 0 or gap.at95.high < 0:
            shape = "raised" if gap.value > 0 else "lowered"
        tries = ((a.successes, a.attempts), (b.successes, b.attempts))
        steps.append(WalkStep(who, shape, a.rate, b.rate, tries=tries))
    return tuple(steps)


def _series(one: ItemSeries, ahead: float) -> WalkStep:
    """An item's shots in order: a direction counts where their own scatter leaves it standing, and
    is no drift where one jump fits better by ``ahead`` (AICc)."""
    y = np.array([shot.y for shot in one.shots])
    x = np.array([shot.order for shot in one.shots])
    leap = jump([(x, y)])
    if leap is not None and leap.ahead >= ahead and not bends([(x, y)], [leap.at]):
        late = x >= leap.at
        before, after = float(y[~late].mean()), float(y[late].mean())
        # Neighbors are alike about the two levels, or not: about one line they always are.
        p = p_lag1(y, x, np.where(late, after, before))
        if p is not None and p < LUCK:
            return WalkStep(one.item, "leap", before, after, p=p, ahead=leap.ahead)
    p = p_lag1(y, x)
    if one.slope is None or one.intercept is None or p is None:
        return WalkStep(one.item, "wander", one.median, one.median, p=p)
    start, end = (one.intercept + one.slope * at for at in (float(x[0]), float(x[-1])))
    drifts = p < LUCK and start != end
    return WalkStep(one.item, "drift" if drifts else "wander", start, end, p=p)


def _two_measures(study: Study, figure: Scatter, data: ScatterData) -> Walk:
    """Where each item of two measures stands, or came from and went to, the lowest x first."""
    (of_x, x), (of_y, y) = (evidence.operand(study, g, figure.table) for g in (figure.x, figure.y))
    sees_x, sees_y = (gauge_sees(study, table, name, data.joined)
                      for table, name in ((of_x, x), (of_y, y)))  # fmt: skip
    journeys: dict[str, list[Point]] = {}
    for point in data.points if data.joined else data.item_means:
        journeys.setdefault(point.item, []).append(point)
    steps = []
    for item, points in journeys.items():
        points.sort(key=lambda p: (p.use is None, p.use or 0.0))
        first, last = points[0], points[-1]
        shape: WalkShape = "point"
        if len(points) > 1 and sees_x is not None and sees_y is not None:
            moved = (abs(last.x - first.x) > sees_x, abs(last.y - first.y) > sees_y)
            shape = MOVED[moved]
        steps.append(WalkStep(item, shape, first.y, last.y, across=(first.x, last.x)))
    if not data.joined:
        steps.sort(key=lambda s: s.across or ())
    return Walk(y, sees_y, tuple(steps), 0, across=x, sees_across=sees_x)


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
