"""``same-line``: does use move an item along the line that different items lie on?

A ball that use has brought to some reading is not the same as a ball made with it; this test
asks how far the two agree.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from explainer.analysis import association, within as levels
from explainer.analysis.result import Estimate, Undefined, few_or_flat
from explainer.analysis.shares import LineShare as Share, same_line
from explainer.claims import evidence, rules
from explainer.claims.association import (
    LinkDetail,
    Side,
    both_levels,
    cannot_pair,
    group_of_each,
    operands,
)
from explainer.claims.break_in import bounds, closed
from explainer.claims.build import Case, Story, ordered, undefined
from explainer.claims.detail import made, published
from explainer.claims.reading_error import in_slope, reliability_within
from explainer.claims.shared_part import shared_part
from explainer.claims.tracks_within import of_groups
from explainer.claims.verdict import Code, Strip, Verdict
from explainer.study.description.tests import SameLine


@dataclass(frozen=True, kw_only=True)
class SameLineDetail(LinkDetail):
    line_from: str | None = None
    reliability: float | None = None
    """Share of the spread of x within items that is not gauge scatter."""
    items_same_sign: int | None = None
    n_line: int | None = None
    """How many items the line between them is of, where it is their own: one that did not move
    lies on it, too."""
    line_own: bool = False
    """That line is of all that each was read, where some were read at other checkpoints: a link,
    and a figure, keep to those that all share."""
    slope_within: float | None = published("Slope within a {item}", "slope")
    slope_between: float | None = published("Slope between {items}, by their averages", "slope")
    slope_difference: float | None = published("Difference of the slopes", "slope")
    df: float | None = published("Degrees of freedom")
    share_of_line: float | None = published("Share of the line between {items}")


def judge(case: Case) -> Verdict:
    """The within slope as a share of the between slope, with Fieller's 90% range."""
    test = case.test
    assert isinstance(test, SameLine)
    x, y = operands(case, test)
    if refused := cannot_pair(case, x, y):
        return refused
    pairs = evidence.pairs_of_checkpoints(x, y)
    inner = both_levels(case.study, x, y, pairs)
    if isinstance(inner, Undefined):
        # What it has is a slope, and that is no share of a line.
        inner = replace(inner, value=None)
        return undefined(case, inner, unit="share", n_rows=pairs.n_rows, table=y[0].name)
    inner = replace(inner, slope=in_slope(inner.slope, x, y, pairs))
    line, line_x = _line(case, test, x, y, inner)
    detail: Story = {
        "x": x[1], "y": y[1], "slope_within": inner.slope.value, "line_from": test.line_from,
        "slope_within_low": inner.slope.at95.low, "slope_within_high": inner.slope.at95.high,
        "slope_between": line.value if isinstance(line, Estimate) else None,
        "items_same_sign": inner.items_same_sign,
        "line_own": test.line_from is None and bool(evidence.at_shared(pairs)[1]),
    }  # fmt: skip
    groups = evidence.groups_of(case.study, (y[0], x[0]), pairs.names)
    if groups is not None:
        detail |= of_groups(inner, groups)
    if not isinstance(line, Estimate) or line.se is None or inner.slope.se is None:
        few = isinstance(line, Undefined) and line.why == "too-few-items"
        none = Undefined("few-in-line" if few else "no-line", len(pairs.names),
                         fewest=association.FEWEST_FOR_LINE)  # fmt: skip
        return undefined(case, none, unit="share", n_rows=pairs.n_rows, table=y[0].name,
                         detail=detail)  # fmt: skip
    reliability = reliability_within(case.study, x, pairs)
    result = _share(inner, line, reliability)
    assert result is not None
    code = rules.in_plateau(bounds(result.at90), bounds(result.at80), case.limits)
    reasons: list[str] = []
    fixed = line if test.line_from is not None else None
    sides = (x, y)
    code = _carried(code, case, sides, pairs, fixed, reliability, reasons, detail)
    code = _doubted(code, result, reliability, line_x, pairs, reasons, detail)
    if shared := shared_part(case.study, x, y):
        reasons.append("shared-part")
        detail["shared_part"] = shared.kind
        code = rules.unseated(code)
    detail |= {"reliability": reliability, "n_line": None if fixed else len(pairs.names)}
    counted = len(inner.carriers), pairs.rows_of(inner.carriers)
    return _verdict(case, code, result, reasons, counted, y, detail)


def _share(inner: levels.Within, line: Estimate | None, reliability: float | None) -> Share | None:
    """The within slope over the line's."""
    if line is None or line.se is None or inner.slope.se is None:
        return None
    return same_line(
        inner.slope.value, inner.slope.se, inner.slope.df or 1.0, line.value, line.se,
        line.df or 1.0, 1.0 if reliability is None else reliability,
    )  # fmt: skip


