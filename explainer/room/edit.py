"""Edits of a study.yaml in its own text: what is not edited stays byte for byte, comments too.

The file is the truth.  ruamel.yaml says from where to where in the text a value stands; exactly
that stretch is written anew.  Every edit is then read again with the reader of stage 1 and held
against what was meant: if anything else moved, the edit is refused and the text stays.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy
from typing import Any

from explainer.draft.written import scalar_text
from explainer.errors import DescriptionError, UsageError
from explainer.study.load import DESCRIPTION
from explainer.study.unseen import seen
from explainer.study.yaml12 import Path, read

#: A comment by which a draft asks to look at a line.
MARK = re.compile(r"([^#\n]*)#[^\n]*?\bCONFIRM\b[^\n]*")
ONE_LINE = 400


class CannotEdit(UsageError):
    """An edit that this page cannot make without harm to the rest of the file."""


class StudyText:
    """The text of a study.yaml, with every value's place.  Raises StudyError for a broken one."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.document = read(text.encode("utf-8"), DESCRIPTION)
        self._root = _composed(text)

    @property
    def value(self) -> Any:
        """The whole as plain data."""
        return self.document.value

    def at(self, path: Path) -> Any:
        """The value at a path; None where there is none."""
        found = self.value
        for step in path:
            try:
                found = found[step]
            except (KeyError, IndexError, TypeError):
                return None
        return found

    def written(self, path: Path) -> str:
        """A value as it stands in the file."""
        node = self._node(path)
        return "" if node is None else self.text[node.start_mark.index : node.end_mark.index]

    def in_one_line(self, path: Path) -> bool:
        """Whether a value stands in one line, so that it can be edited as it is written."""
        return "\n" not in self.written(path).strip()

    def line(self, path: Path) -> int:
        """The line, from 1, of the value at a path; 0 where there is none."""
        place = self.document.places.get(path)
        return place[0] if place else 0

    # -- edits: each gives a new StudyText

    def put(self, path: Path, value: Any) -> StudyText:
        """The value at ``path`` in place of what stands there, or added where nothing does."""
        node = self._node(path)
        value = _tidied(value, literal=not self._in_flow(path))
        meant = _with(self.value, path, value)
        if node is not None:
            return self._checked(self._replaced(node, path, value), meant)
        parent = self._node(path[:-1])
        if parent is None or parent.id == "scalar":
            words = parent is not None and path[-2:-1] == ("use",)  # not the block it has to be
            if isinstance(path[-1], int) or (self.at(path[:-1]) is not None and not words):
                raise CannotEdit(f"no place for {_told(path)} in {DESCRIPTION}; write it there")
            return self.put(path[:-1], {path[-1]: value})
        if parent.id != "mapping":
            raise CannotEdit(f"{_told(path)} cannot be added here; write it in {DESCRIPTION}")
        return self._checked(self._added(parent, str(path[-1]), value), meant)

    def stands_plain(self, path: Path) -> bool:
        """Whether a plain value stands at a path, so that another can be put in its place."""
        node = self._node(path)
        return node is not None and node.id == "scalar"

    def put_all(self, values: Mapping[Path, Any]) -> StudyText:
        """Other values in place of plain ones, all at once: the text is read again but once."""
        meant, text, last = deepcopy(self.value), self.text, len(self.text) + 1
        nodes = {path: self._node(path) for path in values}
        found = ((node.start_mark.index, path) for path, node in nodes.items() if node is not None)
        for start, path in sorted(found, key=lambda one: -one[0]):
            value = _tidied(values[path], literal=not self._in_flow(path))
            if start >= last:  # an alias: one place for two values
                raise CannotEdit(f"{_told(path)} stands for another value; edit {DESCRIPTION}")
            last = start
            _set(meant, path, _as_read(value))
            # From the end on, so that what is still to come stands where it was read.
            text = self._replaced(nodes[path], path, value, text)
        return self._checked(text, meant) if values else self

    def put_raw(self, path: Path, written: str) -> StudyText:
        """A value as it is written in YAML, in one line."""
        try:
            value = read(f"v: {written}\n".encode(), DESCRIPTION).value["v"]
        except DescriptionError as fault:
            found = fault.problems[0].found
            raise CannotEdit(f"{_told(path)}: found {found}, expected a value in YAML") from None
        return self.put(path, value)

    def drop(self, path: Path) -> StudyText:
        """Without the key, or the entry of a list, at ``path``; as it is where there is none."""
        node, parent = self._node(path), self._node(path[:-1])
        if node is None or parent is None:
            return self
        meant = _without(self.value, path)
        if parent.flow_style:
            return self._checked(self._dropped_in_flow(parent, path), meant)
        if isinstance(path[-1], int) and len(parent.value) == 1:
            return self._checked(self._emptied(parent), meant)
        start = self._key(parent, path[-1]) if parent.id == "mapping" else node
        begin = self.text.rfind("\n", 0, start.start_mark.index) + 1
        if parent.id == "mapping" and self.text[begin : start.start_mark.index].strip():
            raise CannotEdit(f"{_told(path)} opens an entry of a list; edit {DESCRIPTION} itself")
        end = self._line_end(self._last(node, start))
        if node.id == "mapping" and not node.flow_style:
            end = self._notes_end(end, start.start_mark.column)
        return self._checked(self.text[:begin] + self.text[end + 1 :], meant)

    def append(self, path: Path, entry: Mapping[str, Any]) -> StudyText:
        """One more entry at the end of a list of blocks, which may not be there yet."""
        node = self._node(path)
        entry = {key: _tidied(value, literal=True) for key, value in entry.items()}
        before = self.at(path) or []
        meant = _with(self.value, path, [*before, dict(entry)])
        if node is None:
            text = self.text if self.text.endswith("\n") else self.text + "\n"
            return self._checked(f"{text}{path[-1]}:\n{_entry(entry, 2)}\n", meant)
        if not before:
            return self._checked(self._first_entry(node, path, entry), meant)
        if node.flow_style or node.id != "sequence":
            raise CannotEdit(f"{_told(path)} stands in one line; edit {DESCRIPTION} itself")
        end = self._line_end(self._last(node, node))
        text = self.text[:end] + "\n" + _entry(entry, node.start_mark.column) + self.text[end:]
        return self._checked(text, meant)

    def confirmed(self, *numbers: int) -> StudyText:
        """Without the marks of the draft on some lines, from 1."""
        lines = self.text.split("\n")
        for number in numbers:
            if 0 < number <= len(lines) and (found := MARK.match(lines[number - 1])):
                lines[number - 1] = found[1].rstrip(" \t")
        return self._checked("\n".join(lines), self.value)

    # -- the text

    def _replaced(self, node: Any, path: Path, value: Any, text: str | None = None) -> str:
        """The text (or one that differs from it only further down) with another value."""
        text = self.text if text is None else text
        start, end = node.start_mark.index, node.end_mark.index
        flow = self._in_flow(path)
        old = text[start:end]
        block_scalar = node.id == "scalar" and node.style in ("|", ">")
        rest, tail = "", ""
        if block_scalar:
            head, _, body = old.partition("\n")
            rest = head[1:].lstrip("+-0123456789")
            tail = "\n" * (len(body) - len(body.rstrip("\n")) or 1)
        elif node.id != "scalar" and not node.flow_style:
            raise CannotEdit(f"{_told(path)} takes several lines; edit {DESCRIPTION} itself")
        if _long(value) and not flow:
            if not block_scalar:
                stop = _line_end(text, end)
                rest, end = text[end:stop], stop
            room = " " * (self._indent(path) + 2)
            lines = [f"{room}{line}".rstrip() for line in str(value).rstrip("\n").split("\n")]
            said = "\n".join([f"|{rest}", *lines])
            return text[:start] + said + tail + text[end:]
        space = " " if start and text[start - 1] == ":" else ""
        said = space + _line_text(value) + rest
        return text[:start] + said + tail + text[end:]

    def _added(self, parent: Any, key: str, value: Any) -> str:
        if parent.flow_style:
            last = parent.value[-1][1].end_mark if parent.value else None
            at = last.index if last else parent.start_mark.index + 1  # what pads the braces stays
            comma = ", " if last else ""
            said = f"{comma}{scalar_text(key)}: {_line_text(value)}"
            return self.text[:at] + said + self.text[at:]
        indent = parent.start_mark.column
        end = self._line_end(self._last(parent, parent))
        said = f"{' ' * indent}{scalar_text(key)}: {_block_text(value, indent)}"
        before = self.text[:end] if self.text[:end].strip() else ""
        return f"{before}\n{said}" + (self.text[end:] or "\n")

    def _dropped_in_flow(self, parent: Any, path: Path) -> str:
        nodes = ([(k.value, k, v) for k, v in parent.value] if parent.id == "mapping"
                 else [(i, v, v) for i, v in enumerate(parent.value)])  # fmt: skip
        place = next(i for i, (key, _, _) in enumerate(nodes) if key == path[-1])
        start, end = nodes[place][1].start_mark.index, nodes[place][2].end_mark.index
        if place + 1 < len(nodes):
            end = nodes[place + 1][1].start_mark.index
        elif place:
            start = nodes[place - 1][2].end_mark.index
        return self.text[:start] + self.text[end:]

    def _emptied(self, parent: Any) -> str:
        """``key: []`` in place of a list's only entry."""
        begin = self.text.rfind("\n", 0, parent.start_mark.index) + 1
        end = self._line_end(self._last(parent, parent))
        head = self.text[:begin].rstrip("\n")
        line = head.rfind("\n") + 1
        key, colon, comment = head[line:].partition(":")
        return f"{head[:line]}{key}{colon} []{comment}" + self.text[end:]

    def _first_entry(self, node: Any, path: Path, entry: Mapping[str, Any]) -> str:
        """A list that is ``[]``, or nothing, with an entry in it."""
        start, end = node.start_mark.index, node.end_mark.index
        stop = self._line_end(end)
        begin = self.text.rfind("\n", 0, start) + 1
        indent = len(self.text[begin:start]) - len(self.text[begin:start].lstrip(" ")) + 2
        head = self.text[:start].rstrip(" ")
        return f"{head}{self.text[end:stop]}\n{_entry(entry, indent)}" + self.text[stop:]

    def _checked(self, text: str, meant: Any) -> StudyText:
        try:
            made = StudyText(text)
        except DescriptionError:
            made = None
        if made is None or made.value != meant:
            raise CannotEdit(f"this cannot be written without touching more; edit {DESCRIPTION}")
        return made

    # -- nodes

    def _node(self, path: Path) -> Any | None:
        found = self._root
        for step in path:
            if found is None or found.id == "scalar":
                return None
            if found.id == "mapping":
                found = next((v for k, v in found.value if k.value == step), None)
            else:
                there = isinstance(step, int) and step < len(found.value)
                found = found.value[step] if there else None
        return found

    def _key(self, parent: Any, key: Any) -> Any:
        return next(k for k, _ in parent.value if k.value == key)

    def _last(self, node: Any, before: Any) -> int:
        """Where the last character of a value stands, comments and empty lines left out."""
        if node.id == "scalar" or node.flow_style:
            start, end = node.start_mark.index, node.end_mark.index
            empty = before.end_mark.index if end <= start else 0
            return int(max(start + len(self.text[start:end].rstrip()), empty))
        if not node.value:
            return int(node.end_mark.index)
        last = node.value[-1]
        key, value = last if node.id == "mapping" else (last, last)
        return self._last(value, key)

    def _line_end(self, at: int) -> int:
        return _line_end(self.text, at)

    def _notes_end(self, end: int, indent: int) -> int:
        """The end of the comments below a block that stand further in than its key."""
        for line in self.text[end + 1 :].split("\n"):
            told = line.lstrip(" ")
            if not told.startswith("#") or len(line) - len(told) <= indent:
                break
            end += 1 + len(line)
        return end

    def _indent(self, path: Path) -> int:
        """The column of the key, or of the list's dash, that leads to a value."""
        parent = self._node(path[:-1])
        return int(parent.start_mark.column) if parent is not None else 0

    def _in_flow(self, path: Path) -> bool:
        steps = (self._node(path[:n]) for n in range(len(path)))
        return any(getattr(node, "flow_style", False) for node in steps)


