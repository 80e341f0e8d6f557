"""``trend``: a drift over a numbered series, item by item, then over items."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from explainer.analysis import drift, drift as stats
from explainer.analysis.drift import flag
from explainer.analysis.result import LEVELS, Estimate, Interval, Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import (
    Case,
    Story,
    nothing_to_test,
    settled,
    table_for,
    undefined,
    unsettled,
)
from explainer.claims.change import change_power
from explainer.claims.detail import Detail, published
from explainer.claims.reading_error import in_drift
from explainer.claims.verdict import Code, Strip, Verdict
from explainer.study.description.tests import Trend
from explainer.study.model import Table


@dataclass(frozen=True, kw_only=True)
class TrendDetail(Detail):
    over: str = ""
    measure: str = ""
    mixture: bool = False
    n_up: int = 0
    n_down: int = 0
    about: float | None = None
    """About how much a step the claim says."""
    uneven_groups: bool = False
    """Some groups have more items than others here, where each item counts once all the same."""
    single: str | None = None
    """The item of a single series, which speaks for itself only."""
    even_change: float | None = None
    """What the items' own slopes come to from first reading to last, on average, where the
    readings did surely something else: ``ends_change``."""
    ends_change: float | None = None
    without_flagged: float | None = None
    without_flagged_code: str = ""
    slope: float | None = published("Slope", "slope")
    mann_kendall_p: float | None = published("p of the rank trend (Mann and Kendall)", "p")
    p_lag1: float | None = published(
        "p of the trend, with a lean of each reading on the last allowed for", "p"
    )


Series = tuple[str, evidence.Floats, evidence.Floats]
#: By what share of the larger an even way and the way that was gone differ, to be told.
UNEVEN = 1 / 3
#: Readings of each of several items on either side of a jump that they share, at the least.
SHARED_SIDE = 2


def judge(case: Case) -> Verdict:
    """Theil–Sen slope per item, t over items; a single series by Mann–Kendall with lag-1."""
    test = case.test
    assert isinstance(test, Trend)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    unit = f"{measure.unit} per {_step(table, test.over)}"
    if nothing := nothing_to_test(case, table, unit):
        return nothing
    series = series_of(table, test.over, test.measure)
    detail: Story = {"over": test.over, "measure": test.measure}
    _flags(series, measure.resolution, case, detail)
    detail |= {"at_least": test.at_least, "about": test.about}
    side = rules.SIDE[test.direction]
    if len(series) == 1:
        return _one_series(case, series[0], side, unit, table, detail)
    slopes = stats.item_slopes([(x, y) for _, x, y in series])
    kept = [(s[0], v) for s, v in zip(series, slopes, strict=True) if v is not None]
    n_rows = _rows_of(table, test, [name for name, _ in kept])
    values = np.array([v for _, v in kept])
    groups = evidence.groups_of(case.study, [table], [name for name, _ in kept])
    detail |= {"n_up": int((values > 0).sum()), "n_down": int((values < 0).sum()),
               "uneven_groups": evidence.uneven(groups)}  # fmt: skip
    result = in_drift(stats.trend_over_items(slopes), table, test.measure, test.over)
    detail |= _uneven_way(series, slopes)
    if isinstance(result, Undefined):
        return undefined(case, result, unit=unit, n_rows=n_rows, table=table.name, detail=detail)
    code = verdict_of(case, result)
    reasons = ["mixture"] if detail.get("mixture") else []
    code = _without_flagged(code, series, measure.resolution, case, detail)
    code = _drift_beside_jump(code, series, case, reasons, detail)
    each = [float(np.delete(values, i).mean()) for i in range(len(values))]
    fragile, which = rules.carried(
        code, result.value, each, case.limits["fragile_halving"], side, test.at_least
    )
    if fragile:
        reasons.append("fragile")
        detail |= {"fragile_item": kept[which][0], "fragile_without": each[which]}
        code = rules.unseated(code)
    if code == "cannot-tell" and len(values) <= 3:
        reasons.append("too-few-items")
    zone = zone_of(case)
    if zone is not None and rules.narrow(result, zone):
        reasons.append("narrow-zone")
    shown = result.at95 if zone is None else result.at90
    verdict = settled(
        case, code, result,
        unit=unit, n_rows=n_rows, table=table.name, reasons=reasons,
        strip=slope_strip(case, result.value, shown.low, shown.high, unit),
        power=change_power(values, test.at_least, unit, case.limits), level=shown.level,
        detail={**detail, "slope": result.value,
                "p_line": rules.p_of_size(result, side, test.at_least)},
    )  # fmt: skip
    # "About" is shown by a range inside a zone, which no p against nothing speaks for.
    return verdict if zone is None else replace(verdict, p=None)


def zone_of(case: Case) -> tuple[float, float] | None:
    """Where the slope of a claim of "about so much" has to lie; None for other claims."""
    test = case.test
    assert isinstance(test, Trend)
    if test.about is None:
        return None
    ends = (case.limits[key] * test.about for key in ("plateau_low", "plateau_high"))
    low, high = sorted(rules.SIDE[test.direction] * end for end in ends)
    return low, high


def verdict_of(case: Case, e: Estimate) -> Code:
    """What the range alone says: of a way, of a size at least, or of about a size."""
    test, zone = case.test, zone_of(case)
    assert isinstance(test, Trend)
    if zone is not None:
        return rules.in_zone(e, zone)
    return rules.directed(e, rules.SIDE[test.direction], test.at_least, None)


def series_of(table: Table, over: str, measure: str) -> list[Series]:
    """Each item's readings in order; several at one place in the series are averaged."""
    frame = table.frame[[table.item, over, measure]].dropna()
    means = frame.groupby([table.item, over], sort=True, observed=True)[measure].mean()
    return [
        (
            item,
            means.loc[item].index.to_numpy(dtype=float),
            means.loc[item].to_numpy(dtype=float),
        )
        for item in table.items
        if item in means.index.get_level_values(0)
    ]


