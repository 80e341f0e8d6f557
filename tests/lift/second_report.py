"""A made-up report in another look: what each ball is stands in one table, its readings in another
with a head in two rows; a chart with a log axis, dashes and error bars; findings in a list."""

from __future__ import annotations

import io

import numpy as np
import pikepdf
from weasyprint import HTML

GAMES = (1, 10, 40, 160)
CSS = (
    "@page{size:A4;margin:2cm;@top-left{content:'Surfaces under play';font:italic 8pt 'Liberation "
    "Serif'}}html{lang:en}body{font:9.6pt 'Liberation Serif'}h2{font:bold 11pt 'Liberation Sans'}"
    ".two{columns:2;text-align:justify;hyphens:auto}.cap{font-style:italic;font-size:8.4pt}"
    "table{border-collapse:collapse;width:100%;font:8.4pt 'Liberation Sans'}td,th{text-align:right;"
    "padding:1pt 4pt}td:first-child,th:first-child{text-align:left}.over{text-align:center;"
    "border-bottom:.3pt solid}thead tr:first-child th{border-top:1pt solid}"
    "tbody tr:last-child td{border-bottom:1pt solid}"
)


def balls(shift: float = 0.0) -> list[tuple[str, str, str, list[float], list[float]]]:
    """Ball, model, finish, roughness and hook at ``GAMES``; ``shift`` moves sanded balls' last."""
    rng = np.random.default_rng(11)
    made = []
    for n in range(12):
        sanded = n < 6
        start, end = (95 if sanded else 31) + rng.normal(0, 3), (37 if sanded else 30)
        rough = [float(end + (start - end) * np.exp(-g / 20) + rng.normal(0, 0.8)) for g in GAMES]
        rough[-1] += shift * sanded
        hook = [float(15 + 0.02 * r + rng.normal(0, 0.4)) for r in rough]
        made.append((f"{'SP'[not sanded]}-{n % 6 + 1:02d}", ("Heron", "Dipper")[n % 2],
                     ("Polished", "Sanded")[sanded], rough, hook))  # fmt: skip
    return made


def _rows(cells: list[list[str]], tag: str = "td") -> str:
    return "".join("<tr>" + "".join(f"<{tag}>{c}</{tag}>" for c in row) + "</tr>" for row in cells)


def _tables(shift: float) -> tuple[str, str]:
    what = [[b[0], b[1], b[2], str(14 + n % 3)] for n, b in enumerate(balls(shift))]
    read = [[b[0], *(f"{v:.1f}" for v in b[3]), *(f"{v:.2f}" for v in b[4])] for b in balls(shift)]
    one = "<p class=cap>Table 1. The balls as bought.</p><table><thead>" + _rows(
        [["Ball", "Model", "Finish", "Weight (pounds)"]], "th"
    )
    span = f"colspan={len(GAMES)}"
    head = (
        f"<tr><th></th><th class=over {span}>Roughness (microinch)</th>"
        f"<th class=over {span}>Hook (boards)</th></tr>"
    )
    steps = [f"{g} game{'s' * (g > 1)}" for g in GAMES]
    two = "<p class=cap>Table 2. Readings of every ball.</p><table><thead>" + head + _rows(
        [["Ball", *steps, *steps]], "th"
    )
    return f"{one}</thead>{_rows(what)}</table>", f"{two}</thead>{_rows(read)}</table>"


def _chart(shift: float) -> bytes:
    from matplotlib.backends.backend_pdf import FigureCanvasPdf
    from matplotlib.figure import Figure

    figure = Figure(figsize=(7, 4.5), layout="constrained")
    FigureCanvasPdf(figure)
    axes = figure.subplots()
    for finish, dash, form in (("Sanded", "-", "o"), ("Polished", "--", "s")):
        hook = np.array([b[4] for b in balls(shift) if b[2] == finish])
        axes.errorbar(GAMES, hook.mean(0), yerr=hook.std(0, ddof=1), color="k", ls=dash,
                      marker=form, mfc="k" if dash == "-" else "w", capsize=2, label=finish)
    axes.set(xscale="log", xlabel="Games rolled", ylabel="Hook (boards), mean of six balls")
    axes.legend()
    out = io.BytesIO()
    figure.savefig(out, format="pdf")
    return out.getvalue()


PROSE = (
    "<p>A machine rolled every ball down the same lane, which was oiled before each session. Two "
    "balls had to be drilled again; neither had been rolled before that. Only these are counted "
    "here, and the mean of four readings was kept of every surface, since one reading alone is "
    "rarely good enough for anything that somebody means to build upon later.</p>"
)
FINDINGS = (
    "Roughness of sanded balls decreased from 1 to 160 games.",
    "The roughness of polished balls did not change between 1 and 160 games.",
    "Sanded balls hooked more than polished balls after 1 game.",
    "Hook was not correlated with roughness at the end.",
    "A league ball must read at least 40 microinches after 40 games, or be sanded again.",
)


def second_report(shift: float = 0.0) -> bytes:
    """The PDF, six pages."""
    one, two = _tables(shift)
    found = "".join(f"<li>{line}</li>" for line in FINDINGS)
    bodies = [
        f"<h1>How long does a sanded cover stay rough?</h1><div class=two>{PROSE * 3}</div>",
        f"<h2>2 The balls</h2>{one}<div class=two>{PROSE}</div>",
        f"<h2>3 Readings</h2>{two}",
        f"<h2>5 What was found</h2><ol>{found}</ol><div class=two>{PROSE}</div>"
        "<p>With six balls of each finish, small differences cannot be seen.</p>",
        f"<h2>6 Thanks</h2><div class=two>{PROSE}</div>",
    ]
    parts = [HTML(string=f"<html lang=en><style>{CSS}</style>{b}</html>").write_pdf()
             for b in bodies]  # fmt: skip
    whole = pikepdf.new()
    for part in [*parts[:3], _chart(shift), *parts[3:]]:
        whole.pages.extend(pikepdf.open(io.BytesIO(part)).pages)
    out = io.BytesIO()
    whole.save(out)
    return out.getvalue()
