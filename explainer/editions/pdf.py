"""The page on paper: the same HTML with the print style, as a tagged PDF (PDF/UA-1).

WeasyPrint sets it, and needs Pango, a library of the system that pip cannot bring.  Where that is
lacking everything but the PDFs is published all the same: ``paper_lacks`` says what to get.
"""

from __future__ import annotations

import io
import platform
import sys
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from functools import cache
from types import ModuleType
from typing import Any

from explainer.charts.fonts import face_css
from explainer.errors import BrokenPageError, OutputError

#: What to type, by the name a Linux gives itself (``ID`` and ``ID_LIKE`` of os-release).
_LINUX = {
    "debian": "sudo apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0",
    "fedora": "sudo dnf install pango",
    "rhel": "sudo dnf install pango",
    "arch": "sudo pacman -S pango",
    "alpine": "sudo apk add pango",
    "suse": "sudo zypper install pango",
}
_MAC = "brew install pango"
_WINDOWS = (
    "install MSYS2 from msys2.org, then in its window type: pacman -S mingw-w64-ucrt-x86_64-pango"
)


def how_to_get_pango(system: str = sys.platform, linux: tuple[str, ...] | None = None) -> str:
    """What to type on this system to have Pango; ``linux``: the names of the Linux it is."""
    if system == "win32":
        return _WINDOWS
    if system == "darwin":
        return _MAC
    named = _names_of_linux() if linux is None else linux
    return next((_LINUX[name] for name in named if name in _LINUX),
                "get Pango from your system's package manager")  # fmt: skip


def _names_of_linux() -> tuple[str, ...]:
    try:
        said = platform.freedesktop_os_release()
    except OSError:
        return ()
    return (said.get("ID", ""), *said.get("ID_LIKE", "").split())


@cache
def _press() -> ModuleType | str:
    """WeasyPrint, or in one line why it does not open here."""
    try:
        # It prints a notice of its own, of many lines, before it says which library is lacking.
        with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
            import weasyprint
            import weasyprint.text.fonts
            import weasyprint.urls
    except (OSError, ImportError) as fault:
        # Of two lines the first names the library; the second is what was tried last.
        return (str(fault).splitlines() or [type(fault).__name__])[0].split(":")[0]
    return weasyprint  # type: ignore[no-any-return]


def paper_lacks() -> str:
    """In one line, what is missing for the PDFs and how to get it here; empty where all is."""
    found = _press()
    if not isinstance(found, str):
        return ""
    return (
        "no PDFs were made: they need Pango, a library that sets type, and it does not open on "
        f"this computer ({found}); to get it: {how_to_get_pango()}; then publish again; pages, "
        "scripts and pictures are complete without it"
    )


@cache
def _fetcher() -> type[Any]:
    """A class of fetcher that reads what the page itself carries (``data:``) and nothing else."""
    urls = _opened().urls

    class InsideOnly(urls.URLFetcher):  # type: ignore[misc, name-defined]
        """WeasyPrint swallows a fetcher's errors while it draws SVG, so refusals are remembered
        and looked at afterwards."""

        def __init__(self) -> None:
            super().__init__(allowed_protocols={"data"})
            self.refused: list[str] = []

        def fetch(self, url: str, headers: Any = None) -> Any:
            if not url.lower().startswith("data:"):
                self.refused.append(url)
                raise ValueError("a page fetches nothing")
            return super().fetch(url, headers)

    return InsideOnly


def _opened() -> Any:
    found = _press()
    if isinstance(found, str):
        raise OutputError(paper_lacks())
    return found


@dataclass(frozen=True)
class LaidOut:
    """HTML set on paper: how many pages it takes, and its PDF when that is wanted."""

    pages: int
    pdf: Callable[[], bytes]


def lay_out(html: str) -> LaidOut:
    """Sets HTML that carries all it needs on paper, as PDF/UA-1.

    ``pdf`` raises BrokenPageError if anything tried to load something.  Raises OutputError where
    Pango is lacking.
    """
    fetcher = _fetcher()()
    options = {"pdf_variant": "pdf/ua-1"}
    faces, sheet, fonts = _faces()
    shared = {"stylesheets": [sheet], "font_config": fonts} if faces in html else {}
    page = _opened().HTML(string=html.replace(faces, "", 1), url_fetcher=fetcher)
    images: dict[str, Any] = {}
    document = page.render(**shared, **options, cache=images)
    _let_go(images)

    def write() -> bytes:
        made: bytes = document.write_pdf(**options)
        if fetcher.refused:
            raise BrokenPageError(f"the PDF asked for {fetcher.refused[0]}; a page fetches nothing")
        return made

    return LaidOut(len(document.pages), write)


def _let_go(images: dict[str, Any]) -> None:
    """Lets go of what no page needs any more once it is set: a third of all memory.

    A drawing keeps all that its page was set with, and that the style of every element in each of
    nine roles; what is drawn of them keeps its own.
    """
    settings = (getattr(image, "_context", None) for image in images.values())
    if (one := next(filter(None, settings), None)) is not None:  # the same for all of a page
        one.style_for.get_computed_styles().clear()
        one.style_for.get_cascaded_styles().clear()


@cache
def _faces() -> tuple[str, Any, Any]:
    """The type every page carries: its CSS as text, as WeasyPrint has read it, and loaded.

    Reading 270 KB of type takes longer than all the rest of a style, so it is done once.
    """
    fonts = _opened().text.fonts.FontConfiguration()
    return face_css(False), _opened().CSS(string=face_css(False), font_config=fonts), fonts
