"""How far what was read is from what was drawn, as a share of the axis."""

from __future__ import annotations

import math
from typing import Any

from explainer.lift.charts import ReadChart
from explainer.lift.written import chart_axes

from makers import SHAPES  # isort: skip


def axis_span(chart: ReadChart, side: str) -> tuple[str, float, float]:
    from dataclasses import asdict

    said = chart_axes(asdict(chart))[side]
    return said["scale"], said["low"], said["high"]


def share(chart: ReadChart, side: str, read: float, true: float) -> float:
    """An error as a share of the axis' length on paper."""
    scale, low, high = axis_span(chart, side)
    if scale == "log":
        read, true, low, high = (math.log10(v) for v in (read, true, low, high))
    return abs(read - true) / abs(high - low)


def errors_of(chart: ReadChart, shape: str) -> list[float]:
    """The error of every mark of the truth, the larger of x and y; inf for one not read."""
    truth = SHAPES[shape]
    found: list[float] = []
    by_name = {s.name: s for s in chart.series}
    for name, rows in truth.items():
        series = by_name.get(name) or (chart.series[0] if len(truth) == 1 else None)
        if series is None:
            found += [math.inf] * len(rows)
            continue
        for row in rows:
            found.append(min((_off(chart, point, row) for point in series.points),
                             default=math.inf))  # fmt: skip
    return found


def _off(chart: ReadChart, point: Any, row: tuple[Any, ...]) -> float:
    off = [share(chart, "y", point.y, row[1])]
    if isinstance(row[0], str):
        if point.x != row[0]:
            return math.inf
    else:
        off.append(share(chart, "x", point.x, row[0]))
    if len(row) > 2:
        if point.low is None:
            return math.inf
        off += [share(chart, "y", point.low, row[1] - row[2]),
                share(chart, "y", point.high, row[1] + row[2])]  # fmt: skip
    return max(off)
