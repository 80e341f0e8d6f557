"""From plain YAML values to the description models, with every fault in one pass.

pydantic says what is wrong; here each of its errors gets the line and column of the key or
value it speaks of, plain words for what was expected, and the nearest key that exists.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import dataclass, replace
from typing import Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from explainer.errors import DescriptionError, Problem, hint, listed
from explainer.study import which_test
from explainer.study.description.base import Block
from explainer.study.description.rule import STEPS
from explainer.study.description.study import ADDRESS
from explainer.study.yaml12 import Document, Path, Place, scalar

T = TypeVar("T", bound=Block)

UNUSED = "the study was not used"


def describe(document: Document, model: type[T], file: str = "study.yaml") -> T:
    """``document`` as a ``model``.  Raises DescriptionError with all problems, by place."""
    if not isinstance(document.value, dict):
        found = "an empty file" if document.value is None else _shown((), document)
        raise DescriptionError(
            Problem(file, found=found, expected="a block of keys", happens=UNUSED, code="empty")
        )
    value = deepcopy(document.value)
    errors: list[Any] = []
    for _ in range(4):
        try:
            return model.model_validate(value)
        except ValidationError as error:
            errors = error.errors(include_url=False)
        if not _mended(value, errors, document, model):
            break
    raise DescriptionError(_problems(errors, value, document, model, file))


# -- where an error stands ------------------------------------------------------------------


def _path(loc: tuple[str | int, ...], value: Any) -> tuple[Path, str | None]:
    """The YAML path of a pydantic location, and the key that is missing there, if one is.

    Locations also name the branches of unions (``change``, ``float``, ``Link``); those are
    neither keys nor positions of the value at hand and are passed over.
    """
    path: list[str | int] = []
    node, rest = value, None
    for step in loc:
        if _leads(node, step):
            node, rest = node[step], None
            path.append(step)
        else:
            rest = str(step)
    return tuple(path), rest


def _leads(node: Any, step: str | int) -> bool:
    if isinstance(node, list):
        return isinstance(step, int) and step < len(node)
    return isinstance(node, dict) and step in node


def place_of(path: Path, document: Document, key: bool = False) -> Place:
    """Line and column of the value at ``path`` (or of its key), else of what encloses it."""
    key = key or document.raw.get(path) == ""  # nothing stands there: its key does
    for known in (document.keys, document.places) if key else (document.places, document.keys):
        if path in known:
            return known[path]
    return place_of(path[:-1], document, key=True) if path else (1, 1)


def _at(value: Any, path: Path) -> Any:
    for step in path:
        value = value[step]
    return value


# -- what the models know about a place -------------------------------------------------------


def _branches(annotation: Any) -> Iterator[Any]:
    """The alternatives of an annotation, with ``Annotated`` and unions taken apart."""
    origin = get_origin(annotation)
    if origin in (Union, types.UnionType):
        for branch in get_args(annotation):
            yield from _branches(branch)
    elif hasattr(annotation, "__metadata__"):
        yield from _branches(get_args(annotation)[0])
    else:
        yield annotation


def _block(annotation: Any, node: Any) -> type[BaseModel] | None:
    """The model that a block of keys is meant to be; among several kinds, the one it names."""
    blocks = [b for b in _branches(annotation) if isinstance(b, type) and issubclass(b, Block)]
    for block in blocks:
        kind = block.model_fields.get("kind")
        if kind is None or get_args(kind.annotation) == (_kind(node),):
            return block
    return None


def _kind(node: Any) -> Any:
    return node.get("kind") if isinstance(node, dict) else None


def block_at(path: Path, value: Any, model: type[BaseModel]) -> type[BaseModel] | None:
    """The model of the block of keys at ``path``, None where there is no such block."""
    annotation: Any = model
    for step in path:
        annotation = _inside(annotation, step, value)
        value = value[step]
    return _block(annotation, value)


def _inside(annotation: Any, step: str | int, node: Any) -> Any:
    block = _block(annotation, node)
    if block is not None:
        for name, info in block.model_fields.items():
            if step in (info.alias, name):
                return info.annotation
        return None
    for branch in _branches(annotation):
        if get_origin(branch) is dict:
            return get_args(branch)[1]
        if get_origin(branch) is tuple and get_args(branch):
            return get_args(branch)[0]
    return None


def keys_of(block: type[BaseModel]) -> dict[str, str]:
    """The keys a block may have, with what each is for."""
    return {info.alias or name: info.description or "" for name, info in block.model_fields.items()}


# -- small mends the author never needs to hear of --------------------------------------------


def _mended(value: Any, errors: list[Any], document: Document, model: type[BaseModel]) -> bool:
    """Numbers where text is due become the text as written; an empty optional key is left out.

    ``value: 71.40`` keeps its zero this way, a title may be ``300``, and ``claims:`` with
    nothing behind it means no claims.  True if anything was changed.
    """
    changed = False
    for error in errors:
        path, missing = _path(error["loc"], value)
        if missing is not None and error["type"] == "missing":
            continue
        if not path:
            continue
        try:
            parent, here = _at(value, path[:-1]), _at(value, path)
        except (KeyError, IndexError):
            continue  # left out a moment ago
        if here is None and isinstance(parent, dict) and _optional(path, value, model):
            del parent[path[-1]]
            changed = True
        elif error["type"] == "string_type" and isinstance(here, bool | int | float):
            written = document.raw.get(path)
            if written is not None:
                parent[path[-1]] = written
                changed = True
    return changed


def _optional(path: Path, value: Any, model: type[BaseModel]) -> bool:
    block = block_at(path[:-1], value, model)
    if block is None:
        return False
    return any(
        path[-1] in (info.alias, name) and not info.is_required()
        for name, info in block.model_fields.items()
    )


# -- plain words --------------------------------------------------------------------------------


def _problems(
    errors: list[Any], value: Any, document: Document, model: type[BaseModel], file: str
) -> list[Problem]:
    located = [(*_path(e["loc"], value), e) for e in errors]
    problems: dict[tuple[Path, str, str], Problem] = {}
    for path, missing, error in located:
        if error["type"] in _SHAPES and any(
            len(other) > len(path) and other[: len(path)] == path for other, _, _ in located
        ):
            continue  # the other branch of a union got further: its errors say more
        fault = _Fault(path, missing, error, value, document, model)
        problem = _problem(fault, file)
        key = (path, problem.found, problem.hint)
        if key in problems:
            first = problems[key]
            both = [first.expected, problem.expected]
            problem = replace(first, expected=" or ".join(dict.fromkeys(filter(None, both))))
        problems[key] = problem
    return sorted(problems.values(), key=lambda p: (p.line, p.column, p.found))


@dataclass(frozen=True)
class _Fault:
    """One error of pydantic's, with what is needed to say it plainly."""

    path: Path
    missing: str | None
    error: Any
    value: Any
    document: Document
    model: type[BaseModel]

    @property
    def context(self) -> Any:
        return self.error.get("ctx", {})

    @property
    def shown(self) -> str:
        return _shown(self.path, self.document)


