"""Charts that three makers drew from known numbers are read within a tenth of a percent."""

from __future__ import annotations

import io

import pikepdf
import pypdfium2
import pytest
from makers import MAKERS, NAMED, SHAPES, X, Y
from measured import errors_of

from explainer.lift.charts import ReadChart, read_charts
from explainer.lift.pages import page_drawing

#: Share of the axis: what is asked of marks on drawn charts.
MOST = 0.001


def charts_of(pdf: bytes, at: tuple[float, ...] = ()) -> tuple[list[ReadChart], list[str]]:
    charts, refused = read_charts(page_drawing(pypdfium2.PdfDocument(pdf)[0], 1), at)
    return charts, [why for _, why in refused]


@pytest.fixture(scope="module")
def drawn():
    made: dict[tuple[str, str], bytes] = {}

    def draw(maker: str, shape: str) -> bytes:
        if (maker, shape) not in made:
            made[maker, shape] = MAKERS[maker](shape)
        return made[maker, shape]

    return draw


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("maker", MAKERS)
def test_marks_are_where_they_were_drawn(maker: str, shape: str, drawn) -> None:
    charts, refused = charts_of(drawn(maker, shape))
    assert refused == []
    (chart,) = charts
    assert max(errors_of(chart, shape)) < MOST
    truth = SHAPES[shape]
    assert {s.name for s in chart.series} == set(truth)
    assert [len(s.points) for s in chart.series] == [len(rows) for rows in truth.values()]
    sorts = {s.sort for s in chart.series}
    assert sorts == {"bars" if shape in NAMED else "line" if shape == "dashes" else "points"}
    assert chart.y is not None and chart.y.scale == ("log" if shape == "log" else "linear")
    if maker != "reportlab":
        assert chart.y_title == Y
        assert chart.x_title == ("" if shape in NAMED else X)


def test_the_error_that_is_told_covers_the_error_there_is(drawn) -> None:
    """Of every mark of every chart: what was drawn lies within the told error of what was read."""
    from dataclasses import asdict

    from explainer.lift.written import chart_columns, chart_errors

    for maker in MAKERS:
        for shape in ("scatter", "errors", "lines"):
            (chart,), _ = charts_of(drawn(maker, shape))
            record = asdict(chart)
            columns = chart_columns(record)
            errors, shared = chart_errors(record, columns)
            series = {s.name: s for s in chart.series}
            for name, rows in SHAPES[shape].items():
                read = sorted(series[name].points, key=lambda p: (p.x, p.y))
                for point, row in zip(read, sorted(rows), strict=True):
                    assert abs(point.x - row[0]) <= errors[columns.x], (maker, shape)
                    assert abs(point.y - row[1]) <= errors[columns.y], (maker, shape)
            assert all(shared[name] < errors[name] for name in errors)


@pytest.mark.parametrize("turn", [90, 270])
def test_a_turned_page_is_read_as_shown(turn: int, drawn) -> None:
    pdf = pikepdf.open(io.BytesIO(drawn("matplotlib", "lines")))
    sheet = pdf.pages[0]
    width, height = (float(v) for v in sheet.mediabox[2:])
    matrix = {90: f"0 1 -1 0 {height} 0", 270: f"0 -1 1 0 0 {width}"}[turn]
    sheet.contents_add(f"q {matrix} cm".encode(), prepend=True)
    sheet.contents_add(b"Q")
    sheet.mediabox = [0, 0, height, width]
    sheet.Rotate = turn
    out = io.BytesIO()
    pdf.save(out)
    (chart,), _ = charts_of(out.getvalue())
    assert max(errors_of(chart, "lines")) < MOST
    assert chart.y_title == Y


def _figure(**size):
    from matplotlib.backends.backend_pdf import FigureCanvasPdf
    from matplotlib.figure import Figure

    figure = Figure(figsize=(5, 3.4), **size)
    FigureCanvasPdf(figure)
    return figure


def _pdf(figure) -> bytes:
    out = io.BytesIO()
    figure.savefig(out, format="pdf")
    return out.getvalue()


