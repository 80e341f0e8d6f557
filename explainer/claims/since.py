"""``since``: another level from a place named beforehand on, and the jump was there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from explainer.analysis import drift
from explainer.analysis.change import mean_change
from explainer.analysis.result import Estimate, Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, table_for, undefined
from explainer.claims.change import change_power, change_strip, gauge_floor, only_group
from explainer.claims.detail import Detail, published
from explainer.claims.reading_error import in_jump
from explainer.claims.trend import Series, series_of
from explainer.claims.verdict import Code, Strip, Verdict
from explainer.study.description.tests import Since
from explainer.study.model import Table

#: Readings of an item on either side of a place where a jump is looked for, at the least.
EACH_SIDE = 2
#: The level at which a jump at another place speaks against the claim.
ALPHA = 0.05


@dataclass(frozen=True, kw_only=True)
class SinceDetail(Detail):
    mean_before: float | None = published("Mean before", "measure", beside="mean_after")
    mean_after: float | None = published("Mean from there on", "measure", beside="mean_before")
    place: float | None = published("Where one jump fits best")
    place_low: float | None = published("95% set of such places, first")
    place_high: float | None = published("95% set of such places, last")
    jump_ahead: float | None = published("How far a jump fits better than a drift (AICc)")
    fails: str = ""
    """The half that decides: ``size`` or ``place``."""
    size_code: str = ""
    place_code: str = ""
    smooth: bool = False
    """A drift fits as well as a jump, so that there may be no since at all."""
    bent: bool = False
    """A slope that ends in a level, or sets out from one, fits better than a jump: a fading curve
    is far from a straight line, too."""


def judge(case: Case) -> Verdict:
    """The items' changes by t, and the place of one jump by its likelihood; the weaker decides."""
    test = case.test
    assert isinstance(test, Since)
    table = table_for(case, test.measure)
    measure = case.study.measure(test.measure)
    named = test.since if test.over == (table.use or table.order) else None
    if nothing := nothing_to_test(case, table, measure.unit, named):
        return nothing
    every = series_of(table, test.over, test.measure)
    series = [s for s in every if (s[1] < test.since).any() and (s[1] >= test.since).any()]
    before = np.array([y[x < test.since].mean() for _, x, y in series])
    after = np.array([y[x >= test.since].mean() for _, x, y in series])
    rows = int(table.frame[test.measure].notna().sum())
    detail: Story = {
        "without": [i for i in table.items if i not in {name for name, _, _ in series}],
        "mean_before": float(before.mean()) if len(series) else None,
        "mean_after": float(after.mean()) if len(series) else None,
        "margin": measure.matters_from,
    }  # fmt: skip
    size = mean_change(after - before, floor_sd=gauge_floor(measure))
    size = in_jump(size, table, test.measure, test.over, test.since)
    if isinstance(size, Undefined):
        return undefined(case, size, unit=measure.unit, n_rows=rows, table=table.name,
                         detail=detail)  # fmt: skip
    side = rules.SIDE[test.direction]
    codes: tuple[Code, Code] = (
        rules.directed(size, side, None, measure.matters_from),
        _placed(case, table, series, detail),
    )
    code = rules.weakest(list(codes))
    fails: Literal["size", "place"] = "size" if codes[0] == code else "place"
    reasons = only_group(case, [name for name, _, _ in series], detail)
    if code == "cannot-tell" and len(series) <= 3:
        reasons.append("too-few-items")
    if fails == "place" and (detail.get("smooth") or detail.get("bent")):
        reasons.append("straight")
    detail |= {"fails": fails, "size_code": codes[0], "place_code": codes[1]}
    own = change_strip(size, side, None, measure)
    verdict = settled(
        case, code, size,
        unit=measure.unit, n_rows=rows, table=table.name, reasons=reasons, strip=own,
        power=change_power(after - before, measure.matters_from, measure.unit, case.limits),
        detail=detail,
    )  # fmt: skip
    if fails == "size":
        return verdict
    if detail.get("place") is None:  # nothing shows when: the range of the size decides nothing
        return replace(verdict, strip=replace(own, claim_zone=None, beyond=None))
    return replace(verdict, strip=_place_strip(test, table, detail))


def _placed(case: Case, table: Table, series: list[Series], detail: Story) -> Code:
    """Whether one jump of all items lies where the claim says, and is a jump at all."""
    test = case.test
    assert isinstance(test, Since)
    curves = [(x, y) for _, x, y in series]
    off = table.shared_sd.get(test.measure, 0.0) if test.over == table.use else 0.0
    found = drift.likely_places(curves, EACH_SIDE, off)
    fit = drift.jump(curves, EACH_SIDE)
    if found is None or fit is None:
        return "cannot-tell"
    detail |= {"place": found.best, "place_low": found.low, "place_high": found.high,
               "jump_ahead": fit.ahead}  # fmt: skip
    near, far = test.since - (test.within or 0.0), test.since + (test.within or 0.0)
    detail["smooth"] = fit.ahead < case.limits["delta_aicc"]
    if detail["smooth"]:
        return "leans" if fit.ahead > 0 and near <= found.best <= far else "cannot-tell"
    detail["bent"] = drift.bends(curves, [found.best] * len(curves))
    if detail["bent"]:
        return "cannot-tell"
    if near <= found.low and found.high <= far:
        return "backed"
    if found.high < near or found.low > far:
        return "against" if _jumped(curves, found.best) else "cannot-tell"
    return "leans" if near <= found.best <= far else "cannot-tell"


def _jumped(curves: list[tuple[evidence.Floats, evidence.Floats]], place: float) -> bool:
    """Whether the items' levels differ at a place that was looked for: by t, at the level that so
    many places leave to each (Bonferroni).  Scatter alone has a best place, too."""
    changes = np.array([y[x >= place].mean() - y[x < place].mean() for x, y in curves])
    looked_at = len(np.unique(np.concatenate([x for x, _ in curves])))
    found = mean_change(changes)
    return isinstance(found, Estimate) and found.p is not None and found.p * looked_at < ALPHA


def _place_strip(test: Since, table: Table, detail: Story) -> Strip:
    """The place of the jump on the line of use, and where the claim needs it."""
    unit = (table.use_unit or "step") if test.over == table.use else test.over
    room = test.within or 0.0
    return Strip(
        value=detail["place"], low=detail["place_low"], high=detail["place_high"],
        claim_zone=(test.since - room, test.since + room), small_zone=None, null=None, unit=unit,
        less_is="sooner", more_is="later",
    )  # fmt: skip
