"""Every regular expression of the product, and texts made to fool one.

A pattern may take time that grows faster than the text: one that is tried at each place, runs over
what is left and fails there, takes a square of it.  Which patterns do is measured, not argued.
"""

from __future__ import annotations

import ast
import importlib
import pkgutil
import re
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from re import _constants as sre, _parser as parser  # type: ignore[attr-defined]
from typing import Any

import explainer

PACKAGE = Path(explainer.__file__).parent
#: Characters of the texts, each twice the one before.
LENGTHS = (2_000, 4_000, 8_000)
#: Lengths that show what would not come to an end at those.
_SHORT = (20, 25, 30, 40, 60, 100, 400)
#: Seconds of processor below which a time says nothing: a linear pattern is done in a tenth of it.
FLOOR = 0.02
#: Twice the text takes twice as long, or four times (both steps together, so that noise in one
#: does not tell).
LINEAR = 3.0
METHODS = ("search", "findall", "match", "fullmatch")
_AS_IT_IS = {"finditer": "findall", "sub": "findall", "subn": "findall", "split": "findall"}
_FUNCTIONS = {"compile", *METHODS, *_AS_IT_IS}


@dataclass(frozen=True)
class Found:
    """A pattern and where it stands."""

    where: str
    pattern: re.Pattern[Any]
    methods: tuple[str, ...] = METHODS


def all_patterns() -> list[Found]:
    """Those that modules keep, and those in calls; each pattern once, where it is met first."""
    found: dict[tuple[Any, int], Found] = {}
    for one in (*_kept(), *_called()):
        found.setdefault((one.pattern.pattern, one.pattern.flags), one)
    return list(found.values())


def _kept() -> Iterator[Found]:
    used = _used()
    for info in pkgutil.walk_packages([str(PACKAGE)], "explainer."):
        if info.name.rpartition(".")[2] == "__main__":
            continue
        module: Any = None
        with suppress(ImportError):  # what an extra brings
            module = importlib.import_module(info.name)
        for name, value in vars(module).items() if module else ():
            if not name.startswith("__"):
                for pattern in _within(value, info.name):
                    where = f"{info.name.removeprefix('explainer.')}.{name}"
                    yield Found(where, pattern, used.get((info.name, name), METHODS))


def _used() -> dict[tuple[str, str], tuple[str, ...]]:
    """The ways in which a module's name is matched with, as ``_NUMBER.fullmatch(…)``: a pattern
    that only begins at the start of a text, or has to match all of it, is held to that alone."""
    found: dict[tuple[str, str], set[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        nodes = _nodes(path)
        here = ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts)
        came = {
            alias.asname or alias.name: (node.module or "", alias.name)
            for node in nodes if isinstance(node, ast.ImportFrom) for alias in node.names
        }  # fmt: skip
        for node in nodes:
            if not (isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name)):
                continue
            owner = came.get(node.value.id, (here, node.value.id))
            way = _AS_IT_IS.get(node.attr, node.attr)
            if way in METHODS:
                found.setdefault(owner, set()).add(way)
            elif (module := ".".join(owner)) in sys.modules:  # edit.MARK: in any way
                found[module, node.attr] = set(METHODS)
    return {name: tuple(m for m in METHODS if m in ways) for name, ways in found.items()}


def _within(value: Any, module: str, depth: int = 3) -> Iterator[re.Pattern[Any]]:
    """The patterns in a value of a module: itself, in a container, or in a class of the module."""
    inner: Iterable[Any] = ()
    if isinstance(value, re.Pattern):
        yield value
    elif isinstance(value, dict):
        inner = (*value, *value.values())
    elif isinstance(value, tuple | list | frozenset | set):
        inner = value
    elif isinstance(value, type) and value.__module__ == module:
        inner = (v for v in vars(value).values() if isinstance(v, re.Pattern))
    for one in inner if depth else ():
        yield from _within(one, module, depth - 1)


def _called() -> Iterator[Found]:
    for path in sorted(PACKAGE.rglob("*.py")):
        name = ".".join(path.relative_to(PACKAGE).with_suffix("").parts)
        yield from in_calls(_nodes(path), name)


@cache
def _nodes(path: Path) -> list[ast.AST]:
    """What of a file is an import, an attribute or a call."""
    return nodes_of(path.read_text("utf-8"))


def nodes_of(source: str) -> list[ast.AST]:
    kinds = (ast.ImportFrom, ast.Attribute, ast.Call)
    return [node for node in ast.walk(ast.parse(source)) if isinstance(node, kinds)]


def in_calls(nodes: list[ast.AST], name: str) -> Iterator[Found]:
    """The patterns that stand in calls of ``re`` as a plain text."""
    for node in nodes:
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
                and isinstance(node.func.value, ast.Name) and node.func.value.id == "re"
                and node.func.attr in _FUNCTIONS and node.args):  # fmt: skip
            continue
        try:
            text = ast.literal_eval(node.args[0])
        except ValueError:  # put together as it runs
            continue
        given = [*node.args[1:], *(k.value for k in node.keywords if k.arg == "flags")]
        flags = 0
        for argument in given:
            said = ast.unparse(argument)
            if re.fullmatch(r"re\.[A-Z]+( \| re\.[A-Z]+)*", said):
                flags |= eval(said, {"re": re})
        method = _AS_IT_IS.get(node.func.attr, node.func.attr)
        methods = METHODS if node.func.attr == "compile" else (method,)
        yield Found(f"{name}:{node.lineno}", re.compile(text, flags), methods)


