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
