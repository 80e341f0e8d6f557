"""The rehearsal's web server: loopback only, read only, with a few lines that reload the page.

A page is served as it was built, but for a script that waits for the next build and a list of
problems on top; the page's own policy is widened by exactly these two.
"""

from __future__ import annotations

import html
import json
import re
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from http.server import SimpleHTTPRequestHandler
from pathlib import Path
from typing import Any, Protocol

from explainer.editions.policy import hash_source
from explainer.errors import Problem
from explainer.publish.local_server import LocalHandler, file_of, running

#: A problem and the study that it is one of.
OfStudy = tuple[str, Problem]

WAIT = "/rehearsal-news"
#: Seconds a browser's question stays open before it is answered with "nothing new".
PATIENCE = 20.0

SCRIPT = """
(async () => {
  let seen = %d;
  for (;;) {
    try {
      const news = await (await fetch("%s?seen=" + seen, {cache: "no-store"})).json();
      if (news.version !== seen) { location.reload(); return; }
    } catch (gone) { await new Promise(wake => setTimeout(wake, 1000)); }
  }
})();
"""
STYLE = """
#rehearsal-problems { position: relative; z-index: 9; margin: 0; padding: 1rem 1.25rem;
  background: #fff4d6; color: #2b2000; border-bottom: 3px solid #8a5a00;
  font: 1rem/1.5 system-ui, sans-serif; }
#rehearsal-problems h2 { margin: 0 0 .5rem; font: bold 1.1rem/1.3 system-ui, sans-serif; }
#rehearsal-problems li { margin: .3rem 0; overflow-wrap: anywhere; }
"""


class Shown(Protocol):
    """What is served: a site that is built again and again, and what is wrong with its studies."""

    site: Path
    version: int
    """A number that grows with each build."""
    problems: dict[str, tuple[Problem, ...]]
    names: frozenset[str]
    """The studies of the last build."""

    def newer_than(self, seen: int, timeout: float) -> int: ...
    def paper(self, study: str, path: str) -> bytes | None: ...


_POLICY = re.compile(r'(<meta http-equiv="Content-Security-Policy" content=")([^"]*)(")')
_BODY = re.compile(r"<body[^<>]*>|</head>|\Z")


def dressed(page: str, version: int, problems: Iterable[OfStudy]) -> str:
    """A page with the reload script and, if there are any, the problems on top."""
    script, listed = SCRIPT % (version, WAIT), problem_list(problems)
    style = STYLE if listed else ""

    def widened(found: re.Match[str]) -> str:
        policy = html.unescape(found[2])
        policy = policy.replace("script-src ", f"script-src '{hash_source(script)}' ", 1)
        policy = policy.replace("style-src ", f"style-src '{hash_source(style)}' ", 1)
        return found[1] + html.escape(f"{policy}; connect-src 'self'") + found[3]

    page = _POLICY.sub(widened, page, count=1)
    added = (f"<style>{style}</style>{listed}" if listed else "") + f"<script>{script}</script>"
    return _BODY.sub(lambda found: found[0] + added, page, count=1)


def told(study: str, problem: Problem) -> str:
    """A problem with the study that it is one of; none where it is the workspace's own."""
    return f"{study}: {problem}" if study else str(problem)


def problem_list(problems: Iterable[OfStudy]) -> str:
    """Problems as HTML, empty where there are none."""
    items = "".join(f"<li>{html.escape(told(study, p))}</li>" for study, p in problems)
    if not items:
        return ""
    return (
        '<section id="rehearsal-problems" role="alert"><h2>To mend before this can be published; '
        f"below is the last good page</h2><ol>{items}</ol></section>"
    )


class Handler(LocalHandler, SimpleHTTPRequestHandler):
    """Answers GET and HEAD from the stage's site."""

    stage: Shown
    stopping: threading.Event
    server_version = "explainer-rehearsal"

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, directory=str(self.stage.site), **named)

    def do_GET(self) -> None:
        """A page, a file, or the answer to "is there anything new?"."""
        if not self.asked_here():
            self._send(403, "text/plain", b"only this computer may look\n")
            return
        path = file_of(self.asked().path)
        if not path:
            self.send_error(404)
        elif path == WAIT:
            self._news()
        elif path.endswith(("/", ".html")):
            self._page(path)
        elif not self._on_paper(path):
            super().do_GET()

    def do_HEAD(self) -> None:
        self.do_GET()

    def _news(self) -> None:
        asked = re.search(r"(?:^|&)seen=([0-9]{1,18})(?:&|$)", self.asked().query)
        seen = int(asked[1]) if asked else -1
        version = seen
        waited = 0.0
        self.waits(2 * PATIENCE)
        while version == seen and waited < PATIENCE and not (self.gone or self.stopping.is_set()):
            version = self.stage.newer_than(seen, 0.5)
            waited += 0.5
        body = json.dumps({"version": version}).encode()
        self._send(200, "application/json", body)

    def _page(self, path: str) -> None:
        version, problems = self.stage.version, self._problems(path)
        name = path + "index.html" if path.endswith("/") else path
        try:
            with open(f"{self.stage.site}{name}", encoding="utf-8", errors="replace") as file:
                page, status = file.read(), 200
        except OSError:
            page, status = _NOTHING, 404
        self._send(status, "text/html; charset=utf-8", dressed(page, version, problems).encode())

    def _problems(self, path: str) -> list[OfStudy]:
        """The problems of the study a page belongs to; on shared pages those of all."""
        first = path.strip("/").split("/")[0]
        known = self.stage.problems
        names = ["", first] if first in self.stage.names else list(known)
        return [
            (name, p) for name in names for p in known.get(name, ()) if p.severity == "error"
        ]

    def _on_paper(self, path: str) -> bool:
        """Sends a file that is made when somebody opens it."""
        study, _, rest = path.strip("/").partition("/")
        try:
            with open(f"{self.stage.site}{path}", "rb") as file:
                if file.read(1):
                    return False
        except OSError:
            pass
        data = self.stage.paper(study, rest) if rest else None
        if data is not None:
            self._send(200, self.guess_type(path), data)
        return data is not None

    def end_headers(self) -> None:
        """Nothing is kept by the browser, so that what it shows is always the last build."""
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        super().end_headers()

    def list_directory(self, path: Any) -> None:
        self.send_error(404)

    def _send(self, status: int, kind: str, body: bytes) -> None:
        try:
            self.send_response(status)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            if self.command != "HEAD":
                self.wfile.write(body)
        except (BrokenPipeError, ConnectionResetError):
            self.close_connection = True


_NOTHING = (
    "<!doctype html><html lang=en><meta charset=utf-8><title>Not there (yet)</title><body>"
    "<main><h1>Not there (yet)</h1><p>No good page has been built at this address. This one "
    "reloads after the next build. <a href='/'>All studies</a></p></main></body></html>"
)


@contextmanager
def serving(stage: Shown, port: int | None) -> Iterator[str]:
    """Serves ``stage`` on loopback; gives the address.  Raises UsageError if the port is taken."""
    stopping = threading.Event()
    handler = type("Handler", (Handler,), {"stage": stage, "stopping": stopping})
    with running(handler, port) as address:
        try:
            yield address
        finally:
            stopping.set()
