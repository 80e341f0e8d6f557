"""Where in study.yaml something stands, and how the place is shown at a terminal."""

from __future__ import annotations

import csv
import re
import unicodedata
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from explainer.errors import Problem, one_line
from explainer.proof.fixes import fix
from explainer.study.load import DESCRIPTION
from explainer.study.model import Study

Keys = tuple[str | int, ...]


class Places:
    """Places of a study's description, as problems that are warnings."""

    def __init__(self, study: Study) -> None:
        self._places = study.places
        self._starts = sorted(study.places.values())
        text = (study.folder / DESCRIPTION).read_text(encoding="utf-8", errors="replace")
        self._lines = text.splitlines()

    def of(self, path: Keys) -> tuple[int, int]:
        """Line and column of the value at ``path``, else of what encloses it."""
        while path and path not in self._places:
            path = path[:-1]
        return self._places.get(path, (1, 1))

    def pinpointed(self, problem: Problem) -> Problem:
        """A problem about a text as one about the ``{reference}`` in it that was not found."""
        if problem.file != DESCRIPTION or problem.code != "reference":
            return problem
        for number in range(problem.line, len(self._lines) + 1):
            line, first = self._lines[number - 1], number == problem.line
            column = line.find(problem.found, problem.column - 1 if first else 0)
            if column >= 0:
                return replace(problem, line=number, column=column + 1)
        return problem

    def inside(self, path: Keys, words: str) -> tuple[int, int]:
        """Where ``words`` stand in the text at ``path``; its beginning where they run over."""
        first = self.of(path)
        after = bisect_right(self._starts, first)
        last = self._starts[after][0] if after < len(self._starts) else len(self._lines)
        for number in range(first[0], max(first[0], last) + 1):
            line = self._lines[number - 1] if number <= len(self._lines) else ""
            column = line.find(words, first[1] - 1 if number == first[0] else 0)
            if column >= 0:
                return number, column + 1
        return first

    def weak(
        self, path: Keys, found: str, expected: str, happens: str, code: str, words: str = ""
    ) -> Problem:
        """A warning about the value at ``path``, or about some of its ``words``."""
        line, column = self.inside(path, words) if words else self.of(path)
        return Problem(
            DESCRIPTION, line, column, found=found, expected=expected, happens=happens,
            severity="warning", code=code,
        )  # fmt: skip


# The offending text of a problem with a marker under it, for people at a terminal.
#
# study.yaml:7:42: found the unknown unit `boord`, expected …
#     hook: {term: total hook, unit: boord, matters_from: 1}
#                                    ~~~~~
#     To mend it: did you mean `board`?

WIDTH = 76
MARGIN = "    "
#: A file over this size is not read again only to show a line of it.
MOST_BYTES = 20_000_000

Paint = Callable[[str, str], str]
"""(text, what it is) to the text as shown; what is error, warning, marker or fix."""


@dataclass(frozen=True)
class Excerpt:
    """A line of a file and the part of it a problem speaks of, in characters from 0."""

    line: str
    start: int
    length: int


def plain(text: str, what: str) -> str:
    """No paint."""
    return text


def shown(problem: Problem, folder: Path, paint: Paint = plain, mend: bool = True) -> str:
    """The problem's own line, the text it speaks of with a marker under it, and a way to mend
    (left out unless ``mend``: once for each kind of problem is enough)."""
    lines = [paint(str(problem), problem.severity)]
    found = excerpt(problem, folder)
    if found is not None and found.line.strip():
        line, start, length = _clipped(found)
        lines.append(MARGIN + line)
        before = "".join(" " * _columns(c) for c in line[:start])
        under = "~" * max(1, sum(map(_columns, line[start : start + length])))
        lines.append(MARGIN + before + paint(under, "marker"))
    way = fix(problem) if mend else ""
    if way:
        lines.append(MARGIN + paint(f"To mend it: {way}.", "fix"))
    return "\n".join(lines)


