"""What publishing costs with library calls alone; see publish_one.py.

python bare_publish.py MATERIAL STUDY_FOLDER [no-stills]
"""

from __future__ import annotations

import json
import sys
from io import BytesIO
from pathlib import Path

import jinja2
import matplotlib as mpl
import pandas as pd
import pydantic  # noqa: F401  what a study's description is checked with
import ruamel.yaml
import scipy.special  # noqa: F401  what every range is worked out with
from markdown_it import MarkdownIt
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from weasyprint import HTML


def chart(frame: pd.DataFrame, size: tuple[float, float], dpi: float) -> Figure:
    """One line for each ball, their mean, a title, axis words and two notes."""
    figure = Figure(size, dpi=dpi)
    axes = figure.add_subplot()
    for ball, rows in frame.groupby("ball"):
        axes.plot(rows["games"], rows["texture"], marker="o", linewidth=1)
        axes.text(60.5, rows["texture"].iloc[-1], str(ball), fontsize=8)
    means = frame.groupby("games")["texture"].mean()
    axes.plot(means.index, means, linewidth=3)
    axes.set_title("Cover roughness fell")
    axes.set_xlabel("games rolled")
    axes.set_ylabel("cover roughness (microinches)")
    for at in (10, 60):
        axes.annotate("a note", (at, means[at]), (at - 5, means[at] + 12))
    return figure


def main(material: Path, study: Path, stills: bool) -> None:
    told = json.loads((material / "material.json").read_text("utf-8"))
    mpl.rcParams["svg.fonttype"] = "none"
    out = material / "bare"
    out.mkdir(exist_ok=True)
    ruamel.yaml.YAML(typ="safe", pure=True).load(study / "study.yaml")
    tables = {path.name: pd.read_csv(path) for path in sorted(study.glob("*.csv"))}
    frame = tables["checkpoints.csv"]
    for number in range(told["charts"]):
        stream = BytesIO()
        FigureCanvasSVG(chart(frame, (7.1, 4.0), 72)).print_svg(stream)
        (out / f"chart-{number}.svg").write_bytes(stream.getvalue())
    for number in range(told["stills"] if stills else 0):
        FigureCanvasAgg(chart(frame, (7.1111, 4.0), 270)).print_png(out / f"still-{number}.png")
    markdown = MarkdownIt()
    template = jinja2.Environment(autoescape=True).from_string("{{ page|safe }}{{ prose|safe }}")
    prose = "".join(markdown.render(f"Paragraph *{number}* of [many](#a).") for number in range(60))
    page = (material / "page.html").read_text("utf-8")
    (out / "index.html").write_text(template.render(page=page, prose=prose), "utf-8")
    for path in sorted(material.glob("print-*.html")):
        pdf = HTML(string=path.read_text("utf-8")).write_pdf(pdf_variant="pdf/ua-1")
        (out / f"{path.stem}.pdf").write_bytes(pdf)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), "no-stills" not in sys.argv)
