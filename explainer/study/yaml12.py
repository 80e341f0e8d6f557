"""YAML 1.2 read safely, with the place of every key and value.

Only the parser's *events* are used, and plain dicts, lists and scalars are built here: so
nothing in a file can construct an object, aliases cannot multiply, and every value keeps its
line, column and text as written.  Scalars follow the core schema of YAML 1.2.2 (section 10.3.2):
``no``, ``on``, ``190:20:30`` and dates are words.  Keys are always text.

A study file has no use for anchors, aliases, merge keys, tags or several documents; each is
refused with its place, and so is a file that is too large, too deep or not UTF-8.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from explainer.errors import DescriptionError, Problem
from explainer.study.unseen import EXPECTED, HINT, first_unseen, one_code, told

Path = tuple[str | int, ...]
Place = tuple[int, int]

MAX_BYTES = 1_000_000
MAX_DEPTH = 30
MAX_NODES = 50_000
#: The parser takes quadratic time over some long tokens, so a line is bounded, too.
MAX_LINE = 100_000

_NOTHING_READ = "nothing in the file was read"

# YAML 1.2.2 core schema, section 10.3.2.
_NULL = re.compile(r"null|Null|NULL|~|")
_BOOL = {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}
_INT = re.compile(r"[-+]?[0-9]+")
_OCTAL = re.compile(r"0o[0-7]+")
_HEX = re.compile(r"0x[0-9a-fA-F]+")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_INFINITE = re.compile(r"([-+]?)\.(?:inf|Inf|INF)")
_NAN = re.compile(r"\.(?:nan|NaN|NAN)")


@dataclass(frozen=True)
class Document:
    """A YAML document as plain values; paths are keys and list positions from the top."""

    value: Any
    places: dict[Path, Place] = field(default_factory=dict)
    """Line and column, from 1, where each value begins."""
    keys: dict[Path, Place] = field(default_factory=dict)
    """Line and column of the key that leads to a value in a block of keys."""
    raw: dict[Path, str] = field(default_factory=dict)
    """Unquoted scalars as written: ``71.40`` keeps its zero."""
    text: str = field(default="", repr=False)
    """All of it, as it was read."""

    @cached_property
    def _lines(self) -> list[str]:
        return self.text.split("\n")

    def within(self, place: Place, words: str) -> Place:
        """Where ``words`` stand in the value that begins at ``place``; ``place`` where nowhere."""
        ends = [line for line, column in self.places.values() if (line, column) > place]
        for number in range(place[0], min(ends, default=len(self._lines)) + 1):
            first = number == place[0]
            column = self._lines[number - 1].find(words, place[1] - 1 if first else 0)
            if column >= 0:
                return number, column + 1
        return place


def read(data: bytes, file: str) -> Document:
    """The one document in ``data``.  Raises DescriptionError with the place of the first fault."""
    text = _decoded(data, file)
    return _Builder(file, text, _events(text, file)).document()


def read_ours(data: bytes, file: str) -> Document:
    """The same of a file that we ship, twenty times as fast.

    libyaml is of YAML 1.1 and strays from 1.2 where nothing of ours goes: a test holds every file
    we ship to the same document either way.
    """
    import yaml

    text = _decoded(data, file)
    try:
        events = list(yaml.parse(text, Loader=getattr(yaml, "CLoader", yaml.Loader)))
    except yaml.YAMLError:  # its faults are told by the parser whose words we know
        return read(data, file)
    return _Builder(file, text, iter(events)).document()


def scalar(text: str) -> str | int | float | bool | None:
    """What an unquoted scalar means in the core schema."""
    if _NULL.fullmatch(text):
        return None
    if text in _BOOL:
        return _BOOL[text]
    if _INT.fullmatch(text):
        return int(text) if len(text) <= 300 else float(text)
    if _OCTAL.fullmatch(text) and len(text) <= 300:
        return int(text[2:], 8)
    if _HEX.fullmatch(text) and len(text) <= 300:
        return int(text[2:], 16)
    if _FLOAT.fullmatch(text):
        return float(text)
    if infinite := _INFINITE.fullmatch(text):
        return float(infinite[1] + "inf")
    return float("nan") if _NAN.fullmatch(text) else text


def _decoded(data: bytes, file: str) -> str:
    if len(data) > MAX_BYTES:
        raise _refusal(
            file, (1, 1), f"{len(data):,} bytes", f"at most {MAX_BYTES:,}", code="too-large"
        )
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _refusal(
            file, (1, 1), "a file in UTF-16", "UTF-8", code="encoding",
            hint="save it again as UTF-8",
        )  # fmt: skip
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        place = (before.count(b"\n") + 1, error.start - (before.rfind(b"\n") + 1) + 1)
        raise _refusal(
            file, place, f"the byte {data[error.start]:#04x}, which is not UTF-8", "UTF-8",
            code="encoding", hint="save it again as UTF-8",
        ) from None  # fmt: skip
    longest = max(text.split("\n"), key=len)
    if len(longest) > MAX_LINE:
        place = (text[: text.index(longest)].count("\n") + 1, 1)
        raise _refusal(
            file, place, f"a line of {len(longest):,} characters", f"at most {MAX_LINE:,}"
        )
    return text


def _events(text: str, file: str) -> Iterator[Any]:
    from ruamel.yaml import YAML
    from ruamel.yaml.error import YAMLError, YAMLStreamError
    from ruamel.yaml.reader import ReaderError

    if "\0" in text:
        before = text[: text.index("\0")]
        place = (before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1)
        raise _refusal(file, place, "a NUL character", "text")
    try:
        yield from YAML(typ="safe", pure=True).parse(text)
    except ReaderError as error:
        before = text[: error.position]
        place = (before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1)
        raise _refusal(
            file, place, f"the control character {_seen(error.character)}", "text"
        ) from None
    except (YAMLError, YAMLStreamError) as error:
        raise _plainly(error, file) from None
    except (ValueError, IndexError, AttributeError, AssertionError, OverflowError) as error:
        # The parser's own slips on broken text: still the user's file, never a traceback.
        raise _refusal(file, (1, 1), "text that is not YAML", str(error)) from None


def _plainly(error: Any, file: str) -> DescriptionError:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    place = (mark.line + 1, mark.column + 1) if mark is not None else (1, 1)
    problem = str(getattr(error, "problem", None) or "text that is not YAML")
    for piece, (found, hint) in _PLAIN.items():
        if piece in problem:
            return _refusal(file, place, found, hint=hint)
    return _refusal(file, place, f"text that is not YAML: {problem}")


def _refusal(
    file: str, place: Place, found: str, expected: str = "", hint: str = "", code: str = "yaml"
) -> DescriptionError:
    return DescriptionError(
        Problem(
            file,
            place[0],
            place[1],
            found=found,
            expected=expected,
            hint=hint,
            code=code,
            happens=_NOTHING_READ,
        )
    )


class _Builder:
    """Builds plain values from events, one open block per level, without recursion."""

    def __init__(self, file: str, text: str, events: Iterator[Any]) -> None:
        self.file, self.text, self.events = file, text, events
        self.result = Document(None)
        self.nodes = 0
        #: Open blocks, outermost first: (path, the dict or list, the key waiting for its value).
        self.open: list[tuple[Path, dict[str, Any] | list[Any], str | None]] = []
        self.top: Any = None

    def document(self) -> Document:
        documents = 0
        for event in self.events:
            name = type(event).__name__
            if name == "DocumentStartEvent":
                documents += 1
                if documents > 1:
                    raise self._refuse(event, "a second document (`---`)", "one document")
                if event.tags:
                    raise self._refuse(event, "a tag directive (`%TAG`)", "no tags")
            elif name == "AliasEvent":
                raise self._refuse(
                    event, f"an alias (`*{_brief(event.anchor)}`)", "the value itself"
                )
            elif name in ("ScalarEvent", "SequenceStartEvent", "MappingStartEvent"):
                self._node(name, event)
            elif name in ("SequenceEndEvent", "MappingEndEvent"):
                self.open.pop()
        return Document(self.top, self.result.places, self.result.keys, self.result.raw,
                        self.text)  # fmt: skip

    def _node(self, name: str, event: Any) -> None:
        self._allowed(event)
        if self.open and isinstance(self.open[-1][1], dict) and self.open[-1][2] is None:
            self._key(name, event)
            return
        path = self._next_path()
        self.result.places[path] = _place(event)
        if name == "ScalarEvent":
            self._attach(self._scalar(path, event))
            return
        block: dict[str, Any] | list[Any] = {} if name == "MappingStartEvent" else []
        self._attach(block)
        self.open.append((path, block, None))
        if len(self.open) > MAX_DEPTH:
            raise self._refuse(event, f"blocks {MAX_DEPTH + 1} deep", f"at most {MAX_DEPTH}")

    def _allowed(self, event: Any) -> None:
        self.nodes += 1
        if self.nodes > MAX_NODES:
            raise self._refuse(event, f"more than {MAX_NODES:,} values", f"at most {MAX_NODES:,}")
        if event.anchor is not None:
            raise self._refuse(event, f"an anchor (`&{_brief(event.anchor)}`)", "plain values")
        if event.tag is not None:
            tag = str(event.tag).replace("tag:yaml.org,2002:", "!!")
            raise self._refuse(event, f"a tag (`{_brief(tag)}`)", "plain values")

    def _key(self, name: str, event: Any) -> None:
        path, block, _ = self.open[-1]
        if name != "ScalarEvent":
            raise self._refuse(event, "a list or block as a key", "a word followed by `:`")
        key = self._seen(event)
        if key == "<<" and not event.style:
            raise self._refuse(event, "a merge key (`<<`)", "the keys themselves")
        if key in block:
            line = self.result.keys[(*path, key)][0]
            raise self._refuse(
                event, f"the key `{_brief(key)}` again", "each key once", f"first on line {line}"
            )
        self.result.keys[(*path, key)] = _place(event)
        self.open[-1] = (path, block, key)

    def _next_path(self) -> Path:
        if not self.open:
            return ()
        path, block, key = self.open[-1]
        return (*path, len(block) if isinstance(block, list) else str(key))

    def _attach(self, value: Any) -> None:
        if not self.open:
            self.top = value
            return
        path, block, key = self.open[-1]
        if isinstance(block, list):
            block.append(value)
        else:
            block[str(key)] = value
            self.open[-1] = (path, block, None)

    def _seen(self, event: Any) -> str:
        """The text of a scalar, every character of which can be seen."""
        text = str(event.value)
        at = first_unseen(text)
        if at is None:
            return one_code(text)
        place = _place(event)
        start, end = event.start_mark.index, event.end_mark.index
        if (there := self.text.find(text[at], start, end)) >= 0:  # else it was written as a code
            before = self.text[:there]
            place = (before.count("\n") + 1, there - before.rfind("\n"))
        raise _refusal(self.file, place, told(text, at), EXPECTED, HINT, "unseen")

    def _scalar(self, path: Path, event: Any) -> str | int | float | bool | None:
        text = self._seen(event)
        if event.style:  # None or nothing where it is unquoted
            return text
        self.result.raw[path] = text
        return scalar(text)

    def _refuse(self, event: Any, found: str, expected: str, hint: str = "") -> DescriptionError:
        return _refusal(self.file, _place(event), found, expected, hint)


def _brief(text: Any) -> str:
    return str(text) if len(str(text)) <= 40 else f"{str(text)[:39]}…"


def _seen(character: Any) -> str:
    code = character if isinstance(character, int) else ord(str(character)[:1] or "\0")
    return f"U+{code:04X}"


def _place(event: Any) -> Place:
    return event.start_mark.line + 1, event.start_mark.column + 1


#: What the parser says, and the same for someone who has never heard of a token.
_PLAIN = {
    "found character '\\t'": (
        "a tab at the start of a line", "indent with spaces only",
    ),
    "mapping values are not allowed": (
        "a `:` where a value should be", "put the text in quotes, or check the indentation",
    ),
    "could not find expected ':'": (
        "a line without `:`", "a key needs a `:` and a space behind it",
    ),
    "expected <block end>": (
        "a line that does not fit the indentation above", "line it up with its neighbours",
    ),
    "expected ',' or ']'": ("a list that is not closed", "a `,` or `]` is missing"),
    "expected ',' or '}'": ("a block that is not closed", "a `,` or `}` is missing"),
    "found unexpected end of stream": ("a quotation that is not closed", "add the closing quote"),
    "found undefined tag handle": ("a tag", "quote text that begins with `!`"),
    "cannot start any token": (
        "a character that cannot begin a value", "put the text in quotes",
    ),
    "block sequence entries are not allowed": (
        "a `-` where a value should be", "start the list on a new line",
    ),
    "unknown escape character": (
        "a backslash in double quotes", "use single quotes around text with a backslash",
    ),
    "did not find expected alphabetic": ("a `*` or `&` at the start of a value", "quote it"),
    "expected alphabetic or numeric": ("a `*` or `&` at the start of a value", "quote it"),
    "incompatible YAML": ("a `%YAML` line for another version", "leave the line out"),
}  # fmt: skip
