"""How long a page is for a reader: words and screens unfolded, and how heavy the file.

python tests/benchmarks/reading.py [SITE]

Prints a line a study, and the aims beside: 1,800 words unfolded for ten claims, 800 for three (on a
straight line between and beyond), 400 KB, no number more than twice.  With Chromium and playwright
there, screens of 390 by 844 and 1280 by 900 too.  Never fails.
"""

from __future__ import annotations

import json
import re
import sys
from collections import Counter
from importlib.util import find_spec
from pathlib import Path

import lxml.html

ROOT = Path(__file__).parents[2]
SCREENS = {"phone": (390, 844), "desk": (1280, 900)}
#: A number that was worked out; counts below ten and names like "ball T2" are words.
NUMBER = re.compile(r"(?<![\w.,])[−-]?\d+(?:\.\d+)?(?![\w]|[.,]\d)")


def unfolded(tree: lxml.html.HtmlElement) -> str:
    """What can be read without opening anything, drawings and hidden choices left out."""
    for gone in tree.xpath(
        "//script | //style | //svg//title | //svg//desc | //*[@hidden] | //div[@class='narrow']"
        " | //details/*[not(self::summary)] | //head"
    ):
        parent = gone.getparent()
        if gone.tail:
            before = gone.getprevious()
            if before is None:
                parent.text = (parent.text or "") + gone.tail
            else:
                before.tail = (before.tail or "") + gone.tail
        parent.remove(gone)
    return tree.text_content()


def aim(claims: int) -> int:
    """The words aimed at: 800 for three claims, 1,800 for ten."""
    return round(800 + (claims - 3) * 1000 / 7)


def screens(page: Path) -> str:
    """Heights of the page in screens, or a dash where no browser is there."""
    chromium = Path("/usr/bin/chromium")
    if find_spec("playwright") is None or not chromium.exists():
        return "–"
    from playwright.sync_api import sync_playwright

    said = []
    with sync_playwright() as run:
        browser = run.chromium.launch(executable_path=str(chromium))
        for name, (wide, high) in SCREENS.items():
            view = browser.new_page(viewport={"width": wide, "height": high})
            view.goto(page.as_uri())
            tall = view.evaluate("document.documentElement.scrollHeight")
            said.append(f"{name} {tall / high:.1f}")
        browser.close()
    return ", ".join(said)


def main(site: Path) -> None:
    print(f"{'study':<18}{'claims':>7}{'words':>7}{'aim':>7}{'KB':>6}  most said number   screens")
    for found in sorted(site.glob("*/results.json")):
        page = found.parent / "index.html"
        claims = len(json.loads(found.read_text())["claims"])
        text = unfolded(lxml.html.document_fromstring(page.read_text("utf-8")))
        counted = Counter(n for n in NUMBER.findall(text) if len(n.lstrip("−-")) > 1)
        most = ", ".join(f"{n} ×{k}" for n, k in counted.most_common(2))
        print(
            f"{found.parent.name:<18}{claims:>7}{len(text.split()):>7}{aim(claims):>7}"
            f"{page.stat().st_size / 1000:>6.0f}  {most:<18} {screens(page)}"
        )


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve() if len(sys.argv) > 1 else ROOT / "site")
