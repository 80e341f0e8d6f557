"""The table of claim kinds.  To add one: its parameters in ``study/description/tests.py``, its
judge and record in a file here, its row below, its facts in ``words/facts/kinds.py`` and its
sentences in ``templates/phrases/``."""

from __future__ import annotations

from collections.abc import Mapping

from explainer.claims import (
    agreement,
    association,
    break_in,
    change,
    crossing,
    difference,
    difference_in_change,
    limit,
    mean_is,
    no_association,
    no_change,
    no_difference,
    no_worse,
    not_testable,
    population_limit,
    ranking,
    rate_difference,
    repeatability,
    same_line,
    settles,
    share_of_items,
    since,
    spread,
    steps,
    tracks_within,
    trend,
)
from explainer.claims.build import ClaimKind
from explainer.claims.percent import in_percent
from explainer.claims.verdict import Verdict
from explainer.study.description import tests as t

_SHAPE = ("plateau_low", "plateau_high")
_HALVING = ("fragile_halving",)

ROWS: tuple[ClaimKind, ...] = (
    ClaimKind("change", t.Change, in_percent(change.judge), change.ChangeDetail,
              corrected=True, gap=True, thresholds=_HALVING,
              shown_by={"over-use": 1, "shot-series": 2, "ball-paths": 2}),
    ClaimKind("no-change", t.NoChange, in_percent(no_change.judge), no_change.NoChangeDetail,
              level=0.90, gap=True, thresholds=_HALVING,
              shown_by={"over-use": 2, "shot-series": 3, "ball-paths": 3}),
    ClaimKind("difference", t.Difference, in_percent(difference.judge), difference.DifferenceDetail,
              corrected=True, gap=True, thresholds=_HALVING,
              shown_by={"groups": 1, "ball-paths": 1}),
    ClaimKind("difference-in-change", t.DifferenceInChange, difference_in_change.judge,
              difference_in_change.DifferenceInChangeDetail,
              corrected=True, gap=True, thresholds=_HALVING, shown_by={"over-use": 4}),
    ClaimKind("association", t.Association, association.judge, association.AssociationDetail,
              corrected=True, by_margin=False, links=True, thresholds=_HALVING,
              shown_by={"scatter": 1}),
    ClaimKind("no-association", t.NoAssociation, no_association.judge,
              no_association.NoAssociationDetail,
              level=0.90, thresholds=_HALVING, shown_by={"scatter": 2}),
    ClaimKind("tracks-within", t.TracksWithin, tracks_within.judge, tracks_within.TracksDetail,
              corrected=True, thresholds=_HALVING, shown_by={"scatter": 3}),
    ClaimKind("same-line", t.SameLine, same_line.judge, same_line.SameLineDetail,
              level=0.90, thresholds=_SHAPE, shown_by={"scatter": 4}),
    ClaimKind("break-in", t.BreakIn, break_in.judge, break_in.BreakInDetail,
              level=0.90, thresholds=_SHAPE, shown_by={"over-use": 3}),
    ClaimKind("trend", t.Trend, in_percent(trend.judge), trend.TrendDetail, corrected=True,
              thresholds=("outlier_k", "many_flagged", "fragile_halving"),
              shown_by={"shot-series": 1}),
    ClaimKind("repeatability", t.Repeatability, repeatability.judge,
              repeatability.RepeatabilityDetail, general=False, sizes=True,
              thresholds=("gauge_good", "gauge_poor"), shown_by={"gauge": 1}),
    ClaimKind("limit", t.LimitTest, limit.judge, limit.LimitDetail,
              ranged=False, general=False, calls=True, shown_by={"limit": 1}),
    ClaimKind("rate-difference", t.RateDifference, rate_difference.judge,
              rate_difference.RateDetail,
              corrected=True, thresholds=_HALVING, shown_by={"rates": 1}),
    ClaimKind("mean-is", t.MeanIs, mean_is.judge, mean_is.MeanIsDetail,
              level=0.90, shown_by={"groups": 4, "over-use": 8, "limit": 3}),
    ClaimKind("ranking", t.Ranking, ranking.judge, ranking.RankingDetail,
              gap=True, one_range=False, sizes=True, thresholds=_HALVING,
              shown_by={"groups": 2}),
    ClaimKind("spread", t.Spread, spread.judge, spread.SpreadDetail,
              corrected=True, shown_by={"groups": 5, "over-use": 9, "shot-series": 5}),
    ClaimKind("share-of-items", t.ShareOfItems, share_of_items.judge,
              share_of_items.ShareOfItemsDetail, general=False, shown_by={"over-use": 5}),
    ClaimKind("no-worse", t.NoWorse, no_worse.judge, no_worse.NoWorseDetail,
              level=0.90, gap=True, shown_by={"over-use": 6, "groups": 6, "shot-series": 4}),
    ClaimKind("no-difference", t.NoDifference, no_difference.judge,
              no_difference.NoDifferenceDetail, level=0.90, gap=True, sizes=True,
              shown_by={"groups": 9, "gauge": 3}),
    ClaimKind("settles", t.Settles, settles.judge, settles.SettlesDetail,
              level=0.90, gap=True, one_range=False, shown_by={"over-use": 4}),
    ClaimKind("since", t.Since, since.judge, since.SinceDetail, gap=True, one_range=False,
              thresholds=("delta_aicc",), shown_by={"over-use": 10, "shot-series": 6}),
    ClaimKind("crossing", t.Crossing, crossing.judge, crossing.CrossingDetail,
              level=0.90, shown_by={"over-use": 7}),
    ClaimKind("population-limit", t.PopulationLimit, population_limit.judge,
              population_limit.PopulationLimitDetail,
              level=0.90, shown_by={"limit": 2, "groups": 7}),
    ClaimKind("agreement", t.Agreement, agreement.judge, agreement.AgreementDetail,
              level=0.90, gap=True, sizes=True, shown_by={"groups": 8, "gauge": 2}),
    ClaimKind("steps", t.Steps, steps.judge, steps.StepsDetail,
              corrected=True, gap=True, shown_by={"groups": 3}),
    ClaimKind("not-testable", t.NotTestable, not_testable.judge, ranged=False, general=False),
)  # fmt: skip

KINDS: Mapping[str, ClaimKind] = {row.name: row for row in ROWS}


def kind_of(verdict: Verdict) -> ClaimKind:
    """The row of the kind a verdict is of."""
    return KINDS[verdict.test.kind]


def testable(verdict: Verdict) -> bool:
    """Whether the claim is a question for data at all."""
    return kind_of(verdict).ranged or kind_of(verdict).calls


def shown_by(figure: str) -> tuple[str, ...]:
    """The kinds of claim that a kind of figure can show, most telling first."""
    rows = [row for row in ROWS if figure in row.shown_by]
    return tuple(row.name for row in sorted(rows, key=lambda row: row.shown_by[figure]))


def backed_though_small(verdict: Verdict) -> bool:
    """Whether an effect is there as claimed, and all of its likely range is too small to matter.

    Where the claim is that there is none (`no-change`), small is what backs it.
    """
    real = verdict.code == "backed" and "real-but-small" in verdict.reasons
    return real and kind_of(verdict).corrected
