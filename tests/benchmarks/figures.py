"""Six SVG figures and six stills of one study, over the bare matplotlib floor in the same run.

    python tests/benchmarks/figures.py

The floor draws six line charts of similar content with matplotlib alone: no pyplot, text kept as
text, one figure each for the SVG and for a 1920 × 1080 PNG.  Prints medians and the ratio; asserts
nothing.  The aim is 1.3 or less.
"""

from __future__ import annotations

import io
import statistics
import time
from collections.abc import Callable
from pathlib import Path

import matplotlib
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from explainer.charts import stills, svg
from explainer.charts.kinds import draw
from explainer.charts.style import STILL, WIDE
from explainer.claims.judge import judge
from explainer.claims.verdict import Judgement
from explainer.study.load import find_study, load_study
from explainer.words.said import StudyWords
from explainer.words.say import say

RUNS = 5
FIGURES = 6


def ours(judgement: Judgement, words: StudyWords) -> None:
    """The study's figures, round and round until there are six, as SVG and as stills."""
    for k in range(FIGURES):
        result = judgement.figures[k % len(judgement.figures)]
        said = words.figures[result.figure.id]
        svg.render(draw(result, said, WIDE), f"f{k}", said.title, said.description)
        stills.png(draw(result, said, STILL))


def floor(judgement: Judgement) -> None:
    """The same lines by matplotlib alone."""
    matplotlib.rcParams["svg.fonttype"] = "none"
    for k in range(FIGURES):
        table = judgement.figures[k % len(judgement.figures)].table
        figure = Figure(figsize=(7.11, 4), layout="constrained")
        axes = figure.add_subplot()
        for row in table.rows[:60]:
            values = [v for v in row if isinstance(v, float)]
            axes.plot(range(len(values)), values, marker="o", label=str(row[0]))
        axes.set_xlabel("games rolled")
        axes.set_ylabel("reading")
        axes.set_title("A figure")
        FigureCanvasSVG(figure).print_svg(io.StringIO())
        figure.set_dpi(270)
        FigureCanvasAgg(figure).print_png(io.BytesIO())


def median(work: Callable[[], None]) -> float:
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main() -> None:
    workspace, folder = find_study("cover-texture", Path(__file__).parents[2])
    judgement = judge(load_study(folder, workspace))
    words = say(judgement)
    ours(judgement, words), floor(judgement)  # warm
    mine, bare = median(lambda: ours(judgement, words)), median(lambda: floor(judgement))
    print(f"six SVG and six stills: {mine:.2f} s; bare matplotlib: {bare:.2f} s")
    print(f"ratio {mine / bare:.2f}")


if __name__ == "__main__":
    main()
