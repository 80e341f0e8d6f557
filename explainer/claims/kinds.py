"""The table of claim tests: to add one, write its file and its row."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from explainer.claims import (
    association,
    break_in,
    change,
    difference,
    limit,
    no_association,
    no_change,
    not_testable,
    rate_difference,
    repeatability,
    same_line,
    tracks_within,
    trend,
)
from explainer.claims.build import Case
from explainer.claims.verdict import Verdict

TESTS: Mapping[str, Callable[[Case], Verdict]] = {
    "change": change.judge,
    "no-change": no_change.judge,
    "difference": difference.judge,
    "association": association.judge,
    "no-association": no_association.judge,
    "tracks-within": tracks_within.judge,
    "same-line": same_line.judge,
    "break-in": break_in.judge,
    "trend": trend.judge,
    "repeatability": repeatability.judge,
    "limit": limit.judge,
    "rate-difference": rate_difference.judge,
    "not-testable": not_testable.judge,
}

#: Tests whose p takes part in the Holm correction; equivalence, ratios and gauges do not.
CORRECTED = frozenset(
    {"change", "difference", "association", "tracks-within", "trend", "rate-difference"}
)
