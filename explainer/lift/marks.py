"""What is drawn inside a plot, sorted into markers, lines, bars and error bars."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from explainer.lift.axes import ReadAxis
from explainer.lift.captions import TextLine
from explainer.lift.shapes import Colour, DrawnShape, PageBox, Point, around

#: Points: no marker is larger, no bar is thinner.
BIGGEST_MARKER, THINNEST_BAR = 17.0, 1.2
_NEAR = 0.45

Style = tuple[str, Colour | None, Colour | None, str]
"""What a mark looks like: its sort, fill, stroke, and its dash or form."""


@dataclass
class PlotMarks:
    """The marks of one plot by style; positions in points."""

    markers: dict[Style, list[Point]] = field(default_factory=dict)
    lines: dict[Style, list[DrawnShape]] = field(default_factory=dict)
    bars: dict[Style, list[PageBox]] = field(default_factory=dict)
    whiskers: list[tuple[float, float, float, Colour | None]] = field(default_factory=list)
    """(place on the other axis, one end, other end, colour) of lines along the value axis."""
    level: list[tuple[float, float, float, Colour | None]] = field(default_factory=list)
    """The same for lines along the x axis."""
    bands: int = 0
    """Filled areas, which are not read."""
    strokes: int = 0
    """Strokes through marks that are no error bars."""


@dataclass(frozen=True)
class Plot:
    """A plot's box and its axes; ``x`` is None where names, not numbers, stand below."""

    area: PageBox
    x: ReadAxis | None
    y: ReadAxis | None


def marks_in(plot: Plot, shapes: Sequence[DrawnShape]) -> PlotMarks:
    """The marks among ``shapes``, without frame, grid, ticks and ground."""
    shapes = [_cut_off(s, plot.area) for s in shapes]
    inside = [s for s in shapes if plot.area.holds(_clamped(s), 1.0) and _inked(s)]
    inside = _without_furniture(plot, inside)
    found = PlotMarks()
    rest = _take_bars(plot, inside, found)
    rest = _take_crosses(rest, found)
    for shape in rest:
        _sort(shape, found)
    _once_each(found)
    return found


def error_bars(
    style: Style, points: Sequence[Point], marks: PlotMarks, along: int, base: float
) -> list[tuple[float, float] | None]:
    """Where the error bar of each marker of a look ends along x (``along`` 0) or y (1), in points.

    Of strokes through a marker, those of its own colour count where there are any; of others, a
    stroke belongs to the marker nearest to its middle.  No error bars are strokes that join two
    markers, stems from ``base`` up to the marker, and what only a few of the markers have.
    """
    lines = marks.whiskers if along else marks.level
    spots = [p for own in marks.markers.values() for p in own]
    inks = {style[1], style[2]} - {None}
    found: list[tuple[float, float] | None] = []
    for point in points:
        near = [
            line for line in lines
            if abs(line[0] - point[1 - along]) < 0.6 and line[2] - line[1] > 1.0
            and line[1] - 0.6 <= point[along] <= line[2] + 0.6
        ]  # fmt: skip
        own = [line for line in near if line[3] in inks]
        if not own:
            own = [line for line in near if _owner(line, spots, along) == point[along]]
        own = [line for line in own if not _joins(line, spots, along)]
        ends = (min(line[1] for line in own), max(line[2] for line in own)) if own else None
        found.append(ends)
    barred = [(p[along], ends) for p, ends in zip(points, found, strict=True) if ends]
    stems = all(
        min(abs(end - base) for end in ends) < 0.8 and min(abs(end - at) for end in ends) < 0.8
        for at, ends in barred
    )
    if stems or len(barred) < 0.5 * len(points):
        marks.strokes += 0 if stems else len(barred)
        return [None] * len(points)
    return found


Stroke = tuple[float, float, float, Colour | None]


def _on_stroke(line: Stroke, spots: Sequence[Point], along: int) -> list[float]:
    return [
        s[along] for s in spots
        if abs(line[0] - s[1 - along]) < 0.6 and line[1] - 0.6 <= s[along] <= line[2] + 0.6
    ]  # fmt: skip


def _owner(line: Stroke, spots: Sequence[Point], along: int) -> float:
    middle = (line[1] + line[2]) / 2
    return min(_on_stroke(line, spots, along), key=lambda at: abs(at - middle))


