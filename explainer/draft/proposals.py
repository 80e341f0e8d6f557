"""What could be shown of a table and claimed of it: for each measure a figure with its claim."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from explainer import units
from explainer.draft.columns import Column
from explainer.draft.headers import USE_WORDS, slug
from explainer.draft.parts import Parts
from explainer.draft.properties import was_set
from explainer.draft.tidy import Tidy

_MOST_MEASURES = 6


@dataclass(frozen=True)
class MeasurePlan:
    name: str
    term: str
    unit: str
    confirm: str
    """What the author should look at; empty where the file says it all."""
    known: bool
    """Whether the glossary has its term."""
    asks: str
    """What only the author can say of its name; empty where a head names it."""
    step: str
    """The smallest step seen in the readings."""
    means: str
    """The term of the glossary that its head most likely means; empty for none."""
    offered: str = ""
    """A unit that a note of the sheet names, to be offered and not taken."""
    gauge: str = ""
    """What a note of the sheet says of how far readings are off; empty where none does."""


@dataclass(frozen=True)
class TablePlan:
    """One table: its tidy data under final column names, and what each is for."""

    name: str
    file: str
    tidy: Tidy
    parts: Parts

    def apart(self, main: TablePlan) -> bool:
        """Whether its items are none of the main table's."""
        own, others = self.parts.item, main.parts.item
        return own.name != others.name or not set(own.distinct) & set(others.distinct)


@dataclass(frozen=True)
class Proposal:
    """A figure and the claim it could show, as keys and values."""

    figure: dict[str, Any]
    """Empty where the figure of the proposal before this one shows the claim, too."""
    claim: dict[str, Any]
    asks: str
    """The question the claim answers, in words."""


def proposals_of(table: TablePlan, measures: dict[str, MeasurePlan]) -> list[Proposal]:
    """For each measure, the first way to look at it that the table allows."""
    made: list[Proposal] = []
    parts = table.parts
    if parts.counts:
        made += _rates(table)
    if parts.path:
        made += _paths(table)
    if len(parts.item.distinct) < 2:
        return made
    for column in sorted(parts.measures, key=lambda c: _once_each(table, c))[:_MOST_MEASURES]:
        for way in (_gauge, _over_use, _compared, _series):
            found = way(table, column, measures[column.name])
            if found is not None:
                made.append(found)
                made += _changed_apart(table, column, measures[column.name], found)
                break
    made += _further(table, measures, made)
    return made or _at_least(table, measures)


def _once_each(t: TablePlan, c: Column) -> bool:
    """Whether a table of use has a measure just once for each item, beside what was read again."""
    return t.parts.use is not None and not _varies(t, c)


#: Conditions of one table that claims are drafted for.
MOST_CONDITIONS = 4


def _further(
    t: TablePlan, measures: dict[str, MeasurePlan], made: list[Proposal]
) -> list[Proposal]:
    """A claim about each condition that no other names: rows that differ in it alone are no
    repeats, and a study knows that only of columns it names."""
    named = {p.claim["test"].get("by") for p in made if p.claim}
    ticked = [c for c in t.tidy.columns if c.tick and c not in t.parts.conditions]
    kinds = [*((t.parts.group,) if t.parts.group else ()), *t.parts.kinds]
    each = [*t.parts.conditions, *(kinds if t.parts.use is None else ()), *t.parts.sorts,
            *(c for c in ticked if len(c.distinct) == 2)]  # fmt: skip
    first = sorted(t.parts.measures, key=lambda c: _once_each(t, c))
    return [
        found for by in each[:MOST_CONDITIONS] if by.name not in named
        and (found := next(
            (p for c in first if (p := _by(t, c, measures[c.name], by)) is not None),
            None,
        )) is not None
    ]  # fmt: skip


def _at_least(t: TablePlan, measures: dict[str, MeasurePlan]) -> list[Proposal]:
    """Where items are neither used, sorted nor numbered: measures against what was set on the
    items or against the first of them, or the items side by side."""
    shown = t.parts.measures[:_MOST_MEASURES]
    was = next((c for c in t.parts.properties if len(c.distinct) > 2 and was_set(c)), None)
    if was is not None:
        return [_against(t, was, y, measures) for y in shown]
    if len(shown) == 1:
        [y] = shown
        figure = {"id": _id(y.name, "side-by-side"), "kind": "groups", "table": t.name,
                  "y": y.name, "by": t.parts.item.name}  # fmt: skip
        return [Proposal(figure, {}, f"how does {measures[y.name].term} differ?")]
    return [_against(t, shown[0], y, measures) for y in shown[1:]]


