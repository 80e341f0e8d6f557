"""The YAML parser's slow spots, done a run of words at a time.

ruamel.yaml reads an unquoted text letter by letter and word by word, which is most of the time a
glossary takes to read.  Here the same rules are regular expressions over whole runs; everything
else is the library's, and a test holds the two to the same events and the same faults.
"""

from __future__ import annotations

import re
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.parser import Parser
from ruamel.yaml.reader import Reader
from ruamel.yaml.scanner import Scanner
from ruamel.yaml.tokens import ScalarToken

_END = "\\0 \\t\\r\\n\\x85\\u2028\\u2029"
#: A word of an unquoted text, in a block and inside brackets: a colon in it is not its end.
_WORD = rf"(?:[^{_END}:]|:(?![{_END}]))+"
_INSIDE = rf"(?:[^{_END}:,\[\]{{}}]|:(?![{_END}]))+"
_BLOCK = re.compile(rf"{_WORD}(?: +(?!\#){_WORD})*")
_FLOW = re.compile(rf"{_INSIDE}(?: +(?!\#){_INSIDE})*")


class _Reader(Reader):
    def forward(self, length: int = 1) -> None:
        """Moves on; a run without a line break needs no look at its letters."""
        end = self.pointer + length
        if end + 1 >= len(self.buffer):
            self.update(length + 1)
        run = self.buffer[self.pointer : end]
        if "\n" in run or "\r" in run or "\ufeff" in run:
            super().forward(length)
            return
        self.pointer = end
        self.index += length
        self.column += length


class _Scanner(Scanner):
    reader: Any = None  # a plain attribute in place of a property that is asked 300,000 times

    def __init__(self, loader: Any = None) -> None:
        self.reader = loader.reader
        super().__init__(loader)

    def scan_plain(self) -> Any:
        """An unquoted text (YAML 1.2.2, section 7.3.3), to the end of its last line."""
        reader, indent = self.reader, self.indent + 1
        runs = _FLOW if self.flow_level else _BLOCK
        start = end = reader.get_mark()
        chunks: list[str] = []
        spaces: list[str] = []
        while reader.peek() != "#":
            run = runs.match(reader.buffer, reader.pointer)
            if run is None:
                break
            self.allow_simple_key = False
            chunks += [*spaces, run[0]]
            reader.forward(len(run[0]))
            end = reader.get_mark()
            spaces = self.scan_plain_spaces(indent, start)
            if not spaces or (not self.flow_level and reader.column < indent):
                break
        return ScalarToken("".join(chunks), True, start, end)


class _Parser(Parser):
    scanner: Any = None

    def __init__(self, loader: Any) -> None:
        self.scanner = loader.scanner
        super().__init__(loader)


def parser() -> YAML:
    """A parser of events for one text."""
    made = YAML(typ="safe", pure=True)
    made.Reader, made.Scanner, made.Parser = _Reader, _Scanner, _Parser
    return made
