"""Pages of several charts, each with its caption above or below it."""

from __future__ import annotations

import io

ROWS = {
    "Figure 1": [(0, 12), (10, 31), (20, 22), (30, 44)],
    "Figure 2": [(0, 5), (10, 8.5), (20, 21), (30, 17)],
    "Figure 3": [(0, 101), (10, 125), (20, 118), (30, 160)],
    "Figure 4": [(0, 2), (10, 2.4), (20, 3.1), (30, 2.2)],
}


def page_of(
    rows: int, columns: int, titles: list[str], under: bool = False, spines: bool = True,
    more: tuple[tuple[float, float, str], ...] = (), ticks: tuple[tuple[float, ...], ...] = (),
) -> bytes:  # fmt: skip
    """A sheet of charts of two series each, with a legend in each; ``more``: text at places;
    ``ticks``: those of each y axis."""
    from matplotlib.backends.backend_pdf import FigureCanvasPdf
    from matplotlib.figure import Figure

    figure = Figure(figsize=(8.5, 11), layout="tight")
    FigureCanvasPdf(figure)
    charts = figure.subplots(rows, columns, squeeze=False).flat
    for axes, title, points in zip(charts, titles, ROWS.values(), strict=False):
        x, y = zip(*points, strict=True)
        axes.plot(x, y, "o-", label="New")
        axes.plot(x, [v * 0.9 for v in y], "s-", label="Used")
        axes.set(ylabel="hook (boards)")
        axes.set_xlabel(f"games\n\n{title}" if under else "games")
        axes.set_title("" if under else title)
        axes.legend()
        if not spines:
            axes.spines[["left", "top", "right"]].set_visible(False)
            axes.patch.set_visible(False)
            axes.grid(axis="y")
            axes.set_yticks(axes.get_yticks())  # so that they span the marks
    for axes, places in zip(figure.axes, ticks, strict=False):
        axes.set_yticks(places)
    for x, y, text in more:
        figure.text(x, y, text)
    out = io.BytesIO()
    figure.savefig(out, format="pdf", metadata={"CreationDate": None})
    return out.getvalue()
