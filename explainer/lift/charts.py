"""The charts of a page as numbers: axes, series, error bars, and how far off they may be."""

from __future__ import annotations

import bisect
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from explainer.lift.axes import ReadAxis, find_axes
from explainer.lift.captions import (
    TextLine,
    captions,
    text_lines,
    title_below,
    title_beside,
)
from explainer.lift.marks import (
    LegendEntry,
    Plot,
    PlotMarks,
    Style,
    error_bars,
    legend_of,
    marks_in,
    name_of,
)
from explainer.lift.plots import find_plots
from explainer.lift.shapes import DrawnShape, PageBox, PageDrawing, Point
from explainer.lift.whose import captioned

#: Points: how exactly makers place marks (two decimals are common, and marks are symmetric).
PLACED = 0.05
_NO_MARKS = (
    "axes with nothing in them that could be read as marks; if there are any, read them with "
    "--picture"
)
_NO_NUMBERS = (
    "what looks like a chart without an axis that has numbers at its ticks; read it with --picture "
    "if it has a scale"
)
#: Points that names below a plot take.
_NAMES = 18.0
#: A line with more corners than this is sampled at even places.
MOST_CORNERS, SAMPLES = 200, 61


@dataclass(frozen=True)
class ReadPoint:
    """A mark's values; ``low`` and ``high`` are the ends of its error bar along y, ``left`` and
    ``right`` of the one along x (each end is read by itself: bars need not be even)."""

    x: float | str
    y: float | str
    low: float | None = None
    high: float | None = None
    left: float | None = None
    right: float | None = None


@dataclass(frozen=True)
class ReadSeries:
    """Marks that look alike."""

    name: str
    sort: str
    points: tuple[ReadPoint, ...]


@dataclass(frozen=True)
class ReadChart:
    """A chart read off a page's drawing operators."""

    page: int
    label: str
    caption: str
    area: PageBox
    x: ReadAxis | None
    y: ReadAxis | None
    x_title: str
    y_title: str
    series: tuple[ReadSeries, ...]
    notes: tuple[str, ...]

    @property
    def marks(self) -> int:
        return sum(len(s.points) for s in self.series)


def read_charts(
    drawing: PageDrawing, at: Sequence[float] = ()
) -> tuple[list[ReadChart], list[tuple[PageBox, str]]]:
    """Charts of a page, and what looks like one and cannot be read, with the reason.

    ``at``: places along the x axis (along y for a path up a lane) at which lines are sampled.
    """
    if not drawing.shapes:
        return [], []
    plots, refused = find_plots(find_axes(drawing), drawing.shapes)
    lines = text_lines(list(drawing.words))
    found = []
    for plot in plots:
        chart = _chart(plot, plots, drawing, lines, at)
        if chart.marks:
            found.append(chart)
        elif len(plot.x.ticks if plot.x else ()) + len(plot.y.ticks if plot.y else ()) > 3:
            refused.append((plot.area, _NO_MARKS))
    refused += [(box, why) for box, why in _pictured(drawing, found)]
    seen = [c.area for c in found] + [box for box, _ in refused]
    refused += [(box, _NO_NUMBERS) for box in _unnumbered(drawing, seen)]
    called = captioned([_whole(c) for c in found], [box for box, _ in refused], captions(lines))
    return [
        replace(chart, label=own.label, caption=own.text,
                notes=(*([own.asks] if own.asks else []), *chart.notes))
        for chart, own in zip(found, called, strict=True)
    ], refused  # fmt: skip


def _whole(chart: ReadChart) -> PageBox:
    """The plot with the numbers or names along its axes."""
    area = chart.area
    left = chart.y.labels.left if chart.y else area.left
    bottom = chart.x.labels.bottom if chart.x else area.bottom + _NAMES
    return PageBox(min(area.left, left), area.top, area.right, max(area.bottom, bottom))


