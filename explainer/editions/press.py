"""Sets a page on paper where it can be stopped: a workspace's own templates and styles.

What a style asks for can take any memory and any time (a table of a million columns, drawings that
use each other, a gradient of a billion stripes), and no list of such tricks is ever whole.  So a
page that a workspace's own files had a hand in is set in a process of its own, with so much memory
and so much time.  A page that is only ours is set here, as ever.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Timer
from typing import Any, BinaryIO, NoReturn

from explainer.confined import Limits, confine, mapped, start
from explainer.editions.article import Article
from explainer.editions.own_words import listed, own_templates
from explainer.editions.page import render
from explainer.editions.pdf import LaidOut, lay_out
from explainer.errors import BrokenPageError, Problem, WorkspaceError
from explainer.words.glossary.entries import Glossary

HAPPENS = "no PDF can be made with it, and nothing of this study is published"


@dataclass(frozen=True)
class Bounds:
    """What one document may take that others had a hand in.

    The largest study that is promised takes 560 megabytes more than the process begins with, and
    20 seconds, for 2 million characters on 113 pages.
    """

    megabytes: int = 800
    """Of memory mapped, beyond what there is before the first page."""
    seconds: float = 40.0
    """Of processor, for all the times that a document is set until it fits ..."""
    seconds_a_million: float = 30.0
    """... and more for each million characters of it."""
    patience: float = 4.0
    """How many times as long it may take by the clock, on a busy machine."""
    characters: int = 4_000_000
    pages: int = 1_000
    bytes: int = 50_000_000


BOUNDS = Bounds()
Setting = Callable[[str], LaidOut]


@contextmanager
def press(folders: tuple[Path, ...], bounds: Bounds = BOUNDS) -> Iterator[Setting]:
    """What sets pages on paper: ``lay_out`` itself, or, within bounds, one that does the same.

    ``folders``: the templates folders.  Raises WorkspaceError where a bound is met, or where what
    the workspace's own files ask for cannot be set at all.
    """
    names = own_templates(folders)
    if not names:
        yield lay_out
        return
    with _Press(names, bounds) as apart:
        yield apart.lay_out


def render_pdf(article: Article, glossary: Glossary, folders: tuple[Path, ...]) -> bytes:
    """The study as a PDF: tagged, titled, same bytes for the same article.

    Raises BrokenPageError if anything on a page of ours tried to load something, and WorkspaceError
    where the workspace's own templates or styles are faulty, do so or take too much.
    """
    html = render(article, glossary, folders, "print")
    with press(folders) as set_on_paper:
        return set_on_paper(html).pdf()


class _Press:
    """The process that sets pages, seen from here; one document's, so that its seconds add up."""

    def __init__(self, names: tuple[str, ...], bounds: Bounds) -> None:
        self._names, self._bounds = names, bounds
        self._latest, self._late = "", False
        self._process = start("explainer.editions.press", os.environ)

    def lay_out(self, html: str) -> LaidOut:
        """As ``pdf.lay_out``, within the bounds."""
        pages = self._set(html)
        return LaidOut(pages, lambda: self._written(html))

    def _set(self, html: str) -> int:
        most = self._bounds.characters
        if len(html) > most:
            self._refuse(f"{len(html):,} characters of it", f"at most {most:,}")
        seconds = self._bounds.seconds + self._bounds.seconds_a_million * len(html) / 1e6
        self._latest = ""
        answer, _ = self._asked({"seconds": seconds, "megabytes": self._bounds.megabytes}, html)
        pages = int(answer["pages"])
        if pages > self._bounds.pages:
            self._refuse(f"{pages:,} pages", f"at most {self._bounds.pages:,}")
        self._latest = html
        return pages

    def _written(self, html: str) -> bytes:
        if html != self._latest:  # another was set since, and only one is kept
            self._set(html)
        answer, made = self._asked({"write": True, "bytes": self._bounds.bytes})
        if "refused" in answer:
            self._refuse(f"`{answer['refused'][:80]}`, asked for while the PDF was made",
                         "nothing that is fetched: a page carries all it shows")  # fmt: skip
        return made

    def _asked(self, asked: dict[str, Any], html: str = "") -> tuple[dict[str, Any], bytes]:
        """An answer and what comes with it.  The clock stops a process that the system cannot."""
        assert self._process.stdin is not None and self._process.stdout is not None
        bounds = self._bounds
        seconds = bounds.seconds + bounds.seconds_a_million * bounds.characters / 1e6
        alarm = Timer(bounds.patience * asked.get("seconds", seconds), self._too_late)
        alarm.daemon = True
        alarm.start()
        try:
            _send(self._process.stdin, asked, html.encode("utf-8", "surrogatepass"))
            answer, made = _received(self._process.stdout)
        except (OSError, EOFError, ValueError):
            self._ended()
        finally:
            alarm.cancel()
            alarm.join()
        if "fault" in answer:
            self._refuse(answer["fault"], answer["expected"])
        return answer, made

    def _too_late(self) -> None:
        self._late = True
        self._process.kill()

    def _ended(self) -> NoReturn:
        """It answered nothing: why, as far as its end tells."""
        status = self._process.wait()
        if self._late or status == -getattr(signal, "SIGXCPU", 0):
            self._refuse("a page that takes too long to set", self._expected("seconds"))
        self._refuse("a page that cannot be set on paper, or takes too much memory",
                     self._expected("memory"))  # fmt: skip

    def _expected(self, what: str) -> str:
        bounds = self._bounds
        if what == "memory":
            return f"one that takes at most {bounds.megabytes} megabytes"
        return (f"at most {bounds.seconds:g} seconds of processor for a document, and "
                f"{bounds.seconds_a_million:g} for each million characters")  # fmt: skip

    def _refuse(self, found: str, expected: str) -> NoReturn:
        one = len(self._names) == 1
        file = f"templates/{self._names[0]}" if one else "templates"
        found = found if one else f"{found} (with {listed(self._names)})"
        raise WorkspaceError(Problem(file, found=found, expected=expected, happens=HAPPENS))

    def __enter__(self) -> _Press:
        return self

    def __exit__(self, *_: object) -> None:
        self._process.kill()
        for stream in (self._process.stdin, self._process.stdout):
            with suppress(OSError):  # what was not sent will not be
                assert stream is not None
                stream.close()
        self._process.wait()