def _against(t: TablePlan, x: Column, y: Column, measures: dict[str, MeasurePlan]) -> Proposal:
    """One measure against another: does more of the one go with more of the other?"""
    one, other = measures[x.name].term, measures[y.name].term
    figure = {"id": _id(x.name, "and", y.name), "kind": "scatter", "table": t.name,
              "x": x.name, "y": y.name}  # fmt: skip
    test = {"kind": "association", "table": t.name, "x": x.name, "y": y.name, "direction": "any"}
    claim = {"id": _id(x.name, "goes-with", y.name), "test": test, "plainly":
             f"{_capital(one)} and {other} go together."}  # fmt: skip
    return Proposal(figure, claim, f"do {one} and {other} go together?")


def _id(*words: str) -> str:
    return "-".join(slug(w).replace("_", "-") for w in words)[:60].strip("-")


def _gauge(t: TablePlan, c: Column, m: MeasurePlan) -> Proposal | None:
    if t.parts.operator is None or t.parts.order is None:
        return None
    figure = {"id": _id(c.name, "gauge"), "kind": "gauge", "table": t.name, "y": c.name,
              "operator": t.parts.operator.name, "repeat": t.parts.order.name}  # fmt: skip
    test = {"kind": "repeatability", "table": t.name, "measure": c.name,
            "operator": t.parts.operator.name, "repeat": t.parts.order.name}  # fmt: skip
    claim = {"id": _id(c.name, "repeats"), "plainly": f"Readings of {m.term} come out alike, "
             "whoever takes them.", "test": test}  # fmt: skip
    return Proposal(figure, claim, f"do readings of {m.term} come out alike, whoever takes them?")


def _over_use(t: TablePlan, c: Column, m: MeasurePlan) -> Proposal | None:
    use = t.parts.use
    points = _shared_points(t, c) if use is not None else []
    if use is None or len(points) < 2 or _once_each(t, c):
        return None
    figure = {"id": _id(c.name, "over", use.name), "kind": "over-use", "table": t.name, "y": c.name}
    if t.parts.group:
        figure["group"] = t.parts.group.name
    test = {"kind": "change", "table": t.name, "measure": c.name, "from": points[0],
            "to": points[-1], "direction": "any"}  # fmt: skip
    plainly = f"{_capital(m.term)} is different after {points[-1]:g} {_use_word(use)}."
    asks = f"does {m.term} change over {points[-1]:g} {_use_word(use)}?"
    if points[0]:  # week 1 to week 8 is no eight weeks
        one = _use_word(use, 1)
        ends = f"from {one} {points[0]:g} to {one} {points[-1]:g}"
        plainly, asks = f"{_capital(m.term)} changes {ends}.", f"does {m.term} change {ends}?"
    claim = {"id": _id(c.name, "changes"), "test": test, "plainly": plainly}
    return Proposal(figure, claim, asks)


#: Items of a group that were read at both ends, which a claim about their change asks at least.
_FEWEST = 2


def _changed_apart(t: TablePlan, c: Column, m: MeasurePlan, over: Proposal) -> list[Proposal]:
    """Whether two groups of items changed by different amounts, where each was read over use: that
    both changed, or only one of them clearly did, does not say it."""
    by = t.parts.group
    if by is None or over.claim["test"]["kind"] != "change" or over.figure["kind"] != "over-use":
        return []
    assert t.parts.use is not None
    start, end = over.claim["test"]["from"], over.claim["test"]["to"]
    read: dict[float, set[str]] = {start: set(), end: set()}
    rows = zip(t.parts.item.cells, t.parts.use.cells, c.cells, strict=True)
    for item, point, cell in rows:
        if c.reads(cell) and t.parts.use.reads(point) and float(point) in read:
            read[float(point)].add(item)
    both = read[start] & read[end]
    group_of = dict(zip(t.parts.item.cells, by.cells, strict=True))
    a, b = _ends(by)
    if any(sum(group_of[item] == side for item in both) < _FEWEST for side in (a, b)):
        return []
    test = {"kind": "difference-in-change", "table": t.name, "measure": c.name, "from": start,
            "to": end, "by": by.name, "a": a, "b": b, "direction": "any"}  # fmt: skip
    asks = f"does {m.term} change by more for one than for the other: {_sides(by)}?"
    claim = {"id": _id(c.name, "changes-by", by.name), "test": test, "plainly":
             f"How much {m.term} changes differs between {_sides(by)}."}  # fmt: skip
    return [Proposal({}, claim, asks)]


