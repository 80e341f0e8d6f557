"""How long a page is for a reader: words and screens unfolded, and how heavy the file.

python tests/benchmarks/reading.py [SITE]

Prints a line a study, and the aims beside: 1,800 words unfolded for ten claims, 800 for three (on a
straight line between and beyond), 400 KB, no number more than twice.  With Chromium and playwright
there, screens of 390 by 844 and 1280 by 900 too.  Never fails.

A number counts as the same where it has the same size and means the same.  So two things are
counted: within a claim (its strip, its sentence and whatever else stands unfolded there) every
number, and over the whole page, drawings apart, every number with the word behind it ("60 games").
How many items a claim rests on, which range it is told by and how far it was read (8 balls, 90%
range, 60 games) have to be said with every claim: these are counted on a line of their own.
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
#: The same with its sign left out and the word behind it, which tells what it counts.
NAMED = re.compile(r"(?<![\w.,])(\d+(?:\.\d+)?(?:%| [A-Za-z]+))")
OFTEN = 2


def unfolded(tree: lxml.html.HtmlElement, drawings: bool = True) -> str:
    """What can be read without opening anything, with what drawings have in letters or without."""
    for apart in tree.xpath("//p | //li | //h3 | //tr | //text | //*[name()='text']"):
        apart.tail = f" {apart.tail or ''}"
    for drawn in [] if drawings else tree.xpath("//svg"):
        drawn.drop_tree()
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


def within_claims(html: str) -> Counter[str]:
    """Numbers that stand more than twice within one claim's part of the page, and how often."""
    often: Counter[str] = Counter()
    for claim in lxml.html.document_fromstring(html).xpath("//section[@data-claim]"):
        alone = lxml.html.tostring(claim, encoding="unicode")
        text = unfolded(lxml.html.document_fromstring(alone))
        signed = [n.replace("-", "−") for n in NUMBER.findall(text)]
        said = Counter(n.lstrip("−") for n in signed)
        # Where a range or a zone has the same end on both sides, these are two numbers.
        ends = Counter(n.lstrip("−") for n in set(signed))
        often |= Counter({n: k for n, k in said.items() if len(n) > 1 and k > OFTEN * ends[n]})
    return often


def over_the_page(html: str, always: re.Pattern[str]) -> tuple[Counter[str], Counter[str]]:
    """Numbers with their word that prose says more than twice: all but ``always``, and these."""
    text = unfolded(lxml.html.document_fromstring(html), drawings=False)
    said = Counter(n for n in NAMED.findall(text) if len(n.split("%")[0].split()[0]) > 1)
    often = Counter({n: k for n, k in said.items() if k > OFTEN})
    kept = Counter({n: k for n, k in often.items() if always.fullmatch(n)})
    return often - kept, kept


def main(site: Path) -> None:
    print(f"{'study':<18}{'claims':>7}{'words':>7}{'aim':>7}{'KB':>6}  screens")
    for found in sorted(site.glob("*/results.json")):
        page = found.parent / "index.html"
        results, html = json.loads(found.read_text()), page.read_text("utf-8")
        claims, text = len(results["claims"]), unfolded(lxml.html.document_fromstring(html))
        print(
            f"{found.parent.name:<18}{claims:>7}{len(text.split()):>7}{aim(claims):>7}"
            f"{page.stat().st_size / 1000:>6.0f}  {screens(page)}"
        )
        counts = "|".join({str(claim["n_items"]) for claim in results["claims"]} - {"None"}) or "0"
        units = "micro|board|pin|point"
        always = re.compile(rf"90%|95%|(?:{counts}) (?!{units})[a-z]+s|\d+ (?:games|shots)")
        prose, kept = over_the_page(html, always)
        counted = ("in one claim", "on the page", "with each claim")
        for what, often in zip(counted, (within_claims(html), prose, kept), strict=True):
            if often:
                print(f"    {what}: " + ", ".join(f"{n} ×{k}" for n, k in often.most_common()))


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve() if len(sys.argv) > 1 else ROOT / "site")
