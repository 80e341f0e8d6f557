"""What an item is and what was set on it (ball weight, pin, grit): no reading, nothing to claim.

A ball weighs what it weighs: that two kinds of balls differ in it is no finding of a test of their
hook.  Where a sheet reads nothing else, what its items are is what it is about (``plan.py``).
"""

from __future__ import annotations

from explainer.draft.columns import Column
from explainer.draft.tidy import said
from explainer.study.people import is_person

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
_SET = frozenset(["grit", "oil", "pattern", "conditioner", "dose"])
_OF_SET = frozenset(
    ["volume", "length", "ratio", "total", "forward", "reverse", "final", "last", "surface", "pad",
     "paper", "number", "no", "size", "ml", "ft", "feet", "sanded", "at", "to", "of", "the", "on"]
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