def _pictured(drawing: PageDrawing, charts: list[ReadChart]) -> list[tuple[PageBox, str]]:
    """Images large enough to be a chart."""
    return [
        (box, "an image; if it is a chart, read it with --picture")
        for box in drawing.pictures
        if box.width > 90 and box.height > 70 and not any(box.touches(c.area) for c in charts)
    ]


def _unnumbered(drawing: PageDrawing, seen: list[PageBox]) -> list[PageBox]:
    """Frames around marks, and round things, that no axis with numbers belongs to."""
    found: list[PageBox] = []
    for shape in drawing.shapes:
        box = shape.box
        large = 90 < box.width < 0.97 * drawing.width and 70 < box.height < 0.97 * drawing.height
        if not large or any(box.touches(other, -3) for other in (*seen, *found)):
            continue
        inside = [s for s in drawing.shapes if s is not shape and box.holds(s.box.centre)]
        words = sum(box.holds(w.middle) for w in drawing.words)
        round_one = shape.fill is not None and "c" in shape.kinds
        line = any(len(s.knots) > 2 and not s.closed and s.box.width > 0.3 * box.width
                   and s.box.height > 0.1 * box.height for s in inside)  # fmt: skip
        marks = sum("c" in s.kinds and max(s.box.width, s.box.height) < 17 for s in inside)
        if words < 15 and (line or marks >= 3 or round_one):
            found.append(box)
    return found


def _chart(
    plot: Plot, plots: Sequence[Plot], drawing: PageDrawing, lines: list[TextLine],
    at: Sequence[float],
) -> ReadChart:  # fmt: skip
    legend = legend_of(plot, drawing.shapes, lines, plots)
    samples = {id(s) for entry in legend for s in entry.shapes}
    frames = {id(s) for s in drawing.shapes if _around_all(s, legend)}
    rest = [s for s in drawing.shapes if id(s) not in samples | frames]
    marks = marks_in(plot, rest)
    notes = [f"{marks.bands} filled areas are left out"] if marks.bands else []
    series = _series(plot, marks, legend, drawing, at)
    x_box = plot.x.labels if plot.x else PageBox(*plot.area[:3], plot.area.bottom + _NAMES)
    y_box = plot.y.labels if plot.y else plot.area
    if legend and any(not s.name for s in series) and len(series) > 1:
        notes.append("some series have no name in the legend")
    if any(p.low is not None or p.left is not None for s in series for p in s.points):
        notes.append("what its error bars stand for (a standard deviation, a standard error, a "
                     "range) the drawing does not say")  # fmt: skip
    if any(f"{_BAR} 1" in (p.x, p.y) for s in series for p in s.points):
        notes.append("the names along its bars are printed aslant and cannot be read; the bars are "
                     "numbered in turn, for you to name")  # fmt: skip
    if marks.strokes:
        notes.append(f"{marks.strokes} strokes through single marks are left out: too few of the "
                     "marks have one for error bars")  # fmt: skip
    return ReadChart(
        drawing.number, "", "", plot.area, plot.x, plot.y,
        title_below(drawing, x_box, plot.area),
        title_beside(drawing, y_box, plot.area, y_box.left <= plot.area.left + 5),
        tuple(series), tuple(notes),
    )  # fmt: skip


def _around_all(shape: DrawnShape, legend: list[LegendEntry]) -> bool:
    box = shape.box
    return bool(legend) and all(
        box.left <= e.box.left + 1 and box.right >= e.box.right - 1
        and box.top <= e.box.top + 2 and box.bottom >= e.box.bottom - 2 for e in legend
    )  # fmt: skip