def _shared_points(t: TablePlan, c: Column) -> list[float]:
    """Checkpoints at which at least two items have a reading."""
    assert t.parts.use is not None
    seen: dict[float, set[str]] = {}
    for item, point, cell in zip(t.parts.item.cells, t.parts.use.cells, c.cells, strict=True):
        if c.reads(cell) and t.parts.use.reads(point):
            seen.setdefault(float(point), set()).add(item)
    return sorted(p for p, items in seen.items() if len(items) >= 2)


def _use_word(use: Column, count: int = 2) -> str:
    """The word for one of use (``count`` 1), or for several: games, steps of use."""
    word = next((w for w in use.header.words.casefold().split() if w in USE_WORDS), "")
    unit = USE_WORDS.get(word, "count")
    if count == 1:
        return unit if unit != "count" else re.sub(r"(?<=sh)es$|s$", "", word) or "step"
    return units.plural(unit) if unit != "count" else "steps of use"


def _compared(t: TablePlan, c: Column, m: MeasurePlan) -> Proposal | None:
    by = t.parts.condition or t.parts.group
    return None if by is None else _by(t, c, m, by)


def _by(t: TablePlan, c: Column, m: MeasurePlan, by: Column) -> Proposal | None:
    """The measure under two conditions, or in two groups of items.

    None where it cannot differ between conditions: each item has one value of it.
    """
    if by in t.parts.conditions and not _varies(t, c):
        return None
    a, b = _ends(by)
    figure: dict[str, Any] = {"id": _id(c.name, "by", by.name), "kind": "groups", "table": t.name,
                              "y": c.name, "by": by.name}  # fmt: skip
    test: dict[str, Any] = {"kind": "difference", "table": t.name, "measure": c.name,
                            "by": by.name, "a": a, "b": b, "direction": "any"}  # fmt: skip
    test |= {"within": t.parts.item.name} if by in t.parts.conditions else {}
    sides = _sides(by)
    if (by in t.parts.sorts or _once_each(t, c)) and (points := _shared_points(t, c)):
        # What was set is seen before use wears it off; and what stands in every row was read once.
        figure["at"] = test["at"] = points[0]
    if by in t.parts.sorts and t.parts.use is not None and "at" in test:
        sides += f" at {test['at']:g} {_use_word(t.parts.use)}"
    second = (*t.parts.further, *t.parts.sorts, *t.parts.kinds)
    second += (t.parts.group,) if t.parts.group and t.parts.condition else ()
    more = ("by", by.name) if by in second or by.tick else ()
    plainly = f"{_capital(m.term)} differs between {sides}."
    claim = {"id": _id(c.name, "differs", *more), "test": test, "plainly": plainly}
    return Proposal(figure, claim, f"does {m.term} differ between {sides}?")


_ANSWERS = frozenset({"yes", "no", "y", "n", "true", "false"})


def _sides(by: Column) -> str:
    """The first two conditions: ``new and used``, ``scale 1 and scale 2``."""
    if by.numeric and by.header.unit:
        return " and ".join(f"{end} {by.header.unit}" for end in _ends(by))
    word = by.header.words.casefold().rstrip("?: ")
    if {end.casefold() for end in _ends(by)} <= _ANSWERS:  # they answer the head
        return " and ".join(f"{word}: {end}" for end in _ends(by))
    return " and ".join(f"{word} {name}".strip() if by.numeric else name for name in _ends(by))


def _ends(by: Column) -> tuple[str, str]:
    """The two conditions to compare: of numbers the least and the most, of words the first two."""
    if by.numeric:
        found = sorted(by.distinct, key=float)
        return found[0], found[-1]
    return by.distinct[0], by.distinct[1]


