"""The named numbers that decide a verdict, and what a study may set in their place.

All but the usual 5% and 80% are proposals of ours and not of any standard; the page states
them, and ``thresholds:`` in study.yaml overrides them by name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from explainer.study.description.study import Description


@dataclass(frozen=True)
class Threshold:
    """A named number: its value, what it decides, and the range in which it makes sense."""

    value: float
    explained: str
    """Of all that rest on it; of one kind of claim alone as ``of_kind`` says."""
    lowest: float = 0.0
    highest: float = 1.0
    of_kind: Mapping[str, str] = field(default_factory=dict)


_STANDARD = {
    "strong_r": Threshold(
        0.7, "a correlation is called strong from this size on"
    ),
    "strong_inner": Threshold(
        0.5, "and only if the near end of its likely range reaches this size"
    ),
    "plateau_low": Threshold(
        0.8, "most of a change, one and the same line, or about as much: at least this share",
        of_kind={"break-in": "leveled off: at least this share of the whole change has happened",
                 "same-line": "the same line: inside an item at least this share of the slope "
                              "between items",
                 "about": "about as much as claimed: at least this share of it"},
    ),
    "plateau_high": Threshold(
        1.25, "and at most this share", 1.0, 10.0,
        of_kind={"break-in": "leveled off: at most this share, more would be an overshoot",
                 "same-line": "the same line: at most this share of the slope between items",
                 "about": "about as much as claimed: at most this share of it"},
    ),
    "delta_aicc": Threshold(
        4.0, "a curve's shape is named only if it beats the next by this much AICc", 0.0, 100.0
    ),
    "outlier_k": Threshold(
        3.0, "a reading is flagged this many robust spreads from the line of its own series",
        0.5, 100.0,
    ),
    "many_flagged": Threshold(
        0.10, "more flagged readings than this share are too many to pass for outliers"
    ),
    "fragile_halving": Threshold(
        0.5, "fragile: without one item the estimate shrinks below this share of itself"
    ),
    "holm_alpha": Threshold(
        0.05, "several claims at once: Holm's correction holds false alarms to this share"
    ),
    "gauge_good": Threshold(
        10.0, "a gauge is good below this percentage of the study's variation", 0.0, 100.0
    ),
    "gauge_poor": Threshold(
        30.0, "and inadequate above this one", 0.0, 100.0
    ),
    "gauge_half": Threshold(
        0.5, "a link counts in full if at least this share of the spread is not the gauge's own"
    ),
    "power": Threshold(
        0.8, "the chance of finding a true effect that a design is planned for", 0.05, 0.999
    ),
    "power_alpha": Threshold(
        0.05, "the share of false alarms that a design is planned for", 0.0001, 0.5
    ),
}  # fmt: skip

#: Every threshold by name, in the order pages list them.
THRESHOLDS: Mapping[str, Threshold] = MappingProxyType(_STANDARD)


def thresholds(description: Description | None = None) -> Mapping[str, float]:
    """All thresholds by name: the study's own where it sets one, ours elsewhere."""
    ours = {name: threshold.value for name, threshold in THRESHOLDS.items()}
    own = description.thresholds if description is not None else {}
    return MappingProxyType({**ours, **{k: v for k, v in own.items() if k in ours}})
