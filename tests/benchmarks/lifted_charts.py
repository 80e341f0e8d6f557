"""How far what is lifted is from what was drawn: 24 drawn charts, 54 pictured ones, all tables.

    .venv/bin/python tests/benchmarks/lifted_charts.py

Eight shapes by three makers as PDF; six of the shapes (bars are read from pictures as marks at
their tops, so they would only repeat) clean, compressed and photographed, read with simulated
careful clicks: each off by a pixel or so, then moved to the middle of the mark.  An error is a
share of the axis' length, the larger of x and y.  Tables in every layout of the tests, and those
over two pages, are compared cell by cell.  It prints, and never fails.
"""

from __future__ import annotations

import csv
import io
import statistics
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import pypdfium2
from weasyprint import HTML

sys.path[:0] = [str(Path(__file__).parents[1] / "lift"), str(Path(__file__).parents[2])]

import long_tables  # noqa: E402
from layouts import LAYOUTS  # noqa: E402
from makers import MAKERS, NAMED, SHAPES  # noqa: E402
from measured import errors_of  # noqa: E402
from pictured import KINDS, PicturedChart, careful_reading, picture_errors  # noqa: E402

from explainer.lift.charts import read_charts  # noqa: E402
from explainer.lift.lift import lift_report  # noqa: E402
from explainer.lift.pages import page_drawing  # noqa: E402
from explainer.lift.reading import read_by_hand, reading_of  # noqa: E402

Errors = dict[tuple[str, str, str], list[float]]
"""(drawn or what picture, maker, shape): the error of each mark."""


def drawn() -> Errors:
    """Charts read from the page's own drawing."""
    found = {}
    for maker, draw in MAKERS.items():
        for shape in SHAPES:
            (chart,), _ = read_charts(page_drawing(pypdfium2.PdfDocument(draw(shape))[0], 1))
            errors = found["drawn", maker, shape] = errors_of(chart, shape)
            tell(f"drawn         {maker:11} {shape:13}", errors)
    return found


def pictured() -> Errors:
    """Charts read off pictures with simulated clicks."""
    found = {}
    for kind in KINDS:
        for maker in MAKERS:
            for shape in (s for s in SHAPES if s not in NAMED):
                picture = PicturedChart(maker, shape, kind)
                read = read_by_hand(reading_of(careful_reading(picture, kind, seed=1)))
                errors = picture_errors(picture.chart, picture.truth(), list(read.values))
                found[kind, maker, shape] = errors
                tell(f"{kind:13} {maker:11} {shape:13}", errors)
    return found


def summed_up(found: Errors) -> None:
    """Medians of all marks by sort, maker and shape."""
    for part in range(3):
        for name in dict.fromkeys(key[part] for key in found):
            marks = [e for key, errors in found.items() if key[part] == name for e in errors]
            tell(f"all           {name:25}", marks)


def tables() -> tuple[int, int, int]:
    """Layouts, and of their cells how many there are and how many are read as printed."""
    cells = right = 0
    pages = {name: (html, rows) for name, (html, rows) in LAYOUTS.items()}
    pages |= {name: (html, long_tables.ROWS) for name, html in long_tables.LONG.items()}
    with TemporaryDirectory() as place:
        for html, rows in pages.values():
            path = Path(place) / "report.pdf"
            path.write_bytes(HTML(string=html).write_pdf())
            parts = lift_report(path, "2026-01-31").parts
            read = list(csv.reader(io.StringIO(parts[0].csv.decode()))) if parts else []
            cells += sum(map(len, rows))
            right += sum(
                a == b for one, two in zip(rows, read, strict=False)
                for a, b in zip(one, two, strict=False)
            )  # fmt: skip
    return len(pages), cells, right


def tell(name: str, errors: list[float]) -> None:
    print(f"{name} median {100 * statistics.median(errors):6.3f}%  worst {100 * max(errors):6.3f}%")


if __name__ == "__main__":
    vector, picture = drawn(), pictured()
    summed_up(vector | picture)
    worst = max(max(errors) for errors in vector.values())
    medians = [statistics.median(errors) for errors in picture.values()]
    print(f"drawn: {len(vector)} charts, worst mark of any {100 * worst:.3f}% of its axis")
    print(f"pictured: {len(picture)} charts, median {100 * statistics.median(medians):.3f}%, "
          f"worst median {100 * max(medians):.3f}%")  # fmt: skip
    layouts, cells, right = tables()
    print(f"tables: {layouts} layouts, {right} of {cells} cells as printed")
