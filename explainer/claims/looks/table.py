"""The table of second looks, and the one who takes them in turn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from explainer.claims import rules
from explainer.claims.build import Case, finite, ordered
from explainer.claims.detail import SecondLooks
from explainer.claims.looks import chosen, confounded, cut_off, dropouts, exclusion
from explainer.claims.looks.found import Found, points, read_by
from explainer.claims.verdict import Verdict

#: Kinds that compare checkpoints, so that an error all items share on one day looks like a change.
_OVER_CHECKPOINTS = frozenset({"change", "no-change", "break-in", "same-line"})

#: Each takes the case and the verdict so far; what it leaves of it the next one is given.
LOOKS: tuple[Callable[[Case, Verdict], Found | None], ...] = (
    exclusion.look,
    dropouts.look,
    cut_off.look,
    confounded.look,
    chosen.look,
)


def judged(case: Case) -> Verdict:
    """The verdict of the kind's judge, after all second looks."""
    verdict = case.kind.judge(case)
    if verdict.code == "not-tested":
        return verdict
    known: dict[str, Any] = shared(case)
    for look in LOOKS:
        found = look(case, verdict)
        if found is None:
            continue
        known |= found.known
        code = rules.weakened(verdict.code, found.code)
        verdict = replace(verdict, code=code, reasons=ordered([*verdict.reasons, *found.reasons]))
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
    if case.test.kind not in _OVER_CHECKPOINTS:
        return {}
    named = points(case).values()
    for table, measure in read_by(case):
        if table.use is None or (table.order and any(isinstance(p, tuple) for p in named)):
            return {}
        if sd := table.shared_sd.get(measure):
            source = table.reference if table.reference is not None else "declared"
            return {"shared_sd": sd, "shared_from": source}
        derived = case.study.measure(measure).derived
        cancels = derived is not None and derived.difference is not None
        if cancels or measure in table.shared_sd or table.reference is not None:
            return {}
    return {"unshared": True}
