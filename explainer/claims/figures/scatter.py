"""``scatter``: one measure against another, between items and within each one's journey."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import pandas as pd

from explainer.analysis import association as between, grouped, within as levels
from explainer.analysis.result import Estimate, Undefined
from explainer.analysis.sample import is_fragile
from explainer.claims import evidence
from explainer.claims.association import both_levels, differ
from explainer.claims.figure_data import FitLine, Point, ScatterData
from explainer.claims.figures.common import groups_of, number_rows
from explainer.claims.tracks_within import of_groups
from explainer.claims.verdict import FigureResult, Finding, NumbersTable, Verdict
from explainer.study.description.figures import Scatter
from explainer.study.description.tests import Association, NoAssociation
from explainer.study.model import Study, Table
from explainer.study.thresholds import thresholds

#: Looks that dots can have: with more, some would share one.
MOST_ALIKE = 4


def picture(study: Study, figure: Scatter, verdicts: Sequence[Verdict]) -> FigureResult:
    """Points, item means, both lines, and the findings at both levels."""
    x = evidence.operand(study, figure.x, figure.table)
    y = evidence.operand(study, figure.y, figure.table)
    table = study.tables[figure.table]
    held = _held_alike(table, figure, verdicts)
    groups = groups_of(table if held else x[0], held)
    used = evidence.several_each(x, y)
    point = _tested_at(figure, verdicts) if used and not figure.joined else None
    means = evidence.pairs_of_items(x, y, point)
    many = evidence.pairs_of_checkpoints(x, y) if used else means
    others = _others(study, figure, x[1], y[1])
    line_of = others if others is not None else means
    fit, r = between.slope(line_of.x, line_of.y), between.pearson(line_of.x, line_of.y)
    lone = _lone(r, line_of, study)
    inner = both_levels(study, x, y, many) if used else None
    data = ScatterData(
        points=_points(many if figure.joined and used else means, groups),
        item_means=_points(means, groups),
        between=_line(fit, line_of) if isinstance(fit, Estimate) else None,
        within=_journey(inner, many) if isinstance(inner, levels.Within) else None,
        joined=figure.joined and used,
        line_points=_points(others, {}) if others is not None else (),
        sure=isinstance(r, Estimate) and r.at95.excludes(0.0),
        without=_line_without(line_of, lone[0]) if lone else None,
        one=str(line_of.items[lone[0]]) if lone else "",
        at=point,
        shared=means.shared,
        shared_at=means.shared_at,
        unmatched=means.unmatched,
        expected=_expected(many, fit)
        if figure.joined and used and isinstance(r, Estimate) and r.at95.excludes(0.0) and not lone
        else None,
        by=held or x[0].group,
    )
    found = [*_between(r, fit, line_of, lone, not data.joined or others is not None)]
    found += _of_groups(r, line_of, evidence.groups_of(study, (y[0], x[0]), line_of.names))
    found += _within(inner, evidence.groups_of(study, (y[0], x[0]), many.names))
    drawn = many.x if data.joined else means.x
    found.append(Finding("edge", {"x_from": float(drawn.min()), "x_to": float(drawn.max())})
                 if len(drawn) else Finding("edge", {}))  # fmt: skip
    return FigureResult(
        figure,
        data,
        tuple(found),
        _table(study, x[1], y[1], y[0].item, data),
        len(means.names),
        (many if data.joined else means).n_rows,
    )


def _tested_at(figure: Scatter, verdicts: Sequence[Verdict]) -> float | None:
    """The one checkpoint at which all claims of a figure relate its two measures; else None.

    Its dots and its slope are then those that the verdicts go by.
    """
    of = sorted(map(_named, (figure.x, figure.y)))
    points = {
        getattr(part.test, "at", None)
        for v in verdicts if v.claim.figure == figure.id
        for part in v.each
        if isinstance(part.test, Association | NoAssociation)
        and not getattr(part.test, "within", False)
        and sorted(map(_named, (part.test.x, part.test.y))) == of
    }  # fmt: skip
    if len(points) != 1:
        return None
    (point,) = points
    return float(point) if isinstance(point, int | float) else None


def _held_alike(table: Table, figure: Scatter, verdicts: Sequence[Verdict]) -> str | None:
    """The column of words that the figure's claims hold alike: its dots are told apart by it.

    A link with covers held alike may run against the whole cloud, and nobody can see that in dots
    of one colour.  Only where the study sorts its items by nothing else, and by few words.
    """
    columns = {
        part.test.given or () for v in verdicts if v.claim.figure == figure.id
        for part in v.each if isinstance(part.test, Association)
    }  # fmt: skip
    if table.group or len(columns) != 1 or len(names := columns.pop()) != 1:
        return None
    (name,) = names
    if name not in table.frame or table.frame[name].nunique() > MOST_ALIKE:
        return None
    return name if pd.to_numeric(table.frame[name], errors="coerce").isna().all() else None


def _named(side: Any) -> str:
    return str(getattr(side, "measure", side))


def _others(study: Study, figure: Scatter, x: str, y: str) -> evidence.Pairs | None:
    if figure.line_from is None:
        return None
    other = study.tables[figure.line_from]
    return evidence.pairs_of_items((other, x), (other, y))


def _points(pairs: evidence.Pairs, groups: dict[str, str]) -> tuple[Point, ...]:
    return tuple(
        Point(
            str(i), groups.get(str(i), ""), float(u) if np.isfinite(u) else None, float(a), float(b)
        )
        for i, u, a, b in zip(pairs.items, pairs.use, pairs.x, pairs.y, strict=True)
    )


def _line(fit: Estimate, pairs: evidence.Pairs) -> FitLine:
    """Across items, drawn only as far as they reach."""
    intercept = float(pairs.y.mean() - fit.value * pairs.x.mean())
    return FitLine(fit.value, intercept, float(pairs.x.min()), float(pairs.x.max()))


def _lone(
    r: Estimate | Undefined, pairs: evidence.Pairs, study: Study
) -> tuple[int, float | None] | None:
    """The item that makes most of the link: its place, and the link without it."""
    if isinstance(r, Undefined):
        return None
    each = [float(v) if np.isfinite(v) else None for v in between.leave_one_out_r(pairs.x, pairs.y)]
    fragile, which = is_fragile(r.value, each, thresholds(study.description)["fragile_halving"])
    return (which, each[which]) if fragile else None


def _line_without(pairs: evidence.Pairs, which: int) -> FitLine | None:
    """Across the others, as far as they reach."""
    x, y = np.delete(pairs.x, which), np.delete(pairs.y, which)
    fit = between.slope(x, y)
    if not isinstance(fit, Estimate):
        return None
    intercept = float(y.mean() - fit.value * x.mean())
    return FitLine(fit.value, intercept, float(x.min()), float(x.max()))


def _expected(
    many: evidence.Pairs, fit: Estimate | Undefined
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The average journey's start, and its end had it kept to the slope of the line."""
    if not isinstance(fit, Estimate):
        return None
    ends = []
    for item in many.names:
        own = np.flatnonzero(many.items == item)
        own = own[np.argsort(many.use[own], kind="stable")]
        if len(own) > 1:
            ends.append((many.x[own[0]], many.y[own[0]], many.x[own[-1]]))
    if not ends:
        return None
    x, y, to = np.mean(np.array(ends, dtype=float), axis=0).tolist()
    if abs(to - x) <= 0.01 * float(np.ptp(many.x)):  # an arrow that nobody would see
        return None
    return (x, y), (to, y + fit.value * (to - x))


