"""The one sandbox that every template and phrase runs in: plain data, named functions, a budget.

A workspace may come from a stranger, its templates and phrases included.  So a template reads
nothing but text, numbers, dicts, tuples and the declared fields of our own frozen records; it calls
nothing but its own macros, a few methods of text and dicts, and functions that are named for it
(``named``).  Whatever else it asks for is refused by an allow-list: a list of what is forbidden
would have to know every trick in advance.  Rendering has a budget of steps and of characters, so
that no loop, recursion or product of texts can make the machine ill.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import fields, is_dataclass
from functools import cached_property, lru_cache, wraps
from time import monotonic
from types import MappingProxyType
from typing import Any, TypeVar

from jinja2 import StrictUndefined, Template, Undefined, nodes
from jinja2.environment import TemplateModule
from jinja2.exceptions import SecurityError, TemplateError, TemplateSyntaxError
from jinja2.runtime import BlockReference, Context, LoopContext, Macro, TemplateReference
from jinja2.sandbox import ImmutableSandboxedEnvironment
from jinja2.utils import Namespace, pass_context
from jinja2.visitor import NodeTransformer
from markupsafe import Markup

from explainer.words.sentence import Figures, Sentence

# What our own code hands to templates: functions they may call, and things they may only carry.

F = TypeVar("F", bound=Callable[..., Any])


#: Where something lies in memory, which tells nobody anything.
_NOWHERE = re.compile(r" at 0x[0-9a-fA-F]+")


def said_of(fault: Exception) -> str:
    """What went wrong in a stranger's template or condition, as it is told them."""
    words = fault.message if isinstance(fault, TemplateError) else str(fault)
    return _NOWHERE.sub("", words or "") or type(fault).__name__


class Concealed:
    """Something of ours that travels through a template's context for a filter or function to
    take, and of which the template itself can read nothing."""

    __slots__ = ("_held",)

    def __init__(self, held: Any) -> None:
        self._held = held


def revealed(concealed: Concealed) -> Any:
    """What was concealed: for our own filters and functions."""
    return concealed._held


def named(function: F) -> F:
    """Marks a function, or a method of one of our records, as one that templates may call."""
    function.for_templates = True  # type: ignore[attr-defined]
    return function


#: Loop turns, calls and includes in one rendering, and the seconds it may take.
MAX_STEPS = 500_000
MAX_SECONDS = 30.0
#: Characters that one rendering may write; the largest page of ours has half a million.
MAX_TEXT = 20_000_000
#: Characters of a text that a filter of ours looks for terms and quantities in.
MAX_READ = 1_000_000
#: The longest range a template may count through, and the largest power or product of numbers.
MAX_RANGE = 10_000
MAX_NUMBER = 1e15

_TEXT = frozenset({
    "capitalize", "casefold", "count", "endswith", "find", "isdigit", "lower", "lstrip",
    "partition", "rpartition", "removeprefix", "removesuffix", "rsplit", "rstrip", "split",
    "splitlines", "startswith", "strip", "title", "upper",
})  # fmt: skip
_METHODS: Mapping[type, frozenset[str]] = {
    str: _TEXT,
    Sentence: _TEXT,
    Figures: _TEXT,
    Markup: _TEXT,
    dict: frozenset({"get", "items", "keys", "values"}),
    MappingProxyType: frozenset({"get", "items", "keys", "values"}),
    tuple: frozenset({"count", "index"}),
    list: frozenset({"count", "index"}),
}
_LOOP = frozenset({
    "index", "index0", "revindex", "revindex0", "first", "last", "length", "depth", "depth0",
    "previtem", "nextitem", "cycle", "changed",
})  # fmt: skip
#: Filters of Jinja's own that read plain data and write no more than they were given.
_FILTERS = frozenset({
    "abs", "count", "d", "default", "dictsort", "first", "float", "int", "items", "last", "length",
    "list", "map", "max", "min", "reject", "rejectattr", "reverse", "round", "select",
    "selectattr", "sort", "unique",
})  # fmt: skip
#: Those that make text of what they are given; a list is no text, and long text is paid for.
_TEXT_FILTERS = frozenset({
    "capitalize", "e", "escape", "lower", "safe", "string", "title", "trim", "upper", "wordcount",
})  # fmt: skip


