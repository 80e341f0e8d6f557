"""Finished words in the system of units that a workspace puts first: every sentence, as a whole.

Sentences are written in the units of the study.  Where the workspace says metric, each quantity in
them is told in metric before any edition is set, so that no two editions can differ.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass, replace
from types import MappingProxyType
from typing import Any, TypeVar

from explainer.words.quantity.systems import NONE, System, Told, told_again

T = TypeVar("T")


#: What is no sentence of ours: ids, addresses, and numbers quoted as the report prints them.
AS_THEY_ARE = frozenset((
    "id", "claim", "code", "figure", "report_says", "stated", "stated_says", "hashes", "downloads",
    "limits", "base_address", "version", "still", "report",
))  # fmt: skip
#: Types with a way of their own -> that way.
Ways = Mapping[type, Callable[[Any], Any]]


def retold(
    words: T, system: System, limits: frozenset[Told] = NONE, ways: Ways = MappingProxyType({})
) -> T:
    """``words`` (text, or anything frozen that is made of texts) told in one system of units.

    A quantity told in both keeps both.  What is at home in that system, or in neither, stays.
    ``limits`` are numbers that somebody set: converted exactly, see ``systems.converted``;
    ``ways`` are for what is drawn or tabled.
    """
    told: T = _retold(words, system, limits, ways)
    return told


def _retold(value: Any, system: System, limits: frozenset[Told], ways: Ways) -> Any:
    if type(value) in ways:
        return ways[type(value)](value)
    if isinstance(value, str):
        return told_again(value, system, limits)
    if isinstance(value, tuple):
        return tuple(_retold(part, system, limits, ways) for part in value)
    if isinstance(value, Mapping):
        return {key: _retold(part, system, limits, ways) for key, part in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{
            f.name: _retold(getattr(value, f.name), system, limits, ways)
            for f in fields(value) if f.init and f.name not in AS_THEY_ARE
        })  # fmt: skip
    return value