def _send(to: BinaryIO | Any, said: dict[str, Any], more: bytes = b"") -> None:
    to.write(json.dumps({**said, "more": len(more)}).encode() + b"\n" + more)
    to.flush()


def _received(given: BinaryIO | Any) -> tuple[dict[str, Any], bytes]:
    """A message and what comes with it.  Raises EOFError where there is none, or not all of it."""
    said = json.loads(given.readline() or b"{}")
    if "more" not in said:
        raise EOFError
    more = given.read(said["more"])
    if len(more) < said["more"]:
        raise EOFError
    return said, more


# -- the process itself ------------------------------------------------------------------------


def main() -> None:
    """Sets what comes on its input, until nothing more does."""
    heard, answers = sys.stdin.buffer, os.fdopen(os.dup(1), "wb")
    sys.stdout = sys.stderr  # nothing but our answers
    lay_out("<p>So that everything is loaded before memory is counted.")
    laid: LaidOut | None = None
    while True:
        try:
            asked, html = _received(heard)
        except EOFError:
            return
        if "write" not in asked:
            _confined(asked["megabytes"] * 1_000_000, asked["seconds"])
            laid = None  # before the next is made
            with _told(answers, asked):
                laid = lay_out(html.decode("utf-8"))
                _send(answers, {"pages": laid.pages})
            continue
        with _told(answers, asked):
            assert laid is not None
            made = laid.pdf()
            if len(made) > asked["bytes"]:
                raise _TooLargeError(len(made))
            _send(answers, {}, made)


class _TooLargeError(Exception):
    """More bytes than a PDF may have."""


@contextmanager
def _told(answers: BinaryIO, asked: dict[str, Any]) -> Iterator[None]:
    """Whatever goes wrong is an answer: it was not our own page that was to be set."""
    fault, expected = "", "HTML and styles that can be set on paper"
    try:
        yield
    except BrokenPageError as broken:
        words = str(broken).removeprefix("the PDF asked for ").partition("; a page fetches")[0]
        _send(answers, {"refused": words})
    except (MemoryError, SystemError):  # the latter where C code ran out of it
        fault = "a page that takes too much memory to set"
        expected = f"one that takes at most {asked.get('megabytes', BOUNDS.megabytes)} megabytes"
    except RecursionError:
        fault = "elements or styles nested too deeply"
    except _TooLargeError as large:
        fault, expected = f"a PDF of {large.args[0]:,} bytes", f"at most {asked['bytes']:,}"
    except Exception as wrong:
        fault = f"a page that cannot be set on paper ({type(wrong).__name__}: {str(wrong)[:200]})"
    if fault:
        _send(answers, {"fault": fault, "expected": expected})


_limited = False


def _confined(more: int, seconds: float) -> None:
    """Bounds this process, once."""
    global _limited
    if not _limited:
        _limited = True
        confine(Limits(mapped() + more, BOUNDS.bytes, seconds))
