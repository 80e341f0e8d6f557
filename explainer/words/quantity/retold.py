"""Finished words told again, every sentence as a whole: in the units that a workspace puts first,
and with numbers as the language spoken writes them.

Sentences are written in the units of the study.  Where the workspace says metric, each quantity in
them is told in metric before any edition is set, so that no two editions can differ.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass, replace
from types import MappingProxyType
from typing import Any, TypeVar

from explainer.words.language import language
from explainer.words.quantity.systems import NONE, System, Told, told_again
from explainer.words.sentence import KnownNumbers

T = TypeVar("T")


#: What is no sentence of ours: ids, addresses, and numbers quoted as the report prints them.
AS_THEY_ARE = frozenset((
    "id", "claim", "code", "figure", "report_says", "stated", "stated_says", "hashes", "downloads",
    "limits", "base_address", "version", "still", "report",
))  # fmt: skip
#: Types with a way of their own -> that way.
Ways = Mapping[type, Callable[[Any], Any]]


def retold(
    words: T,
    system: System,
    limits: frozenset[Told] = NONE,
    ways: Ways = MappingProxyType({}),
    numbers: KnownNumbers | None = None,
) -> T:
    """``words`` (text, or anything frozen that is made of texts) told in one system of units.

    A quantity told in both keeps both.  What is at home in that system, or in neither, stays.
    ``limits`` are numbers that somebody set: converted exactly, see ``systems.converted``;
    ``ways`` are for what is drawn or tabled; ``numbers`` are those of our own sentences.
    """
    told: T = _through(words, lambda text: told_again(text, system, limits, numbers), ways)
    return told


def written(words: T, drawn: Iterable[type] = ()) -> T:
    """``words`` with every number as the language spoken here writes it: ``1.234,5``.

    ``drawn`` are the types whose texts are no sentences: drawings, addresses.
    """
    spoken = language()
    if spoken.written("−1,234.5") == "−1,234.5":
        return words
    told: T = _through(words, spoken.written, {kind: lambda value: value for kind in drawn})
    return told


def _through(value: Any, told: Callable[[str], str], ways: Ways) -> Any:
    if type(value) in ways:
        return ways[type(value)](value)
    if isinstance(value, str):
        return told(value)
    if isinstance(value, tuple):
        return tuple(_through(part, told, ways) for part in value)
    if isinstance(value, Mapping):
        return {key: _through(part, told, ways) for key, part in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{
            f.name: _through(getattr(value, f.name), told, ways)
            for f in fields(value) if f.init and f.name not in AS_THEY_ARE
        })  # fmt: skip
    return value

