"""``shot-series``: every shot in order, each item's median and robust slope, flags, both ends."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from explainer.analysis import drift
from explainer.analysis.drift import flag, many_flagged
from explainer.claims.figure_data import ItemSeries, OneShot, ShotSeriesData
from explainer.claims.figures.common import ends, groups_of, number_rows
from explainer.claims.trend import series_of
from explainer.claims.verdict import FigureResult, Finding, NumbersTable, Verdict
from explainer.study.description.figures import ShotSeries
from explainer.study.model import Study
from explainer.study.thresholds import thresholds

MOST_RUNS = 60
"""So many averages of one item can still be told apart."""


def picture(study: Study, figure: ShotSeries, verdicts: Sequence[Verdict]) -> FigureResult:
    """Each item's series and what it shows."""
    table = study.tables[figure.table]
    over = figure.order or table.order or table.use or ""
    groups = groups_of(table, None)
    limits = thresholds(study.description)
    step = study.measure(figure.y).resolution
    all_series = series_of(table, over, figure.y)
    run = _run(figure, [len(y) for _, _, y in all_series])
    series = tuple(
        _series(item, groups.get(item, ""), x, y, flag(
            y, step, along=x, robust_sds=limits["outlier_k"]
        ), figure, run)
        for item, x, y in all_series
    )  # fmt: skip
    data = ShotSeriesData(series, figure.first, figure.last, over, run)
    rows = [
        (s.item, shot.order, shot.y, "yes" if shot.flagged else "")
        for s in series
        for shot in s.shots
    ]
    columns = (table.item, over, figure.y, "stands apart")
    return FigureResult(
        figure,
        data,
        tuple(_findings(data, limits["many_flagged"])),
        NumbersTable(columns, ("", "", study.measure(figure.y).unit, ""), number_rows(rows)),
        len(series),
        int(table.frame[figure.y].notna().sum()),
    )


def _series(
    item: str, group: str, x: np.ndarray, y: np.ndarray, marks: np.ndarray, figure: ShotSeries,
    run: int,
) -> ItemSeries:  # fmt: skip
    line = drift.theil_sen(x, y)
    slope = line.slope if isinstance(line, drift.SenSlope) else None
    return ItemSeries(
        item=item,
        group=group,
        shots=tuple(
            OneShot(float(a), float(b), bool(m)) for a, b, m in zip(x, y, marks, strict=True)
        ),
        median=float(np.median(y)),
        slope=slope,
        intercept=None if slope is None else float(np.median(y - slope * x)),
        first_mean=float(y[: figure.first].mean()) if figure.first else None,
        last_mean=float(y[-figure.last :].mean()) if figure.last else None,
        runs=_runs(x, y, run, figure),
    )


def _run(figure: ShotSeries, lengths: Sequence[int]) -> int:
    """So many shots as the ends compared have, or ten, or five: two averages or more for each.

    Of long series ten times as many, and again, until nobody has more than can be told apart.
    """
    wanted = [figure.first or 0, 10, 5]
    run = next((size for size in wanted if size and min(lengths, default=0) >= 2 * size), 0)
    while run and max(lengths) > MOST_RUNS * run and min(lengths) >= 20 * run:
        run *= 10
    return run


def _runs(
    x: np.ndarray, y: np.ndarray, run: int, figure: ShotSeries
) -> tuple[tuple[float, float, float], ...]:
    """Averages of ``run`` shots in a row between the ends compared; a rest too short is left."""
    if not run:
        return ()
    stop = len(y) - (figure.last or 0)
    starts = range(figure.first or 0, stop - run + 1, run)
    return tuple(
        (float(x[i]), float(x[i + run - 1]), float(y[i : i + run].mean())) for i in starts
    )


def _findings(data: ShotSeriesData, mixture_from: float) -> list[Finding]:
    found: list[Finding] = []
    slopes = [s.slope for s in data.series if s.slope is not None]
    over = drift.trend_over_items(slopes)
    if slopes:
        low, high = ends(over)
        found.append(Finding("drift", {
            "slope": float(np.mean(slopes)), "low": low, "high": high, "n_items": len(slopes),
            "n_up": sum(s > 0 for s in slopes), "n_down": sum(s < 0 for s in slopes),
        }))  # fmt: skip
    flagged = [(s.item, shot) for s in data.series for shot in s.shots if shot.flagged]
    marks = np.array([shot.flagged for s in data.series for shot in s.shots])
    if flagged:
        found.append(Finding("flagged", {
            "count": len(flagged), "of": int(marks.size),
            "names": ", ".join(f"{i} {shot.order:g}" for i, shot in flagged[:5]),
            "mixture": int(many_flagged(marks, mixture_from)),
        }, (flagged[0][1].order, flagged[0][1].y)))  # fmt: skip
    differences = [
        s.last_mean - s.first_mean
        for s in data.series
        if s.first_mean is not None and s.last_mean is not None
    ]
    if differences:
        found.append(Finding("first-last", {
            "first": data.first, "last": data.last, "change": float(np.mean(differences)),
            "n_items": len(differences),
        }))  # fmt: skip
    return found
