"""Charts of eight shapes drawn from known numbers by three chart makers, as PDF.

``SHAPES`` maps a shape to its truth: series by name, each a list of (x, y) or (x, y, half error
bar).  ``MAKERS`` maps a maker to a function (shape, title) -> PDF bytes.  The numbers are drawn
here, and nobody's.
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from typing import Any

import numpy as np

Truth = dict[str, list[tuple[Any, ...]]]


def _truth() -> dict[str, Truth]:
    rng = np.random.default_rng(1905)
    games = [0.0, 7.0, 15.0, 30.0, 45.0, 60.0]

    def spread(n: int, low: float, high: float) -> list[tuple[float, float]]:
        x, y = rng.uniform(20, 80, n).round(2), rng.uniform(low, high, n).round(2)
        return [(float(a), float(b)) for a, b in zip(x, y, strict=True)]

    cloud, other = spread(24, 4, 17), spread(15, 6, 19)
    fall = {f"Ball {n}": [(g, round(75 - d * g**0.8 - n, 2)) for g in games]
            for n, d in ((1, 0.9), (2, 0.55), (3, 0.7))}  # fmt: skip
    return {
        "scatter": {"": cloud},
        "two-scatters": {"New": cloud, "Used": other},
        "lines": fall,
        "dashes": {k: v for k, v in fall.items() if k != "Ball 3"},
        "bars": {"": [("Plover", 6.3), ("Teasel", 11.85), ("Sedge", 3.4), ("Rush", 8.05)]},
        "groups": {"New": [("Plover", 6.3), ("Teasel", 11.85), ("Sedge", 9.1)],
                   "Used": [("Plover", 4.2), ("Teasel", 10.4), ("Sedge", 7.75)]},
        "errors": {"": [(g, round(70 - 0.35 * g, 2), 2.0 + 0.05 * g) for g in games]},
        "log": {"": [(10.0 * n, float(f"{3.1 * 1.9**n:.4g}")) for n in range(1, 8)]},
    }  # fmt: skip


SHAPES = _truth()
X, Y = "games", "hook (boards)"
NAMED = ("bars", "groups")


def drawn_by_matplotlib(shape: str) -> bytes:
    """Lines, markers and error bars of a plotting library for science."""
    from matplotlib.backends.backend_pdf import FigureCanvasPdf
    from matplotlib.figure import Figure

    figure = Figure(figsize=(5.4, 3.6), layout="tight")
    FigureCanvasPdf(figure)
    axes = figure.subplots()
    looks = [{"marker": "o", "ls": "-"}, {"marker": "s", "ls": "--"}, {"marker": "^", "ls": ":"}]
    for n, (name, rows) in enumerate(SHAPES[shape].items()):
        x, y = [r[0] for r in rows], [r[1] for r in rows]
        label = name or None
        if "scatter" in shape:
            axes.scatter(x, y, marker=looks[n]["marker"], label=label)
        elif shape == "bars":
            axes.bar(x, y, color="#55779a")
        elif shape == "groups":
            axes.bar(np.arange(len(x)) + 0.4 * n, y, 0.4, label=label)
            axes.set_xticks(np.arange(len(x)) + 0.2, x)
        elif shape == "errors":
            axes.errorbar(x, y, yerr=[r[2] for r in rows], fmt="o", capsize=3)
        elif shape == "dashes":
            axes.plot(x, y, color="k", ls=("-", "--")[n], label=label)
        else:
            axes.plot(x, y, label=label, **looks[n])
    if shape == "log":
        axes.set_yscale("log")
    axes.set(xlabel="" if shape in NAMED else X, ylabel=Y)
    if any(SHAPES[shape]):
        axes.legend()
    out = io.BytesIO()
    figure.savefig(out, format="pdf", metadata={"CreationDate": None})
    return out.getvalue()


def drawn_by_vega(shape: str) -> bytes:
    """A grammar of graphics made for the web, whose ticks are rounded to pixels."""
    import vl_convert

    rows = [{"x": r[0], "y": r[1], "s": name, **({"lo": r[1] - r[2], "hi": r[1] + r[2]}
                                                if len(r) > 2 else {})}
            for name, series in SHAPES[shape].items() for r in series]  # fmt: skip
    kind = "nominal" if shape in NAMED else "quantitative"
    x: dict[str, Any] = {"field": "x", "type": kind, "title": None if shape in NAMED else X}
    y: dict[str, Any] = {"field": "y", "type": "quantitative", "title": Y}
    y["scale"] = {"type": "log"} if shape == "log" else {"zero": shape in NAMED}
    colour = {"color": {"field": "s", "title": None}} if any(SHAPES[shape]) else {}
    layers: list[dict[str, Any]] = []
    encoding: dict[str, Any] = {"x": x, "y": y, **colour}
    if "scatter" in shape:
        form = {"shape": {"field": "s", "title": None}} if colour else {}
        layers.append({"mark": {"type": "point", "filled": True}, "encoding": encoding | form})
    elif shape == "bars":
        layers.append({"mark": "bar", "encoding": encoding})
    elif shape == "groups":
        beside = {"xOffset": {"field": "s"}}
        layers.append({"mark": "bar", "encoding": encoding | beside})
    elif shape == "errors":
        ends = {"x": x, "y": {"field": "lo", "type": "quantitative", "title": Y},
                "y2": {"field": "hi"}}  # fmt: skip
        layers += [{"mark": "rule", "encoding": ends},
                   {"mark": {"type": "point", "filled": True}, "encoding": encoding}]  # fmt: skip
    elif shape == "dashes":
        dash = {"strokeDash": {"field": "s", "title": None}}
        layers.append({"mark": {"type": "line", "color": "#333"},
                       "encoding": {"x": x, "y": y} | dash})  # fmt: skip
    else:
        layers.append({"mark": {"type": "line", "point": True}, "encoding": encoding})
    return bytes(vl_convert.vegalite_to_pdf(json.dumps({
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json", "width": 380, "height": 260,
        "data": {"values": rows}, "layer": layers,
    })))  # fmt: skip


def drawn_by_reportlab(shape: str) -> bytes:
    """The business charts of a library for printed reports."""
    from reportlab.graphics import renderPDF
    from reportlab.graphics.charts.legends import Legend
    from reportlab.graphics.shapes import Drawing, Line, String

    drawing = Drawing(420, 290)
    series = SHAPES[shape]
    chart = _bar_chart(shape) if shape in NAMED else _line_plot(shape)
    chart.x, chart.y, chart.width, chart.height = 50, 45, 330, 200
    drawing.add(chart)
    for x, y, half in series[""] if shape == "errors" else ():
        at = 50 + 330 * (x + 5) / 70
        low, high = (45 + 200 * (v - 40) / 40 for v in (y - half, y + half))
        drawing.add(Line(at, low, at, high, strokeWidth=0.8))
    if shape == "dashes":
        for n, name in enumerate(series):
            sample = Line(300, 280 - 12 * n, 325, 280 - 12 * n, strokeDashArray=DASHES[n])
            drawing.add(sample)
            drawing.add(String(330, 277 - 12 * n, name, fontSize=9))
    elif any(series):
        legend = Legend()
        legend.x, legend.y, legend.alignment = 300, 285, "right"
        legend.colorNamePairs = list(zip(_paint(), series, strict=False))
        drawing.add(legend)
    return bytes(renderPDF.drawToString(drawing, showBoundary=0))


DASHES = (None, [5, 2])


def _paint() -> list[Any]:
    from reportlab.lib import colors

    return [colors.HexColor(c) for c in ("#1b5b7a", "#a8481a", "#304118")]


def _bar_chart(shape: str) -> Any:
    from reportlab.graphics.charts.barcharts import VerticalBarChart

    chart, series = VerticalBarChart(), SHAPES[shape]
    chart.data = [[r[1] for r in rows] for rows in series.values()]
    chart.categoryAxis.categoryNames = [r[0] for r in next(iter(series.values()))]
    chart.valueAxis.valueMin = 0
    for n in range(len(series)):
        chart.bars[n].fillColor = _paint()[n]
    return chart


def _line_plot(shape: str) -> Any:
    from reportlab.graphics.charts.axes import LogYValueAxis
    from reportlab.graphics.charts.lineplots import LinePlot
    from reportlab.graphics.widgets.markers import makeMarker
    from reportlab.lib import colors

    chart = LinePlot()
    if shape == "log":
        chart.yValueAxis = LogYValueAxis()
    chart.data = [[(r[0], r[1]) for r in rows] for rows in SHAPES[shape].values()]
    ends = {"scatter": (10, 90, 0, 20), "two-scatters": (10, 90, 0, 20), "errors": (-5, 65, 40, 80)}
    if shape in ends:
        x, y = chart.xValueAxis, chart.yValueAxis
        x.valueMin, x.valueMax, y.valueMin, y.valueMax = ends[shape]
        chart.joinedLines = 0
    for n in range(len(chart.data)):
        chart.lines[n].strokeColor = colors.black if shape == "dashes" else _paint()[n]
        if shape == "dashes":
            chart.lines[n].strokeDashArray = DASHES[n]
        else:
            form = ("FilledCircle", "FilledSquare", "FilledDiamond")[n]
            chart.lines[n].symbol = makeMarker(form, size=5)
    return chart


MAKERS: dict[str, Callable[[str], bytes]] = {
    "matplotlib": drawn_by_matplotlib,
    "vega": drawn_by_vega,
    "reportlab": drawn_by_reportlab,
}