def _series(
    plot: Plot, marks: PlotMarks, legend: list[LegendEntry], drawing: PageDrawing,
    at: Sequence[float],
) -> list[ReadSeries]:  # fmt: skip
    found: list[tuple[Style, str, tuple[ReadPoint, ...]]] = []
    for style, boxes in marks.bars.items():
        found.append((style, "bars", tuple(_bars(plot, style, boxes, marks, drawing))))
    if plot.x is not None and plot.y is not None:
        for style, points in marks.markers.items():
            found.append((style, "points", tuple(_marked(plot, style, sorted(points), marks))))
        for style, shapes in marks.lines.items():
            for shape in _joined(shapes):
                if not _connects(shape, marks) and not _is_whisker(shape, marks):
                    read = _sampled(plot, shape, at)
                    found.append((style, "line", tuple(read)))
    names = [name_of(style, legend) for style, _, _ in found]
    return [
        ReadSeries(name, sort, points)
        for name, (_, sort, points) in zip(names, found, strict=True)
        if points
    ]


def _marked(
    plot: Plot, style: Style, points: Sequence[Point], marks: PlotMarks
) -> Iterator[ReadPoint]:
    """Markers with the ends of their error bars along both axes, as far as they have any."""
    assert plot.x is not None and plot.y is not None
    across = error_bars(style, points, marks, 0, plot.area.left)
    upright = error_bars(style, points, marks, 1, plot.area.bottom)
    for point, wide, high in zip(points, across, upright, strict=True):
        left, right = sorted(map(plot.x.value, wide)) if wide else (None, None)
        low, top = sorted(map(plot.y.value, high)) if high else (None, None)
        yield ReadPoint(plot.x.value(point[0]), plot.y.value(point[1]), low, top, left, right)


def _bars(
    plot: Plot, style: Style, boxes: list[PageBox], marks: PlotMarks, drawing: PageDrawing
) -> list[ReadPoint]:
    """Each bar's far end, and the name or number it stands at."""
    up = style[3] == "up"
    value, place = (plot.y, plot.x) if up else (plot.x, plot.y)
    assert value is not None
    zero = value.position(0.0) if value.scale == "linear" else math.nan
    edge = plot.area.bottom if up else plot.area.left
    base = zero if any(_touches(b, zero, up) for b in boxes) else edge
    points = []
    for box in sorted(boxes, key=lambda b: b.left if up else b.top):
        one, two = (box.top, box.bottom) if up else (box.left, box.right)
        far = one if abs(one - base) > abs(two - base) else two
        middle = box.centre[0] if up else box.centre[1]
        lines = marks.whiskers if up else marks.level
        ends = [(a, b) for at, a, b, _ in lines if abs(at - middle) < 0.6 and a <= far <= b]
        low = high = None
        if ends:
            low, high = sorted((value.value(min(a for a, _ in ends)),
                                value.value(max(b for _, b in ends))))  # fmt: skip
        name = place.value(middle) if place is not None else _name(plot, middle, up, drawing)
        read = value.value(far)
        if up:
            points.append(ReadPoint(name, read, low, high))
        else:
            points.append(ReadPoint(read, name, left=low, right=high))
    return points if place is not None else _numbered(points, up)


#: What a bar is called whose name cannot be read, before its number.
_BAR = "bar"


def _numbered(points: list[ReadPoint], up: bool) -> list[ReadPoint]:
    """Bars under names that are printed aslant, of which single letters are all that is read."""
    names = [str(p.x if up else p.y) for p in points]
    if len(set(names)) == len(names) or any(len(name) > 1 for name in names):
        return points
    return [
        replace(p, x=f"{_BAR} {n}") if up else replace(p, y=f"{_BAR} {n}")
        for n, p in enumerate(points, start=1)
    ]


def _touches(box: PageBox, line: float, up: bool) -> bool:
    ends = (box.top, box.bottom) if up else (box.left, box.right)
    return any(abs(end - line) < 0.8 for end in ends)


def _name(plot: Plot, middle: float, up: bool, drawing: PageDrawing) -> str:
    """The words below (or left of) a bar: the line whose middle is nearest to its own."""
    area = plot.area
    near = [
        (abs(w.middle[0] - middle), w.text) for w in drawing.words
        if up and w.turned and -2 < w.box.top - area.bottom < 16
    ]  # fmt: skip
    for line in text_lines(list(drawing.words), 0.8):
        box = line.box
        if up and -2 < box.top - area.bottom < 16:
            near.append((abs(box.centre[0] - middle), line.text))
        elif not up and -4 < area.left - box.right < 16:
            near.append((abs(box.centre[1] - middle), line.text))
    return min(near)[1] if near else ""


