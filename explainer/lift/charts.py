"""The charts of a page as numbers: axes, series, error bars, and how far off they may be."""

from __future__ import annotations

import bisect
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

from explainer.lift.axes import FoundAxes, ReadAxis, find_axes
from explainer.lift.captions import (
    Caption,
    TextLine,
    caption_of,
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
from explainer.lift.shapes import DrawnShape, PageBox, PageDrawing, Point, around

# Which axes belong together, and the box they span.

_TWO_SCALES = (
    "a chart with two {} axes: which mark belongs to which cannot be told from the drawing; "
    "read it with --picture, one axis at a time"
)
_BROKEN = (
    "an axis whose numbers {} and {} do not lie on one scale (a broken axis?); read each part of "
    "it with --picture"
)


def find_plots(
    axes: FoundAxes, shapes: Sequence[DrawnShape]
) -> tuple[list[Plot], list[tuple[PageBox, str]]]:
    """Plots with their axes, and charts that cannot be read, with the reason."""
    plots: list[Plot] = []
    refused: list[tuple[PageBox, str]] = list(axes.unread)
    used: set[int] = set()
    for box, why, members in _twofold(axes, shapes):
        refused.append((box, why))
        used |= members
    untold = set(used)
    for x in (x for x in axes.x if id(x) not in untold):
        if any(p.x and p.y and _agree(x, p.x) and _met(x, p.y) for p in plots):
            continue  # the numbers of a chart, printed above it as well
        left = [y for y in axes.y if _meets(x, y, False) and id(y) not in untold]
        right = [y for y in axes.y if _meets(x, y, True) and id(y) not in untold]
        left.sort(key=lambda y: abs(y.line - x.low))
        if left and right and _spans_alike(left[0], right[0]) and not _agree(left[0], right[0]):
            used |= {id(x), id(left[0]), id(right[0])}
            refused.append((_area(x, left[0], shapes), _TWO_SCALES.format("y")))
            continue
        for y in left[:1] or right[:1]:
            used |= {id(x), id(y)}
            plots.append(_snapped(Plot(_area(x, y, shapes), x, y), shapes))
    for axis in (*axes.y, *axes.x):
        if id(axis) not in used and _framed(axis, shapes):
            found = _lone(axis, shapes)
            if found and not any(found.area.touches(p.area, -3) for p in plots):
                plots.append(_snapped(found, shapes))
    refused = [(box, why) for box, why in refused if not any(_in(box, p.area) for p in plots)]
    return plots, refused


def _twofold(
    axes: FoundAxes, shapes: Sequence[DrawnShape]
) -> Iterator[tuple[PageBox, str, set[int]]]:
    """Charts whose axes do not tell one scale, with the reason and their axes: two x axes with
    different numbers, and pieces of one line whose numbers do not go on (a broken axis)."""
    for one, two in combinations(axes.x, 2):
        y = next((y for y in axes.y if _met(one, y) and _met(two, y)), None)
        apart = y is not None and abs(one.line - two.line) > 20 and _spans_alike(one, two)
        if y is not None and apart and not _agree(one, two):
            yield _area(one, y, shapes), _TWO_SCALES.format("x"), {id(one), id(two), id(y)}
    for kin in (axes.x, axes.y):
        for one, two in combinations(kin, 2):
            if _on_one_line(one, two, shapes) and not _agree(one, two):
                others = axes.y if one.across else axes.x
                met = [o for o in others if any(
                    _met(o, a) if a in axes.y else _met(a, o) for a in (one, two)
                )]  # fmt: skip
                box = around([a.labels for a in (one, two, *met)])
                first, second = (f"{a.ticks[0][1]:g} to {a.ticks[-1][1]:g}" for a in (one, two))
                why = _BROKEN.format(first, second)
                yield box, why, {id(a) for a in (one, two, *met)}


def _met(x: ReadAxis, y: ReadAxis) -> bool:
    return _meets(x, y, False) or _meets(x, y, True)


def _agree(one: ReadAxis, two: ReadAxis) -> bool:
    """Whether two axes give a place the same value, to a point or so."""
    if one.scale != two.scale:
        return False
    places = (one.low, one.high)
    return all(abs(two.position(one.value(at)) - at) < 2.0 for at in places)


def _on_one_line(one: ReadAxis, two: ReadAxis, shapes: Sequence[DrawnShape]) -> bool:
    """Whether one stroke runs along the ticks of both, which stand one beyond the other."""
    if abs(one.line - two.line) > 1.0 or not (one.high < two.low or two.high < one.low):
        return False
    low, high = min(one.low, two.low), max(one.high, two.high)
    for shape in shapes:
        box = shape.box
        place, start, end = (
            (box.centre[1], box.left, box.right) if one.across
            else (box.centre[0], box.top, box.bottom)
        )  # fmt: skip
        if abs(place - one.line) < 1.0 and start <= low + 1 and end >= high - 1:
            return True
    return False


def _in(box: PageBox, area: PageBox) -> bool:
    return area.holds(box.centre)


def _meets(x: ReadAxis, y: ReadAxis, right: bool) -> bool:
    """Whether the y axis stands at the left (or right) end of the x axis, and above it."""
    labels_right = y.labels.centre[0] > y.line
    if labels_right != right:
        return False  # of a chart beside this one
    wide, high = x.high - x.low, y.high - y.low
    gap = (y.line - x.high) if right else (x.low - y.line)
    below = x.line - y.high
    return (-4 <= gap <= 0.35 * wide + 12 and -4 <= below <= 0.35 * high + 12) or (
        -4 <= gap <= 0.35 * wide + 12 and -4 <= y.low - x.line <= 0.35 * high + 12
    )  # fmt: skip


def _spans_alike(one: ReadAxis, two: ReadAxis) -> bool:
    shared = min(one.high, two.high) - max(one.low, two.low)
    return shared > 0.6 * min(one.high - one.low, two.high - two.low)


def _area(x: ReadAxis, y: ReadAxis, shapes: Sequence[DrawnShape]) -> PageBox:
    """The plot's box: from the axes' crossing to the ends of what spans it."""
    left, right = min(y.line, x.low), max(y.line, x.high)
    top, bottom = min(y.low, x.line), max(y.high, x.line)
    wide, high = right - left, bottom - top
    for shape in shapes:
        box = shape.box
        if "c" in shape.kinds or not (shape.is_segment or len(shape.knots) in (4, 5)):
            continue
        starts = abs(box.left - left) < 1.5 and box.right < right + 0.4 * wide + 12
        within = top - 0.4 * high - 12 <= box.top and box.bottom <= bottom + 1.5
        if starts and within and box.width >= 0.97 * wide:
            right, top = max(right, box.right), min(top, box.top)
        stands = abs(box.bottom - bottom) < 1.5 and box.top > top - 0.4 * high - 12
        upright = box.height >= 0.97 * high and box.width < 1.5
        if stands and upright and left - 1.5 <= box.left < right + 2:
            top = min(top, box.top)
    return PageBox(left, top, right, bottom)


def _framed(axis: ReadAxis, shapes: Sequence[DrawnShape]) -> bool:
    """Whether filled rectangles stand on what would be the plot's ground."""
    return any(s.fill is not None and "c" not in s.kinds for s in shapes)


def _lone(axis: ReadAxis, shapes: Sequence[DrawnShape]) -> Plot | None:
    """A plot with numbers on one axis only, as bars over names have; None where nothing spans."""
    first, last = axis.low, axis.high
    span = last - first
    ends: list[float] = []
    crossing: list[float] = []
    for shape in shapes:
        box = shape.box
        if "c" in shape.kinds:
            continue
        if axis.across:
            start, end, low, high = box.bottom, box.top, box.left, box.right
            begins = abs(start - axis.line) < 2
        else:
            start, end, low, high = box.left, box.right, box.top, box.bottom
            begins = abs(start - axis.line) < 2
        own = max(low, high) - min(low, high) > 0.9 * span and abs(end - start) < 1.5
        if own and abs((start + end) / 2 - axis.line) < 1.5:
            ends += [low, high]
        if begins and abs(end - start) > 20:
            crossing.append(end)
            if high - low > 0.9 * span:
                ends += [low, high]
    if not crossing:
        return None
    far = min(crossing) if axis.across else max(crossing)
    low, high = min([first, *ends]), max([last, *ends])
    if low < first - 0.4 * span - 8 or high > last + 0.4 * span + 8:
        low, high = first, last
    if axis.across:
        return Plot(PageBox(low, far, high, axis.line), axis, None)
    return Plot(PageBox(axis.line, low, far, high), None, axis)


def _snapped(plot: Plot, shapes: Sequence[DrawnShape]) -> Plot:
    """Axes that were rounded to a screen's pixels, put back by half a pixel.

    Chart makers that draw for screens round tick marks to whole pixels and put them in the middle
    of one, while marks stay where they belong.  Where tick marks are of whole-pixel distances
    that are not even, that is what happened; the rounding itself goes into the error.
    """
    pixel = _pixel(plot, shapes)
    if pixel is None:
        return plot
    axes = [
        None if a is None else replace(a, offset=a.offset + a.slope * pixel / 2,
                                       error=max(a.error, 0.5 * pixel))
        for a in (plot.x, plot.y)
    ]  # fmt: skip
    return Plot(plot.area, axes[0], axes[1])


def _pixel(plot: Plot, shapes: Sequence[DrawnShape]) -> float | None:
    """The size of a pixel where ticks were rounded to them."""
    uneven = False
    widths: set[float] = set()
    for axis in (plot.x, plot.y):
        if axis is None:
            continue
        places = [t[0] for t in axis.ticks]
        near = [
            s.width for s in shapes
            if s.is_segment and s.stroke is not None and len(s.knots) == 2
            and max(s.box.width, s.box.height) < 9
            and any(abs(s.box.centre[0 if axis.across else 1] - p) < 0.01 for p in places)
        ]  # fmt: skip
        if not near:
            return None
        pixel = min(near)
        widths.add(round(pixel, 3))
        steps = [(b - a) / pixel for a, b in pairwise(places)]
        if pixel <= 0 or any(abs(step - round(step)) > 0.01 for step in steps):
            return None
        spread = max(steps) - min(steps)
        uneven = uneven or (0.9 < spread < 2.1 and axis.scale == "linear")
    return widths.pop() if uneven and len(widths) == 1 else None


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
    known = captions(lines)
    found = []
    for plot in plots:
        chart = _chart(plot, drawing, lines, known, at)
        if chart.marks:
            found.append(chart)
        elif len(plot.x.ticks if plot.x else ()) + len(plot.y.ticks if plot.y else ()) > 3:
            refused.append((plot.area, _NO_MARKS))
    refused += [(box, why) for box, why in _pictured(drawing, found)]
    seen = [c.area for c in found] + [box for box, _ in refused]
    refused += [(box, _NO_NUMBERS) for box in _unnumbered(drawing, seen)]
    return found, refused


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
    plot: Plot, drawing: PageDrawing, lines: list[TextLine], known: list[Caption],
    at: Sequence[float],
) -> ReadChart:  # fmt: skip
    legend = legend_of(plot, drawing.shapes, lines)
    samples = {id(s) for entry in legend for s in entry.shapes}
    frames = {id(s) for s in drawing.shapes if _around_all(s, legend)}
    rest = [s for s in drawing.shapes if id(s) not in samples | frames]
    marks = marks_in(plot, rest)
    notes = [f"{marks.bands} filled areas are left out"] if marks.bands else []
    series = _series(plot, marks, legend, drawing, at)
    x_box = plot.x.labels if plot.x else PageBox(*plot.area[:3], plot.area.bottom + 18)
    y_box = plot.y.labels if plot.y else plot.area
    whole = PageBox(min(plot.area.left, y_box.left), plot.area.top, plot.area.right,
                max(plot.area.bottom, x_box.bottom))  # fmt: skip
    caption = caption_of(whole, known, table=False)
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
        drawing.number, caption.label if caption else "", caption.text if caption else "",
        plot.area, plot.x, plot.y,
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
