"""What the facts of every kind of claim are made with: who gives which names, sides and sizes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from explainer.claims.detail import Detail
from explainer.claims.verdict import Verdict
from explainer.study.description import tests as t
from explainer.study.model import Study, Table
from explainer.words.facts import comparatives as ways
from explainer.words.facts.items import item_of, side
from explainer.words.language import words
from explainer.words.quantity.numbers import (
    plural_of,
)
from explainer.words.quantity.sizes import (
    Sized,
    all_of,
    gap_unit,
    number,
    set_size,
)
from explainer.words.sentence import put

Facts = dict[str, Any]
D = TypeVar("D", bound=Detail)

#: A link up to this size accounts for less than a tenth of how far readings lie apart.
LITTLE = 0.3


@dataclass(frozen=True)
class KindFacts:
    """What one kind of claim adds to the facts of a verdict, and the names it goes by."""

    make: Callable[[Verdict, Study, Table | None, Sized], Facts]
    names: frozenset[str]

    def __call__(self, v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
        return self.make(v, study, table, sized)


def tells(
    names: str,
) -> Callable[[Callable[[Verdict, Study, Table | None, Sized], Facts]], KindFacts]:
    """Says which facts a function gives, so that phrases can be held to them when they are read."""
    return lambda make: KindFacts(make, frozenset(names.split()))


def record_of(v: Verdict, kind: type[D]) -> D:
    """The verdict's own record."""
    assert isinstance(v.detail, kind)
    return v.detail


def claimed_moves(side: int, direction: str) -> Facts:
    if direction == "any":
        return {"claimed_fell": "changed", "claimed_drop": "change", "claimed_falls": "changes"}
    words = ways.moves(side)
    falls = "falls" if side < 0 else "rises"
    return {"claimed_fell": words["fell"], "claimed_drop": words["drop"], "claimed_falls": falls}


def measure_facts(study: Study, name: str, sign: int, this: str, other: str = "") -> Facts:
    """The measure's name and the end of its scale on ``sign``'s side as ``this``; the one across
    from it as ``other``, where that is told."""
    measure, term = study.measure(name), study.term(name)
    ends = {this: sign} | ({other: -sign} if other else {})
    return {"term": term} | {said: ways.word(measure, term, way) for said, way in ends.items()}


def fits_margin(sized: Sized, margin: float | None) -> bool:
    """The whole range shown is too small to matter."""
    ends = (sized.low, sized.high)
    return margin is not None and all(v is not None and abs(v) <= margin for v in ends)


def short_of(sized: Sized, margin: float | None) -> bool:
    """The number found is too small to matter, and its range has room for more."""
    return (margin is not None and sized.value is not None and sized.ranged
            and abs(sized.value) < margin and not fits_margin(sized, margin))  # fmt: skip


def past_ends(sized: Sized, start: float | None, study: Study, name: str) -> str:
    """Where percentages that start there would lie by some of a range of changes, and none does
    (some can: 130% of last year): ``below 0%``."""
    unit = study.measure(name).unit
    if unit != "percent" or sized.unit == "relative" or start is None:
        return ""
    read = [t.frame[name] for t in study.tables.values() if name in t.measures]
    ends = []
    if sized.low is not None and start + sized.low < 0 <= min(r.min() for r in read):
        ends.append("below 0%")
    if sized.high is not None and start + sized.high > 100 >= max(r.max() for r in read):
        ends.append("past 100%")
    return " or ".join(ends)


def maybe_small(sized: Sized, study: Study, name: str) -> str | None:
    """What matters, in words, where the range runs from less than that to more."""
    measure = study.measure(name)
    margin = measure.matters_from
    if not margin or sized.unit == "relative":  # what matters is known in the unit, not in percent
        return None
    if sized.crosses or sized.low is None or sized.high is None:
        return None
    near, far = sorted((abs(sized.low), abs(sized.high)))
    return set_size(margin, gap_unit(measure.unit)) if near < margin < far else None


def either_way(sized: Sized, a: str, low: ways.Word, high: ways.Word, unit: bool) -> str:
    """A range through a tie, told of ``a``: ``Plover smoother by 2 boards to rougher by 9``."""
    if (ends := _both_ends(sized, unit)) is None:
        return sized.reach(unit=unit)
    less, more = ends
    if low.noun or high.noun:
        return put("{} for {} by {} to {} by {}", low.alone, a, less, high.alone, more)
    return put("{} {} by {} to {} by {}", a, low.alone, less, high.alone, more)


def further(sized: Sized, a: str, low: ways.Word, high: ways.Word, unit: bool) -> str:
    """The same of a change: ``Plover 2 boards further down to 9 further up``.  What the measure
    itself came to, on either side, is another matter than how far each went."""
    if (ends := _both_ends(sized, unit)) is None:
        return sized.reach(unit=unit)
    down, up = (
        way if word.alone.startswith(f"a {plain} ") else word.toward
        for word, way, plain in ((low, "down", "lower"), (high, "up", "higher"))
    )
    return put("{} {} further {} to {} further {}", a, ends[0], down, ends[1], up)


def _both_ends(sized: Sized, unit: bool) -> tuple[str, str] | None:
    """The sizes at both ends of a range through a tie; None where it is none."""
    if not sized.crosses or sized.low is None or sized.high is None:
        return None
    ends = replace(sized, value=sized.low)
    return (ends.size if unit else ends.bare), replace(ends, value=sized.high).bare


def both_sides(
    test: t.Difference | t.DifferenceInChange | t.RateDifference,
    v: Verdict, study: Study, table: Table | None,
) -> tuple[str, str]:  # fmt: skip
    """Both sides as sentences name them: ``the long pattern``, ``used balls``."""
    items = plural_of(item_of(v, study, table))
    a, b = (side(side_name(value), test.by, items) for value in (test.a, test.b))
    return a, b


def side_name(value: str | float) -> str:
    return value if isinstance(value, str) else number(float(value))


def operand_name(operand: t.XY) -> str:
    return operand if isinstance(operand, str) else operand.measure


def series_name(column: str, table: Table | None) -> str:
    if table is not None and column == table.use:
        return table.use_term or column
    return plural_of(column.replace("_", " "))


def who_was_read(n: int, item: str, unread: bool) -> Facts:
    """All that were read where a claim asks: not all that took part, where some are ``unread``."""
    who = all_of(n, item)
    return {"unread": unread, "all_balls": words("with-reading", who=who) if unread else who}
