"""What a spoken sentence about a verdict may use beside the printed one: its numbers for an ear.

A size is told as ``quantity.heard`` tells it.  A slope is told for what one item has: for *a ball
that lost 20 microinches*, not for every 10 of them.  A range is told as what it means: its cautious
end, where it lies on one side of nothing, else how far it goes either way.  Nothing here is worked
out anew but how far a measure goes within one item, by which a slope is multiplied.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from explainer.claims.verdict import Verdict
from explainer.study.description import tests as t
from explainer.study.model import Study, Table
from explainer.units import ODDS_RATIO
from explainer.words.facts import comparatives as ways
from explainer.words.facts.claim import shown
from explainer.words.facts.items import item_of, table_of
from explainer.words.facts.kind_facts import operand_name
from explainer.words.quantity.heard import about, at_least, plain
from explainer.words.quantity.numbers import plural_of
from explainer.words.quantity.sizes import Sized, gap_unit, number, per_step
from explainer.words.quantity.systems import told_unit
from explainer.words.quantity.when import span_words

Facts = dict[str, Any]

#: The names of the facts below; every verdict has them all, and what it has not is empty.
NAMES = frozenset({
    "about", "by_about", "either", "journey", "least", "margin_heard", "of_way", "on_average",
    "stepped", "the_average", "when",
})  # fmt: skip


def _of_way(r: float) -> str:
    """How far a link is from none to a perfect one: ``four fifths`` of the way."""
    told = plain(r, "r")
    return told if told != "one" else "all" if abs(r) == 1 else "nearly all"


def heard_facts(verdict: Verdict, study: Study, known: Mapping[str, Any]) -> Facts:
    """The facts of ``NAMES`` for one verdict; ``known`` are those of its printed sentences."""
    table = table_of(verdict, study)
    ragged = isinstance(verdict.test, t.Trend) and _ragged(table, verdict.test)
    sized, journey = _told(verdict, study, table, ragged)
    low, high = sized.low, sized.high
    ends = sorted((abs(low), abs(high))) if low is not None and high is not None else None
    less, more = _sides(verdict, study)
    size = about(sized.value, sized.unit)
    return {
        "about": size, "by_about": f"by {size}",
        "of_way": _of_way(sized.value) if sized.unit == "r" and sized.value is not None else "",
        # A ratio of odds has no size to picture, and its cautious end is not the one nearest 0.
        "least": at_least(ends[0], sized.unit).removesuffix(" in a hundred")
        if ends and sized.unit != ODDS_RATIO and not ragged else "",
        "stepped": known.get("step", "") if ragged else "",
        "either": _either(low, high, sized.unit, less, more), "journey": journey,
        "when": _when(verdict, table, known), **_given(verdict, study),
        **_averaged(verdict, known),
    }  # fmt: skip


def _averaged(verdict: Verdict, known: Mapping[str, Any]) -> Facts:
    """What moved, and that it is an average: of one item there is none."""
    term, one = known.get("term", ""), verdict.n_items == 1
    return {
        "the_average": f"{term} of that one {known['item']}" if one else f"the average {term}",
        "on_average": "" if one else " on average",
    }


def _given(verdict: Verdict, study: Study) -> Facts:
    """What counts, as somebody set it: that is exact, so no *about*."""
    margin = verdict.detail.margin or getattr(verdict.test, "margin", None)
    unit = shown(verdict).unit
    told, times = told_unit(unit, study)
    return {"margin_heard": plain(margin * times, told) if margin and unit != "r" else ""}


def _told(
    verdict: Verdict, study: Study, table: Table | None, ragged: bool
) -> tuple[Sized, str]:
    """The estimate and its range in the unit it is told in; a slope for one item's whole way, or,
    where items went ways of their own, as it is printed: for a round step."""
    sized, journey = shown(verdict), ""
    if ragged:
        given = verdict.detail.at_least or getattr(verdict.detail, "about", None)
        sized, _ = per_step(sized, given or 0.0)
    unit, times = sized.unit, 1.0
    if " per " in unit:
        top, _, bottom = unit.partition(" per ")
        reach, journey = _way(verdict, study, table, bottom)
        unit, times = gap_unit(top), reach
    told, scale = told_unit(unit, study)
    each = (None if v is None else v * times * scale for v in (sized.value, sized.low, sized.high))
    value, low, high = each
    if times < 0 and low is not None and high is not None:
        low, high = high, low
    return Sized(value, low, high, told), journey


def _way(verdict: Verdict, study: Study, table: Table | None, unit: str) -> tuple[float, str]:
    """How far one item goes along what a slope is per, signed the way it went, and whose way it is.

    Rounded to one digit, so that it is a number to picture: 20 microinches, not 21.6.
    """
    test = verdict.test
    item = item_of(verdict, study, table)
    if isinstance(test, t.Trend):
        return _along(table, test.over), ""
    if not isinstance(test, t.TracksWithin):
        return 1.0, ""
    x = operand_name(test.x)
    source = study.table_of(x, None if isinstance(test.x, str) else test.x.table)
    frame = source.frame[[source.item, x]].dropna()
    each = frame.groupby(source.item)[x].agg(lambda v: float(v.max() - v.min()))
    each = each[each > 0]  # one that stood still, or was read once, is not followed
    size = _one_digit(float(each.mean())) if len(each) else 0.0
    way = _went(source, x)
    if not size:
        return 1.0, ""
    word = ways.word(study.measure(x), study.term(x), way)
    told, scale = told_unit(gap_unit(study.measure(x).unit), study)
    if told in ("percentage point", "percent"):
        went = plain(size * scale, told)
        return way * size, f"a {item} that went {went} towards {word.alone}"
    got = f"got {plain(size * scale, told)} {word.alone}"
    got = f"ended up with {plain(size * scale, told)} {word.alone}" if word.noun else got
    return way * size, f"a {item} that {got}"


def _along(table: Table | None, over: str) -> float:
    """From the first to the last of a series."""
    if table is None or over not in table.frame:
        return 1.0
    column = table.frame[over].dropna().astype(float)
    return float(column.max() - column.min()) if len(column) else 1.0


def _ragged(table: Table | None, test: t.Trend) -> bool:
    """Whether not every item went as far along a series: then an average slope times one way is no
    item's change, nor their average."""
    if table is None or test.over not in table.frame:
        return False
    each = table.frame.dropna(subset=[test.over, test.measure]).groupby(table.item)[test.over]
    return (each.max() - each.min()).nunique() > 1


