"""Which axes of a page belong together, and the box that a plot with them spans."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations, pairwise

from explainer.lift.axes import FoundAxes, ReadAxis
from explainer.lift.marks import Plot
from explainer.lift.shapes import DrawnShape, PageBox, around

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
            refused.append((_area(x, left[0], axes, shapes), _TWO_SCALES.format("y")))
            continue
        for y in left[:1] or right[:1]:
            used |= {id(x), id(y)}
            plots.append(_snapped(Plot(_area(x, y, axes, shapes), x, y), shapes))
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
            yield _area(one, y, axes, shapes), _TWO_SCALES.format("x"), {id(one), id(two), id(y)}
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


def _area(x: ReadAxis, y: ReadAxis, axes: FoundAxes, shapes: Sequence[DrawnShape]) -> PageBox:
    """The plot's box: from the axes' crossing to the ends of what spans it."""
    left, right = min(y.line, x.low), max(y.line, x.high)
    top, bottom = min(y.low, x.line), max(y.high, x.line)
    wide, high = right - left, bottom - top
    highest = max(top - 0.4 * high - 12, _ground_above(x, y, axes) + 1.5)
    tops: dict[bool, list[float]] = {True: [], False: []}
    for shape in shapes:
        box = shape.box
        if "c" in shape.kinds or not (shape.is_segment or len(shape.knots) in (4, 5)):
            continue
        stands = abs(box.bottom - bottom) < 1.5
        starts = abs(box.left - left) < 1.5 and box.right < right + 0.4 * wide + 12
        within = highest <= box.top and box.bottom <= bottom + 1.5
        if starts and within and box.width >= 0.97 * wide:
            right = max(right, box.right)
            tops[stands].append(box.top)
        upright = box.height >= 0.97 * high and box.width < 1.5
        if stands and box.top > highest and upright and left - 1.5 <= box.left < right + 2:
            tops[True].append(box.top)
    # What stands on the plot's ground ends with the plot; a level line may be of the chart above.
    frame = [at for at in tops[True] if at < bottom - 0.97 * high]
    return PageBox(left, min([top, *(frame or tops[False])]), right, bottom)


def _ground_above(x: ReadAxis, y: ReadAxis, axes: FoundAxes) -> float:
    """Where the chart above stands on its ground: by its x axis or its y axis' foot; 0 without."""
    left, right = min(y.line, x.low), max(y.line, x.high)
    grounds = [
        a.line for a in axes.x
        if a is not x and a.labels.centre[1] > a.line and a.low < right and left < a.high
    ]  # fmt: skip
    grounds += [a.high for a in axes.y if a is not y and left - 9 < a.line < right + 9]
    return max((at for at in grounds if at < y.low - 1.5), default=0.0)


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