class _Budget:
    """What one rendering may still spend."""

    def __init__(self) -> None:
        self.steps = MAX_STEPS
        self.text = MAX_TEXT
        self.until = monotonic() + MAX_SECONDS

    def step(self, n: int = 1) -> None:
        self.steps -= n
        if self.steps < 0:
            raise SecurityError(f"more than {MAX_STEPS:,} loop turns and calls")
        if monotonic() > self.until:
            raise SecurityError(f"more than {MAX_SECONDS:g} seconds for one page")

    def write(self, n: int) -> None:
        self.text -= n
        if self.text < 0:
            raise SecurityError(f"more than {MAX_TEXT:,} characters of text")


_BUDGET: ContextVar[_Budget | None] = ContextVar("budget", default=None)


@contextmanager
def _budget() -> Iterator[_Budget]:
    """The budget of the rendering under way, or a new one."""
    if (under_way := _BUDGET.get()) is not None:
        yield under_way
        return
    token = _BUDGET.set(_Budget())
    try:
        yield _spending()
    finally:
        _BUDGET.reset(token)


def _spending() -> _Budget:
    return _BUDGET.get() or _Budget()


class _Template(Template):
    """A template that renders within a budget."""

    def render(self, *given: Any, **more: Any) -> str:
        with _budget():
            return super().render(*given, **more)

    def make_module(self, *given: Any, **more: Any) -> TemplateModule:
        with _budget():
            return super().make_module(*given, **more)


