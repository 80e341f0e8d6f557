"""``scatter``: one measure against another, each item's journey through use, and both lines."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from explainer.charts import axis, fonts, style
from explainer.charts.callouts import callouts
from explainer.charts.display_list import AXES, DATA, SUMMARY, Box, DisplayList, Points
from explainer.charts.downsample import POINTS, density
from explainer.charts.frame import Frame, Sign, frame, knocked_out
from explainer.charts.names import LAST, OUTERMOST, Named, leader, name_all, near, set_name
from explainer.charts.style import SMALL, WIDE, Canvas, Look, Role, Shape, series
from explainer.claims.figure_data import FitLine, Point, ScatterData
from explainer.claims.verdict import FigureResult
from explainer.words.facts.items import sort_of
from explainer.words.said import FigureWords

Line = tuple[Role, float, tuple[float, ...]]
#: The line across items, each one's own, the others' without the one that makes it, one that
#: nothing bears out, and what one would expect.
OTHERS: Line = ("ink", style.BOLD * 0.9, ())
OWN: Line = ("ink", style.BOLD * 0.9, (6, 3))
WITHOUT: Line = ("ink", style.LINE * 1.4, ())
UNSURE: Line = ("line", style.LINE, ())
WOULD: Line = ("accent", style.LINE * 1.3, (2, 2))
EACH = "each on its own"
EXPECTED = "as the line would have it"
#: The name of a line further than this from its end is joined to it.
CLOSE = 12.0


def draw(result: FigureResult, words: FigureWords, sheet: Canvas = WIDE) -> DisplayList:
    """The figure on a sheet; ``result.data`` is a ``ScatterData``."""
    data: ScatterData = result.data
    points = _finite(data.points if data.joined else data.item_means or data.points)
    others = _finite(data.line_points)
    groups = list(dict.fromkeys(point.group for point in points))
    looks = {group: series(index) for index, group in enumerate(groups)}
    # Each one's own way is a line through journeys: where none is drawn, nor is it.
    within = data.within if data.joined else None
    fits = [fit for fit in (data.between, data.without, within) if fit is not None]
    expected = data.expected if data.joined and len(points) <= POINTS else None
    x = axis.fit(
        [*(p.x for p in (*points, *others)), *(v for f in fits for v in (f.x_from, f.x_to)),
         *(x for x, _ in expected or ())]
    )
    y = axis.fit(
        [*(p.y for p in (*points, *others)), *(v for f in fits for v in _ends(f)),
         *(y for _, y in expected or ())], 0.07,
        also=result.y_also,
    )  # fmt: skip
    key = (
        [(sort_of(group, data.by), looks[group]) for group in groups]
        if len(groups) > 1 and len(points) <= POINTS
        else []
    )
    made = frame(sheet, words, x, y, 8.0, key, signs=_signs(data, result.n_items),
                 key_lines=data.joined)  # fmt: skip
    if others:
        places = made.points([p.x for p in others], [p.y for p in others])
        made.plate.dots(places, "circle", style.DOT * 0.8, "paper", "line", 0.8, AXES)
        made.ink.add_points(places, 4)
    if len(points) > POINTS:
        _cloud(made, points)
    _fit_line(made, data.between, _across(data))
    _fit_line(made, data.without, WITHOUT)
    _fit_line(made, within, OWN)
    if len(points) > POINTS:
        _name_fits(made, data, result.n_items)
        callouts(made, words)
        return made.plate
    journeys = _by_item(points)
    rows = {(p.item, p.use): row for row, p in enumerate(data.points)}
    _expectation(made, expected)
    ends = [_journey(made, journey, looks[journey[0].group], rows) for journey in journeys]
    _averages(made, data)
    _name_fits(made, data, result.n_items)
    callouts(made, words)
    if not sheet.phone:
        _start_and_end(made, journeys)
    _name_expectation(made, expected)
    names = [
        Named(journey[-1].item, end, looks[journey[-1].group].role)
        for journey, end in zip(journeys, ends, strict=True)
    ]
    if sheet.named:
        name_all(made, names, patch=data.joined, of_many=LAST if data.joined else OUTERMOST)
    return made.plate


def _name_fits(made: Frame, data: ScatterData, n_items: int) -> None:
    """Both levels: across the items, and each on its own way."""
    if made.sheet.phone:
        return
    fits = (data.between, data.without, data.within if data.joined else None)
    ways = [None if f is None else made.points((f.x_from, f.x_to), _ends(f)) for f in fits]
    for way, name in zip(ways, (_named(data, n_items), f"without {data.one}", EACH), strict=True):
        if way is not None:
            _name_fit(made, way, name, [w for w in ways if w is not None and w is not way])


def _named(data: ScatterData, n_items: int) -> str:
    """Whose line the one across items is."""
    others = len(data.line_points)
    count = axis.number(others or n_items, 0)
    if others:
        return f"across {count} others"
    return f"across the {count} averages" if data.joined else f"across all {count}"


def _across(data: ScatterData) -> Line:
    """Bold only where the items have a slope, and no single one makes it."""
    return OTHERS if data.sure and not data.one else UNSURE


def _signs(data: ScatterData, n_items: int) -> list[Sign]:
    """What a phone says below the data."""
    signs = []
    if data.between is not None:
        rings: tuple[tuple[Shape, Role, Role], ...] = (
            (("circle", "paper", "line"),) if data.line_points else ()
        )
        signs.append(Sign(_named(data, n_items), line=_across(data), dots=rings))
    if data.without is not None:
        signs.append(Sign(f"without {data.one}", line=WITHOUT))
    if data.within is not None and data.joined:
        signs.append(Sign(EACH, line=OWN))
    if data.joined and len(data.points) <= POINTS:
        ends: tuple[tuple[Shape, Role, Role], ...] = (
            ("circle", "paper", "ink"), ("circle", "ink", "paper"),
        )  # fmt: skip
        signs.append(Sign("from start to end", dots=ends))
        if data.expected is not None and len(data.points) <= POINTS:
            signs.append(Sign(EXPECTED, line=WOULD))
    return signs


def _expectation(
    made: Frame, expected: tuple[tuple[float, float], tuple[float, float]] | None
) -> None:
    """The arrow of an average journey that kept to the slope across items."""
    if expected is None:
        return
    places = made.points([x for x, _ in expected], [y for _, y in expected])
    way = places[1] - places[0]
    length = float(np.hypot(*way))
    if length < 10:
        return
    role, width, dash = WOULD
    ahead = way / length
    aside = np.array([-ahead[1], ahead[0]])
    made.plate.line([places[0], places[1] - 6 * ahead], role, width, dash, SUMMARY)
    head = [places[1], places[1] - 8 * ahead + 3.4 * aside, places[1] - 8 * ahead - 3.4 * aside]
    made.plate.area(head, "paper", SUMMARY, stroke=role, width=style.LINE)
    made.ink.add_line(places, 4)


def _name_expectation(
    made: Frame, expected: tuple[tuple[float, float], tuple[float, float]] | None
) -> None:
    if expected is not None and not made.sheet.phone:
        x, y = made.points(*expected[1])[0].tolist()
        set_name(made, Named(EXPECTED, (x, y), "accent"), "serif-italic", patch=True)


def _averages(made: Frame, data: ScatterData) -> None:
    """The items' own averages, which the line across items goes through, where there is one: over
    the trails, for one of a single checkpoint lies on a mark of its trail."""
    if data.joined and data.between and not data.line_points and len(data.points) <= POINTS:
        means = _finite(data.item_means)
        places = made.points([p.x for p in means], [p.y for p in means])
        made.plate.dots(places, "diamond", style.DOT * 0.9, "paper", "ink", 0.9, SUMMARY)
        made.ink.block_points(places, 3)


def _cloud(made: Frame, points: Sequence[Point]) -> None:
    """Too many points to draw: a square for each small patch, larger where more lie in it."""
    places, counts = density(made.points([p.x for p in points], [p.y for p in points]))
    most = counts.max()
    size = np.ceil(5 * np.sqrt(counts / most))
    for step in range(1, 6):
        made.plate.dots(places[size == step], "square", 0.72 * step, "s1", "paper", 0.2)
    made.ink.add_points(places, 3)
    text = f"each square: up to {axis.number(float(most), 0)} points, the larger the more"
    knocked_out(made, made.area.left + 3, made.area.top + SMALL, text, SMALL)


def _finite(points: Sequence[Point]) -> list[Point]:
    return [p for p in points if math.isfinite(p.x) and math.isfinite(p.y)]


def _ends(fit: FitLine) -> tuple[float, float]:
    return tuple(fit.intercept + fit.slope * x for x in (fit.x_from, fit.x_to))  # type: ignore[return-value]


def _by_item(points: list[Point]) -> list[list[Point]]:
    """Each item's points in order of use."""
    found: dict[str, list[Point]] = {}
    for point in points:
        found.setdefault(point.item, []).append(point)
    return [
        sorted(found[item], key=lambda p: p.use if p.use is not None else 0.0) for item in found
    ]


