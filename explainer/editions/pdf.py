"""The page on paper: the same HTML with the print style, as a tagged PDF (PDF/UA-1)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from explainer.charts.fonts import face_css
from explainer.editions.article import Article
from explainer.editions.page import render
from explainer.errors import BrokenPageError
from explainer.words.glossary.entries import Glossary


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
    faces, sheet, fonts = _faces()
    shared = {"stylesheets": [sheet], "font_config": fonts} if faces in html else {}
    page = HTML(string=html.replace(faces, "", 1), url_fetcher=fetcher)
    document = page.render(**shared, **options)

    def write() -> bytes:
        made: bytes = document.write_pdf(**options)
        if fetcher.refused:
            raise BrokenPageError(f"the PDF asked for {fetcher.refused[0]}; a page fetches nothing")
        return made

    return LaidOut(len(document.pages), write)


@cache
def _faces() -> tuple[str, Any, Any]:
    """The type every page carries: its CSS as text, as WeasyPrint has read it, and loaded.

    Reading 270 KB of type takes longer than all the rest of a style, so it is done once.
    """
    fonts = FontConfiguration()
    return face_css(False), CSS(string=face_css(False), font_config=fonts), fonts
