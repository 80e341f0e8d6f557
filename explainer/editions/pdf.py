"""The page on paper: the same HTML with the print style, as a tagged PDF (PDF/UA-1)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from explainer.editions.article import Article
from explainer.editions.page import render
from explainer.errors import BrokenPageError
from explainer.words.glossary import Glossary


class InsideOnly(URLFetcher):  # type: ignore[misc]  # WeasyPrint is not typed
    """Reads what the page itself carries (``data:``) and nothing else.

    WeasyPrint swallows a fetcher's errors while it draws SVG, so refusals are remembered and
    looked at afterwards.
    """

    def __init__(self) -> None:
        super().__init__(allowed_protocols={"data"})
        self.refused: list[str] = []

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
        if not url.lower().startswith("data:"):
            self.refused.append(url)
            raise ValueError("a page fetches nothing")
        return super().fetch(url, headers)


def render_pdf(article: Article, glossary: Glossary, folders: tuple[Path, ...]) -> bytes:
    """The study as a PDF: tagged, titled, same bytes for the same article.

    Raises BrokenPageError if anything on the page tried to load something.
    """
    html = render(article, glossary, folders, "print")
    return to_pdf(html)


def to_pdf(html: str) -> bytes:
    """HTML that carries everything it needs, as PDF/UA-1."""
    return lay_out(html).pdf()


@dataclass(frozen=True)
class LaidOut:
    """HTML set on paper: how many pages it takes, and its PDF when that is wanted."""

    pages: int
    pdf: Callable[[], bytes]


def lay_out(html: str) -> LaidOut:
    """Sets HTML on paper.  ``pdf`` raises BrokenPageError if anything tried to load something."""
    fetcher = InsideOnly()
    options = {"pdf_variant": "pdf/ua-1"}
    css, rest = _apart(html)
    style = _style(css)
    document = HTML(string=rest, url_fetcher=fetcher).render(
        stylesheets=[style.sheet], font_config=style.fonts, **options
    )

    def write() -> bytes:
        made: bytes = document.write_pdf(**options)
        refused = [*style.fetcher.refused, *fetcher.refused]
        if refused:
            raise BrokenPageError(f"the PDF asked for {refused[0]}; a page fetches nothing")
        return made

    return LaidOut(len(document.pages), write)


@dataclass(frozen=True)
class _Style:
    """A page's style as WeasyPrint has read it, its fonts loaded."""

    sheet: Any
    fonts: Any
    fetcher: InsideOnly


@lru_cache(maxsize=4)
def _style(css: str) -> _Style:
    """Reading a style with its fonts takes a quarter of setting a sheet, so it is kept."""
    fonts, fetcher = FontConfiguration(), InsideOnly()
    return _Style(CSS(string=css, font_config=fonts, url_fetcher=fetcher), fonts, fetcher)


def _apart(html: str) -> tuple[str, str]:
    """The text of the page's one style element, and the page without it."""
    before, opened, rest = html.partition("<style>")
    css, closed, after = rest.partition("</style>")
    return (css, before + after) if opened and closed else ("", html)
