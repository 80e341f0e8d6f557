"""Publishing the example study, beside the bare library calls for the same work.

.venv/bin/python tests/benchmarks/publish_one.py

The bare run (``bare_publish.py``) imports the same libraries, reads the same CSV files, draws as
many charts and stills with plain matplotlib, fills a template, and prints the very HTML of the
finished PDFs with WeasyPrint.  It words nothing, judges nothing, lays out no label and checks no
page; what it leaves out is what the ratio shows.

Stills are most of both runs, so the same is given without them: the page, its PDF and the sheets,
built but not put in place.
"""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path

from measure import ROOT, medians, ratio, report, run

STUDY = "cover-texture"
HERE = Path(__file__).parent
#: Into a folder of its own each time: a site that has the study already is not built again.
WHOLE = """
import tempfile
from explainer.cli import main
with tempfile.TemporaryDirectory() as fresh:
    main(["publish", {study!r}, "--into", fresh + "/site"])
"""
#: Everything but the script and the site around it.
PAGES = """
from explainer.claims.judge import judge
from explainer.editions.compose import compose
from explainer.publish import build
from explainer.words.glossary.of_study import glossary_of
from explainer.study.load import find_study, load_study
workspace, folder = find_study({study!r})
study = load_study(folder, workspace)
judgement, glossary = judge(study), glossary_of(workspace)
build.pages(compose(judgement), glossary, study)
build.paper(judgement, glossary)
build.numbers(judgement)
"""


def main() -> None:
    with tempfile.TemporaryDirectory() as made:
        work = Path(made)
        run([sys.executable, str(HERE / "bare_material.py"), STUDY, str(work)])
        told = json.loads((work / "material.json").read_text("utf-8"))
        bare = [str(HERE / "bare_publish.py"), str(work), str(ROOT / "studies" / STUDY)]
        python = sys.executable
        costs = medians({
            "explainer publish": [python, "-c", WHOLE.format(study=STUDY)],
            "bare library calls": [python, *bare],
            "explainer, no stills": [python, "-c", PAGES.format(study=STUDY)],
            "bare library calls, no stills": [python, *bare, "no-stills"],
        }, 3)  # fmt: skip
    report(costs)
    print("\n" + ", ".join(f"{value} {name}" for name, value in told.items()))
    whole, bare_whole, pages, bare_pages = costs.values()
    for what, one, other in (("all", whole, bare_whole), ("no stills", pages, bare_pages)):
        ratio(f"{what}: processor", one.processor, other.processor, 1.4)
        ratio(f"{what}: clock", one.wall, other.wall, 1.4)
        ratio(f"{what}: peak memory", one.peak, other.peak, 1.4)


if __name__ == "__main__":
    main()
