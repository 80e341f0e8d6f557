"""The finer case of a verdict, which chooses its phrase: no range, too small, short."""

from __future__ import annotations

from explainer.claims.kinds import kind_of
from explainer.claims.verdict import Verdict

#: Reasons that take a verdict down although its range alone would hold.
SHAKY = frozenset({
    "fragile", "one-step", "holm", "gauge-too-coarse", "shared-trend", "mixture", "too-few-items",
    "unequal-use", "shared-part", "items-moved", "narrow-zone", "straight", "step", "pairs",
    "cut-off", "dropouts", "exclusion-decides", "confounded", "chosen",
})  # fmt: skip


def subs(verdict: Verdict) -> list[str]:
    """Finer names of this verdict's case, the most telling first."""
    found: list[str] = ["one"] if verdict.detail.one_item else []
    own = _own(verdict)
    if verdict.code == "not-tested":
        found += list(verdict.reasons)
    elif verdict.estimate is None and not kind_of(verdict).calls:
        found.append("no-number")
    elif verdict.low is None and verdict.high is None and not kind_of(verdict).calls:
        found.append("no-range")
    elif "no-margin" in verdict.reasons:
        found.append("no-margin")
    elif verdict.detail.flags_decide:
        found.append("flags-decide")
    elif verdict.code == "against":
        return [*found, *own, *_against(verdict), *(["strong"] if verdict.detail.strong else [])]
    found += own
    if verdict.detail.strong:
        found.append("strong")
    return found


def _own(verdict: Verdict) -> list[str]:
    """What this claim asks beside others of its kind: with something held alike (the group, too),
    about so much a step, as a ratio of odds, that two rates are alike, or that none meets a
    limit."""
    detail = verdict.detail
    alike = verdict.test.kind == "rate-difference" and detail.margin is not None
    asked = {
        "about": getattr(detail, "about", None) is not None, "odds": getattr(detail, "odds", False),
        "alike": alike, "none": getattr(verdict.test, "meets", "all") == "none",
        "given": bool(getattr(detail, "given", ())) or getattr(detail, "inside_groups", False),
    }  # fmt: skip
    return [name for name, so in asked.items() if so]


def shaky(verdict: Verdict) -> bool:
    """A lean or an open claim that a reason takes down, whatever its range says alone."""
    held_back = bool(SHAKY & set(verdict.reasons)) or verdict.detail.groups_apart
    return verdict.code in ("leans", "cannot-tell") and held_back


def _against(verdict: Verdict) -> list[str]:
    """How the data disagree: too small, short of what was said, or the other way."""
    low, high, margin = verdict.low, verdict.high, verdict.detail.margin
    corrected = kind_of(verdict).corrected
    if not corrected or low is None or high is None:
        return []
    side = claimed_side(verdict)
    none = 1.0 if verdict.unit == "odds ratio" else 0.0
    other_way = high < none if side > 0 else low > none
    if verdict.detail.at_least and not other_way:
        return ["short"]
    if not kind_of(verdict).gap:
        return []
    return ["small"] if margin is not None and not other_way else []


def claimed_side(verdict: Verdict) -> int:
    """The way the claim says: 1, −1, or that of the estimate where it says none."""
    said = getattr(verdict.test, "direction", "any")
    ways_ = {"up": 1, "higher": 1, "positive": 1, "down": -1, "lower": -1, "negative": -1}
    return ways_.get(said, 1 if (verdict.estimate or 0) > 0 else -1)
