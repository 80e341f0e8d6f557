"""Printed tables come out cell by cell, whatever their layout."""

from __future__ import annotations

import io

import pdfplumber
import pikepdf
import pypdfium2
import pytest
from layouts import BODY, BOOK, GRID, HEAD, LAYOUTS, PROSE, ROWS, page
from weasyprint import HTML

from explainer.draft.draft import without_marks
from explainer.lift.captions import captions, text_lines
from explainer.lift.charts import read_charts
from explainer.lift.pages import page_drawing
from explainer.lift.tables import PrintedTable, printed_tables, raised


def tables_of(pdf: bytes) -> list[PrintedTable]:
    drawing = page_drawing(pypdfium2.PdfDocument(pdf)[0], 1)
    charts, _ = read_charts(drawing)
    known = captions(text_lines(drawing.words))
    boxes = [chart.area for chart in charts]
    return printed_tables(
        drawing, boxes, known, lambda: pdfplumber.open(io.BytesIO(pdf)).pages[0]
    )


def set_as(html: str) -> bytes:
    return HTML(string=html).write_pdf()


def cells(table: PrintedTable) -> list[list[str]]:
    return [list(row) for row in table.cells]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_layout_is_read_cell_by_cell(layout: str) -> None:
    html, rows = LAYOUTS[layout]
    (table,) = tables_of(set_as(html))
    assert cells(table) == rows
    assert table.label == "Table 2"
    assert table.caption == "Table 2. Readings of every ball"


@pytest.mark.parametrize("turn", [90, 180, 270])
@pytest.mark.parametrize("css", [GRID, BOOK], ids=["ruled", "lines"])
def test_a_turned_page_is_read_as_shown(turn: int, css: str) -> None:
    """A page printed on its side and shown turned back is the same table."""
    pdf = pikepdf.open(io.BytesIO(set_as(page(ROWS, css=css))))
    width, height = (float(v) for v in pdf.pages[0].mediabox[2:])
    sheet = pdf.pages[0]
    # Draw it turned the one way and show it turned the other.
    matrix = {90: f"0 1 -1 0 {height} 0", 180: f"-1 0 0 -1 {width} {height}",
              270: f"0 -1 1 0 0 {width}"}[turn]  # fmt: skip
    sheet.contents_add(f"q {matrix} cm".encode(), prepend=True)
    sheet.contents_add(b"Q")
    if turn != 180:
        sheet.mediabox = [0, 0, height, width]
    sheet.Rotate = turn
    out = io.BytesIO()
    pdf.save(out)
    (table,) = tables_of(out.getvalue())
    assert cells(table) == ROWS


def test_two_tables_of_a_page_stay_apart() -> None:
    one = page(ROWS, css=BOOK).replace(PROSE, "", 1)
    two = [["Bowler", "Shots", "Strikes"], ["P", "40", "21"], ["Q", "38", "19"], ["R", "41", "9"]]
    both = one + page(two, css="").replace(PROSE, "").replace("Table 2", "Table 3")
    found = tables_of(set_as(both))
    assert [cells(t) for t in found] == [ROWS, two]
    assert [t.label for t in found] == ["Table 2", "Table 3"]


def test_prose_and_lists_are_no_tables() -> None:
    text = "<p>" + "In 2019 we rolled 8 balls for 60 games, and 4 of 12 gauges read 3 high. " * 9
    steps = "<ol><li>Roll it.<li>Read it.<li>Note it.</ol>"
    html = f"<style>body{{columns:2}}</style>{text}</p>{steps}"
    assert tables_of(set_as(html)) == []


def test_marks_go_and_digits_stay() -> None:
    bare, marked = without_marks("A1,0,71.40ᵃ,−0.75†\nA2*,n/a,3²,7\n", "a.csv")
    assert bare == "A1,0,71.40,−0.75\nA2*,n/a,3,7\n"
    assert marked == ["71.40ᵃ", "−0.75†", "3²"]
    assert raised("12.3^a") == "12.3ᵃ" and raised("10^-2") == "10⁻²"


def test_printed_digits_are_kept() -> None:
    """A zero at the end says how finely something was measured."""
    rows = [HEAD, ["A1", "0", "71.40", "12.0"], *BODY[1:]]
    (table,) = tables_of(set_as(page(rows, css=BOOK)))
    assert cells(table)[1] == ["A1", "0", "71.40", "12.0"]
