"""Axes from their tick labels: a row or column of numbers, each beside its tick mark.

Positions come from the tick marks, which a chart maker places exactly, not from the labels, which
are centred on them more or less.  A scale is linear or logarithmic if all its ticks say so; if
neither fits, the axis is broken or not numeric, and that is said rather than guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from explainer.lift.shapes import DrawnShape, PageBox, PageDrawing, PrintedWord

Scale = Literal["linear", "log"]

#: A tick may stand this far from its place on a fitted scale, as a share of the axis.
_FIT = 0.006
#: Points a label may stand from its tick mark along the axis, and across it.
_BESIDE, _BELOW = 6.0, 16.0
_PLAIN = re.compile(r"[-+]?(\d+([.,]\d+)*|\.\d+)(e[-+]?\d+)?%?", re.IGNORECASE)
_POWER = re.compile(r"([-+]?\d+)\^([-+]?\d+)")


@dataclass(frozen=True)
class ReadAxis:
    """``value = offset + slope · position`` (its logarithm to base 10 on a log scale)."""

    across: bool
    """True for x: positions run from left to right."""
    scale: Scale
    offset: float
    slope: float
    ticks: tuple[tuple[float, float], ...]
    """(position in points, value), by position."""
    labels: PageBox
    line: float
    """Where the axis itself lies: its y for an x axis, its x for a y axis."""
    error: float
    """Points that all marks may be off by together: the ticks' own places, and how they fit."""
    exact: bool
    """Positions come from tick marks, not from labels."""
    title: str = ""

    def value(self, position: float) -> float:
        found = self.offset + self.slope * position
        return float(10.0**found) if self.scale == "log" else float(found)

    def position(self, value: float) -> float:
        if self.scale == "log":
            if value <= 0:
                return float("nan")
            value = float(np.log10(value))
        return (value - self.offset) / self.slope

    @property
    def low(self) -> float:
        return self.ticks[0][0]

    @property
    def high(self) -> float:
        return self.ticks[-1][0]

    def size(self, points: float, at: float | None = None) -> float:
        """How much of the axis' unit ``points`` are (on a log scale at a position, else midway)."""
        if self.scale == "linear":
            return abs(self.slope) * points
        where = (self.low + self.high) / 2 if at is None else at
        return abs(self.value(where + points) - self.value(where))


@dataclass(frozen=True)
class FoundAxes:
    """The axes of a page, and what looks like one and cannot be read."""

    x: tuple[ReadAxis, ...]
    y: tuple[ReadAxis, ...]
    unread: tuple[tuple[PageBox, str], ...]


def number(text: str) -> float | None:
    """A tick label as a number, None for any other word."""
    plain = text.replace("−", "-").replace("–", "-").replace("\u2212", "-")
    power = _POWER.fullmatch(plain)
    if power:
        return float(int(power[1])) ** int(power[2]) if abs(int(power[2])) < 300 else None
    if not _PLAIN.fullmatch(plain):
        return None
    plain = plain.rstrip("%")
    if re.fullmatch(r"[-+]?\d{1,3}(,\d{3})+(\.\d+)?", plain):
        plain = plain.replace(",", "")
    elif plain.count(",") == 1 and "." not in plain:
        plain = plain.replace(",", ".")
    try:
        return float(plain)
    except ValueError:
        return None


def find_axes(drawing: PageDrawing) -> FoundAxes:
    """Every row and column of numbers on the page that tick marks stand beside."""
    labels = [(w, v) for w in drawing.words if (v := number(w.text)) is not None]
    labels = [(w, v) for w, v in labels if not w.turned]
    upright = [s for s in drawing.shapes if _thin(s, across=False)]
    flat = [s for s in drawing.shapes if _thin(s, across=True)]
    found: dict[bool, list[ReadAxis]] = {True: [], False: []}
    unread: list[tuple[PageBox, str]] = []
    for across, marks, lines in ((True, upright, flat), (False, flat, upright)):
        for run in _runs(labels, across):
            axis = _axis(run, across, marks, lines)
            if isinstance(axis, ReadAxis):
                found[across].append(axis)
            elif axis and (parts := _parted(run, across, marks, lines)):
                found[across] += parts
            elif axis:
                unread.append((_box(run), axis))
    kept = {side: _best(found[side]) for side in (True, False)}
    return FoundAxes(tuple(kept[True]), tuple(kept[False]), tuple(unread))


Label = tuple[PrintedWord, float]