def _went(table: Table, x: str) -> int:
    """Which way a measure went from its first checkpoint to its last, down where nothing tells."""
    if table.use is None:
        return -1
    means = table.frame.groupby(table.use)[x].mean().dropna()
    return 1 if len(means) and means.iloc[-1] > means.iloc[0] else -1


def _one_digit(value: float) -> float:
    if not value or not math.isfinite(value):
        return 0.0
    return round(value, -math.floor(math.log10(abs(value))))


def _sides(verdict: Verdict, study: Study) -> tuple[str, str]:
    """What less and more of the told size are called; empty where nothing names them."""
    test = verdict.test
    if isinstance(test, t.TracksWithin):
        name: Any = operand_name(test.y)
    else:
        name = getattr(test, "measure", "")
    if not isinstance(name, str) or not name:
        return "", ""
    measure = study.measure(name)
    if not (measure.more_is and measure.less_is):
        return "lower", "higher"
    term = study.term(name)
    return ways.word(measure, term, -1).alone, ways.word(measure, term, 1).alone


def _either(low: float | None, high: float | None, unit: str, less: str, more: str) -> str:
    """A range through nothing: ``maybe half a board less hook, maybe half a board more``."""
    if low is None or high is None or not less or not low < 0 < high:
        return ""
    ends = plain(low, unit), plain(high, unit)
    if ends[0] == ends[1] and less.split()[1:] == more.split()[1:]:
        return f"maybe {ends[0]} {less}, maybe as much {more.split()[0]}"
    rest = more.split()[0] if less.split()[1:] == more.split()[1:] else more
    return f"maybe {ends[0]} {less}, maybe {ends[1]} {rest}"


def _when(verdict: Verdict, table: Table | None, known: Mapping[str, Any]) -> str:
    """``over 60 games``; two windows at the ends as *from the first 10 shots to the last 10*."""
    start, end = (getattr(verdict.test, name, None) for name in ("from_", "to"))
    if isinstance(start, tuple) and isinstance(end, tuple) and table is not None and table.order:
        return _windows(table, start, end)
    if start is None or end is None:
        return str(known.get("over", "") or "")
    return span_words(table, start, end)


def _windows(table: Table, start: tuple[Any, Any], end: tuple[Any, Any]) -> str:
    order = table.frame[table.order].dropna().astype(float)
    first, last = order.min(), order.max()
    sizes = [int(b - a + 1) for a, b in (start, end)]
    what = plural_of(str(table.order).replace("_", " ").removesuffix("s"))
    if start[0] == first and end[1] == last:
        said = f"the last {sizes[1]}" if sizes[0] != sizes[1] else "the last"
        return f"from the first {number(sizes[0])} {what} to {said}"
    return span_words(table, start, end)
