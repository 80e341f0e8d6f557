"""Which caption is whose, on pages of several charts, and what is asked where it stays open."""

from __future__ import annotations

import pypdfium2
import pytest
from sheets import ROWS, page_of

from explainer.lift.charts import ReadChart, read_charts
from explainer.lift.pages import page_drawing


def read(pdf: bytes) -> list[ReadChart]:
    charts, refused = read_charts(page_drawing(pypdfium2.PdfDocument(pdf)[0], 1))
    assert refused == []
    return charts


def said(chart: ReadChart) -> tuple[str, float]:
    """Its label, and the value of its first mark, which tells the charts apart."""
    points = next(s.points for s in chart.series if s.name == "New")
    return chart.label, round(float(points[0].y), 1)


OWN = [(label, points[0][1]) for label, points in ROWS.items()]


@pytest.mark.parametrize("under", [False, True])
@pytest.mark.parametrize(("rows", "columns"), [(2, 2), (4, 1), (1, 2), (3, 1)])
def test_each_chart_of_a_page_has_its_own_caption(rows: int, columns: int, under: bool) -> None:
    charts = read(page_of(rows, columns, list(ROWS), under))
    assert sorted(map(said, charts)) == OWN[: rows * columns]
    assert [chart.notes for chart in charts] == [()] * len(charts)


@pytest.mark.parametrize("spines", [True, False])
def test_a_chart_ends_below_the_one_above_it(spines: bool) -> None:
    """Its legend is its own, and no frame of another chart is a series."""
    for chart in read(page_of(2, 2, list(ROWS), spines=spines)):
        assert [(s.name, s.sort, len(s.points)) for s in chart.series] == [
            ("New", "points", 4), ("Used", "points", 4)
        ]  # fmt: skip


def test_the_numbers_of_two_charts_make_no_axis_of_a_third() -> None:
    """5 and 0 of one width, the foot of one axis and of the next, alone on their right edge."""
    upper, lower = read(page_of(2, 1, list(ROWS), ticks=((5, 25, 45), (0, 10, 20))))
    assert upper.y is not None and [value for _, value in upper.y.ticks] == [45, 25, 5]
    assert lower.y is not None and [value for _, value in lower.y.ticks] == [20, 10, 0]
    assert sorted(map(said, (upper, lower))) == OWN[:2]


def test_one_title_between_two_charts_is_asked_about() -> None:
    """No side is the page's own: one chart has it below, the other above."""
    named, other = sorted(read(page_of(2, 1, ["", "Figure 2"])), key=lambda c: not c.label)
    assert (named.label, other.label) == ("Figure 2", "")
    assert named.notes[:1] == (
        "Figure 2 stands between this chart and something else: whose is it?",
    )


def test_a_chart_between_two_captions_is_asked_about() -> None:
    (chart,) = read(page_of(1, 1, ["Figure 1"], more=((0.4, 0.0, "Figure 2"),)))
    assert chart.label in ("Figure 1", "Figure 2")
    assert "which stands with this chart?" in chart.notes[0]


def test_a_row_of_charts_under_one_title_shares_it_and_is_asked_about() -> None:
    title = "Figure 7. Hook of new and used balls, on the left before, on the right after sanding"
    charts = read(page_of(1, 2, ["", ""], more=((0.15, 0.98, title),)))
    asked = "Figure 7 stands with 2 charts: which part of it is this one?"
    assert [(c.label, c.notes[:1]) for c in charts] == [("Figure 7", (asked,))] * 2