def _box(run: Sequence[Label]) -> PageBox:
    boxes = [w.box for w, _ in run]
    return PageBox(min(b.left for b in boxes), min(b.top for b in boxes),
               max(b.right for b in boxes), max(b.bottom for b in boxes))  # fmt: skip


def _thin(shape: DrawnShape, across: bool) -> bool:
    """A straight line, be it stroked or a thin filled rectangle."""
    box = shape.box
    thick, long = (box.height, box.width) if across else (box.width, box.height)
    return "c" not in shape.kinds and long > 0.8 and thick < min(1.3, 0.35 * long)


def _runs(labels: Iterable[Label], across: bool) -> list[list[Label]]:
    """Rows (or columns) of numbers of one size, cut where their order turns or a gap opens."""
    found: list[list[Label]] = []
    edges = (("bottom",) if across else ("right", "left", "middle"))  # fmt: skip
    for edge in edges:
        for row in _lined_up(labels, across, edge):
            found += [run for run in _cut(row, across) if len(run) >= 2]
    return found


def _lined_up(labels: Iterable[Label], across: bool, edge: str) -> list[list[Label]]:
    def at(label: Label) -> float:
        box = label[0].box
        return box.centre[0] if edge == "middle" else float(getattr(box, edge))

    rows: list[list[Label]] = []
    for label in sorted(labels, key=lambda v: (at(v), v[0].box.left, v[0].box.top)):
        if rows and abs(at(rows[-1][0]) - at(label)) < 1.6:
            rows[-1].append(label)
        else:
            rows.append([label])
    return [sorted(row, key=lambda v: v[0].middle[0 if across else 1]) for row in rows]


def _cut(row: list[Label], across: bool) -> list[list[Label]]:
    axis = 0 if across else 1
    runs: list[list[Label]] = [[]]
    for label in row:
        run = runs[-1]
        if len(run) >= 2:
            one, two = run[-2], run[-1]
            turned = (two[1] - one[1]) * (label[1] - two[1]) <= 0
            step, gap = (two[0].middle[axis] - one[0].middle[axis],
                         label[0].middle[axis] - two[0].middle[axis])  # fmt: skip
            if turned or gap > 3.2 * step + 4:
                runs.append([])
        elif run and (run[0][1] == label[1] or abs(run[0][0].size - label[0].size) > 0.6):
            runs.append([])
        runs[-1].append(label)
    return runs


def _axis(
    run: list[Label], across: bool, marks: list[DrawnShape], lines: list[DrawnShape]
) -> ReadAxis | str:
    """The axis of a run of labels; a reason where it has ticks and no scale; empty for no axis."""
    places = [_tick(word, across, marks) for word, _ in run]
    ticked = [(p, v) for p, (_, v) in zip(places, run, strict=True) if p is not None]
    if len(ticked) < 2 or len(ticked) < 0.6 * len(run):
        return ""
    values = np.array([v for _, v in ticked])
    at = np.array([p[0] for p, _ in ticked])
    if np.ptp(at) < 20 or np.ptp(values) == 0:
        return ""
    fitted = _fit(at, values)
    if fitted is None:
        if len(ticked) < 4:
            return ""
        shown = ", ".join(w.text for w, _ in run[:6])
        return f"an axis labelled {shown} is neither evenly spaced nor logarithmic (a broken axis?)"
    scale, offset, slope, off = fitted
    line = _line(ticked[0][0], across, lines, at)
    ticks = tuple(sorted((float(p), float(v)) for p, v in zip(at, values, strict=True)))
    return ReadAxis(across, scale, offset, slope, ticks, _box(run), line, off, True)


def _parted(
    run: list[Label], across: bool, marks: list[DrawnShape], lines: list[DrawnShape]
) -> list[ReadAxis]:
    """The axes of charts side by side, whose labels stand in one row; none for a broken axis.

    A broken axis has one line along all its ticks, charts side by side have one each.
    """
    places = [p for word, _ in run if (p := _tick(word, across, marks)) is not None]
    ends = [p[0] for p in places]
    if not places or _long_lines(places[0], across, lines, min(ends), max(ends)):
        return []
    best: list[ReadAxis] = []
    for cut in range(2, len(run) - 1):
        halves = [_axis(part, across, marks, lines) for part in (run[:cut], run[cut:])]
        axes = [half for half in halves if isinstance(half, ReadAxis)]
        if len(axes) == 2 and (not best or _off(axes) < _off(best)):
            best = axes
    return best


