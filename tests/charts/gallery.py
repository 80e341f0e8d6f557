"""Writes tests/output/charts.html: every kind on easy, ugly and extreme data, to be looked at.

python tests/charts/gallery.py [wide|tall|still] [kind]
"""

from __future__ import annotations

import sys
from html import escape
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import samples

from explainer.charts import fonts, style, svg
from explainer.charts.chain import draw_chain
from explainer.charts.kinds import KINDS
from explainer.charts.labels import overlaps
from explainer.charts.strip import draw_strip, strip_plate

SHEETS = {"wide": style.WIDE, "tall": style.TALL, "still": style.STILL}


def main(sheet: str = "wide", kind: str = "") -> Path:
    parts = []
    for name, cases in samples.CASES.items():
        if kind and name not in kind.split(","):
            continue
        for case, (result, words) in cases.items():
            plate = KINDS[name](result, words, SHEETS[sheet])
            uid = f"{name}-{case}".replace(" ", "-").replace(",", "")
            drawing = svg.render(plate, uid, words.title, words.description)
            faults = overlaps(plate)
            parts.append(
                f"<h2>{escape(name)}: {escape(case)} <small>{len(drawing)} bytes</small></h2>"
                f"<figure>{drawing}</figure>"
                + "".join(f"<p class=fault>{escape(f)}</p>" for f in faults)
            )
    for case, strip in samples.STRIPS.items() if not kind or "strip" in kind else ():
        drawing = draw_strip(strip, f"strip-{case.replace(' ', '-')}", samples.claim_words())
        faults = overlaps(strip_plate(strip))
        parts.append(f"<h2>strip: {escape(case)} <small>{len(drawing)} bytes</small></h2>"
                     f'<figure class="small">{drawing}</figure>'
                     + "".join(f"<p class=fault>{escape(f)}</p>" for f in faults))  # fmt: skip
    chain = draw_chain(samples.CHAIN, "chain", samples.CHAIN_WORDS, "Five reasons.")
    parts.append(
        f'<h2>chain <small>{len(chain)} bytes</small></h2><figure class="small">{chain}</figure>'
    )
    page = (
        "<!doctype html><html lang=en><meta charset=utf-8><title>Charts</title><style>"
        + fonts.face_css(True) + svg.theme_css()
        + "body{background:var(--paper);color:var(--ink);font:15px 'Fieldguide Sans';margin:12px}"
        "main{display:grid;gap:8px 24px;"
        "grid-template-columns:repeat(auto-fill,minmax(min(100%,var(--w)),1fr))}"
        f":root{{--w:{ {'wide': 660, 'tall': 340, 'still': 660}[sheet] }px}}"
        "figure{margin:0}.small{max-width:420px}"
        "svg{width:100%;height:auto;display:block}"
        "h2{font-size:14px;margin:8px 0 2px}"
        ".fault{color:red;margin:0}section{min-width:0}</style><main>"
        + "".join(f"<section>{part}</section>" for part in parts) + "</main></html>"
    )  # fmt: skip
    target = Path(__file__).parents[1] / "output" / "charts.html"
    target.parent.mkdir(exist_ok=True)
    target.write_text(page, encoding="utf-8")
    return target


if __name__ == "__main__":
    print(main(*sys.argv[1:]))
