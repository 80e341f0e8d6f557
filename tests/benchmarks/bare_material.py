"""Gathers what the bare run needs: the HTML behind each PDF, and how much there is to draw.

python bare_material.py STUDY FOLDER
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from weasyprint import HTML, Document

from explainer.publish.build import build_study
from explainer.study.load import find_study, load_study


def remember(printed: list[str]) -> None:
    """From here on, keeps the HTML of every PDF that is written."""
    make, render, write = HTML.__init__, HTML.render, Document.write_pdf

    def making(self: Any, *args: Any, **named: Any) -> None:
        self.given = named.get("string")
        make(self, *args, **named)

    def rendering(self: Any, *args: Any, **named: Any) -> Any:
        document = render(self, *args, **named)
        document.given = self.given
        return document

    def writing(self: Any, *args: Any, **named: Any) -> Any:
        printed.append(self.given)
        return write(self, *args, **named)

    HTML.__init__, HTML.render, Document.write_pdf = making, rendering, writing


def main(study: str, folder: Path) -> None:
    printed: list[str] = []
    remember(printed)
    workspace, path = find_study(study)
    loaded = load_study(path, workspace)
    files = build_study(loaded).files
    for number, text in enumerate(printed):
        (folder / f"print-{number}.html").write_text(text, "utf-8")
    (folder / "page.html").write_bytes(files["index.html"])
    told = {
        "charts": 2 * len(loaded.description.figures),  # for a wide page and for a phone
        "stills": sum(name.endswith(".png") for name in files),
        "PDFs": len(printed),
    }
    (folder / "material.json").write_text(json.dumps(told), "utf-8")


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
