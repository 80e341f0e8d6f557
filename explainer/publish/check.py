"""Looks over a finished site: every link leads somewhere, and no page calls out.

Read with the standard library's HTML reader, on the files as they will be served.
"""

from __future__ import annotations

import posixpath
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import quote, unquote, urlsplit

from explainer.editions.policy import css_loads
from explainer.errors import BrokenPageError
from explainer.publish.recovery import below

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
        self.loads += [load for _, load in css_loads(text)]


@dataclass(frozen=True)
class Looked:
    """What is remembered of a page that was found sound: enough to check it in another site."""

    ids: tuple[str, ...]
    links: tuple[str, ...]
    """Where those lead that leave the page's own study, from the top of the site; the others hold
    as long as the study's files do."""


def check_site(
    root: Path,
    names: Iterable[str] | None = None,
    known: Mapping[str, Looked] | None = None,
    files: Collection[str] | None = None,
) -> dict[str, Looked]:
    """Looks at every page among ``names``, paths of files below ``root`` (else all there are).

    Pages in ``known`` are taken as looked at: only their links out of their study are followed
    again.  ``files`` are all that there are, where the caller knows.  Gives the same of every
    page.  Raises BrokenPageError with the first fault.
    """
    files = frozenset(below(root)[0]) if files is None else files
    htmls = sorted(name for name in (files if names is None else names) if name.endswith(".html"))
    kept = {name: known[name] for name in htmls if known and name in known}
    pages = {name: _taken_apart(root, name) for name in htmls if name not in kept}
    for fault in faults(pages, files, kept):
        raise BrokenPageError(f"{fault}; what was published before still stands")
    return {n: kept[n] if n in kept else _looked(n, pages[n]) for n in htmls}


def _looked(name: str, page: Page) -> Looked:
    own = name.split("/")[0] + "/"
    goals = (_from_top(name, link) for link in page.links if not urlsplit(link).scheme)
    leaving = (goal for goal in dict.fromkeys(goals) if not goal.startswith(own))
    return Looked(tuple(page.ids), tuple(leaving))


def _from_top(name: str, link: str) -> str:
    """The same link as a page at the top of the site would have it."""
    parts = urlsplit(link)
    place = f"#{parts.fragment}" if parts.fragment else ""
    return quote(_goal(name, parts.path)) + place


def _goal(name: str, path: str) -> str:
    """Where a link on the page ``name`` leads, as a path in the site."""
    path = unquote(path)
    return posixpath.normpath(posixpath.join(posixpath.dirname(name), path)) if path else name


def read(path: Path) -> Page:
    """One page, taken apart."""
    page = Page()
    page.feed(path.read_text(encoding="utf-8"))
    page.close()
    return page


def _taken_apart(root: Path, name: str) -> Page:
    """As ``read``.  Raises BrokenPageError for what a workspace's own template may write."""
    try:
        return read(root / name)
    except (AssertionError, ValueError):  # the parser's own, for a mark it cannot read
        raise BrokenPageError(
            f"{name}: holds a declaration that no reader of pages knows, such as <![; what was "
            "published before still stands"
        ) from None


def faults(
    pages: Mapping[str, Page], files: Collection[str], known: Mapping[str, Looked]
) -> Iterator[str]:
    """Every fault of the pages, and every link of known ones that leads nowhere, one line each."""
    places: dict[str, Collection[str]] = {name: looked.ids for name, looked in known.items()}
    places |= {name: frozenset(page.ids) for name, page in pages.items()}
    for name, page in pages.items():
        for twice in sorted(i for i, n in Counter(page.ids).items() if n > 1):
            yield f"{name}: the id {twice} stands twice"
        for load in page.loads:
            if not load.startswith(("data:", "#")):
                yield f"{name}: would load {load[:80]}, and a page loads nothing"
        for tag in page.styled:
            yield f"{name}: <{tag} style> is not shown under the page's own policy"
        for link in page.links:
            fault = _link_fault(name, link, places, files)
            if fault:
                yield f"{name}: {fault}"
    leaving = {link: name for name, looked in known.items() for link in looked.links}
    for link, name in leaving.items():  # hundreds of pages link to few places
        fault = _link_fault("", link, places, files)
        if fault:
            yield f"{name}: {fault}"


def _link_fault(
    name: str, link: str, places: Mapping[str, Collection[str]], files: Collection[str]
) -> str | None:
    try:
        parts = urlsplit(link)
    except ValueError:
        return f"links to {link[:80]}, which is no address"
    if parts.scheme or parts.netloc:
        return None if parts.scheme in MAY_LEAVE else f"links to {link[:80]}"
    goal = _goal(name, parts.path)
    if goal not in files:
        return f"links to {link[:80]}, which is not there"
    if parts.fragment and goal in places and unquote(parts.fragment) not in places[goal]:
        return f"links to {link[:80]}, and there is no such place on that page"
    return None