def _off(axes: list[ReadAxis]) -> float:
    return sum(axis.error for axis in axes)


def _tick(word: PrintedWord, across: bool, marks: list[DrawnShape]) -> tuple[float, PageBox] | None:
    """Place of the mark that a label stands beside: along the axis, and the mark itself."""
    box, best, found = word.box, 1e9, None
    for mark in marks:
        it = mark.box
        if across:
            along = abs(it.centre[0] - box.centre[0])
            gap = min(abs(box.top - it.bottom), abs(it.top - box.bottom))
        else:
            along = abs(it.centre[1] - box.centre[1])
            gap = min(abs(it.left - box.right), abs(box.left - it.right))
        if along > min(_BESIDE, 0.8 * word.size) or gap > _BELOW:
            continue
        worth = 3 * along + gap
        if worth < best:
            best, found = worth, ((it.centre[0] if across else it.centre[1]), it)
    return found


def _fit(at: np.ndarray, values: np.ndarray) -> tuple[Scale, float, float, float] | None:
    """Scale, offset, slope and how far off, in points, the ticks are; None where neither fits."""
    choices: list[tuple[Scale, np.ndarray]] = [("linear", values)]
    if (values > 0).all():
        choices.append(("log", np.log10(values)))
    best: tuple[float, Scale, float, float] | None = None
    for scale, wanted in choices:
        slope, offset = np.polyfit(at, wanted, 1)
        if slope == 0:
            continue
        off = np.abs((offset + slope * at - wanted) / slope)
        share = float(off.max() / np.ptp(at))
        if len(at) == 2 and scale == "log":
            continue  # two ticks fit both; nobody draws a log axis with two and no decade
        if share < _FIT and (best is None or share < best[0] - 1e-6):
            best = (share, scale, float(offset), float(slope))
    if best is None:
        return None
    share, scale, offset, slope = best
    if len(at) == 2 and _decades(values):
        scale = "log"
        slope, offset = (float(v) for v in np.polyfit(at, np.log10(values), 1))
    spread = share * float(np.ptp(at))
    return scale, offset, slope, max(0.02, spread / np.sqrt(len(at)) + 0.01)


def _decades(values: np.ndarray) -> bool:
    """Two labels that are powers of ten: on a linear axis no two ticks are nine steps apart."""
    if (values <= 0).any():
        return False
    powers = np.log10(values)
    return bool(np.allclose(powers, powers.round()) and np.ptp(powers) >= 1)


def _line(
    tick: tuple[float, PageBox], across: bool, lines: list[DrawnShape], at: np.ndarray
) -> float:
    """Where the axis line itself is: a long line the tick touches, else the tick's inner end."""
    found = _long_lines(tick, across, lines, float(at.min()), float(at.max()))
    if found:
        return float(max(found) if across else min(found))
    return tick[1].top if across else tick[1].right


def _long_lines(
    tick: tuple[float, PageBox], across: bool, lines: list[DrawnShape], low: float, high: float
) -> list[float]:
    """Places of the lines that touch a tick and run along all of them."""
    box = tick[1]
    found = []
    for line in lines:
        it = line.box
        long = it.width if across else it.height
        place = it.centre[1] if across else it.centre[0]
        near = (box.top, box.bottom) if across else (box.left, box.right)
        start, end = (it.left, it.right) if across else (it.top, it.bottom)
        touches = long >= 0.7 * (high - low) and near[0] - 1.2 <= place <= near[1] + 1.2
        if touches and start <= low + 3 and end >= high - 3:
            found.append(place)
    return found


def _best(axes: list[ReadAxis]) -> list[ReadAxis]:
    """Of axes that share labels, the one with most ticks; none of ticks that others have, such as
    the last of one chart and the first of the next."""
    kept: list[ReadAxis] = []
    for axis in sorted(axes, key=lambda a: (-len(a.ticks), a.error)):
        in_line = (other for other in kept if abs(other.line - axis.line) < 1.0)
        held = {place for other in in_line for place in _places(other)}
        if not _places(axis) <= held and not any(_same(axis, other) for other in kept):
            kept.append(axis)
    return sorted(kept, key=lambda a: (a.labels.top, a.labels.left))


def _same(one: ReadAxis, two: ReadAxis) -> bool:
    own, other = _places(one), _places(two)
    near = one.labels.touches(two.labels, 1.0)
    return near and len(own & other) >= min(2, len(own), len(other))


def _places(axis: ReadAxis) -> set[float]:
    return {round(t[0], 1) for t in axis.ticks}