def _joins(line: Stroke, spots: Sequence[Point], along: int) -> bool:
    """Whether a stroke goes from one marker to another and no further."""
    held = _on_stroke(line, spots, along)
    return max(held) - min(held) > 1.0 and all(
        any(abs(end - at) < 0.8 for at in held) for end in line[1:3]
    )


def _cut_off(shape: DrawnShape, area: PageBox) -> DrawnShape:
    """A bar as it is seen where the axis begins above its foot: drawn from 0, shown from the edge.

    Its other end has to lie inside: of one that leaves the plot there, nobody sees how far it goes.
    """
    if shape.fill is None or not _is_rectangle(shape):
        return shape
    box, far = shape.box, BIGGEST_MARKER  # a mark on the edge of the plot is none
    beside = area.left - 1 <= box.left and box.right <= area.right + 1
    between = area.top - 1 <= box.top and box.bottom <= area.bottom + 1
    down = beside and area.top + 1 < box.top < area.bottom and box.bottom > area.bottom + far
    left = between and area.left < box.right < area.right - 1 and box.left < area.left - far
    if not down and not left:
        return shape
    knots, outline = (
        tuple((max(x, area.left), min(y, area.bottom)) for x, y in points)
        for points in (shape.knots, shape.outline)
    )
    return replace(shape, knots=knots, outline=outline)


def _clamped(shape: DrawnShape) -> Point:
    return shape.box.centre


def _inked(shape: DrawnShape) -> bool:
    """Seen at all: not a white or clear ground without an edge."""
    fill, stroke = shape.fill, shape.stroke
    pale = fill is None or fill[3] == 0 or fill[:3] == (255, 255, 255)
    return not (pale and (stroke is None or stroke[3] == 0))


def _without_furniture(plot: Plot, shapes: list[DrawnShape]) -> list[DrawnShape]:
    area = plot.area
    kept, grids = [], set()
    for shape in shapes:
        box = shape.box
        whole = box.width >= 0.97 * area.width and box.height >= 0.97 * area.height
        if whole and (_is_rectangle(shape) or shape.fill is not None):
            continue
        if shape.is_segment and _spans(box, area) and _on_tick_or_edge(box, plot):
            grids.add((shape.stroke, shape.dash))
            continue
        if _is_tick(shape, plot):
            continue
        kept.append(shape)
    return [s for s in kept if not (s.is_segment and _spans(s.box, area)
                                    and (s.stroke, s.dash) in grids)]  # fmt: skip


def _spans(box: PageBox, area: PageBox) -> bool:
    return box.width >= 0.97 * area.width or box.height >= 0.97 * area.height


def _on_tick_or_edge(box: PageBox, plot: Plot) -> bool:
    flat = box.height < box.width
    axis = plot.y if flat else plot.x
    at = box.centre[1] if flat else box.centre[0]
    edges = [plot.area.top, plot.area.bottom] if flat else [plot.area.left, plot.area.right]
    ticks = [t[0] for t in axis.ticks] if axis else []
    return any(abs(at - place) < 1.0 for place in (*edges, *ticks))


def _is_tick(shape: DrawnShape, plot: Plot) -> bool:
    """A short line across an edge of the plot, in the middle of nothing else."""
    if not (shape.is_segment or _slim(shape.box)) or "c" in shape.kinds:
        return False
    box, area = shape.box, plot.area
    if box.width > 9 or box.height > 9:
        return False
    if box.height >= box.width:
        touches = min(abs(box.top - area.bottom), abs(box.bottom - area.bottom),
                      abs(box.top - area.top), abs(box.bottom - area.top)) < 0.8  # fmt: skip
        return touches and _beside_a_tick(box.centre[0], plot.x)
    touches = min(abs(box.left - area.left), abs(box.right - area.left),
                  abs(box.left - area.right), abs(box.right - area.right)) < 0.8  # fmt: skip
    return touches and _beside_a_tick(box.centre[1], plot.y)


def _slim(box: PageBox) -> bool:
    return min(box.width, box.height) < 1.3 < max(box.width, box.height)


def _beside_a_tick(at: float, axis: ReadAxis | None) -> bool:
    return axis is None or any(abs(at - t[0]) < 0.8 for t in axis.ticks)


def _is_rectangle(shape: DrawnShape) -> bool:
    if "c" in shape.kinds or not 4 <= len(shape.knots) <= 5:
        return False
    box = shape.box
    return all(
        min(abs(x - box.left), abs(x - box.right)) < 0.1
        and min(abs(y - box.top), abs(y - box.bottom)) < 0.1
        for x, y in shape.knots
    )


