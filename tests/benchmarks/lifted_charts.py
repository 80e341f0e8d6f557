"""How far what is lifted from charts is from what was drawn: 24 drawn charts and 54 pictured ones.

    .venv/bin/python tests/benchmarks/lifted_charts.py

Eight shapes by three makers as PDF; six of the shapes (bars are read from pictures as marks at
their tops, so they would only repeat) clean, compressed and photographed, read with simulated
careful clicks: each off by a pixel or so, then moved to the middle of the mark.  An error is a
share of the axis' length, the larger of x and y.  It prints, and never fails.
"""

from __future__ import annotations

import statistics
import sys
from pathlib import Path

import pypdfium2

sys.path[:0] = [str(Path(__file__).parents[1] / "lift"), str(Path(__file__).parents[2])]

from makers import MAKERS, NAMED, SHAPES  # noqa: E402
from measured import errors_of  # noqa: E402
from pictured import KINDS, PicturedChart, careful_reading, picture_errors  # noqa: E402

from explainer.lift.charts import read_charts  # noqa: E402
from explainer.lift.pages import page_drawing  # noqa: E402
from explainer.lift.reading import read_by_hand, reading_of  # noqa: E402


def drawn() -> list[float]:
    """The worst mark of each drawn chart."""
    worst = []
    for maker, draw in MAKERS.items():
        for shape in SHAPES:
            (chart,), _ = read_charts(page_drawing(pypdfium2.PdfDocument(draw(shape))[0], 1))
            errors = errors_of(chart, shape)
            worst.append(max(errors))
            tell(f"drawn         {maker:11} {shape:13}", errors)
    return worst


def pictured() -> list[float]:
    """The median mark of each pictured chart."""
    medians = []
    for kind in KINDS:
        for maker in MAKERS:
            for shape in (s for s in SHAPES if s not in NAMED):
                picture = PicturedChart(maker, shape, kind)
                read = read_by_hand(reading_of(careful_reading(picture, kind, seed=1)))
                errors = picture_errors(picture.chart, picture.truth(), list(read.values))
                medians.append(statistics.median(errors))
                tell(f"{kind:13} {maker:11} {shape:13}", errors)
    return medians


def tell(name: str, errors: list[float]) -> None:
    print(f"{name} median {100 * statistics.median(errors):6.3f}%  worst {100 * max(errors):6.3f}%")


if __name__ == "__main__":
    worst, medians = drawn(), pictured()
    print(f"drawn: {len(worst)} charts, worst mark of any {100 * max(worst):.3f}% of its axis")
    print(f"pictured: {len(medians)} charts, median {100 * statistics.median(medians):.3f}%, "
          f"worst median {100 * max(medians):.3f}%")  # fmt: skip