#: A place (its key if true), what was found, what was expected, a hint.
_Said = tuple[Path, bool, str, str, str]


def _unknown_key(f: _Fault) -> _Said:
    block = block_at(f.path[:-1], f.value, f.model)
    known = keys_of(block) if block else {}
    key, used = str(f.path[-1]), _at(f.value, f.path[:-1])
    free = [k for k in known if k not in used]
    help = hint(key, free) or hint(key, known)
    if not help and not key.isidentifier() and _at(f.value, f.path) is None:
        help = "if it belongs to the text before the comma, put all of that text in quotes"
    return f.path, True, f"the unknown key `{key}`", f"one of {listed(known, 40)}", help


def _missing_key(f: _Fault) -> _Said:
    if f.missing is not None and f.missing.isdigit():
        return f.path, False, f.shown, "two numbers [first, last]", ""
    block = block_at(f.path, f.value, f.model)
    use = keys_of(block).get(str(f.missing), "") if block else ""
    expected = f"`{f.missing}` ({use})" if use else f"`{f.missing}`"
    return f.path, True, f"no `{f.missing}` in {_called(f.path)}", expected, ""


def _unknown_kind(f: _Fault) -> _Said:
    tags = [t.strip(" '") for t in str(f.context["expected_tags"]).split(",")]
    tag = str(f.context.get("tag"))
    return (
        (*f.path, "kind"),
        False,
        f"the kind `{tag}`",
        f"one of {listed(tags, 40)}",
        hint(tag, tags),
    )


def _no_kind(f: _Fault) -> _Said:
    if not isinstance(_at(f.value, f.path), dict):
        return f.path, False, f.shown, "a block of keys with a `kind`", ""
    return f.path, True, f"no `kind` in {_called(f.path)}", "`kind`", _kinds_near(f)


def _contradiction(f: _Fault) -> _Said:
    expected = str(f.context.get("error", ""))
    untested = expected == "either `test` or `tests`" and not {"test", "tests"} & set(
        _at(f.value, f.path))  # fmt: skip
    if isinstance(_at(f.value, f.path), str):
        return f.path, False, f.shown, expected, ""
    return (f.path, True, f"{_called(f.path)} as it stands", expected,
            _kinds_near(f) if untested else "")  # fmt: skip


def _kinds_near(f: _Fault) -> str:
    """The kinds of test that come near a claim's sentence, where one without a test stands."""
    if len(f.path) < 2 or f.path[0] != "claims" or not isinstance(f.path[1], int):
        return ""
    claim = _at(f.value, f.path[:2])
    said = (claim.get("report_says") or claim.get("says")) if isinstance(claim, dict) else None
    found = which_test.near(said) if isinstance(said, str) else ()
    return f"near its sentence: {which_test.told(found)}" if found else ""