# -- texts that fool -------------------------------------------------------------------------------


#: What stands before, and what is said again and again.
Bait = tuple[str, str]


def bait(pattern: re.Pattern[Any]) -> list[Bait]:
    """What texts for the pattern are made of: each character and class of it, what each of its
    parts can match, and what is repeated, behind what comes before it."""
    found: dict[Bait, None] = {}
    flags = pattern.flags & (re.IGNORECASE | re.DOTALL | re.MULTILINE | re.VERBOSE)
    whole = _collect(parser.parse(pattern.pattern, flags), found, "")
    found |= {("", whole): None, ("", whole[:-1]): None}
    sized = [one for one in found if one[1] and len("".join(one)) <= 80]
    return sorted(sized, key=lambda one: len("".join(one)))[:40]


def _collect(tree: Any, found: dict[Bait, None], head: str) -> str:
    """A text that the parts match one after the other; the texts of its parts go into ``found``."""
    said = ""
    for kind, value in tree:
        part = _sample(kind, value, found, head + said)
        found["", part] = None
        said += part
    return said


def _sample(kind: Any, value: Any, found: dict[Bait, None], head: str) -> str:
    if kind is sre.LITERAL:
        return chr(value)
    if kind in (sre.NOT_LITERAL, sre.ANY):
        return "a" if kind is sre.ANY or value != ord("a") else "b"
    if kind is sre.IN:
        return _of_class(value, found)
    if kind in (sre.MAX_REPEAT, sre.MIN_REPEAT, sre.POSSESSIVE_REPEAT):
        low, high, inner = value
        one = _collect(inner, found, head)
        found[head, one] = None
        return one * max(int(low), min(1, int(high)))
    if kind is sre.SUBPATTERN:
        return _collect(value[-1], found, head)
    if kind is sre.ATOMIC_GROUP:
        return _collect(value, found, head)
    if kind is sre.BRANCH:
        first, *_ = [_collect(branch, found, head) for branch in value[1]]
        return first
    if kind in (sre.ASSERT, sre.ASSERT_NOT):
        _collect(value[1], found, head)
    return ""


_OF_CATEGORY = {
    sre.CATEGORY_DIGIT: "7", sre.CATEGORY_NOT_DIGIT: "a", sre.CATEGORY_SPACE: " ",
    sre.CATEGORY_NOT_SPACE: "a", sre.CATEGORY_WORD: "a", sre.CATEGORY_NOT_WORD: "-",
}  # fmt: skip


def _of_class(members: Any, found: dict[Bait, None]) -> str:
    """One character of a class; others of it go into ``found``."""
    negated = members and members[0][0] is sre.NEGATE
    if negated:
        compiled = re.compile("[" + "".join(_member(m) for m in members) + "]")
        return next((c for c in "a 7-,.x\n" if compiled.match(c)), "")
    said = []
    for kind, value in members:
        if kind is sre.LITERAL:
            said.append(chr(value))
        elif kind is sre.RANGE:
            said.append(chr(value[0]))
        elif kind is sre.CATEGORY:
            said.append(_OF_CATEGORY[value])
    found.update({("", one): None for one in said[:4]})
    return said[0] if said else ""


def _member(member: Any) -> str:
    kind, value = member
    if kind is sre.NEGATE:
        return "^"
    if kind is sre.LITERAL:
        return re.escape(chr(value))
    if kind is sre.RANGE:
        return f"{re.escape(chr(value[0]))}-{re.escape(chr(value[1]))}"
    names = {sre.CATEGORY_DIGIT: r"\d", sre.CATEGORY_NOT_DIGIT: r"\D", sre.CATEGORY_SPACE: r"\s",
             sre.CATEGORY_NOT_SPACE: r"\S", sre.CATEGORY_WORD: r"\w",
             sre.CATEGORY_NOT_WORD: r"\W"}  # fmt: skip
    return names[value]


# -- how the time grows ----------------------------------------------------------------------------


@dataclass(frozen=True)
class Grown:
    """A pattern that takes more than twice as long for twice the text."""

    times: float
    method: str
    bait: Bait


def growth(found: Found) -> Grown | None:
    """How the time of a pattern grows, where that is faster than its text; else None."""
    for one in bait(found.pattern):
        for method in found.methods:
            said = isinstance(found.pattern.pattern, bytes)
            times = _times(getattr(found.pattern, method), one, said)
            if times is not None:
                return Grown(times, method, one)
    return None


def _times(method: Callable[[Any], Any], bait: Bait, as_bytes: bool) -> float | None:
    # One that doubles with every character never comes to an end, and a cube not at full length.
    for short in (*_SHORT, LENGTHS[0] // 4, LENGTHS[0]):
        if _seconds(method, bait, short, as_bytes) > 5 * FLOOR:
            return float("inf")
    if _seconds(method, bait, LENGTHS[1], as_bytes) < FLOOR / 4:
        return None
    taken = [min(_seconds(method, bait, n, as_bytes) for _ in range(2)) for n in LENGTHS]
    times = (taken[-1] / max(taken[0], 1e-9)) ** 0.5
    return times if taken[-1] > FLOOR and times > LINEAR else None


def _seconds(method: Callable[[Any], Any], bait: Bait, length: int, as_bytes: bool) -> float:
    head, unit = bait
    text: Any = head + (unit * (length // len(unit) + 1))[:length] + "\x01"
    if as_bytes:
        text = text.encode("latin-1", "replace")
    begun = time.process_time()
    method(text)
    return time.process_time() - begun