def _uneven_way(series: list[Series], slopes: Sequence[float | None]) -> Story:
    """What even slopes come to beside what the readings did from first to last, in the measure's
    unit, where the two surely differ (95%, item by item) and by more than a third of the larger.

    A drift that was over after ten games has a rank slope all the same, which nobody would find
    who followed one ball from end to end.
    """
    sloped = [(s, x, y) for (_, x, y), s in zip(series, slopes, strict=True) if s is not None]
    if len({x[-1] - x[0] for _, x, _ in sloped}) != 1:  # no one stretch that the slope is told for
        return {}
    ways = np.array([(s * (x[-1] - x[0]), y[-1] - y[0]) for s, x, y in sloped])
    apart = stats.trend_over_items(ways[:, 0] - ways[:, 1])
    if isinstance(apart, Undefined) or apart.at95.low <= 0 <= apart.at95.high:
        return {}
    even, ends = (float(v) for v in ways.mean(axis=0))
    if abs(even - ends) <= UNEVEN * max(abs(even), abs(ends)):
        return {}
    return {"even_change": even, "ends_change": ends}


def _rows_of(table: Table, test: Trend, items: list[str]) -> int:
    """The rows behind ``items``: one read at a single place has no slope, and its row no part."""
    frame = table.frame[[table.item, test.over, test.measure]].dropna()
    return int(frame[table.item].isin(items).sum())


def _step(table: Table, over: str) -> str:
    return table.use_unit if over == table.use and table.use_unit else over


def _flags(series: list[Series], step: float | None, case: Case, detail: Story) -> None:
    """Names flagged readings; more than a tenth of them is a mixture, not outliers."""
    named: list[str] = []
    total = 0
    for item, x, y in series:
        marks = flag(y, step, along=x, robust_sds=case.limits["outlier_k"])
        total += len(y)
        named += [f"{item} {x[i]:g}" for i in np.flatnonzero(marks)]
    detail["flagged"] = named
    detail["mixture"] = total > 0 and len(named) / total > case.limits["many_flagged"]


def _without_flagged(
    code: Code,
    series: list[Series],
    step: float | None,
    case: Case,
    detail: Story,
) -> Code:
    """The verdict again without the flagged readings: if it changes, it is not settled."""
    if not detail["flagged"]:
        return code
    kept = []
    for _, x, y in series:
        fine = ~flag(y, step, along=x, robust_sds=case.limits["outlier_k"])
        kept.append((x[fine], y[fine]))
    again = stats.trend_over_items(stats.item_slopes(kept))
    if isinstance(again, Undefined):
        return code
    other = verdict_of(case, again)
    detail |= {"without_flagged": again.value, "without_flagged_code": other}
    if other != code and code in ("backed", "against"):
        detail["flags_decide"] = True
        return "cannot-tell"
    return code


def _drift_beside_jump(
    code: Code,
    series: list[Series],
    case: Case,
    reasons: list[str],
    detail: Story,
) -> Code:
    """``step``: where one jump fits better than a line, is there still a drift on its two sides?

    A rank slope rises over a jump as over a drift, at one place or at another in each item.  Only
    what is left once each side of the jump has its own level can be a drift.  A curve that fades is
    no jump.
    """
    if code not in ("backed", "leans", "against"):
        return code
    curves = [(x, y) for _, x, y in series]
    # A level that several items share shows in fewer readings of each.
    found = drift.jump(curves, drift.SIDE if len(series) == 1 else SHARED_SIDE)
    places: Sequence[float] = ()
    if found is not None and found.ahead >= case.limits["delta_aicc"]:
        places = [found.at] * len(series)
    elif len(series) > 1:
        own = drift.own_jumps(curves)
        places = own.at if own is not None and own.ahead >= case.limits["delta_aicc"] else ()
    if not places or drift.bends(curves, places):
        return code
    beside = [drift.slope_beside(x, y, at) for (x, y), at in zip(curves, places, strict=True)]
    left = stats.trend_over_items(beside) if len(series) > 1 else None
    again: Code = "cannot-tell"
    if isinstance(left, Estimate):
        again = verdict_of(case, left)
    if again == code:
        return code
    reasons.append("step")
    detail["step_at"] = places[0] if len(set(places)) == 1 else None
    return "leans" if {code, again} == {"backed", "leans"} else "cannot-tell"


