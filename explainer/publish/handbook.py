"""The author's handbook: every key of study.yaml and every command, from their own descriptions."""

from __future__ import annotations

import types
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from explainer import units
from explainer.publish import commands
from explainer.study.description.study import Description, Settings
from explainer.study.description.tests import kinds
from explainer.study.schema import schema_text
from explainer.study.thresholds import THRESHOLDS
from explainer.words.script.desk import MOST_QUESTIONS, MOST_ROWS

SCHEMA = "study.schema.json"


@dataclass(frozen=True)
class Key:
    """One key of a block as the handbook shows it."""

    name: str
    what: str
    takes: str
    needed: bool
    otherwise: str
    """What holds where the key is left out; empty where nothing does."""
    blocks: tuple[str, ...]
    """Blocks that may stand behind it."""


@dataclass(frozen=True)
class BlockShown:
    """One block of keys, under the name it has in links."""

    id: str
    title: str
    what: str
    keys: tuple[Key, ...]


def schema_file() -> str:
    """The JSON Schema of study.yaml, for editors."""
    return schema_text()


def blocks() -> tuple[BlockShown, ...]:
    """Every block of study.yaml in the order a reader meets it, then settings.yaml."""
    seen: dict[type[BaseModel], None] = {}
    _walk(Description, seen)
    _walk(Settings, seen)
    return tuple(_shown(model) for model in seen)


def known() -> dict[str, Any]:
    """What the two pages show."""
    return {
        "blocks": blocks(),
        "units": units.names(),
        "scales": units.DUROMETER_SCALES,
        "thresholds": THRESHOLDS,
        "aloud": {"advice": MOST_ROWS, "questions": MOST_QUESTIONS,
                  "most": f"{100 * THRESHOLDS['plateau_low'].value:g}%"},
        "sentences": SENTENCES,
        "commands": commands.COMMANDS,
        "general": commands.GENERAL,
        "statuses": commands.STATUSES,
        "completion": commands.COMPLETION,
        "install": commands.INSTALL,
        "wheel": commands.WHEEL,
    }


def _walk(model: type[BaseModel], seen: dict[type[BaseModel], None]) -> None:
    if model in seen:
        return
    seen[model] = None
    for info in model.model_fields.values():
        for inner in _models(info.annotation):
            _walk(inner, seen)


def _models(annotation: Any) -> Iterator[type[BaseModel]]:
    """The blocks that an annotation leads to."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
        return
    for inner in get_args(annotation):
        if inner is not Ellipsis and not isinstance(inner, str):
            yield from _models(inner)


def _shown(model: type[BaseModel]) -> BlockShown:
    keys = tuple(_key(name, info) for name, info in model.model_fields.items())
    what = " ".join((model.__doc__ or "").split())
    return BlockShown(_id(model), _title(model), what, keys)


def _id(model: type[BaseModel]) -> str:
    """``study`` for the whole; figures and tests by their kind; others by their own name."""
    kind = _kind_of(model)
    sort = "figure" if "figures" in model.__module__ else "test"
    if kind:
        return f"{sort}-{kind}"
    names = {"Description": "study", "Settings": "settings", "TableFile": "table"}
    name = names.get(model.__name__, model.__name__)
    return "".join(f"-{c.lower()}" if c.isupper() else c for c in name).strip("-")


def _title(model: type[BaseModel]) -> str:
    kind = _kind_of(model)
    if kind:
        return f"{'Figure' if 'figures' in model.__module__ else 'Test'}: {kind}"
    named = {"Description": "The whole file", "Settings": "studies/settings.yaml"}
    return named.get(model.__name__, _id(model).replace("-", " ").capitalize())


def _kind_of(model: type[BaseModel]) -> str:
    info = model.model_fields.get("kind")
    return str(get_args(info.annotation)[0]) if info is not None else ""


def _key(name: str, info: FieldInfo) -> Key:
    needed = info.is_required()
    default = None if needed else info.default
    if isinstance(default, bool):
        default = "yes" if default else "no"
    otherwise = "" if default in (None, (), {}) else _plain(default)
    what = info.description or ("which kind it is" if name == "kind" else "")
    inner = tuple(_id(m) for m in _models(info.annotation))
    takes = " or ".join(dict.fromkeys(_takes(info.annotation)))
    return Key(info.alias or name, what, takes, needed, otherwise, inner)


def _plain(value: Any) -> str:
    if isinstance(value, tuple):
        return "[" + ", ".join(map(_plain, value)) + "]"
    return f"{value:g}" if isinstance(value, float) else str(value)


_WORDS = {str: "text", int: "a whole number", float: "a number", bool: "yes or no"}


def _takes(annotation: Any) -> Iterator[str]:
    """What may stand behind a key, in words; blocks are linked instead."""
    origin, inner = get_origin(annotation), get_args(annotation)
    if annotation in _WORDS:
        yield _WORDS[annotation]
    elif hasattr(annotation, "__metadata__"):
        yield from _takes(inner[0])
    elif origin in (Union, types.UnionType):
        for branch in inner:
            yield from _takes(branch)
    elif origin is Literal:
        yield "yes or no" if set(inner) == {"yes", "no"} else ", ".join(f"`{v}`" for v in inner)
    elif origin is tuple and inner[-1] is Ellipsis:
        yield "a list"
    elif origin is tuple:
        yield "two numbers [first, last]" if float in _bare(inner) else "two names [first, second]"
    elif origin is dict:
        yield "a block: name and what it stands for"


def _bare(annotations: tuple[Any, ...]) -> set[Any]:
    return {get_args(a)[0] if hasattr(a, "__metadata__") else a for a in annotations}


# --- Which test for which sentence: what reports say, and the kind of claim that holds it

#: A sentence as a report may say it, the ``kind`` of its test, and what tells it from its neighbor.
SENTENCES: tuple[tuple[str, str, str], ...] = tuple(
    (sentence, name, hint)
    for name, model in kinds().items()
    for sentence, hint in model.sentences
)