def _journey(
    made: Frame, journey: list[Point], look: Look, rows: Mapping[tuple[str, float | None], int]
) -> tuple[float, float]:
    """A hollow start, a filled end and one arrow between; gives the place of the end."""
    places = made.points([p.x for p in journey], [p.y for p in journey])
    plate = made.plate
    radius = style.DOT * (1.5 if len(journey) > 1 else 1.25)
    known = all((p.item, p.use) in rows for p in journey)
    cells = [(rows[p.item, p.use], 0) for p in journey] if known else []
    if len(journey) > 1:
        # One arrow from start to end; the stops between are faint, and joined for who follows one.
        plate.line(places[[0, -1]], look.role, style.LINE * 1.2, look.dash, DATA)
        made.ink.add_line(places[[0, -1]], 2)
        _arrow(plate, places[[0, -1]], look.role)
        plate.dots(places[1:-1], "circle", 1.0, look.role, look.role, 0.2, cells=cells[1:-1])
        plate.dots(places[:1], look.shape, radius, "paper", look.role, 1.1, cells=cells[:1])
    plate.dots(places[-1:], look.shape, radius, look.role, "paper", 0.5, cells=cells[-1:])
    made.ink.add_points(places, 6)
    for x, y in places[[0, -1]]:
        made.ink.add_points(np.array([(x + dx, y + dy) for dx in (-2, 2) for dy in (-2, 2)]), 4)
    return float(places[-1, 0]), float(places[-1, 1])