def test_two_y_axes_are_refused_with_a_reason() -> None:
    figure = _figure()
    axes = figure.subplots()
    axes.plot([0, 10, 20], [1, 5, 3])
    axes.twinx().plot([0, 10, 20], [400, 200, 900], color="r")
    charts, refused = charts_of(_pdf(figure))
    assert charts == []
    assert any("two y axes" in why and "--picture" in why for why in refused)


def test_a_broken_axis_is_refused_with_a_reason() -> None:
    figure = _figure()
    axes = figure.subplots()
    axes.plot([0, 10, 20], [1, 5, 3])
    axes.set_yticks([1, 2, 3, 4, 5], ["0", "10", "20", "90", "100"])
    charts, refused = charts_of(_pdf(figure))
    assert charts == []
    assert any("neither evenly spaced nor logarithmic" in why for why in refused)


def test_a_chart_without_numbers_gives_nothing() -> None:
    figure = _figure()
    axes = figure.subplots()
    axes.plot([0, 10, 20], [1, 5, 3])
    axes.set_xticks([])
    axes.set_yticks([])
    assert charts_of(_pdf(figure))[0] == []


def test_a_curve_is_sampled_where_asked() -> None:
    """A curve drawn with a hundred corners: its values at asked places, not its corners."""
    import numpy as np

    figure = _figure()
    axes = figure.subplots()
    x = np.linspace(0, 60, 400)
    axes.plot(x, 30 + 8 * np.sin(x / 9))
    (chart,), _ = charts_of(_pdf(figure), (0, 12.5, 33, 60, 99))
    points = [(p.x, p.y) for p in chart.series[0].points]
    assert [round(px, 3) for px, _ in points] == [0, 12.5, 33, 60]
    for px, py in points:
        assert abs(py - (30 + 8 * np.sin(px / 9))) < MOST * 16


def test_a_path_up_a_lane_is_sampled_along_its_feet() -> None:
    """A ball goes out and comes back: boards have two feet, feet have one board."""
    import numpy as np

    feet = np.linspace(0, 60, 241)
    boards = 20 - 12 * np.sin(np.pi * feet / 70) + 4 * (feet / 60) ** 3
    figure = _figure()
    axes = figure.subplots()
    axes.plot(boards, feet)
    axes.set(xlabel="board", ylabel="feet")
    (chart,), _ = charts_of(_pdf(figure), (0, 15, 30, 45, 60))
    points = chart.series[0].points
    assert [round(p.y, 2) for p in points] == [0, 15, 30, 45, 60]
    for p in points:
        true = 20 - 12 * np.sin(np.pi * p.y / 70) + 4 * (p.y / 60) ** 3
        assert abs(p.x - true) < 0.001 * 16


def test_two_charts_side_by_side_keep_their_own_axes() -> None:
    figure = _figure()
    left, right = figure.subplots(1, 2)
    left.scatter([0, 5, 10], [1, 2, 3])
    right.scatter([100, 150, 200], [70, 20, 45])
    charts, refused = charts_of(_pdf(figure))
    assert refused == []
    read = [[(round(p.x, 2), round(p.y, 2)) for p in c.series[0].points] for c in charts]
    assert sorted(read) == [[(0, 1), (5, 2), (10, 3)], [(100, 70), (150, 20), (200, 45)]]


def _barred(x: list[float], y: list[float], **bars) -> list:
    figure = _figure()
    axes = figure.subplots()
    axes.errorbar(x, y, fmt="o", **bars)
    axes.set(xlabel="texture", ylabel="hook")
    (chart,), refused = charts_of(_pdf(figure))
    assert refused == []
    return sorted((p.x, p.y, p.left, p.right, p.low, p.high) for p in chart.series[0].points)