def _journey(inner: levels.Within, many: evidence.Pairs) -> FitLine:
    """The pooled within slope through the overall mean, as wide as a typical journey.

    Of the items whose x moved, and never too short to be seen as a line with a slope: a quarter of
    what is drawn, across or up, whichever it meets first.
    """
    spans = [np.ptp(many.x[many.items == i]) for i in inner.carriers]
    middle_x, middle_y = float(many.x.mean()), float(many.y.mean())
    slope = inner.slope.value
    wide, tall = float(np.ptp(many.x)), float(np.ptp(many.y))
    seen = min(wide, tall / abs(slope)) if slope else wide
    half = max(float(np.median(spans)) / 2, seen / 8)
    return FitLine(slope, middle_y - slope * middle_x, middle_x - half, middle_x + half)


def _between(
    r: Estimate | Undefined, fit: Estimate | Undefined, pairs: evidence.Pairs,
    lone: tuple[int, float | None] | None, named: bool,
) -> list[Finding]:  # fmt: skip
    """Across items; ``named`` where the figure names their dots, so that one can be pointed at."""
    if isinstance(r, Undefined):
        # From three items on r can be worked out, though not how far off it may be.
        known = r.value is not None and r.n_items > 2
        return [Finding("link-alone", {"r": r.value, "n_items": r.n_items})] if known else []
    found = [Finding("between", {
        "r": r.value, "low": r.at95.low, "high": r.at95.high,
        "slope": fit.value if isinstance(fit, Estimate) else None, "n_items": r.n_items,
        "x_from": float(pairs.x.min()), "x_to": float(pairs.x.max()),
    })]  # fmt: skip
    if lone is not None:
        which, without = lone
        found.append(Finding("one-item", {
            "item": str(pairs.items[which]), "r": r.value, "r_without": without,
        }, (float(pairs.x[which]), float(pairs.y[which])) if named else None))  # fmt: skip
    return found