def _joined(shapes: list[DrawnShape]) -> list[DrawnShape]:
    """Lines of one look: pieces that begin where another ends are one line."""
    rest = list(shapes)
    found: list[DrawnShape] = []
    while rest:
        line = rest.pop(0)
        merged = True
        while merged:
            merged = False
            for other in rest:
                if math.dist(line.knots[-1], other.knots[0]) < 0.2:
                    line = DrawnShape(
                        line.knots + other.knots[1:], line.outline + other.outline[1:], False,
                        None, line.stroke, line.width, line.dash, line.kinds + other.kinds[1:],
                        line.order,
                    )  # fmt: skip
                    rest.remove(other)
                    merged = True
                    break
        found.append(line)
    return found


def _connects(line: DrawnShape, marks: PlotMarks) -> bool:
    """Whether a line only joins markers, which then are the data."""
    for points in marks.markers.values():
        if len(points) >= 2:
            on = sum(any(math.dist(k, p) < 0.8 for p in points) for k in line.knots)
            if on >= 0.8 * len(line.knots):
                return True
    return False


def _is_whisker(line: DrawnShape, marks: PlotMarks) -> bool:
    """A straight stroke along an axis, through a marker or a bar's end: an error bar."""
    if not line.is_segment or len(line.knots) != 2:
        return False
    box = line.box
    spots = [p for points in marks.markers.values() for p in points]
    for bar in (b for boxes in marks.bars.values() for b in boxes):
        spots += [(bar.centre[0], bar.top), (bar.right, bar.centre[1])]
    return any(box.holds(p, 0.6) for p in spots)


def _sampled(plot: Plot, line: DrawnShape, at: Sequence[float]) -> list[ReadPoint]:
    """The corners of a line; where asked, or where it is a curve, its values at places along it.

    A line that only goes to the right is sampled along x, one that only rises (a ball's path up
    a drawn lane) along y.
    """
    assert plot.x is not None and plot.y is not None
    x, y = plot.x, plot.y
    curved = "c" in line.kinds
    if not at and not curved and len(line.knots) <= MOST_CORNERS:
        return [ReadPoint(x.value(px), y.value(py)) for px, py in line.knots]
    outline = list(line.outline)
    for side, axis in ((0, x), (1, y)):
        places = [p[side] for p in outline]
        if places == sorted(places) or places == sorted(places, reverse=True):
            ordered = sorted(outline, key=lambda p: p[side])
            wanted = [axis.position(v) for v in at] if at else _even(ordered, side)
            read = [_on(ordered, side, w) for w in wanted]
            return [ReadPoint(x.value(p[0]), y.value(p[1])) for p in read if p is not None]
    return [ReadPoint(x.value(px), y.value(py)) for px, py in line.knots[: MOST_CORNERS * 10]]


def _even(points: list[Point], side: int) -> list[float]:
    first, last = points[0][side], points[-1][side]
    return [first + (last - first) * i / (SAMPLES - 1) for i in range(SAMPLES)]


def _on(points: list[Point], side: int, place: float) -> Point | None:
    """The line's point at a place along it; None past its ends."""
    places = [p[side] for p in points]
    if not places[0] - 0.3 <= place <= places[-1] + 0.3:
        return None
    i = min(max(bisect.bisect_left(places, place), 1), len(points) - 1)
    one, two = points[i - 1], points[i]
    span = two[side] - one[side]
    share = 0.0 if span == 0 else (place - one[side]) / span
    share = min(max(share, 0.0), 1.0)
    return one[0] + share * (two[0] - one[0]), one[1] + share * (two[1] - one[1])