@pytest.mark.parametrize("cap", [0, 3])
def test_uneven_error_bars_on_both_axes_are_read_end_by_end(cap: int) -> None:
    x, y = [20.0, 34.0, 51.0, 66.0], [9.0, 4.5, 7.25, 5.5]
    wide, high = [[1.0, 2.5, 3.0, 0.5], [4.0, 1.5, 2.0, 6.0]], [[1, 0.5, 2, 1], [0.25, 3, 1, 2]]
    read = _barred(x, y, xerr=wide, yerr=high, capsize=cap)
    for n, row in enumerate(read):
        true = (x[n], y[n], x[n] - wide[0][n], x[n] + wide[1][n], y[n] - high[0][n],
                y[n] + high[1][n])  # fmt: skip
        spans = (60, 9, 60, 60, 9, 9)
        assert all(abs(a - b) < MOST * s for a, b, s in zip(row, true, spans, strict=True))


@pytest.mark.parametrize(("axis", "none"), [("xerr", (4, 5)), ("yerr", (2, 3))])
def test_caps_are_no_error_bars(axis: str, none: tuple[int, int]) -> None:
    """The caps of a bar along one axis lie along the other; one bar here is next to nothing."""
    read = _barred([1, 2, 3, 4], [9, 4, 7, 5], **{axis: [0.001, 0.5, 0.7, 0.4]}, capsize=4)
    assert all(row[n] is None for row in read for n in none)
    assert all(row[n] is not None for row in read[1:] for n in {2, 3, 4, 5} - set(none))


@pytest.mark.parametrize("ink", ["own", "black"])
def test_error_bars_of_two_series_that_overlap_stay_apart(ink: str) -> None:
    """Two means at each place, close enough that each bar reaches over the other's marker."""
    figure = _figure()
    axes = figure.subplots()
    games = [0, 20, 40]
    colour = {"ecolor": "k"} if ink == "black" else {}
    axes.errorbar(games, [9, 8, 7], yerr=1.5, fmt="o", label="New", **colour)
    axes.errorbar(games, [8.5, 7.2, 6.4], yerr=1.2, fmt="s", label="Used", **colour)
    axes.legend()
    (chart,), _ = charts_of(_pdf(figure))
    read = {s.name: [(round(p.y, 2), round(p.low, 2), round(p.high, 2)) for p in s.points]
            for s in chart.series}  # fmt: skip
    assert read == {
        "New": [(9, 7.5, 10.5), (8, 6.5, 9.5), (7, 5.5, 8.5)],
        "Used": [(8.5, 7.3, 9.7), (7.2, 6.0, 8.4), (6.4, 5.2, 7.6)],
    }


def test_error_bars_of_lying_bars_are_read() -> None:
    figure = _figure()
    axes = figure.subplots()
    axes.barh(["Plover", "Teasel", "Sedge"], [4.0, 7.5, 5.5], xerr=[[0.5, 1, 0.7], [0.2, 0.4, 2]])
    (chart,), _ = charts_of(_pdf(figure))
    read = {p.y: (round(p.x, 2), round(p.left, 2), round(p.right, 2))
            for p in chart.series[0].points}  # fmt: skip
    assert read == {"Plover": (4, 3.5, 4.2), "Teasel": (7.5, 6.5, 7.9), "Sedge": (5.5, 4.8, 7.5)}


def test_stems_and_lines_between_marks_are_no_error_bars() -> None:
    figure = _figure()
    one, two = figure.subplots(1, 2)
    one.vlines([1, 2, 3], 0, [4, 2, 5])
    one.plot([1, 2, 3], [4, 2, 5], "o")
    one.set_ylim(0, 6)
    two.plot([1, 2, 2, 3], [4, 4, 6, 6], "s-")
    charts, _ = charts_of(_pdf(figure))
    points = [p for chart in charts for s in chart.series for p in s.points]
    assert len(points) == 7
    assert all((p.low, p.high, p.left, p.right) == (None,) * 4 for p in points)


