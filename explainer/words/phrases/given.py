"""What our own code hands to templates: functions they may call, and things they may only carry."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])


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