def _of_groups(
    r: Estimate | Undefined, pairs: evidence.Pairs, groups: evidence.Words | None
) -> list[Finding]:
    """That a link lies between the groups, by the rule of a claim of one (``claims/association``),
    and what is left of it inside them: None where too little is there to tell."""
    if groups is None or isinstance(r, Undefined) or not r.at95.excludes(0.0):
        return []
    inside = grouped.within_groups(pairs.x, pairs.y, groups)
    if isinstance(inside, Undefined):
        return [Finding("between-groups", {"r": None, "low": None, "high": None})]
    if not grouped.lies_between(r.value, inside.value):
        return []
    return [Finding("between-groups", {"r": inside.value, "low": inside.at95.low,
                                       "high": inside.at95.high})]  # fmt: skip


def _within(
    inner: levels.Within | Undefined | None, groups: evidence.Words | None
) -> list[Finding]:
    if not isinstance(inner, levels.Within):
        return []
    line = inner.slope_between
    uneven = groups is not None and of_groups(inner, groups)["groups_uneven"]
    return [
        Finding("within", {
            "r": inner.r, "df": inner.df, "slope": inner.slope.value,
            "slope_low": inner.slope.at95.low, "slope_high": inner.slope.at95.high,
            "same_sign": inner.items_same_sign, "n_items": inner.slope.n_items,
            **({"uneven": True} if uneven else {}),
        }),
        Finding("levels", {
            "verdict": differ(inner),
            "slope_between": line.value if isinstance(line, Estimate) else None,
            "slope_within": inner.slope.value, "p": inner.p_slopes_differ,
        }),
    ]  # fmt: skip


def _table(study: Study, x: str, y: str, item: str, data: ScatterData) -> NumbersTable:
    """What is drawn; a column for groups or use only where there are any."""
    columns: list[tuple[str, str, Callable[[Point], str | float | None]]] = [
        (item, "", lambda p: p.item)
    ]
    if any(p.group for p in data.points):
        columns.append((data.by or "group", "", lambda p: p.group))
    if data.joined:
        columns.append(("use", "", lambda p: p.use))
    columns += [
        (x, study.measure(x).unit, lambda p: p.x), (y, study.measure(y).unit, lambda p: p.y)
    ]  # fmt: skip
    names, units, values = zip(*columns, strict=True)
    rows = (tuple(value(p) for value in values) for p in data.points)
    return NumbersTable(names, units, number_rows(rows))
