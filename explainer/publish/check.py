"""Looks over a finished site: every link leads somewhere, and no page calls out.

Read with the standard library's HTML reader, on the files as they will be served.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

from explainer.errors import BrokenPageError

#: Attributes a browser loads from by itself, by element; a plain link is followed by a person.
LOADS = {
    ("img", "src"), ("img", "srcset"), ("script", "src"), ("source", "src"),
    ("source", "srcset"), ("iframe", "src"), ("embed", "src"), ("object", "data"),
    ("video", "src"), ("video", "poster"), ("audio", "src"), ("track", "src"), ("input", "src"),
    ("image", "href"), ("image", "xlink:href"), ("use", "href"), ("use", "xlink:href"),
    ("feimage", "href"), ("body", "background"), ("form", "action"), ("base", "href"),
}  # fmt: skip
#: What <link rel> may name without loading anything.
HARMLESS_LINKS = {"canonical", "alternate", "license", "describedby"}
FOLLOWED = {"a", "area"}
MAY_LEAVE = {"http", "https", "mailto"}
_CSS_URL = re.compile(r"url\(\s*['\"]?([^'\")]+)|@import\s+['\"]?([^'\";]+)", re.IGNORECASE)


@dataclass
class Page(HTMLParser):
    """What one page holds that can be wrong."""

    ids: list[str] = field(default_factory=list)
    links: list[str] = field(default_factory=list)
    loads: list[str] = field(default_factory=list)
    styled: list[str] = field(default_factory=list)
    """Elements with a style attribute, which the content security policy would drop."""
    in_style: bool = False

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.in_style = tag == "style"
        if "id" in given:
            self.ids.append(given["id"])
        if "style" in given:
            self.styled.append(tag)
            self._css(given["style"])
        if tag in FOLLOWED and "href" in given:
            self.links.append(given["href"])
        if tag == "link" and not set(given.get("rel", "").split()) <= HARMLESS_LINKS:
            self.loads.append(given.get("href", ""))
        self.loads += [value for name, value in given.items() if (tag, name) in LOADS]
        if tag == "meta" and given.get("http-equiv", "").lower() == "refresh":
            self.loads.append(given.get("content", ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == "style":
            self.in_style = False

    def handle_data(self, data: str) -> None:
        if self.in_style:
            self._css(data)

    def _css(self, text: str) -> None:
        self.loads += [url or imported for url, imported in _CSS_URL.findall(text)]


def check_site(root: Path) -> None:
    """Raises BrokenPageError with the first fault of any page under ``root``."""
    files = {p.relative_to(root).as_posix() for p in root.rglob("*") if p.is_file()}
    pages = {name: read(root / name) for name in sorted(files) if name.endswith(".html")}
    for fault in faults(pages, files):
        raise BrokenPageError(f"{fault}; what was published before still stands")


def read(path: Path) -> Page:
    """One page, taken apart."""
    page = Page()
    page.feed(path.read_text(encoding="utf-8"))
    page.close()
    return page


def faults(pages: dict[str, Page], files: set[str]) -> Iterator[str]:
    """Every fault of the pages, one line each."""
    for name, page in pages.items():
        for twice in sorted({i for i in page.ids if page.ids.count(i) > 1}):
            yield f"{name}: the id {twice} stands twice"
        for load in page.loads:
            if not load.startswith(("data:", "#")):
                yield f"{name}: would load {load[:80]}, and a page loads nothing"
        for tag in page.styled:
            yield f"{name}: <{tag} style> is not shown under the page's own policy"
        for link in page.links:
            fault = _link_fault(name, link, pages, files)
            if fault:
                yield f"{name}: {fault}"


def _link_fault(name: str, link: str, pages: dict[str, Page], files: set[str]) -> str | None:
    parts = urlsplit(link)
    if parts.scheme or parts.netloc:
        return None if parts.scheme in MAY_LEAVE else f"links to {link[:80]}"
    path = unquote(parts.path)
    goal = posixpath.normpath(posixpath.join(posixpath.dirname(name), path)) if path else name
    if goal not in files:
        return f"links to {link[:80]}, which is not there"
    if parts.fragment and goal in pages and unquote(parts.fragment) not in pages[goal].ids:
        return f"links to {link[:80]}, and there is no such place on that page"
    return None
