"""The table of second looks, and the one who takes them in turn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from explainer.claims import rules
from explainer.claims.build import Case, finite, ordered
from explainer.claims.design import (
    chosen,
    confounded,
    cut_off,
    dropouts,
    exclusion,
    models,
    unequal,
)
from explainer.claims.design.found import Found, points, read_by
from explainer.claims.detail import SecondLooks
from explainer.claims.verdict import Verdict
from explainer.study.model import Table

#: Kinds that compare checkpoints, so that an error all items share on one day looks like a change.
_OVER_CHECKPOINTS = frozenset({"change", "no-change", "break-in", "same-line", "settles",
                               "share-of-items"})  # fmt: skip
#: Kinds that do where their sides are checkpoints, and kinds that speak of readings on one day.
_SIDES = frozenset({"difference", "no-difference", "no-worse", "ranking", "steps"})
_LEVELS = frozenset({"mean-is", "limit", "population-limit", "crossing"})

#: Each takes the case and the verdict so far; what it leaves of it the next one is given.
LOOKS: tuple[Callable[[Case, Verdict], Found | None], ...] = (
    exclusion.look,
    unequal.look,
    dropouts.look,
    models.look,
    cut_off.look,
    confounded.look,
    chosen.look,
)


def judged(case: Case) -> Verdict:
    """The verdict of the kind's judge, after all second looks."""
    verdict = case.kind.judge(case)
    untested = verdict.code == "not-tested"
    known: dict[str, Any] = {} if untested else shared(case)
    idle: list[str] = []
    # What was left out by hand may be why nothing is left to test; averages stand there untested.
    for look in (exclusion.look, unequal.look) if untested else LOOKS:
        found = look(case, verdict)
        if found is None:
            continue
        known |= found.known
        known["alone"] = (*known.get("alone", ()), *found.alone.items())
        code = rules.weakened(verdict.code, found.code)
        idle += [] if code != verdict.code else found.reasons
        verdict = replace(verdict, code=code, reasons=ordered([*verdict.reasons, *found.reasons]),
                          detail=replace(verdict.detail, **found.record))  # fmt: skip
    if idle:
        verdict = replace(verdict, detail=replace(verdict.detail, idle=tuple(idle)))
    if not known:
        return verdict
    shown: dict[str, Any] = {
        k: finite(v) if isinstance(v, float) else v for k, v in known.items()
    }
    return replace(verdict, detail=replace(verdict.detail, design=SecondLooks(**shown)))


def shared(case: Case) -> dict[str, Any]:
    """What was allowed for of an error that all items share at a checkpoint, or that nothing was.

    A window of rows in order stands at one checkpoint, where such an error cancels.
    """
    named, read = points(case).values(), list(read_by(case))
    for table, measure in read:
        if table.use is None or (table.order and any(isinstance(p, tuple) for p in named)):
            return {}
        if not _touched(case, table):
            return {}
        if sd := table.shared_sd.get(measure):
            source = table.reference if table.reference is not None else "declared"
            return {"shared_sd": sd, "shared_from": source}
        derived = case.study.measure(measure).derived
        cancels = derived is not None and derived.difference is not None
        if cancels or measure in table.shared_sd or table.reference is not None:
            return {}
    return {} if not read or case.test.kind in _LEVELS else {"unshared": True}


def _touched(case: Case, table: Table) -> bool:
    """Whether an error that all items share at a checkpoint moves what the claim is about."""
    test = case.test
    if test.kind in _OVER_CHECKPOINTS or test.kind in _LEVELS:
        return True
    if test.kind in ("trend", "since"):
        return getattr(test, "over", None) == table.use
    between = getattr(test, "by", None) == table.use or getattr(test, "from_", None) is not None
    return test.kind in _SIDES and between
