"""``ball-paths``: mean paths down the lane with bands that hold at every distance at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from explainer.analysis import pathcurves
from explainer.analysis.result import Undefined
from explainer.claims.figure_data import BallPathsData, PathGap, PathLine
from explainer.claims.figures.common import number_rows
from explainer.claims.verdict import FigureResult, Finding, NumbersTable, Verdict
from explainer.study.description.figures import BallPaths
from explainer.study.model import Study, Table

#: Items × distances of boards, item names, distances.
Paths = tuple[np.ndarray, tuple[str, ...], np.ndarray]


def picture(study: Study, figure: BallPaths, verdicts: Sequence[Verdict]) -> FigureResult:
    """One mean path per value of ``by``, over items, and where the first and last differ."""
    table = study.tables[figure.table]
    names = _names(table, figure.by)
    paths = {name: _paths(table, figure, name) for name in names}
    followed = {name: shared for name in names if len((shared := _shared(paths[name]))[2])}
    lines = tuple(_line(name, *shared) for name, shared in followed.items())
    items = tuple(
        (item, name, tuple(feet[known].tolist()), tuple(row[known].tolist()))
        for name in names
        for boards, who, feet in (paths[name],)
        for item, row in zip(who, boards, strict=True)
        for known in (np.isfinite(row),)
    )
    rows = [
        (line.name, d, b, lo, hi)
        for line in lines
        for d, b, lo, hi in zip(line.distance, line.board, line.low, line.high, strict=True)
    ]
    compared = list(followed.values()) if len(followed) >= 2 else None
    between = _between(compared[0], compared[-1]) if compared else None
    band = between.band if between is not None else None
    gaps = () if band is None else tuple(
        PathGap(d, m, lo, hi)
        for d, m, lo, hi in zip(band.distance, band.mean, band.simultaneous_low,
                                band.simultaneous_high, strict=True)
        if m is not None
    )  # fmt: skip
    return FigureResult(
        figure, BallPathsData(lines, items, figure.hand, gaps, *_averaged(table, figure)),
        tuple(_findings(lines, between)),
        NumbersTable((figure.by or "path", "distance", "board", "low", "high"),
                     ("", "foot", "board", "board", "board"), number_rows(rows)),
        len(table.items), len(table.frame),
    )  # fmt: skip


def _names(table: Table, by: str | None) -> tuple[str, ...]:
    if by is None:
        return ("all",)
    values = table.frame[by].dropna().unique()
    return tuple(_text(v) for v in (sorted(values) if by == table.use else values))


def _text(value: object) -> str:
    return f"{value:g}" if isinstance(value, int | float | np.number) else str(value)


def _paths(table: Table, figure: BallPaths, name: str) -> Paths:
    """Each item's mean path at that value of ``by``; NaN where it was not measured."""
    frame = table.frame
    if figure.by is not None:
        frame = frame[frame[figure.by].map(_text) == name]
    means = (
        frame.groupby([table.item, figure.distance], observed=True)[figure.board]
        .mean()
        .unstack(figure.distance)
        .sort_index(axis=1)
        .dropna(axis=1, how="all")
        .dropna(axis=0, how="all")
    )
    return (
        means.to_numpy(dtype=float),
        tuple(str(i) for i in means.index),
        means.columns.to_numpy(dtype=float),
    )


def _averaged(table: Table, figure: BallPaths) -> tuple[bool, bool]:
    """Whether several readings of an item make one point of its line, and more at some marks than
    at others."""
    read = table.frame.dropna(subset=[figure.board])
    line = [table.item, *([figure.by] if figure.by is not None else [])]
    many = read.groupby([*line, figure.distance], observed=True).size()
    patched = (many.groupby(line, observed=True).nunique() > 1).any()
    return bool((many > 1).any()), bool(patched)


def _shared(paths: Paths) -> Paths:
    """As far as all of them were read: an average over other items at the next distance would
    jump, or turn, where no path does."""
    boards, who, feet = paths
    read = np.isfinite(boards).all(axis=0)
    return boards[:, read], who, feet[read]


def _line(name: str, boards: np.ndarray, who: tuple[str, ...], feet: np.ndarray) -> PathLine:
    band = pathcurves.band(feet, boards)
    mean = boards.mean(axis=0)
    if isinstance(band, Undefined):
        low: tuple[float | None, ...] = tuple(None for _ in feet)
        high = low
    else:
        low, high = band.simultaneous_low, band.simultaneous_high
    turn = pathcurves.breakpoint_within(feet, mean)
    return PathLine(
        name=name, distance=tuple(feet.tolist()), board=tuple(mean.tolist()), low=low, high=high,
        n_items=len(who),
        breakpoint=turn.distance if turn else None, spacing=turn.spacing if turn else None,
    )  # fmt: skip


def _findings(lines: Sequence[PathLine], between: _Between | None) -> list[Finding]:
    found = []
    for line in lines:
        if line.breakpoint is not None:
            board = line.board[line.distance.index(line.breakpoint)]
            found.append(Finding("breakpoint", {
                "name": line.name, "distance": line.breakpoint, "spacing": line.spacing,
                "board": board, "n_items": line.n_items,
            }, (line.breakpoint, board)))  # fmt: skip
    if between is not None:
        found.append(_apart(between, lines[0].name, lines[-1].name))
    return found


@dataclass(frozen=True)
class _Between:
    """The gap of two mean paths, and whom it compares."""

    band: pathcurves.PathBand
    paired: bool
    n_items: int
    """Each once, whether it stands on one side or on both."""


def _between(a: Paths, b: Paths) -> _Between | None:
    """How far the last mean path lies from the first, with a band over all distances at once."""
    feet = np.array(sorted(set(a[2]) & set(b[2])))
    if not len(feet):
        return None
    left, right = _at(a, feet), _at(b, feet)
    shared = [i for i in a[1] if i in b[1]]
    paired = len(shared) >= 2
    if paired:
        left = left[[a[1].index(i) for i in shared]]
        right = right[[b[1].index(i) for i in shared]]
    band = pathcurves.difference_band(feet, right, left, paired=paired)
    if isinstance(band, Undefined):
        return None
    n_items = len(shared) if paired else len({*a[1], *b[1]})
    return _Between(band, paired, n_items)


def _apart(between: _Between, first: str, last: str) -> Finding:
    """Where the last mean path differs from the first."""
    band = between.band
    where = [d for d, out in zip(band.distance, band.excludes_zero(), strict=True) if out]
    # The widest of all may be the one least known: where some are sure, it is the widest of those.
    gaps = [abs(m) if m is not None and (d in where or not where) else 0.0
            for d, m in zip(band.distance, band.mean, strict=True)]  # fmt: skip
    widest = int(np.argmax(gaps))
    return Finding("difference-at", {
        "first": first, "last": last, "from": min(where, default=None),
        "count": len(where), "distances": len(band.distance), "largest": band.mean[widest],
        "largest_at": band.distance[widest],
        "n_items": between.n_items, "paired": int(between.paired),
    })  # fmt: skip


def _at(paths: Paths, feet: np.ndarray) -> np.ndarray:
    return paths[0][:, [int(np.flatnonzero(paths[2] == f)[0]) for f in feet]]