def _one_series(
    case: Case, series: Series, side: int, unit: str, table: Table, detail: Story
) -> Verdict:
    """One item is one item: its own series can be described, and judged only as itself."""
    item, x, y = series
    # Sen's range counts every reading for itself; neighbors that are alike count for less.
    crowded = stats.crowding(y, x) or 1.0
    line, test = stats.theil_sen(x, y, widened=crowded), stats.mann_kendall(y)
    if isinstance(line, Undefined) or isinstance(test, Undefined):
        why = line if isinstance(line, Undefined) else test
        assert isinstance(why, Undefined)
        return undefined(case, why, unit=unit, n_rows=len(y), table=table.name, detail=detail)
    p_lag1 = stats.p_lag1(y, x)
    above, below = line.low is None or line.low <= 0, line.high is None or line.high >= 0
    code = _way_of_one(test, p_lag1, side, not (above and below))
    sized = detail["at_least"] is not None or detail["about"] is not None
    if sized:
        ranged = _ranges_of_one(x, y, crowded)
        code = "cannot-tell" if ranged is None else verdict_of(case, ranged)
    reasons = ["too-few-items", *(["mixture"] if detail["mixture"] else [])]
    code = _drift_beside_jump(code, [series], case, reasons, detail)
    level = 0.95 if detail["about"] is None else 0.90
    if level != 0.95:
        line = stats.theil_sen(x, y, level, widened=crowded)
        assert not isinstance(line, Undefined)
    verdict = unsettled(
        case, code, reasons,
        unit=unit, n_items=1, n_rows=len(y), method="Theil–Sen slope, Mann–Kendall test",
        estimate=line.slope, table=table.name,
        detail={**detail, "single": item, "slope": line.slope, "mann_kendall_p": test.p,
                "p_lag1": p_lag1},
        strip=replace(slope_strip(case, line.slope, line.low, line.high, unit), level=level),
    )  # fmt: skip
    return replace(verdict, low=line.low, high=line.high, level=level,
                   p=None if sized else p_lag1)  # fmt: skip


def _way_of_one(
    test: stats.MannKendall, p_lag1: float | None, side: int, clear: bool
) -> Code:
    """Which way one series goes, by the rank test and again with its neighbors allowed for.

    ``clear``: Sen's range leaves 0 out.  Readings in coarse steps can bring it to end right
    there though the ranks are plain, and what fits "no slope at all" is not settled.
    """
    way = 1 if test.z > 0 else -1
    if clear and test.p < 0.05 and p_lag1 is not None and p_lag1 < 0.05:
        return "backed" if side in (0, way) else "against"
    return "leans" if p_lag1 is not None and p_lag1 < 0.2 and side in (0, way) else "cannot-tell"


def _ranges_of_one(
    x: evidence.Floats, y: evidence.Floats, crowded: float
) -> Estimate | None:
    """Sen's ranges of one series at every level; None where one of them has an open end."""
    found = [(stats.theil_sen(x, y, level, crowded), level) for level in LEVELS]
    ends = [(f.slope, Interval(f.low, f.high, level)) for f, level in found
            if not isinstance(f, Undefined) and f.low is not None and f.high is not None]
    if len(ends) < len(LEVELS):
        return None
    at95, at90, at80 = (interval for _, interval in ends)
    return Estimate(ends[0][0], at95, at90, at80, None, 1, "Theil–Sen slope")


def slope_strip(
    case: Case, value: float, low: float | None, high: float | None, unit: str
) -> Strip:
    """A drift on its number line, and where the claim needs it."""
    test = case.test
    assert isinstance(test, Trend)
    side, size = rules.SIDE[test.direction], test.at_least or 0.0
    zone: tuple[float | None, float | None] | None = zone_of(case)
    if zone is None and side:
        zone = (size, None) if side > 0 else (None, -size)
    table = case.study.table_of(test.measure, test.table)
    return Strip(value, low, high, zone, None, 0.0, unit, "falling", "rising",
                 beyond=None if side else size, seen=evidence.seen_span(table, test.over))