class Sandbox(ImmutableSandboxedEnvironment):
    """Jinja within the bounds above.  SecurityError, a TemplateError, for whatever lies outside."""

    template_class = _Template
    intercepted_binops = frozenset({"*", "**", "+", "%", "//", "/", "-"})

    def __init__(self, finalize: Callable[[Any], Any] | None = None, **options: Any) -> None:
        def printed(value: Any) -> Any:
            return finalize(_plain(value)) if finalize else _plain(value)

        super().__init__(undefined=StrictUndefined, finalize=printed, **options)
        self.globals = {"range": bounded_range, "dict": dict, "namespace": Namespace}
        theirs = self.filters
        self.filters = {name: theirs[name] for name in _FILTERS}
        self.filters |= {name: _of_text(theirs[name]) for name in _TEXT_FILTERS}
        self.filters |= {"join": _join, "replace": _replace, "counted": _counted,
                         "short": _short, "plain": _plain_text}  # fmt: skip

    def _parse(self, source: str, name: str | None, filename: str | None) -> nodes.Template:
        """The tree, with every loop counted and every joined text measured."""
        try:
            tree: nodes.Template = _Guards().visit(super()._parse(source, name, filename))
        except RecursionError:
            raise TemplateSyntaxError("nested too deeply", 1, name, filename) from None
        except TemplateSyntaxError as fault:
            fault.name, fault.filename = name, filename  # which a walk of the tree cannot know
            raise
        return tree

    def _generate(self, *given: Any, **more: Any) -> str:
        try:
            return super()._generate(*given, **more)
        except RecursionError:
            raise TemplateSyntaxError("nested too deeply", 1, *given[1:3]) from None

    def compile(
        self, source: Any, name: str | None = None, filename: str | None = None, *given: Any,
        **more: Any,
    ) -> Any:  # fmt: skip
        """As Jinja does; Python, which compiles what that writes, nests loops twenty deep."""
        try:
            return super().compile(source, name, filename, *given, **more)
        except (SyntaxError, RecursionError, MemoryError):
            raise TemplateSyntaxError("nested too deeply", 1, name, filename) from None

    def is_safe_attribute(self, obj: Any, attr: str, value: Any) -> bool:
        return isinstance(attr, str) and not attr.startswith("_") and attr in _readable(type(obj))

    def is_safe_callable(self, obj: Any) -> bool:
        if obj is bounded_range or obj is dict or obj is Namespace:
            return True
        if isinstance(obj, Macro | BlockReference):
            return True
        if getattr(obj, "for_templates", False) is True and callable(obj):
            return True
        owner = getattr(obj, "__self__", None)
        if isinstance(owner, LoopContext):
            return obj.__name__ in _LOOP
        return obj.__class__.__name__ in ("builtin_function_or_method", "method") and (
            getattr(obj, "__name__", "") in _METHODS.get(type(owner), ())
        )

    def call(self, context: Context, obj: Any, *given: Any, **more: Any) -> Any:
        _spending().step()
        if isinstance(obj, LoopContext):
            raise SecurityError("a loop that calls itself")
        if isinstance(owner := getattr(obj, "__self__", None), str):
            _spending().write(len(owner))
        return super().call(context, obj, *given, **more)

    def getattr(self, obj: Any, attribute: str) -> Any:
        """A field that may be read, or a dict's item by its name."""
        if isinstance(obj, Undefined) or _readable(type(obj)):
            return super().getattr(obj, attribute)
        return self.unsafe_undefined(obj, attribute)

    def getitem(self, obj: Any, argument: Any) -> Any:
        """An item of text, a dict or a sequence; of anything else only a field that may be read."""
        if type(obj) in _METHODS:
            return super().getitem(obj, argument)
        if isinstance(argument, str):
            return self.getattr(obj, argument)
        return self.unsafe_undefined(obj, str(argument))

    def call_binop(self, context: Context, operator: str, left: Any, right: Any) -> Any:
        if operator == "+":
            _measured(left, right)
            return left + right
        if not all(isinstance(v, int | float) for v in (left, right)):
            raise SecurityError(f"`{operator}` on something that is not a number")
        if operator == "**" and (abs(left) > 1e6 or abs(right) > 64):
            raise SecurityError("a power too large to work out")
        result = super().call_binop(context, operator, left, right)
        if abs(result) > MAX_NUMBER:
            raise SecurityError("a number too large")
        return result

    def concat(self, pieces: Iterable[str]) -> str:
        """The pieces of a template, block or macro as one text, within the budget."""
        spending = _spending()
        kept: list[str] = []
        for piece in pieces:
            spending.write(len(piece))
            kept.append(piece)
        return "".join(kept)

    def _load_template(self, name: str, globals: Any) -> Template:
        _spending().step(100)  # an include is dear
        return super()._load_template(name, globals)


def _readable(kind: type) -> frozenset[str]:
    return _readable_of(kind)


@lru_cache(maxsize=512)
def _readable_of(kind: Hashable) -> frozenset[str]:
    """The attributes of a type that a template may read."""
    assert isinstance(kind, type)
    if kind in _METHODS:
        return _METHODS[kind]
    if kind is LoopContext:
        return _LOOP
    if kind is TemplateModule or kind is TemplateReference or kind is Namespace:
        return _AnyName()
    if is_dataclass(kind) and kind.__module__.partition(".")[0] == "explainer":
        mine = (
            name for base in kind.__mro__ for name, value in vars(base).items()
            if isinstance(value, property | cached_property) or hasattr(value, "for_templates")
        )  # fmt: skip
        return frozenset(f.name for f in fields(kind)) | frozenset(mine)
    return frozenset()


class _AnyName(frozenset[str]):
    """Every name without an underscore: what a template gave names to itself."""

    def __contains__(self, name: object) -> bool:
        return True

    def __bool__(self) -> bool:
        return True


class _Guards(NodeTransformer):
    """Sends what loops run over, and what ``~`` joins, through the filters that count it."""

    def visit_For(self, node: nodes.For) -> nodes.For:
        self.generic_visit(node)
        node.iter = _through(node.iter, "counted")
        return node

    def visit_Const(self, node: nodes.Const) -> nodes.Const:
        """No text of a template holds half a character, which no file can: ``"\\ud800"``."""
        if isinstance(node.value, str) and not node.value.isascii():
            try:
                node.value.encode("utf-8")
            except UnicodeEncodeError:
                words = f"{node.value[:40]!a}, half a character, in a text"
                raise TemplateSyntaxError(words, node.lineno) from None
        return node

    def visit_Concat(self, node: nodes.Concat) -> nodes.Filter:
        self.generic_visit(node)
        node.nodes = [_through(each, "plain") for each in node.nodes]
        return _through(node, "short")


