"""The published examples, opened in a real browser (the fixture ``browser``)."""

from __future__ import annotations

import threading
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

STUDY = "cover-texture"
ALONE = tuple(
    f"{STUDY}/alone/{name}.html"
    for name in ("claim-texture-falls", "claim-fairer", "fig-plover-paths")
)
#: Milliseconds: a busy machine is slow, not wrong.
PATIENCE = 120_000


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
def pages(site, every) -> list[str]:
    """The pages of the site, every second in a day's run; of claims and figures alone, which one
    template makes, a few."""
    found = sorted(p.relative_to(site).as_posix() for p in site.rglob("*.html"))
    found = [path for path in found if "/alone/" not in path or path in ALONE]
    assert f"{STUDY}/index.html" in found and f"{STUDY}/script/script.html" in found
    return found if every else found[::2]
