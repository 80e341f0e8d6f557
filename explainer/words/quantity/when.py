"""Checkpoints, windows and days in words: ``over 60 games``, ``in shots 91 to 100``."""

from __future__ import annotations

from datetime import date

from explainer.study.description.base import Checkpoint
from explainer.study.model import Table
from explainer.words.language import language, words
from explainer.words.quantity.numbers import noun_for, plural_of
from explainer.words.quantity.sizes import number


def uses(table: Table | None, value: float, window: bool = False) -> str:
    """An amount of use: ``60 games``, ``1 game``; along the order of a ``window``, ``60 shots``."""
    unit = _order_word(table) if window else use_word(table)
    return words("counted", number=number(value), noun=noun_for(number(value), unit))


def use_word(table: Table | None) -> str:
    """The word for one of use: game, shot."""
    if table is None or (table.use is None and table.order is None):
        return "step"
    if table.use_unit and table.use_unit != "count":  # nobody says "count 3"
        return table.use_unit
    column = table.use or table.order or "step"
    return column.replace("_", " ").removesuffix("s")


def past(table: Table | None, point: Checkpoint) -> str:
    """A checkpoint as a mark on the way: ``game 10``, ``the start``, ``shots 1 to 10``."""
    if isinstance(point, tuple):
        return words("points-of-use", unit=plural_of(_order_word(table)),
                     first=number(point[0]), last=number(point[1]))  # fmt: skip
    if point == 0:
        return words("start")
    if _calendar(table, point):
        return number(point)
    return words("point", unit=use_word(table), number=number(point))


def at_point(table: Table | None, point: Checkpoint) -> str:
    """When: ``at the start``, ``after 60 games``, ``in shots 91 to 100``, ``in week 8``."""
    if isinstance(point, tuple):
        return words("in", point=past(table, point))
    if point == 0:
        return words("at-start")
    if _calendar(table, point) or _numbered(table):
        return words("in", point=past(table, point))
    return words("after", use=uses(table, point))


def _numbered(table: Table | None) -> bool:
    """Whether weeks or months are numbered from 1 on: the first is over when none has passed."""
    passes = use_word(table).casefold() in ("week", "month")
    return table is not None and passes and bool(table.checkpoints) and min(table.checkpoints) == 1


def _calendar(table: Table | None, point: float) -> bool:
    """Whether a checkpoint is a year of the calendar rather than a number of years."""
    return use_word(table).casefold() == "year" and 1000 <= point < 3000


def span_words(table: Table | None, first: Checkpoint, last: Checkpoint) -> str:
    """``over 60 games``, ``from game 10 to game 60``, ``between shots 1–10 and shots 51–60``."""
    if isinstance(first, tuple) or isinstance(last, tuple):
        return words("between", low=_window(table, first), high=_window(table, last))
    if first == 0:
        return words("over", use=uses(table, last))
    return words("from-to", first=past(table, first), last=past(table, last))


def _window(table: Table | None, point: Checkpoint) -> str:
    """A window with a dash, between two of which an *and* stands: ``shots 1–10``."""
    if isinstance(point, tuple):
        return words("window", unit=plural_of(_order_word(table)),
                     first=number(point[0]), last=number(point[1]))  # fmt: skip
    return past(table, point)


def _order_word(table: Table | None) -> str:
    """The word for one step of the order that windows are taken along."""
    if table is not None and table.order:
        return table.order.replace("_", " ").removesuffix("s")
    return use_word(table)


def day_words(day: str | None) -> str:
    """``2026-02-11`` as people write it, ``February 11, 2026``; anything else as it stands."""
    try:
        when = date.fromisoformat(day or "")
    except ValueError:
        return day or ""
    month = language().months[when.month - 1]
    return words("day", month=month, day=str(when.day), year=str(when.year))
