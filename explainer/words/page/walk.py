"""A figure item by item, in sentences: each held to what the gauge behind it can tell."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from explainer.claims.figure_data import Walk, WalkStep
from explainer.claims.verdict import FigureResult
from explainer.study.model import Study, Table
from explainer.words.facts import comparatives as ways
from explainer.words.facts.items import item_word, named
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.numbers import count_words, plural_of
from explainer.words.quantity.sizes import Sized, gap_unit, level, number
from explainer.words.quantity.when import past

Facts = dict[str, Any]


def walk_words(teller: Teller, result: FigureResult, study: Study) -> tuple[str, ...]:
    """One sentence or two for each item, in turn; empty where the author asked for no walk."""
    if result.walk is None:
        return ()
    return tuple(_told(teller, result, study, result.walk))


def _told(teller: Teller, result: FigureResult, study: Study, walk: Walk) -> Iterator[str]:
    table = study.tables[result.figure.table]
    for place, step in enumerate(walk.steps):
        facts = {**walk_facts(walk, step, study, table), "first": place == 0}
        about = f"{result.figure.id}.{step.item}"
        said = teller.tell([f"walk.{step.shape}"], facts, about=about, stream="walk")
        odd = teller.tell(["walk.odd"], facts, about=about) if step.odd else ""
        yield f"{said} {odd}".strip()
    if walk.left:
        items = plural_of(item_word(study, table))
        known = {"n": walk.left, "count": count_words(walk.left), "items": items}
        yield teller.tell(["walk.more"], known, about=result.figure.id)


def walk_facts(walk: Walk, step: WalkStep, study: Study, table: Table) -> Facts:
    """What a phrase about one item may say; ``…_value`` are numbers for its condition."""
    if step.tries:
        return _tried_facts(walk, step, study, table)
    unit = study.measure(walk.measure).unit
    apart = gap_unit(unit)

    def size(value: float | None) -> str | None:
        return None if value is None else Sized(abs(value), None, None, apart).size

    item = item_word(study, table)
    total = step.end - step.start
    away = None if step.at is None else step.at - step.start
    back = None if step.at is None else step.end - step.at
    return {
        "who": named(item, step.item), "item": item, "items": plural_of(item), "odd": step.odd,
        "term": study.term(walk.measure), "start": level(step.start, unit),
        "end": level(step.end, unit), "at": None if step.at is None else level(step.at, unit),
        "turn": None if step.turn is None else past(table, step.turn),
        "size": size(total), "away": size(away), "back": size(back), "sees": size(walk.sees),
        "gap": size(step.gap), "call": step.call, "shape": step.shape,
        "total_value": abs(total), "rest_value": step.rest, "gap_value": step.gap,
        "away_value": abs(away or 0.0), "back_value": abs(back or 0.0),
        "sees_value": walk.sees, "p": step.p, **ways.moves(-1 if (away or total) < 0 else 1),
        **(_across_facts(walk, step, study) if step.across else {}),
    }  # fmt: skip


def _tried_facts(walk: Walk, step: WalkStep, study: Study, table: Table) -> Facts:
    """Of whoever made so many of so many, first under one condition and then under the other."""
    (made, tried), (made_after, tried_after) = step.tries
    item = item_word(study, table)
    first, last = walk.sides
    return {
        "who": named(item, step.item), "item": item, "items": plural_of(item), "shape": step.shape,
        "odd": step.odd, "a": first, "b": last, "made": number(made), "tried": number(tried),
        "made_after": number(made_after), "tried_after": number(tried_after),
        "gap_value": step.end - step.start,
    }  # fmt: skip


def _across_facts(walk: Walk, step: WalkStep, study: Study) -> Facts:
    """The same of the measure along the bottom."""
    assert step.across is not None
    unit = study.measure(walk.across).unit
    start, end = step.across
    return {
        "x_term": study.term(walk.across), "x_start": level(start, unit), "x_end": level(end, unit),
        "x_value": abs(end - start), "x_sees_value": walk.sees_across,
    }  # fmt: skip