def _take_bars(plot: Plot, shapes: list[DrawnShape], found: PlotMarks) -> list[DrawnShape]:
    """Filled rectangles that stand on one common line: the axis, or its zero."""
    filled = [s for s in shapes if s.fill is not None and _is_rectangle(s)]
    filled = [s for s in filled if max(s.box.width, s.box.height) >= THINNEST_BAR]
    if len(filled) < 1:
        return shapes
    taken: set[int] = set()
    for along, axis, edge in (
        (1, plot.y, plot.area.bottom), (0, plot.x, plot.area.left),
    ):  # fmt: skip
        if axis is None:
            continue
        zero = axis.position(0.0) if axis.scale == "linear" else edge
        base = [s for s in filled if _stands_on(s.box, along, (zero, edge))]
        sizes = {round(s.box.height if along else s.box.width, 1) for s in base}
        wide = {round(s.box.width if along else s.box.height, 1) for s in base}
        small = all(max(s.box.width, s.box.height) < BIGGEST_MARKER for s in base)
        if len(base) < 2 or len(wide) > max(2, len(base) // 3) or (small and len(sizes) < 2):
            continue
        for s in base:
            style = ("bar", s.fill, None, "up" if along else "across")
            found.bars.setdefault(style, []).append(s.box)
            taken.add(id(s))
        break
    kept = [s for s in shapes if id(s) not in taken]
    outlines = [b for boxes in found.bars.values() for b in boxes]
    return [s for s in kept if not (_is_rectangle(s) and s.fill is None
                                    and any(_alike(s.box, b) for b in outlines))]  # fmt: skip


def _alike(one: PageBox, two: PageBox) -> bool:
    return all(abs(a - b) < 1.0 for a, b in zip(one, two, strict=True))


def _stands_on(box: PageBox, along: int, lines: tuple[float, float]) -> bool:
    ends = (box.top, box.bottom) if along else (box.left, box.right)
    return any(abs(end - line) < 0.8 for end in ends for line in lines)


def _take_crosses(shapes: list[DrawnShape], found: PlotMarks) -> list[DrawnShape]:
    """Markers made of strokes with one middle: plus signs, crosses and stars.

    Strokes of unlike lengths, or through another marker, are error bars and their caps.
    """
    by_path: dict[tuple[int, float, float, Colour | None], list[DrawnShape]] = defaultdict(list)
    kept = []
    for shape in shapes:
        box = shape.box
        small = max(box.width, box.height) <= BIGGEST_MARKER and len(shape.knots) == 2
        if (small and shape.fill is None) or (small and shape.stroke is not None):
            x, y = box.centre
            by_path[(0, round(x, 1), round(y, 1), shape.stroke)].append(shape)
        else:
            kept.append(shape)
    others = {
        (round(s.box.centre[0], 1), round(s.box.centre[1], 1)) for s in kept
        if max(s.box.width, s.box.height) <= BIGGEST_MARKER
    }  # fmt: skip
    for (_, x, y, _), strokes in by_path.items():
        long = [math.hypot(s.box.width, s.box.height) for s in strokes]
        bars = (x, y) in others or max(long) > 1.5 * min(long)
        if len(strokes) < 2 or bars or len({_slant(s) for s in strokes}) < 2:
            kept += strokes
            continue
        whole = around([s.box for s in strokes])
        form = f"{len(strokes)}{'x' if all(_slant(s) for s in strokes) else '+'}"
        style = ("marker", None, strokes[0].stroke, form)
        found.markers.setdefault(style, []).append(whole.centre)
    return kept


def _slant(shape: DrawnShape) -> int:
    """0 flat, 0 upright (as 2), else which way it leans."""
    (x0, y0), (x1, y1) = shape.knots[0], shape.knots[-1]
    if abs(y1 - y0) < 0.1:
        return 0
    if abs(x1 - x0) < 0.1:
        return 2
    return 1 if (x1 - x0) * (y1 - y0) > 0 else -1


def _sort(shape: DrawnShape, found: PlotMarks) -> None:
    box = shape.box
    biggest = max(box.width, box.height)
    ink = shape.stroke if shape.stroke is not None else shape.fill
    thin_fill = shape.fill is not None and _slim(box) and _is_rectangle(shape)
    if (shape.is_segment and len(shape.knots) == 2) or thin_fill:
        x, y = box.centre
        if box.height >= box.width:
            found.whiskers.append((x, box.top, box.bottom, ink))
        else:
            found.level.append((y, box.left, box.right, ink))
        if not thin_fill and biggest > 2.2 * BIGGEST_MARKER:
            _line(shape, found)
        return
    rounded = shape.closed or shape.fill is not None or shape.knots[0] == shape.knots[-1]
    if rounded and biggest <= BIGGEST_MARKER:
        size = f"{shape.kinds.replace('m', '')[:12]} {biggest:.0f}"
        style = ("marker", shape.fill, shape.stroke, size)
        found.markers.setdefault(style, []).append(box.centre)
    elif (shape.stroke is not None and shape.fill is None) or not rounded:
        _line(shape, found)
    else:
        found.bands += 1


def _line(shape: DrawnShape, found: PlotMarks) -> None:
    dash = shape.dash if len([d for d in shape.dash if d > 0]) > 1 else ()
    style = ("line", None, shape.stroke, " ".join(f"{d:g}" for d in dash))
    found.lines.setdefault(style, []).append(shape)


def _once_each(found: PlotMarks) -> None:
    """A marker that is filled and then edged is one marker."""
    for style, points in list(found.markers.items()):
        kept: list[Point] = []
        for point in points:
            if not kept or not _close(kept[-1], point):
                kept.append(point)
        found.markers[style] = kept
    styles = list(found.markers)
    for one in styles:
        for two in styles:
            if one == two or one not in found.markers or two not in found.markers:
                continue
            a, b = found.markers[one], found.markers[two]
            filled_and_edged = (one[1] is None) != (two[1] is None)
            if len(a) == len(b) and filled_and_edged and all(map(_close, a, b)):
                del found.markers[two if one[1] is not None else one]


def _close(one: Point, two: Point) -> bool:
    return abs(one[0] - two[0]) < _NEAR and abs(one[1] - two[1]) < _NEAR


# Names of series: a sample of how a series is drawn, with words beside it.

_LONGEST = 48.0
_GAP = 22.0


@dataclass(frozen=True)
class LegendEntry:
    """Words, and the shapes that show what they stand for."""

    text: str
    shapes: tuple[DrawnShape, ...]
    box: PageBox


def legend_of(
    plot: Plot, shapes: Sequence[DrawnShape], lines: Sequence[TextLine], plots: Sequence[Plot]
) -> list[LegendEntry]:
    """The entries in, or near, one plot of a page's ``plots``; empty where there is no legend.

    What lies nearer to another plot is taken only where the plot has none of its own: a row of
    plots may share one that stands beside them.
    """
    room = PageBox(plot.area.left - 20, plot.area.top - 120, plot.area.right + 190,
               plot.area.bottom + 90)  # fmt: skip
    labels = [a.labels for p in plots for a in (p.x, p.y) if a is not None]
    others = [p.area for p in plots if p is not plot]
    words = [
        line for line in lines
        if room.touches(line.box) and not any(b.touches(line.box, -0.5) for b in labels)
        and re.search(r"\w", line.text) and len(line.text) < 60
        and not any(area.holds(line.box.centre) for area in others)
    ]  # fmt: skip
    small = [s for s in shapes if room.touches(s.box) and _sample(s)]
    frames = [s.box for s in shapes if _frame(s, plot)]
    own = [
        line for line in words
        if all(_far(plot.area, line.box) <= _far(area, line.box) for area in others)
    ]  # fmt: skip
    return _listed(own, small, frames, plot) or _listed(words, small, frames, plot)


def _far(area: PageBox, box: PageBox) -> float:
    x, y = box.centre
    return math.hypot(max(area.left - x, x - area.right, 0), max(area.top - y, y - area.bottom, 0))


def _listed(
    lines: Sequence[TextLine], samples: Sequence[DrawnShape], frames: Sequence[PageBox], plot: Plot
) -> list[LegendEntry]:
    """The lines that have a sample and stand in a frame, or with others in one list."""
    entries = [e for line in lines if (e := _entry(line, samples, plot)) is not None]
    kept = []
    for entry in entries:
        mates = [o for o in entries if o is not entry and _in_one_list(entry, o)]
        framed = any(_holds(f, entry.box) for f in frames)
        outside = not plot.area.touches(entry.box, -1)
        if (mates and all(_look(m) != _look(entry) for m in mates)) or framed or (
            outside and mates
        ):  # fmt: skip
            kept.append(entry)
    return kept


def _sample(shape: DrawnShape) -> bool:
    box = shape.box
    return box.width <= _LONGEST and box.height <= BIGGEST_MARKER and (
        shape.fill is None or shape.fill[:3] != (255, 255, 255) or shape.stroke is not None
    )  # fmt: skip


def _entry(line: TextLine, shapes: Sequence[DrawnShape], plot: Plot) -> LegendEntry | None:
    """A line of words with the sample to its left, else (as some makers do) to its right."""
    level = [s for s in shapes if abs(s.box.centre[1] - line.box.centre[1]) < 0.42 * line.size]
    for before in (True, False):
        near = [
            s for s in level
            if (0 < line.box.left - s.box.right < _GAP if before
                else 0 < s.box.left - line.box.right < _GAP)
        ]  # fmt: skip
        if not near:
            continue
        closest = min(near, key=lambda s: abs(s.box.centre[0] - line.box.centre[0]))
        cluster = [s for s in level if s.box.touches(closest.box, 0.5)]
        box = around([s.box for s in cluster])
        if box.width > 60:
            continue
        return LegendEntry(line.text, tuple(cluster), around([box, line.box]))
    return None


def _frame(shape: DrawnShape, plot: Plot) -> bool:
    box, area = shape.box, plot.area
    whole = area.width * area.height
    return (
        len(shape.knots) >= 4 and box.height > 9 and box.width > 25
        and box.width * box.height < 0.5 * whole
        and (shape.fill is None or shape.fill[:3] == (255, 255, 255) or shape.stroke is not None)
    )  # fmt: skip


def _holds(frame: PageBox, inner: PageBox) -> bool:
    return (
        frame.left <= inner.left + 1 and frame.right >= inner.right - 1
        and frame.top <= inner.top + 2 and frame.bottom >= inner.bottom - 2
    )  # fmt: skip


def _in_one_list(one: LegendEntry, two: LegendEntry) -> bool:
    """One below the other with their samples in line, or side by side on one line."""
    a, b = around([s.box for s in one.shapes]), around([s.box for s in two.shapes])
    below = abs(a.centre[0] - b.centre[0]) < 1.5 and abs(a.centre[1] - b.centre[1]) < 60
    beside = abs(a.centre[1] - b.centre[1]) < 1.0 and abs(a.centre[0] - b.centre[0]) < 250
    return below or beside


Look = tuple[frozenset[Colour | None], frozenset[tuple[Colour | None, str]], frozenset[str]]


def _look(entry: LegendEntry) -> Look:
    fills = frozenset(s.fill for s in entry.shapes if s.fill is not None)
    strokes = frozenset((s.stroke, dash_of(s)) for s in entry.shapes if s.stroke is not None)
    forms = frozenset(s.kinds.replace("m", "")[:12] for s in entry.shapes)
    return fills, strokes, forms


def dash_of(shape: DrawnShape) -> str:
    """A dash pattern as text; empty for an unbroken line."""
    dash = shape.dash if len([d for d in shape.dash if d > 0]) > 1 else ()
    return " ".join(f"{d:g}" for d in dash)


def name_of(style: Style, entries: Sequence[LegendEntry]) -> str:
    """The words of the entry that looks most like a series; empty where none does, or two do."""
    scores = sorted(((_score(style, _look(e)), e.text) for e in entries), reverse=True)
    if not scores or scores[0][0] == 0:
        return ""
    if len(scores) > 1 and scores[0][0] == scores[1][0]:
        return ""
    return scores[0][1]


def _score(style: Style, look: Look) -> int:
    sort, fill, stroke, form = style
    fills, strokes, forms = look
    if sort == "bar":
        return 3 if fill in fills else 0
    if sort == "line":
        if (stroke, form) in strokes:
            return 4
        if any(stroke == s for s, _ in strokes):
            return 2
        return 1 if stroke in fills else 0
    shape = form.split(" ")[0] in forms
    if fill is not None and fill in fills:
        return 3 + shape
    if any(stroke == s for s, _ in strokes) and (fill is None or not fills):
        return 2 + shape
    ink = fill if fill is not None else stroke
    return 1 if ink in fills or any(ink == s for s, _ in strokes) else 0