def test_the_ends_of_error_bars_get_columns_of_their_own() -> None:
    from dataclasses import asdict

    from explainer.lift.written import ReportFile, chart_part

    figure = _figure()
    axes = figure.subplots()
    axes.errorbar([10, 20, 30], [5, 6, 7], xerr=[[1, 2, 3], [2, 1, 4]], fmt="o")
    axes.set(xlabel="games", ylabel="hook")
    (chart,), _ = charts_of(_pdf(figure))
    part = chart_part(asdict(chart), ReportFile("r.pdf", "0" * 64, 1), "2026-01-31", set())
    head, first, *_ = part.csv.decode().splitlines()
    assert head == "games,hook,games low,games high"
    assert [round(float(v), 1) for v in first.split(",")] == [10, 5, 9, 12]
    assert "what its error bars stand for" in part.origin.decode()


def test_two_x_axes_are_refused_with_a_reason() -> None:
    figure = _figure()
    axes = figure.subplots()
    axes.plot([1, 2, 3], [4, 2, 5], "o-")
    axes.twiny().plot([10, 20, 30], [4, 3, 2], "s--")
    charts, refused = charts_of(_pdf(figure))
    assert charts == []
    assert len(refused) == 1 and "two x axes" in refused[0] and "--picture" in refused[0]


def test_numbers_on_all_four_sides_are_one_scale_each() -> None:
    figure = _figure()
    axes = figure.subplots()
    axes.plot([1, 2, 3], [4, 2, 5], "o")
    axes.tick_params(top=True, right=True, labeltop=True, labelright=True)
    charts, refused = charts_of(_pdf(figure))
    assert refused == []
    (chart,) = charts
    assert [(round(p.x, 2), round(p.y, 2)) for p in chart.series[0].points] == [
        (1, 4), (2, 2), (3, 5),
    ]  # fmt: skip


@pytest.mark.parametrize("side", ["x", "y"])
def test_a_broken_axis_is_refused_though_each_part_would_do(side: str) -> None:
    """Two scales along one line, far enough apart that each has ticks of its own."""
    figure = _figure()
    axes = figure.subplots()
    low, high = [1, 2, 3, 1.5], [1, 2, 7, 8]
    axes.plot(*((low, high) if side == "y" else (high, low)), "o")
    ticks = ([0, 1, 2, 3, 7, 8, 9], ["0", "1", "2", "3", "57", "58", "59"])
    (axes.set_yticks if side == "y" else axes.set_xticks)(*ticks)
    charts, refused = charts_of(_pdf(figure))
    assert charts == []
    assert len(refused) == 1 and "broken axis" in refused[0] and "--picture" in refused[0]


@pytest.mark.parametrize("bare", ["ticks", "labels", "pie"])
def test_a_chart_without_readable_ticks_is_named(bare: str) -> None:
    figure = _figure()
    axes = figure.subplots()
    if bare == "pie":
        axes.pie([1, 2, 3], labels=["a", "b", "c"])
    else:
        axes.plot([1, 2, 3], [4, 2, 5], "o-")
        axes.tick_params(labelbottom=False, labelleft=False, length=0 if bare == "ticks" else 4)
    charts, refused = charts_of(_pdf(figure))
    assert charts == []
    assert refused and all("numbers at its ticks" in why and "--picture" in why for why in refused)


@pytest.mark.parametrize("turn", [90, 180, 270])
def test_a_chart_laid_on_its_side_is_stood_up(turn: int, drawn) -> None:
    """Shown turned, as a wide chart on an upright page is; most letters say which way is up."""
    from explainer.lift.pages import stood_up

    pdf = pikepdf.open(io.BytesIO(drawn("matplotlib", "lines")))
    pdf.pages[0].Rotate = turn
    out = io.BytesIO()
    pdf.save(out)
    page = pypdfium2.PdfDocument(out.getvalue())[0]
    assert stood_up(page) and not stood_up(page)
    (chart,), _ = read_charts(page_drawing(page, 1))
    assert max(errors_of(chart, "lines")) < MOST


WIDE = [(20.0, 9.0, 18.0, 25.0), (34.0, 4.5, 33.0, 35.0), (51.0, 7.25, 47.0, 52.0)]
"""x, y and the two ends of an uneven error bar along x."""