def _arrow(plate: DisplayList, places: Points, role: str) -> None:
    """A small head on the longest piece, which says which way the journey went."""
    steps = np.diff(places, axis=0)
    length = np.hypot(steps[:, 0], steps[:, 1])
    longest = int(np.argmax(length))
    if length[longest] < 14:
        return
    ahead = steps[longest] / length[longest]
    aside = np.array([-ahead[1], ahead[0]])
    tip = places[longest] + steps[longest] * 0.56 + ahead * 2
    plate.area([tip, tip - 6 * ahead + 2.5 * aside, tip - 6 * ahead - 2.5 * aside], role, DATA)


def _fit_line(made: Frame, fit: FitLine | None, look: Line) -> None:
    """A straight line over its own range, beneath the points it sums up."""
    if fit is None:
        return
    places = made.points((fit.x_from, fit.x_to), _ends(fit))
    role, width, dash = look
    made.plate.line(places, "paper", width + 1.6, step=SUMMARY)
    made.plate.line(places, role, width, dash, SUMMARY)
    made.ink.add_line(places, 3)


def _name_fit(made: Frame, places: Points, name: str, others: Sequence[Points]) -> None:
    """The line's name at its end, or at its start if that alone is free or clearly nearer to it
    than to another line; a name that could be another's is joined to its own by a hairline."""
    wide, tall = fonts.width(name, SMALL, "sans-bold") + 4, SMALL * 1.2
    spots = [
        made.ink.place(wide, tall, (float(x), float(y)), near(made, x, y, 45, wide), 0.5, 4)
        for x, y in places
    ]
    found = [(s.box, end) for s, end in zip(spots, places, strict=True) if s is not None and s.free]
    clear = [
        (box, end) for box, end in found
        if math.hypot(*_aside(box, end)) < min([CLOSE, *(0.6 * _away(box, w) for w in others)])
    ]  # fmt: skip
    if found:
        box, end = (clear or found)[-1]
        if not clear:
            leader(made, [tuple(end - _aside(box, end)), tuple(end)], SUMMARY)
        made.plate.rectangle(box, "paper", SUMMARY, 0.86)
        made.plate.text(
            box.left + 2, box.top + 0.86 * SMALL, name, SMALL, "ink", "sans-bold", step=SUMMARY
        )
        made.ink.block(box.grown(1))


def _away(box: Box, way: Points) -> float:
    """How far a line passes from a box."""
    along = way[0] + np.linspace(0, 1, 60)[:, None] * (way[1] - way[0])
    return float(np.hypot(*_aside(box, along).T).min())


def _aside(box: Box, at: Points) -> Points:
    """How points lie to the nearest place of a box."""
    return at - np.clip(at, (box.left, box.top), (box.right, box.bottom))


def _start_and_end(made: Frame, journeys: list[list[Point]]) -> None:
    """Says on the longest journey what hollow and filled mean."""
    moving = [j for j in journeys if len(j) > 1]
    if not moving:
        return
    paths = [made.points([p.x for p in j], [p.y for p in j]) for j in moving]
    longest = max(paths, key=lambda path: float(np.hypot(*(path[-1] - path[0]))))
    for spot, word in ((longest[0], "start"), (longest[-1], "end")):
        set_name(
            made, Named(word, (float(spot[0]), float(spot[1])), "ink"), "serif-italic", patch=True
        )
