"""Reads a report in a process of its own: ten seconds and a gigabyte a page, or it is left out."""

from __future__ import annotations

import json
import queue
import threading
from collections.abc import Generator, Iterator, Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import IO, Any

from explainer.confined import bare, start
from explainer.errors import UsageError

#: Seconds for a page, for opening the file, and how often a new process is tried.
A_PAGE, OPENING, TRIES = 10.0, 20.0, 12
MAX_BYTES = 300_000_000
#: Characters of one answer.
_LONGEST = 40_000_000
#: Up to this many pages each is looked at closely.
FEW = 60


def needs_extra() -> None:
    """Raises UsageError where the libraries that read PDFs are not installed."""
    if not all(map(find_spec, ("pypdfium2", "pdfplumber"))):
        raise UsageError(
            "reading a PDF needs two more libraries; install them with: "
            'pip install "explainer[lift]"'
        )


def checked(path: Path, kinds: str = "a PDF file") -> bytes:
    """The first bytes of a plain file that is not too large.  Raises UsageError."""
    try:
        if not path.is_file():
            raise UsageError(f"no file {path}; expected {kinds}")
        if path.stat().st_size > MAX_BYTES:
            most = MAX_BYTES // 10**6
            raise UsageError(f"{path} is over {most} megabytes; lift from a part of it")
        with path.open("rb") as file:
            return file.read(1024)
    except OSError as fault:
        raise UsageError(f"cannot read {path}: {fault.strerror or fault}") from fault


def checked_pdf(path: Path) -> None:
    """Raises UsageError for what is no PDF file at all."""
    if b"%PDF-" not in checked(path):
        raise UsageError(f"{path} is no PDF file; expected a report as PDF")


def read_report(
    path: Path, pages: Sequence[int] = (), at: Sequence[float] = (), do: str = "all",
    a_page: float = A_PAGE,
) -> Iterator[dict[str, Any]]:  # fmt: skip
    """The answer for the whole file (``pages``: how many), then one record for each page.

    A page that takes too long, or too much memory, has ``faults`` and nothing else.  Raises
    UsageError where the file cannot be opened at all.
    """
    needs_extra()
    checked_pdf(path)
    first, told = 1, 0
    for _ in range(TRIES):
        asked = {
            "do": do, "path": str(path.resolve()), "pages": list(pages), "at": list(at),
            "first": first, "few": True,
        }  # fmt: skip
        if told > FEW:
            asked["few"] = False
        with _Child(asked) as child:
            opened = child.next(OPENING)
            if opened is None or "fault" in opened:
                why = "it takes too long, or too much memory, to open"
                why = opened["fault"] if opened else why
                raise UsageError(f"{path}: {why}; nothing was lifted")
            if not told:
                told = int(opened["pages"])
                yield {"pages": told}
                if told > FEW:
                    continue  # asked again, with a quick look first
            at_first = min((n for n in pages if n >= first), default=first)
            last = yield from _pages(child, a_page, at_first)
        if last is None or last >= told:
            return
        first = last + 1
    why = f"from here on it was not read, since {TRIES} pages failed; name others with --pages"
    yield _nothing(first, why)


def _pages(
    child: _Child, a_page: float, begun: int
) -> Generator[dict[str, Any], None, int | None]:
    """Records until the child is done (None) or a page brings it down (that page).

    ``begun`` is the page it is at; the first one when this is called.
    """
    while True:
        record = child.next(a_page)
        if record is None:
            if child.ended_well():
                return None
            slow = child.alive()
            why = f"it takes over {a_page:g} seconds" if slow else "it needs too much memory"
            yield _nothing(begun, f"{why}; read its charts with --picture")
            return begun
        if "begins" in record:
            begun = int(record["begins"])
        else:
            yield record


def _nothing(page: int, why: str) -> dict[str, Any]:
    return {"page": page, "tables": [], "charts": [], "sentences": [], "text": 0, "faults": [why]}


def page_picture(path: Path, page: int | None, most: int) -> dict[str, Any]:
    """A picture's pixels, as PNG in base64 (``png``, ``width``, ``height``, ``pages``).

    ``page``: of a PDF; None for an image file.  ``most``: pixels of its longer side.
    Raises UsageError.
    """
    needs_extra()
    if page is not None:
        checked_pdf(path)
    else:
        checked(path, "an image file")
    asked = {"do": "picture", "path": str(path.resolve()), "page": page, "most": most}
    with _Child(asked) as child:
        answer = child.next(OPENING)
    if answer is None:
        why = "it takes too long, or too much memory, to show"
        raise UsageError(f"{path}: {why}; try a smaller one")
    if "fault" in answer:
        raise UsageError(f"{path}: {answer['fault']}")
    return answer


class _Child:
    """The reading process and its answers."""

    def __init__(self, asked: dict[str, Any]) -> None:
        self._process = start("explainer.lift.child", bare())
        self._answers: queue.Queue[bytes | None] = queue.Queue(4)
        assert self._process.stdin is not None and self._process.stdout is not None
        try:
            self._process.stdin.write(json.dumps(asked).encode() + b"\n")
            self._process.stdin.close()
        except OSError:
            pass  # it ended at once; its silence says so
        out = self._process.stdout
        self._reader = threading.Thread(target=self._read, args=(out,), daemon=True)
        self._reader.start()

    def _read(self, out: IO[bytes]) -> None:
        for line in iter(lambda: out.readline(_LONGEST), b""):
            self._answers.put(line)
        self._answers.put(None)

    def next(self, seconds: float) -> dict[str, Any] | None:
        """The next answer; None where none comes in time or the process ended."""
        try:
            line = self._answers.get(timeout=seconds)
        except queue.Empty:
            return None
        if line is None:
            self._process.wait(5)
            return None
        try:
            answer = json.loads(line)
        except ValueError:
            return None
        return answer if isinstance(answer, dict) else None

    def alive(self) -> bool:
        return self._process.poll() is None

    def ended_well(self) -> bool:
        return self._process.poll() == 0

    def __enter__(self) -> _Child:
        return self

    def __exit__(self, *_: object) -> None:
        self._process.kill()
        self._process.wait()
        while self._reader.is_alive():  # it may wait to hand over an answer nobody wants
            try:
                self._answers.get_nowait()
            except queue.Empty:
                self._reader.join(0.05)
        assert self._process.stdout is not None
        self._process.stdout.close()