def _varies(t: TablePlan, c: Column) -> bool:
    """Whether some item has two values of a measure."""
    seen: dict[str, str] = {}
    pairs = zip(t.parts.item.cells, c.cells, strict=True)
    return any(c.reads(cell) and seen.setdefault(item, cell) != cell for item, cell in pairs)


def _series(t: TablePlan, c: Column, m: MeasurePlan) -> Proposal | None:
    order = t.parts.order
    numbers = sorted(set(order.numbers)) if order is not None else []
    least = 2 if order is not None and _counts_shots(order) else 6
    if order is None or len(numbers) < least:
        return None
    third = max(1, min(10, len(numbers) // 3))
    first, last = [numbers[0], numbers[third - 1]], [numbers[-third], numbers[-1]]
    figure = {"id": _id(c.name, "in-order"), "kind": "shot-series", "table": t.name, "y": c.name,
              "order": order.name, "first": third, "last": third}  # fmt: skip
    test = {"kind": "change", "table": t.name, "measure": c.name, "from": first, "to": last,
            "direction": "any"}  # fmt: skip
    claim = {"id": _id(c.name, "drifts"), "test": test, "plainly":
             f"{_capital(m.term)} is different at the end of the series."}  # fmt: skip
    ends = f"from the first {third} to the last {third}"
    return Proposal(figure, claim, f"does {m.term} change {ends}?")


def _counts_shots(order: Column) -> bool:
    """Whether a column numbers shots, which follow each other, and not repeat readings."""
    return bool(
        {"shot", "shots", "throw", "roll", "frame"} & set(order.header.words.casefold().split())
    )


def _rates(t: TablePlan) -> list[Proposal]:
    counts, by = t.parts.counts, t.parts.condition or t.parts.group
    if counts is None or by is None:
        return []
    made, tried = counts
    a, b = _ends(by)
    keys = {"successes": made.name, "attempts": tried.name, "by": by.name}
    within = {"within": t.parts.item.name} if by is t.parts.condition else {}
    figure = {"id": _id(made.name, "by", by.name), "kind": "rates", "table": t.name}
    test = {"kind": "rate-difference", "table": t.name, **keys, "a": a, "b": b, "direction": "any",
            **within}  # fmt: skip
    sides = _sides(by)
    claim = {"id": _id(made.name, "differ"), "test": test, "plainly":
             f"The rate of {made.name} differs between {sides}."}  # fmt: skip
    asks = f"does the rate of {made.name} differ between {sides}?"
    return [Proposal(figure | keys | within, claim, asks)]


def _paths(t: TablePlan) -> list[Proposal]:
    assert t.parts.path is not None
    feet, board = t.parts.path
    by = t.parts.use or t.parts.condition or t.parts.group
    figure = {"id": _id(t.name, "paths"), "kind": "ball-paths", "table": t.name,
              "distance": feet.name, "board": board.name}  # fmt: skip
    if by is not None:
        figure["by"] = by.name
    claim: dict[str, Any] = {}
    asks = "how does the ball get to the pins?"
    points = sorted(set(t.parts.use.numbers)) if t.parts.use is not None else []
    if len(points) >= 2 and len(t.parts.item.distinct) >= 2:
        claim = {"id": "hook-changes", "plainly": "The ball's total hook is different at the end.",
                 "test": {"kind": "change", "table": t.name, "measure": "total_hook",
                          "from": points[0], "to": points[-1], "direction": "any"}}  # fmt: skip
        asks = "does total hook change?"
    return [Proposal(figure, claim, asks)]


def apart(proposals: tuple[Proposal, ...]) -> tuple[Proposal, ...]:
    """Every figure and claim under an id of its own; each claim names its figure."""
    taken: set[str] = set()

    def free(name: str) -> str:
        new, n = name, 2
        while new in taken:
            new, n = f"{name[:56]}-{n}", n + 1
        taken.add(new)
        return new

    made: list[Proposal] = []
    for p in proposals:
        shown = bool(p.figure)
        figure = {**p.figure, "id": free(p.figure["id"])} if shown else made[-1].figure
        claim = {**p.claim, "id": free(p.claim["id"]), "figure": figure["id"]} if p.claim else {}
        made.append(Proposal(figure if shown else {}, claim, p.asks))
    return tuple(made)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