def _wide_by_vega() -> bytes:
    import json

    import vl_convert

    rows = [dict(zip("xyab", row, strict=True)) for row in WIDE]
    y = {"field": "y", "type": "quantitative", "title": "hook"}
    x = {"type": "quantitative", "title": "texture", "scale": {"zero": False}}
    bars = {"x": {"field": "a", **x}, "x2": {"field": "b"}, "y": y}
    dots = {"x": {"field": "x", **x}, "y": y}
    return bytes(vl_convert.vegalite_to_pdf(json.dumps({
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json", "width": 300, "height": 200,
        "data": {"values": rows}, "layer": [
            {"mark": "rule", "encoding": bars},
            {"mark": {"type": "point", "filled": True}, "encoding": dots},
        ],
    })))  # fmt: skip


def _wide_by_reportlab() -> bytes:
    from reportlab.graphics import renderPDF
    from reportlab.graphics.charts.lineplots import LinePlot
    from reportlab.graphics.shapes import Drawing, Line
    from reportlab.graphics.widgets.markers import makeMarker

    drawing, chart = Drawing(420, 290), LinePlot()
    chart.x, chart.y, chart.width, chart.height = 50, 45, 330, 200
    chart.data, chart.joinedLines = [[row[:2] for row in WIDE]], 0
    chart.lines[0].symbol = makeMarker("FilledCircle", size=5)
    chart.xValueAxis.valueMin, chart.xValueAxis.valueMax = 10, 60
    chart.yValueAxis.valueMin, chart.yValueAxis.valueMax = 0, 10
    drawing.add(chart)
    for _, y, low, high in WIDE:
        left, right = (50 + 330 * (v - 10) / 50 for v in (low, high))
        drawing.add(Line(left, 45 + 20 * y, right, 45 + 20 * y, strokeWidth=0.8))
    return bytes(renderPDF.drawToString(drawing))


@pytest.mark.parametrize("draw", [_wide_by_vega, _wide_by_reportlab])
def test_error_bars_along_x_are_read_whoever_drew_them(draw) -> None:
    (chart,), refused = charts_of(draw())
    assert refused == []
    for point, true in zip(chart.series[0].points, WIDE, strict=True):
        read = (point.x, point.y, point.left, point.right)
        spans = (34, 5, 34, 34)
        assert all(abs(a - b) < MOST * s for a, b, s in zip(read, true, spans, strict=True))
        assert point.low is None and point.high is None


def bars_from(low: float, tilt: int) -> bytes:
    """Three bars drawn from 0 on an axis that begins at ``low``, their names printed aslant."""
    import matplotlib

    matplotlib.use("pdf")
    import matplotlib.pyplot as plt

    figure, axes = plt.subplots(figsize=(5, 3.4))
    axes.bar(range(3), [73.9, 77.1, 74.4], color="#7a8fa6")
    axes.set_xticks(range(3), ["Marl A", "Marl B", "Teal A"], rotation=tilt)
    axes.set_ylim(low, 80)
    axes.set_ylabel("Hardness (Shore D)")
    figure.tight_layout()
    out = io.BytesIO()
    figure.savefig(out, format="pdf", metadata={"CreationDate": None})
    plt.close(figure)
    return out.getvalue()


@pytest.mark.parametrize("low", [0.0, 70.0])
def test_bars_are_read_where_the_axis_begins_above_their_foot(low):
    """What lies below the edge of the plot is drawn, and not seen."""
    [chart], refused = charts_of(bars_from(low, 0))
    assert refused == []
    [series] = chart.series
    assert series.sort == "bars" and [p.x for p in series.points] == ["Marl A", "Marl B", "Teal A"]
    assert [p.y for p in series.points] == pytest.approx([73.9, 77.1, 74.4], abs=0.08)


def test_bars_whose_names_cannot_be_read_are_numbered_and_it_is_said():
    [chart], _ = charts_of(bars_from(70.0, 60))
    [series] = chart.series
    assert [p.x for p in series.points] == ["bar 1", "bar 2", "bar 3"]
    assert any("printed aslant" in note for note in chart.notes)