def _no_choice(f: _Fault) -> _Said:
    choices = [c.strip(" '") for c in str(f.context["expected"]).replace(" or ", ",").split(",")]
    return (
        f.path,
        False,
        f.shown,
        f"one of {listed(choices)}",
        hint(_plain(f.path, f.document), choices),
    )


def _wrong_value(f: _Fault) -> _Said:
    expected = _expected(f.error["type"], f.context)
    if f.missing is not None and f.missing.startswith("tuple["):
        expected = "two numbers [first, last]"
    if f.missing == "[key]" and f.path:
        return f.path, True, f"the name `{f.path[-1]}`", expected, ""
    quoted = f.path in f.document.places and f.path not in f.document.raw
    number = quoted and f.error["type"] in ("float_type", "int_type") and _numeric(f)
    return f.path, False, f.shown, expected, "take the quotes away" if number else ""


def _too_many(f: _Fault) -> _Said:
    if f.missing is not None:  # a pair: what is wrong is not how many there are
        return _wrong_value(f)
    found = f"{len(_at(f.value, f.path)):,} entries in {_called(f.path)}"
    return f.path, True, found, f"at most {f.context['max_length']:,}", ""


def _numeric(f: _Fault) -> bool:
    value = _at(f.document.value, f.path)
    return isinstance(value, str) and isinstance(scalar(value), int | float)


_SAYING: dict[str, Callable[[_Fault], _Said]] = {
    "extra_forbidden": _unknown_key,
    "missing": _missing_key,
    "union_tag_invalid": _unknown_kind,
    "union_tag_not_found": _no_kind,
    "value_error": _contradiction,
    "literal_error": _no_choice,
    "too_long": _too_many,
}


def _problem(fault: _Fault, file: str) -> Problem:
    kind = fault.error["type"]
    at, key, found, expected, help = _SAYING.get(kind, _wrong_value)(fault)
    line, column = place_of(at, fault.document, key)
    return Problem(
        file, line, column, found=found, expected=expected, hint=help, happens=UNUSED, code=kind
    )


_SHAPES = {"string_type", "float_type", "int_type", "tuple_type", "model_type", "dict_type"}

#: What each kind of pydantic error asks for; ``{gt}`` and the like come from the error.
_EXPECTED: dict[str, str | Callable[[Any], str]] = {
    "string_type": "text",
    "string_too_short": "some text",
    "string_too_long": lambda c: f"at most {c['max_length']:,} characters",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "int_parsing": "a whole number",
    "int_parsing_size": "a smaller number",
    "float_type": "a number",
    "float_parsing": "a number",
    "finite_number": "a number with an end",
    "bool_type": "one of `yes`, `no`",
    "bool_parsing": "one of `yes`, `no`",
    "greater_than": lambda c: f"a number above {c['gt']:g}",
    "greater_than_equal": lambda c: f"{c['ge']:g} or more",
    "less_than": lambda c: f"a number below {c['lt']:g}",
    "less_than_equal": lambda c: f"at most {c['le']:,g}",
    "tuple_type": "a list",
    "list_type": "a list",
    "dict_type": "a block of keys",
    "model_type": "a block of keys",
    "model_attributes_type": "a block of keys",
    "too_short": lambda c: f"at least {c['min_length']} of them",
    "too_long": lambda c: f"{c['max_length']} of them at most",
}
_PATTERNS = {
    r"^[a-z0-9][a-z0-9-]*$": "lower-case letters, digits and hyphens (`hook-falls`)",
    ADDRESS: "an address that begins with https:// and has no `?` and no `#` in it",
    r"^[0-9a-f]{64}$": "a SHA-256 digest: 64 of 0 to 9 and a to f",
    r"^\d{4}-\d{2}-\d{2}$": "a day as year-month-day (2026-04-30)",
    STEPS: "`whole numbers` or `steps of 0.5`, a step above 0",
}


def _expected(kind: str, context: Any) -> str:
    if kind == "string_pattern_mismatch":
        return _PATTERNS.get(context["pattern"], "another form")
    words = _EXPECTED.get(kind, "something else")
    return words if isinstance(words, str) else words(context)


def _called(path: Path) -> str:
    """A block's name for its writer: `tested`, `texture`, number 2 of `figures`."""
    if not path:
        return "the file"
    if isinstance(path[-1], int):
        return f"number {path[-1] + 1} of `{path[-2]}`" if len(path) > 1 else f"{path[-1] + 1}"
    return f"`{path[-1]}`"


def _plain(path: Path, document: Document) -> str:
    if path in document.raw:
        return document.raw[path]
    return str(_at(document.value, path))


def _shown(path: Path, document: Document) -> str:
    """What stands at a place, as its writer would say it."""
    value = _at(document.value, path)
    if value is None:
        return f"nothing for `{path[-1]}`" if path and isinstance(path[-1], str) else "nothing"
    if isinstance(value, list):
        return "a list" if value else "an empty list"
    if isinstance(value, dict):
        return "a block of keys" if value else "an empty block"
    text = _plain(path, document)
    return f"`{text if len(text) <= 60 else text[:59] + '…'}`" if text else "empty text"