def _through(iterated: Any, filter_: str) -> nodes.Filter:
    return nodes.Filter(iterated, filter_, [], [], None, None, lineno=iterated.lineno)


def bounded_range(*ends: int) -> range:
    """``range``, of at most MAX_RANGE numbers."""
    counted = range(*ends)
    if len(counted) > MAX_RANGE:
        raise SecurityError(f"a range of more than {MAX_RANGE:,} numbers")
    return counted


@pass_context
def _counted(context: Context, iterated: Any) -> Iterator[Any] | Any:
    """What a loop runs over, each turn counted.  Sized things stay sized, so that loops know
    their length."""
    if isinstance(iterated, str):
        _spending().step(len(iterated))
        return iterated
    if hasattr(iterated, "__len__"):
        _spending().step(len(iterated))
        return iterated
    spending = _spending()

    def turns() -> Iterator[Any]:
        for item in iterated:
            spending.step()
            yield item

    return turns()


@pass_context
def _short(context: Context, text: str) -> str:
    """A text that was joined from others, within the budget."""
    _spending().write(len(text))
    return text


def _plain(value: Any) -> Any:
    """What may be written out: text, a number, nothing.  Writing a list out could double it."""
    if value is None or isinstance(value, str | int | float | Undefined):
        return value
    raise SecurityError(f"{type(value).__name__} where text was to be written")


@pass_context
def _plain_text(context: Context, value: Any) -> Any:
    return _plain(value)


def _of_text(theirs: Callable[..., Any]) -> Callable[..., Any]:
    """A filter of Jinja's that makes text, for plain values only and paid for by their length."""
    position = 1 if hasattr(theirs, "jinja_pass_arg") else 0

    @wraps(theirs)
    def guarded(*given: Any, **more: Any) -> Any:
        value = _plain(given[position])
        _spending().write(len(value) if isinstance(value, str) else 1)
        return theirs(*given, **more)

    return guarded


def paid_for(text: str) -> str:
    """A text that a filter of ours reads closely, within the budget: no text of a study is as
    long as what a template can double into being."""
    if len(text) > MAX_READ:
        raise SecurityError(f"a text of more than {MAX_READ:,} characters")
    _spending().write(len(text))
    return text


def _measured(*values: Any) -> None:
    """Text and sequences that are put together count, so that doubling them ends."""
    for value in values:
        if hasattr(value, "__len__"):
            _spending().write(len(value))


@pass_context
def _join(context: Context, values: Iterable[Any], between: str = "", attribute: Any = None) -> Any:
    """Plain values in a row; the budget counts what comes of it."""
    items = list(values)
    _spending().step(len(items))
    if attribute is not None:
        items = [context.environment.getattr(item, attribute) for item in items]
    for item in items:
        if not isinstance(item, str | int | float):
            raise SecurityError(f"{type(item).__name__} where text was to be joined")
    _spending().write(sum(len(str(i)) + len(str(between)) for i in items))
    if context.eval_ctx.autoescape:
        return _escaped(items, between)
    return str(between).join(str(i) for i in items)


def _escaped(items: list[Any], between: str) -> Markup | str:
    if not any(hasattr(i, "__html__") for i in items):
        return between.join(str(i) for i in items)
    return Markup.escape(between).join(items)


@pass_context
def _replace(context: Context, text: str, old: str, new: str, count: int = -1) -> str:
    """``str.replace`` whose result is paid for before it is made."""
    text = text if isinstance(text, str) else str(_plain(text))
    _spending().write(len(text) + text.count(old) * len(new))
    return text.replace(old, new, count)
