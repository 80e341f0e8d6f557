"""A table over two pages is one, however its second page begins; two tables stay two."""

from __future__ import annotations

import pytest
from long_tables import BODY, GRID, HEAD, LINES, LONG, NAME, ROWS, TEXT, sheets, table
from weasyprint import HTML

from explainer.lift.lift import Lifted, lift_report
from explainer.study.lifted import lifted_of

DAY = "2026-01-31"


def lifted(saved, html: str) -> Lifted:
    return lift_report(saved(HTML(string=html).write_pdf()), DAY)


def rows_of(part) -> list[list[str]]:
    return [line.split(",") for line in part.csv.decode().splitlines()]


@pytest.mark.parametrize("layout", LONG)
def test_a_table_over_two_pages_is_one(layout: str, saved) -> None:
    found = lifted(saved, LONG[layout])
    assert found.report.pages == 2
    (part,) = found.parts
    assert rows_of(part) == ROWS
    origin = lifted_of(part.name, part.origin)
    assert (origin.page, origin.to_page, origin.what) == (1, 2, "Table 3")
    assert origin.notes[0].startswith("one table over pages 1 to 2")
    assert "one table over pages 1 to 2" in part.says and origin.on == "pages 1 and 2"


def test_a_table_over_three_pages_is_one(saved) -> None:
    rows = [HEAD, *([f"{r[0]}{n}", *r[1:]] for n in range(3) for r in BODY)]
    found = lifted(saved, sheets(table(rows, caption=NAME), css=LINES))
    (part,) = found.parts
    assert found.report.pages > 2 and rows_of(part) == rows
    origin = lifted_of(part.name, part.origin)
    assert (origin.page, origin.to_page) == (1, found.report.pages)
    assert "head, which is printed again, stands once" in origin.notes[0]


OTHER = [["Bowler", "Nights", "Strikes", "Spares"], ["P", "11", "40", "21"],
         ["Q", "12", "38", "19"], ["R", "9", "41", "9"]]  # fmt: skip


@pytest.mark.parametrize(
    ("second", "why"),
    [
        (table(ROWS[:6], caption="Table 4. The other lane"), "another name"),
        (TEXT + table(ROWS[:6]), "text between"),
        (table(OTHER), "another head"),
    ],
)
def test_two_tables_stay_two(second: str, why: str, saved) -> None:
    one = TEXT * 4 + table(ROWS[:31], caption=NAME)
    found = lifted(saved, sheets(one, second, css=LINES))
    assert len(found.parts) == 2, why
    assert rows_of(found.parts[0]) == ROWS[:31]
    assert lifted_of(found.parts[0].name, found.parts[0].origin).to_page is None


def test_text_below_a_table_ends_it(saved) -> None:
    one = TEXT * 4 + table(ROWS[:25], caption=NAME) + TEXT * 3
    found = lifted(saved, sheets(one, table(ROWS[:9]), css=GRID))
    assert [len(rows_of(part)) for part in found.parts] == [25, 9]


def test_a_continued_table_with_other_columns_is_two_files_and_a_line(saved) -> None:
    wide = [[*row, str(n), str(2 * n)] for n, row in enumerate(BODY[30:])]
    one = TEXT * 4 + table(ROWS[:31], caption=NAME)
    found = lifted(saved, sheets(one, table(wide, False, "Table 3 (continued)"), css=LINES))
    assert len(found.parts) == 2
    (fault,) = found.faults
    assert "page 2: Table 3 goes on from page 1 with other columns" in fault


def test_an_empty_column_of_the_later_page_stands_empty(saved) -> None:
    rows = [*ROWS[:31], *([*row[:3], ""] for row in BODY[30:])]
    found = lifted(saved, sheets(TEXT * 4 + table(rows, caption=NAME), css=LINES))
    (part,) = found.parts
    assert rows_of(part) == rows


@pytest.mark.parametrize("css", [GRID, LINES], ids=["ruled", "lines"])
def test_a_table_laid_on_its_side_is_stood_up(css: str, saved) -> None:
    """A wide table on an upright page: all of its letters lie, and the page is shown so."""
    import io

    import pikepdf

    pdf = pikepdf.open(io.BytesIO(HTML(string=sheets(TEXT + table(ROWS[:12], caption=NAME),
                                                     css=css)).write_pdf()))  # fmt: skip
    pdf.pages[0].Rotate = 270
    out = io.BytesIO()
    pdf.save(out)
    (part,) = lift_report(saved(out.getvalue()), DAY).parts
    assert rows_of(part) == ROWS[:12]
    assert lifted_of(part.name, part.origin).caption == NAME