def excerpt(problem: Problem, folder: Path) -> Excerpt | None:
    """Where in its file the problem stands, None where there is no such line."""
    lines = _lines(folder, problem.file)
    if problem.row is None:
        if not 1 <= problem.line <= len(lines):
            return None
        line = one_line(lines[problem.line - 1])
        start = min(problem.column - 1, max(len(line) - 1, 0))
        return Excerpt(line, start, _length(line, start, problem.found))
    row, cells = _row(folder, problem.file, problem.row, lines)
    if row is None:
        return None
    at = _cell(cells, problem.cell, _row(folder, problem.file, 1, lines)[1])
    if at is None:
        return Excerpt(one_line(row), 0, len(row))
    spans = _spans(row)
    start, end = spans[at] if at < len(spans) else (0, len(row))
    return Excerpt(one_line(row), start, max(1, end - start))


@lru_cache(maxsize=8)
def _read(path: Path, stamp: int) -> tuple[str, ...]:
    data = path.read_bytes()
    if data.startswith(b"PK\x03\x04"):  # a workbook has no lines to show
        return ()
    text = data.decode("utf-8-sig", "replace")
    return tuple(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"))


def _lines(folder: Path, file: str) -> tuple[str, ...]:
    path = folder / file
    if Path(file).name != file or path.is_symlink() or not path.is_file():
        return ()
    facts = path.stat()
    return _read(path, facts.st_mtime_ns) if facts.st_size <= MOST_BYTES else ()


def _length(line: str, start: int, found: str) -> int:
    """How far the offending text runs: what the message quotes, else the word that stands there."""
    rest = line[start:]
    for quoted in re.findall(r"`([^`]+)`|(\[\[[^\[\]]+\]\])", found):
        text = quoted[0] or quoted[1]
        for written in (text, f'"{text}"', f"'{text}'"):
            if rest.startswith(written):
                return len(written)
    number = re.match(r"[-−+]?[\d.,]*\d", rest)
    if number:
        return len(number[0])
    word = re.match(r"#.*|\"[^\"]*\"|'[^']*'|\[\[[^\]]*\]\]|\{[^}]*\}|\[[^\]]*\]|[^\s:,}\]]+", rest)
    return len(word[0]) if word else 1


def _row(folder: Path, file: str, row: int, lines: tuple[str, ...]) -> tuple[str | None, list[str]]:
    """The text and cells of a spreadsheet row; rows and lines part where a cell has line breaks."""
    if not lines:
        return None, []
    reader = csv.reader(line + "\n" for line in lines)
    before = 0
    try:
        for number, cells in enumerate(reader, start=1):
            if number == row:
                return lines[before], cells
            before = reader.line_num
    except csv.Error:
        pass
    return None, []


def _cell(cells: list[str], name: str | None, header: list[str]) -> int | None:
    if name is None:
        return None
    names = [h.strip() for h in header]
    if name in names:
        return names.index(name)
    return int(name) - 1 if name.isdigit() and int(name) <= len(cells) else None


def _spans(line: str) -> list[tuple[int, int]]:
    """Start and end of each cell in a row's text."""
    spans, start, quoted = [], 0, False
    for i, c in enumerate(line):
        if c == '"':
            quoted = not quoted
        elif c == "," and not quoted:
            spans.append((start, i))
            start = i + 1
    return [*spans, (start, len(line))]


def _clipped(found: Excerpt) -> tuple[str, int, int]:
    """The line no wider than a terminal, with the offending text in sight."""
    indent = len(found.line) - len(found.line.lstrip())
    line, start = found.line[indent:], max(0, found.start - indent)
    length = found.length
    room = WIDTH - len(MARGIN)
    if len(line) > room:
        left = max(0, min(start - room // 3, len(line) - room))
        cut = line[left : left + room]
        if left:
            cut = "…" + cut[1:]
        if left + room < len(line):
            cut = cut[:-1] + "…"
        line, start = cut, start - left
    return line, start, max(1, min(length, len(line) - start))


def _columns(character: str) -> int:
    """Columns a character takes on a terminal."""
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1
