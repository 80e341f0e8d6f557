"""What an item is and what was set on it (ball weight, pin, grit): no reading, nothing to claim.

A ball weighs what it weighs: that two kinds of balls differ in it is no finding of a test of their
hook.  Where a sheet reads nothing else, what its items are is what it is about (``plan.py``).
"""

from __future__ import annotations

from collections import defaultdict

from explainer.draft.columns import Column
from explainer.draft.guess import Guess
from explainer.draft.tidy import Tidy, said
from explainer.study.persons import is_person

#: Words for what a ball is by its making or drilling.
_MADE = frozenset(
    ["weight", "wt", "pin", "pap", "rg", "differential", "diff", "bias", "statics", "layout",
     "drilling", "span", "pitch", "gewicht", "poids"]
)  # fmt: skip
#: Words for what a bowler is, and no reading of a study of bowling.
_BORN = frozenset(["weight", "wt", "age", "years", "height", "of"])
#: Words that say which of these, and make no reading of it as ``weight lost`` is one.
_WHICH = frozenset(
    ["ball", "top", "side", "finger", "thumb", "positive", "negative", "to", "from", "distance",
     "dist", "position", "pos", "intermediate", "int", "asymmetry", "asym", "mass", "gross",
     "stated", "nominal", "static", "drilled", "undrilled", "of", "the", "angle", "buffer", "low",
     "high", "total", "max", "core", "val", "lb", "lbs", "oz", "in", "kg", "g"]
)  # fmt: skip
#: Words that are one of these only beside another of them: a ``diff`` may be any difference.
_BESIDE = {"diff": "rg", "bias": "mass"}
#: Words for what somebody sets on a ball, a lane or a machine, with words that say which of it.
_SET = frozenset(["grit", "oil", "pattern", "conditioner", "dose", "standard", "nominal",
                  "certified"])  # fmt: skip
_OF_SET = frozenset(
    ["volume", "length", "ratio", "total", "forward", "reverse", "final", "last", "surface", "pad",
     "paper", "number", "no", "size", "ml", "ft", "feet", "sanded", "at", "to", "of", "the", "on",
     "value", "block"]
)  # fmt: skip
#: What such words are said of.
_BALLS = frozenset(["ball", "serial", "model", "kugel", "boule", "bola"])


def was_set(column: Column) -> bool:
    """Whether a column's head names what somebody sets: a grit, an oil volume, a pattern's length.
    An ``oil left`` is read."""
    words = said(column.header)
    return column.numeric and bool(words & _SET) and words <= _SET | _OF_SET


def was_made(column: Column, each: str, heads: frozenset[str]) -> bool:
    """Whether a column's head names what a ball is: its weight, its pin, its top weight.

    ``each``: the word for one item; ``heads``: every word at the head of the table.  The weight of
    a tree, or of a sample that is soaked, is read.
    """
    words = said(column.header)
    if not column.numeric or not words:
        return False
    if is_person(each) and "ball" not in words:
        return words <= _BORN
    made = bool(words & _MADE) and words <= _MADE | _WHICH and ("ball" in words or each in _BALLS)
    return made and all(other in heads for word, other in _BESIDE.items() if word in words)


def properties_of(
    columns: list[Column], table: Tidy, item: Column, each: str, guesses: list[Guess]
) -> tuple[Column, ...]:
    """The numbers that say what each item is, or what was set on it, asked about at once.

    What differs within an item was made by nobody: a ball is weighed again to see what it soaked
    up.  What is set may be set anew.
    """
    heads = frozenset(word for c in table.columns for word in said(c.header))
    found = tuple(
        c for c in columns
        if was_set(c) or (was_made(c, each, heads) and stands_still(item, c))
    )  # fmt: skip
    if found:
        names = ", ".join(c.header.written or c.name for c in found)
        plural = "s" * (len(found) > 1)
        guesses.append(Guess(f"{table.where or table.original}, column{plural} {names}",
                             f"what each {each} is or what was set on it, and no reading of it: no "
                             "claim is made of it", "please check", worth=30))  # fmt: skip
    return found


def stands_still(item: Column, column: Column) -> bool:
    """Whether no item has two values of a column."""
    return all(len(cells) == 1 for cells in within(item, column).values())


def within(item: Column, column: Column) -> dict[str, set[str]]:
    """The values of a column that stand beside each item."""
    seen: dict[str, set[str]] = defaultdict(set)
    for name, cell in zip(item.cells, column.cells, strict=True):
        if cell:
            seen[name].add(cell)
    return seen
