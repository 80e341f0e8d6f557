"""Names of series: a sample of how a series is drawn, with words beside it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from explainer.lift.captions import TextLine
from explainer.lift.marks import BIGGEST_MARKER, Plot, Style
from explainer.lift.shapes import Colour, DrawnShape, PageBox, around

_LONGEST = 48.0
_GAP = 22.0


@dataclass(frozen=True)
class LegendEntry:
    """Words, and the shapes that show what they stand for."""

    text: str
    shapes: tuple[DrawnShape, ...]
    box: PageBox


def legend_of(
    plot: Plot, shapes: Sequence[DrawnShape], lines: Sequence[TextLine]
) -> list[LegendEntry]:
    """The entries in, or near, a plot; empty where there is no legend."""
    room = PageBox(plot.area.left - 20, plot.area.top - 120, plot.area.right + 190,
               plot.area.bottom + 90)  # fmt: skip
    labels = [a.labels for a in (plot.x, plot.y) if a is not None]
    words = [
        line for line in lines
        if room.touches(line.box) and not any(b.touches(line.box, -0.5) for b in labels)
        and re.search(r"\w", line.text) and len(line.text) < 60
    ]  # fmt: skip
    small = [s for s in shapes if room.touches(s.box) and _sample(s)]
    entries = [e for line in words if (e := _entry(line, small, plot)) is not None]
    frames = [s.box for s in shapes if _frame(s, plot)]
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
