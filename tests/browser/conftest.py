"""A real browser, Debian's Chromium, driven by Playwright over the published examples.

Without one these tests fail, since a page nobody opened is a page nobody checked.  Where there
can be none, ``EXPLAINER_NO_BROWSER=1`` leaves them out; ``EXPLAINER_CHROMIUM`` names another.
"""

from __future__ import annotations

import os
import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

NAMES = ("chromium", "chromium-browser", "google-chrome")
STUDY = "cover-texture"
#: Milliseconds: a busy machine is slow, not wrong.
PATIENCE = 120_000


def chromium() -> str:
    """Where the browser is."""
    named = os.environ.get("EXPLAINER_CHROMIUM")
    found = named or next(filter(None, map(shutil.which, NAMES)), None)
    if not found:
        pytest.fail(
            "no Chromium found: sudo apt-get install chromium libatomic1"
            " (or set EXPLAINER_CHROMIUM to one;"
            " EXPLAINER_NO_BROWSER=1 leaves the browser tests out)",
            pytrace=False,
        )
    return found


@contextmanager
def launched() -> Iterator[Browser]:
    """The browser, running."""
    from playwright.sync_api import sync_playwright

    # Root may not use the sandbox; everything shown is ours.  Containers have little shared memory.
    flags = ["--disable-gpu", "--disable-dev-shm-usage"]
    flags += ["--no-sandbox"] if os.geteuid() == 0 else []
    path = chromium()
    with sync_playwright() as play:
        chrome = play.chromium.launch(executable_path=path, args=flags)
        yield chrome
        chrome.close()


@pytest.fixture(scope="session")
def browser():
    if os.environ.get("EXPLAINER_NO_BROWSER") == "1":
        pytest.skip("browser tests left out, as EXPLAINER_NO_BROWSER=1 says")
    with launched() as chrome:
        yield chrome


@pytest.fixture(scope="session")
def site(browser, request) -> Path:
    """All examples; asked for only once the browser is known to be there."""
    return request.getfixturevalue("examples")


@pytest.fixture
def visit(browser, site):
    """Opens a page of the site; what it logs or throws fails the test at its end."""
    contexts, wrong = [], []

    def opened(path: str = f"{STUDY}/index.html", base: str | None = None, **settings):
        context = browser.new_context(**({"viewport": {"width": 1280, "height": 900}} | settings))
        context.set_default_timeout(PATIENCE)
        contexts.append(context)
        page = context.new_page()
        page.asked = []
        page.on("request", lambda request: page.asked.append(request.url))
        page.on("console", lambda said: wrong.append(said.text))
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.excused = wrong.clear
        page.goto(f"{base}/{path}" if base else (site / path).as_uri())
        return page

    yield opened
    for context in contexts:
        context.close()
    assert wrong == []


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, *_) -> None:
        pass


@pytest.fixture(scope="session")
def served(site):
    """The site over HTTP on loopback."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(site)))
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture(scope="session")
def pages(site) -> list[str]:
    """Every page of the site."""
    found = sorted(p.relative_to(site).as_posix() for p in site.rglob("*.html"))
    assert f"{STUDY}/index.html" in found and f"{STUDY}/script/script.html" in found
    return found


if __name__ == "__main__":  # Does a browser open here at all?
    with launched() as chrome:
        chrome.new_page().goto("about:blank")