def _carried(
    code: Code,
    case: Case,
    sides: tuple[Side, Side],
    pairs: evidence.Pairs,
    line: Estimate | None,
    reliability: float | None,
    reasons: list[str],
    detail: Story,
) -> Code:
    """Fragile where one item keeps the share in its zone, or out of it.

    Not where it only keeps the whole range there: of any range that ends near the zone's edge, some
    item does.

    ``line`` of other, new items stays as it is; without one it is the items' own, and goes with
    them.
    """
    if code not in ("backed", "leans", "against"):
        return code
    low, high = case.limits["plateau_low"], case.limits["plateau_high"]
    lost: list[tuple[str, float | None]] = []
    for name in pairs.names:
        kept = evidence.kept(pairs, pairs.items != name)
        # What all share at a checkpoint is no part of a share, and would be most of the work.
        groups = evidence.groups_of(case.study, (sides[1][0], sides[0][0]), kept.names)
        of = group_of_each(kept.names, groups)
        inner = levels.within(kept.x, kept.y, kept.items, group=of)
        again = None
        if not isinstance(inner, Undefined):
            again = _share(inner, line or inner.slope_between, reliability)
        share = None if again is None else again.share
        inside = share is not None and low <= share <= high
        if share is None or inside == (code == "against"):
            lost.append((name, share))
    if not lost:
        return code
    name, share = next((found for found in lost if found[1] is None), lost[0])
    alike = [of for _, of in lost if (of is None) == (share is None)]
    reasons.append("fragile")
    detail |= {"fragile_item": name, "fragile_without": share, "fragile_count": len(alike),
               "fragile_range": share is None}  # fmt: skip
    return rules.unseated(code)


def _line(
    case: Case, test: SameLine, x: Side, y: Side, inner: levels.Within
) -> tuple[Estimate | Undefined, evidence.Floats | None]:
    """The line that different items lie on, and their x where another table gives it."""
    if test.line_from is None:
        none = few_or_flat(len(inner.items), association.FEWEST_FOR_LINE, "")
        return inner.slope_between or none, None
    other = case.study.tables[test.line_from]
    new = evidence.pairs_of_items((other, x[1]), (other, y[1]))
    fit = association.slope(new.x, new.y)
    return fit, new.x


def _doubted(
    code: Code,
    result: Share,
    reliability: float | None,
    line_x: evidence.Floats | None,
    pairs: evidence.Pairs,
    reasons: list[str],
    detail: Story,
) -> Code:
    """Where the gauge could have flattened the journey, or use has left the line's own range."""
    if code == "against" and reliability is None and result.share is not None and result.share < 1:
        reasons.append("gauge-too-coarse")
        code = "cannot-tell"
    if line_x is not None and len(line_x):
        low, high = float(line_x.min()), float(line_x.max())
        outside = (pairs.x < low) | (pairs.x > high)
        if outside.any():
            reasons.append("beyond-data")
            detail |= {
                "measured_from": low, "measured_to": high,
                "reaches": float(pairs.x[outside][np.argmax(np.abs(pairs.x[outside] - low))]),
                "outside_items": sorted(set(pairs.items[outside].tolist())),
            }  # fmt: skip
            code = "not-tested" if outside.all() else rules.demoted(code)
    if code == "against":
        reasons.append("levels-disagree")
    return code


def _verdict(
    case: Case,
    code: Code,
    result: Share,
    reasons: list[str],
    counted: tuple[int, int],
    y: Side,
    detail: Story,
) -> Verdict:
    n_items, n_rows = counted
    at95, at90 = bounds(result.at95) or (None, None), bounds(result.at90) or (None, None)
    return Verdict(
        claim=case.claim, test=case.test, code=code, reasons=ordered(reasons),
        estimate=result.share, low=at95[0], high=at95[1], level=0.95, unit="share",
        p=None, p_holm=None, n_items=n_items, n_rows=n_rows,
        method="ratio of the within to the between slope, Fieller",
        strip=Strip(
            result.share, at90[0], at90[1],
            (case.limits["plateau_low"], case.limits["plateau_high"]), None, 1.0, "share",
            # A share of two slopes in y for each step in x: no use is in it.
            "less than the line says", "more than the line says", level=0.90,
            inner=closed(result.at80),
        ),
        detail=made(case.kind.detail, {
            **detail, "slope_difference": result.slope_difference, "df": result.df,
            "share_of_line": result.share,
        }),
        table=y[0].name,
    )  # fmt: skip
