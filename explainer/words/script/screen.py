"""What is on the screen while a figure builds up, and at which step a thing may be spoken of.

A line names only what its still shows: the axes first, then the readings, then what sums them
up.  Which step a chart draws a thing in is the charts' own affair (``explainer/charts``); that the
words keep to it is tested against the stills.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from explainer.claims.verdict import FigureResult
from explainer.study.description import figures as f
from explainer.study.model import Study
from explainer.words.facts.items import item_word, side
from explainer.words.page.figures import walk_facts
from explainer.words.quantity.heard import about
from explainer.words.quantity.numbers import plural_of
from explainer.words.quantity.sizes import gap_unit
from explainer.words.quantity.systems import told_unit
from explainer.words.quantity.when import use_word

Facts = dict[str, Any]

AXES, DATA, SUMMARY, FIRST_NOTE, TAKEAWAY = 0, 1, 2, 3, 99
"""Steps of a figure's build-up, as the charts number them."""

WHOLE: Mapping[str, int] = {"limit": DATA}
"""The step at which all but the notes is drawn, where that is not SUMMARY."""
GUESS: Mapping[str, int] = {"limit": AXES}
"""The step at which the answer cannot be seen yet, and one may guess, where that is not DATA."""


def whole(kind: str) -> int:
    return WHOLE.get(kind, SUMMARY)


def guess(kind: str) -> int:
    return GUESS.get(kind, DATA)


def screen_facts(result: FigureResult, study: Study) -> Facts:
    """What a spoken line about a figure needs beside its ``figure_facts``: what is drawn, and the
    names of both measures."""
    table = study.tables[result.figure.table]
    use = use_word(table)
    named: Facts = {name: study.term(m) if m else "" for name, m in _sides(result).items()}
    own = DRAWN.get(result.figure.kind, _nothing)(result, study)
    return {**named, "steps": use if use.endswith("s") else f"{use}s", **own}


def measures(result: FigureResult) -> list[str]:
    """The measures a figure shows, the one up the side first."""
    found = _sides(result)
    return [m for m in (found["y"], found["x"]) if m]


def _sides(result: FigureResult) -> dict[str, str]:
    named = {}
    for name in ("x", "y"):
        given = getattr(result.figure, name, None)
        measure = getattr(given, "measure", given)
        named[name] = measure if isinstance(measure, str) else ""
    return named


def _nothing(result: FigureResult, study: Study) -> Facts:
    return {}


def _over_use(result: FigureResult, study: Study) -> Facts:
    """There is a bold line where there is more than one item to average."""
    items = {line.item for line in result.data.lines}
    return {"averaged": len(items) > 1 and bool(result.data.means)}


def _ball_paths(result: FigureResult, study: Study) -> Facts:
    return {"threads": bool(result.data.items), "averaged": result.data.averaged}


def _rates(result: FigureResult, study: Study) -> Facts:
    """The sides from left to right, what each comes to with everybody lumped together, and
    whether anybody tried one more often than another."""
    figure = result.figure
    assert isinstance(figure, f.Rates)
    who = figure.within or item_word(study, study.tables[figure.table])
    sides = [side(r.name, figure.by, plural_of(who)) for r in result.data.pooled]
    rates = [rate.rate for rate in result.data.pooled]
    lead = sides[rates.index(max(rates))] if len(set(rates)) > 1 else ""
    uneven = any(len({r.attempts for r in own}) > 1 for _, own in result.data.within)
    return {"sides": sides, "lead": lead, "uneven": uneven}


#: Kind of figure -> what is drawn of it.
DRAWN: Mapping[str, Callable[[FigureResult, Study], Facts]] = {
    "over-use": _over_use,
    "ball-paths": _ball_paths,
    "rates": _rates,
}


def one_by_one(result: FigureResult, study: Study) -> list[tuple[str, Facts]]:
    """What each item of a figure did, for somebody who goes through them: its shape, and facts.

    As the page has them, held to the same gauge, with sizes for an ear.
    """
    if result.walk is None:
        return []
    walk, table = result.walk, study.tables[result.figure.table]
    told: list[tuple[str, Facts]] = []
    for step in walk.steps:
        facts = walk_facts(walk, step, study, table)
        if not step.tries:
            own = study.measure(walk.measure).unit
            (read, scale), (unit, times) = (told_unit(u, study) for u in (own, gap_unit(own)))
            far = {"size": step.end - step.start, "away": (step.at or step.start) - step.start,
                   "gap": step.gap}  # fmt: skip
            facts |= {name: about(value * times, unit) for name, value in far.items()}
            facts["level"] = _level(step.start * scale, read)
        told.append((step.shape, facts))
    return told


def _level(value: float, unit: str) -> str:
    """A reading for an ear; of one below zero that is said, which a size does not."""
    return about(value, unit) + (" below zero" if value < 0 else "")