def _line_end(text: str, at: int) -> int:
    end = text.find("\n", at)
    return len(text) if end < 0 else end


def _composed(text: str) -> Any:
    from ruamel.yaml import YAML

    return YAML(typ="rt", pure=True).compose(text)


def _told(path: Path) -> str:
    return "`" + ".".join(str(step) for step in path) + "`"


def _long(value: Any) -> bool:
    return isinstance(value, str) and ("\n" in value.strip("\n") or len(value) > ONE_LINE)


def _tidied(value: Any, literal: bool) -> Any:
    """A text as a file can hold it: no spaces at the ends of lines, and a literal one ended."""
    if not isinstance(value, str):
        return value
    if any(unicodedata.category(c) in ("Cc", "Cs") and c not in "\n\t" for c in value):
        raise CannotEdit("a character that cannot be printed stands in this text; take it out")
    value = "\n".join(line.rstrip() for line in seen(value).split("\n")).strip()
    return value + "\n" if literal and _long(value) else value


def _line_text(value: Any) -> str:
    """A value on one line of a block."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str) and ("\n" in value or "\t" in value):
        return json.dumps(value, ensure_ascii=False)
    return scalar_text(value)


def _block_text(value: Any, indent: int) -> str:
    """A value behind a key of a block, as a literal text where it has several lines."""
    if not _long(value):
        return _line_text(value)
    room = " " * (indent + 2)
    lines = [f"{room}{line}".rstrip() for line in str(value).rstrip("\n").split("\n")]
    return "\n".join(["|", *lines])


def _entry(entry: Mapping[str, Any], indent: int) -> str:
    """A block as an entry of a list, one key to a line."""
    lines = []
    for number, (key, value) in enumerate(entry.items()):
        start = f"{' ' * indent}- " if number == 0 else " " * (indent + 2)
        lines.append(f"{start}{scalar_text(key)}: {_block_text(value, indent + 2)}")
    return "\n".join(lines)


def _with(value: Any, path: Path, new: Any) -> Any:
    """Plain data with another value at a path, as it will be read."""
    return _changed(value, path, lambda block, key: block.__setitem__(key, _as_read(new)))


def _without(value: Any, path: Path) -> Any:
    return _changed(value, path, lambda block, key: block.__delitem__(key))


def _changed(value: Any, path: Path, change: Callable[[Any, Any], None]) -> Any:
    value = deepcopy(value)
    _change(value, path, change)
    return value


def _set(value: Any, path: Path, new: Any) -> None:
    _change(value, path, lambda block, key: block.__setitem__(key, new))


def _change(block: Any, path: Path, change: Callable[[Any, Any], None]) -> None:
    """Changes plain data where it stands."""
    try:
        for step in path[:-1]:
            if isinstance(block, dict) and not isinstance(block.get(step), dict | list):
                block[step] = {}
            block = block[step]
        change(block, path[-1])
    except (IndexError, KeyError, TypeError):  # an entry that is gone, or never was
        raise CannotEdit(f"no place for {_told(path)} in {DESCRIPTION}; write it there") from None


def _as_read(value: Any) -> Any:
    """A value as the file gives it back: yes and no are words, a literal text ends its line."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return {str(k): _as_read(v) for k, v in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [_as_read(v) for v in value]
    return value


def users_of(source: StudyText, measure: str) -> tuple[str, ...]:
    """Claims, figures and other entries that name a measure, as ``claim hook-falls``."""

    def names(value: Any) -> bool:
        if isinstance(value, dict):
            return any(map(names, value.values()))
        return any(map(names, value)) if isinstance(value, list) else bool(value == measure)

    found = []
    for key, value in source.value.items():
        entries = value if isinstance(value, list) else []
        found += [f"{key} › {e.get('id', i + 1) if isinstance(e, dict) else i + 1}"
                  for i, e in enumerate(entries) if names(e)]  # fmt: skip
        if key == "rule" and names(value):
            found.append("rule")
    others = source.at(("measures",)) or {}
    found += [f"measures › {n}" for n, m in others.items() if n != measure and isinstance(m, dict)
              and names(m.get("derived"))]  # fmt: skip
    return tuple(found)
