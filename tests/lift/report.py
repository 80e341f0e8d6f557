"""A report of twelve pages, made up for this: prose, tables, charts of three makers, findings."""

from __future__ import annotations

import io

import numpy as np
import pikepdf
from weasyprint import HTML

BALLS, GAMES = 8, (0, 15, 30, 45, 60)


def readings(shift: float = 0.0) -> list[list[str]]:
    """Ball, games, texture and hook; ``shift`` moves the last readings of texture, a correction."""
    rng = np.random.default_rng(41)
    rows = [["Ball", "Games rolled", "Texture (microinch)", "Hook (boards)"]]
    for n in range(BALLS):
        start, hook = 72 + rng.normal(0, 2), 12 + rng.normal(0, 0.6)
        for games in GAMES:
            texture = start - 0.34 * games + rng.normal(0, 1.2)
            texture += shift * (n % 2) if games == 60 else 0
            rows.append([f"A{n + 1}", str(games), f"{texture:.1f}",
                         f"{hook + rng.normal(0, 0.5):.2f}"])  # fmt: skip
    return rows


def _page(body: str) -> bytes:
    css = (
        "@page{size:letter;margin:1in}body{font:10pt 'DejaVu Sans'}td,th{padding:2pt 9pt;"
        "text-align:left;font-size:8pt}table{border-collapse:collapse;border-top:1pt solid;"
        "border-bottom:1pt solid}caption{text-align:left}"
    )
    return HTML(string=f"<style>{css}</style>{body}").write_pdf()


PROSE = (
    "<p>All balls came from one shipment, drilled alike. They were rolled by one machine "
    "on one lane, which was oiled afresh before every session, and read at three spots.</p>"
)


def _chart(rows: list[list[str]], label: str) -> bytes:
    from matplotlib.backends.backend_pdf import FigureCanvasPdf
    from matplotlib.figure import Figure

    figure = Figure(figsize=(6.5, 4.5), layout="constrained")
    FigureCanvasPdf(figure)
    axes = figure.subplots()
    for name in dict.fromkeys(row[0] for row in rows[1:]):
        own = [row for row in rows[1:] if row[0] == name]
        axes.plot([int(r[1]) for r in own], [float(r[3]) for r in own], "o-", label=name)
    axes.set(xlabel="games rolled", ylabel="hook (boards)")
    axes.legend(title="ball", loc="center left", bbox_to_anchor=(1, 0.5))
    figure.supxlabel(label, fontsize=9)
    out = io.BytesIO()
    figure.savefig(out, format="pdf")
    return out.getvalue()


def report(shift: float = 0.0) -> bytes:
    """The PDF."""
    rows = readings(shift)
    body = "".join("<tr>" + "".join(f"<td>{c}</td>" for c in row) + "</tr>" for row in rows[1:])
    head = "<tr>" + "".join(f"<th>{c}</th>" for c in rows[0]) + "</tr>"
    table = f"<table><caption>Table 1. Every reading</caption>{head}{body}</table>"
    parts = [_page(f"<h1>Covers over sixty games</h1>{PROSE}")]
    parts += [_page(f"<h2>How it was done</h2>{PROSE * 3}") for _ in range(4)]
    parts += [_page(table), _chart(rows, "Figure 2. Hook of every ball")]
    parts += [_page(f"<h2>What was left out</h2>{PROSE * 2}") for _ in range(3)]
    parts.append(_page(
        "<h2>Key findings</h2><p>Surface texture decreased after 60 games.</p>"
        "<p>Total hook did not change over 60 games.</p>"
        "<p>Covers must read at least 50 microinches before league play.</p>"
    ))  # fmt: skip
    parts.append(_page(f"<h2>Thanks</h2>{PROSE}"))
    whole = pikepdf.new()
    for part in parts:
        whole.pages.extend(pikepdf.open(io.BytesIO(part)).pages)
    out = io.BytesIO()
    whole.save(out)
    return out.getvalue()
