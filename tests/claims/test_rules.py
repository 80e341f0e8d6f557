"""The table of verdicts (one row per test, one column per code), cell by cell, with its edges."""

from __future__ import annotations

import pytest

from explainer.analysis.result import Estimate, Interval
from explainer.claims import rules
from explainer.study.thresholds import thresholds

LIMITS = thresholds()
Ends = tuple[float, float]
#: The least step a double can tell from 1.
STEP = 1e-9


def estimate(at95: Ends, at90: Ends | None = None, at80: Ends | None = None) -> Estimate:
    """An estimate in the middle of its 95% range; inner ranges shrink unless given."""
    middle = (at95[0] + at95[1]) / 2

    def inner(share: float) -> Ends:
        return middle + (at95[0] - middle) * share, middle + (at95[1] - middle) * share

    ends = (at95, at90 or inner(0.84), at80 or inner(0.65))
    at = [Interval(*e, level) for e, level in zip(ends, (0.95, 0.90, 0.80), strict=True)]
    return Estimate(middle, *at, None, 8, "made up")


@pytest.mark.parametrize(
    ("at95", "code"),
    [
        ((1, 3), "backed"),
        ((STEP, 3), "backed"),
        ((0, 3), "leans"),  # an end at 0 does not exclude 0
        ((-0.2, 3), "leans"),  # the 80% range lies at 0.36 to 2.4
        ((-1, 2), "cannot-tell"),
        ((-2, 1), "cannot-tell"),
        ((-3, 0.2), "cannot-tell"),  # 80% on the other side leans nowhere
        ((-3, 0), "cannot-tell"),
        ((-3, -STEP), "against"),
        ((-3, -1), "against"),
    ],
)
def test_a_claim_of_a_direction(at95: Ends, code: str) -> None:
    assert rules.directed(estimate(at95), 1, None, None) == code
    mirrored = estimate((-at95[1], -at95[0]))
    assert rules.directed(mirrored, -1, None, None) == code


@pytest.mark.parametrize(
    ("at95", "code"),
    [((1, 3), "backed"), ((-3, -1), "backed"), ((-0.2, 3), "leans"), ((-3, 0.2), "leans"),
     ((-2, 2), "cannot-tell"), ((0, 0), "cannot-tell")],
)  # fmt: skip
def test_a_claim_of_some_change_is_never_refuted_without_a_margin(at95: Ends, code: str) -> None:
    assert rules.directed(estimate(at95), 0, None, None) == code


@pytest.mark.parametrize(
    ("at95", "at90", "side", "code"),
    [
        ((-1.2, 1.2), (-1, 1), 1, "against"),  # 90% in ±1, ends included
        ((-1.2, 1.2), (-1, 1), 0, "against"),
        ((-1.2, 1.2), (-1, 1 + STEP), 1, "cannot-tell"),
        ((-0.1, 1.0), (0.0, 0.9), 1, "against"),  # before "leans": the 80% range excludes 0
        ((0.1, 0.6), (0.2, 0.5), 1, "backed"),  # real but small
        ((0.1, 0.6), (0.2, 0.5), 0, "backed"),
        ((-0.6, -0.1), (-0.5, -0.2), 1, "against"),
    ],
)
def test_a_change_too_small_to_matter(at95: Ends, at90: Ends, side: int, code: str) -> None:
    assert rules.directed(estimate(at95, at90), side, None, 1.0) == code


@pytest.mark.parametrize(
    ("at95", "side", "code"),
    [
        ((6, 9), 1, "backed"),  # at it counts
        ((6 - STEP, 9), 1, "leans"),
        ((5.6, 9), 1, "leans"),
        ((1, 8), 1, "cannot-tell"),
        ((1, 6), 1, "cannot-tell"),  # "at least 6" still holds at its end
        ((1, 6 - STEP), 1, "against"),  # there, on the right side, and short of the size
        ((-9, -7), 1, "against"),
        ((-9, -6), -1, "backed"),
        ((-5, -1), -1, "against"),
        ((7, 9), -1, "against"),
        ((6, 9), 0, "backed"),
        ((-9, -6), 0, "backed"),
        ((-5, 5), 0, "against"),
        ((-6, 5), 0, "cannot-tell"),
        ((5.6, 9), 0, "leans"),
    ],
)
def test_a_claim_of_a_size(at95: Ends, side: int, code: str) -> None:
    assert rules.directed(estimate(at95), side, 6.0, None) == code


def test_a_claimed_size_is_not_refuted_by_a_larger_margin() -> None:
    """ "At least half a board" where a whole one matters: 0.45 to 1.0 does not speak against it."""
    e = estimate((0.45, 1.0), (0.5, 0.95), (0.55, 0.9))
    assert rules.directed(e, 1, 0.5, 1.0) == "leans"


@pytest.mark.parametrize(
    ("at95", "at90", "at80", "code"),
    [
        ((-1.1, 1.1), (-1, 1), (-0.8, 0.8), "backed"),
        ((-1.4, 1.2), (-1 - STEP, 1), (-0.8, 0.8), "leans"),
        ((-1.4, 1.4), (-1.2, 1.2), (-1, 1), "leans"),
        ((-2, 2), (-1.6, 1.6), (-1.1, 1), "cannot-tell"),
        ((0.8, 3), (1, 2.8), (1.4, 2.6), "cannot-tell"),  # 90% touches the margin
        ((1, 3), (1.2, 2.8), (1.4, 2.6), "against"),  # judged both ways by the 90% range
        ((1 + STEP, 3), (1.2, 2.8), (1.4, 2.6), "against"),
        ((-3, -1.1), (-2.8, -1.2), (-2.6, -1.4), "against"),
        ((0.2, 0.8), (0.3, 0.7), (0.4, 0.6), "backed"),  # a change that is real and negligible
    ],
)
def test_no_change(at95: Ends, at90: Ends, at80: Ends, code: str) -> None:
    assert rules.in_zone(estimate(at95, at90, at80), (-1.0, 1.0)) == code


def correlation(value: float, at95: Ends, at80: Ends) -> Estimate:
    at90 = Interval((at95[0] + at80[0]) / 2, (at95[1] + at80[1]) / 2, 0.90)
    return Estimate(value, Interval(*at95, 0.95), at90, Interval(*at80, 0.80), None, 8, "made up")


@pytest.mark.parametrize(
    ("value", "at95", "at80", "side", "code"),
    [
        (0.9, (0.5, 0.98), (0.6, 0.97), 1, "backed"),
        (0.9, (0.5, 0.98), (0.6, 0.97), 0, "backed"),
        (0.9, (0.49, 0.98), (0.5, 0.97), 1, "leans"),
        (0.69, (0.55, 0.8), (0.6, 0.75), 1, "cannot-tell"),  # near end far enough, r too small
        (0.7, (0.5, 0.8), (0.6, 0.75), 1, "backed"),
        (0.3, (0.1, 0.5), (0.2, 0.4), 1, "cannot-tell"),
        (0.3, (0.1, 0.49), (0.2, 0.4), 1, "against"),
        (-0.9, (-0.98, -0.6), (-0.97, -0.7), 1, "against"),
        (-0.9, (-0.98, -0.6), (-0.97, -0.7), -1, "backed"),
        (-0.9, (-0.98, -0.6), (-0.97, -0.7), 0, "backed"),
        (0.0, (-0.49, 0.49), (-0.3, 0.3), 0, "against"),
        (0.0, (-0.5, 0.49), (-0.3, 0.3), 0, "cannot-tell"),
        (-0.3, (-0.49, -0.1), (-0.4, -0.2), -1, "against"),
    ],
)
def test_strongly_related(value: float, at95: Ends, at80: Ends, side: int, code: str) -> None:
    assert rules.strongly_related(correlation(value, at95, at80), side, LIMITS) == code


@pytest.mark.parametrize(("n", "r"), [(10, 0.859), (6, 0.933)])
def test_strong_with_few_items_needs_a_large_r(n: int, r: float) -> None:
    """n = 10 needs |r| ≥ .859 and n = 6 ≥ .933 (tanh(atanh .5 + 1.96/√(n − 3)))."""
    from explainer.analysis.result import r_estimate

    for value, backed in ((r + 0.001, True), (r - 0.001, False)):
        e = r_estimate(value, 1 / (n - 3) ** 0.5, None, n, "Fisher z")
        assert (rules.strongly_related(e, 1, LIMITS) == "backed") is backed


def test_related() -> None:
    assert rules.related(correlation(0.5, (0.1, 0.8), (0.2, 0.7)), 1) == "backed"
    assert rules.related(correlation(0.5, (0.1, 0.8), (0.2, 0.7)), -1) == "against"
    assert rules.related(correlation(0.4, (-0.1, 0.8), (0.1, 0.7)), 1) == "leans"
    assert rules.related(correlation(0.4, (-0.1, 0.8), (0.1, 0.7)), 0) == "leans"
    assert rules.related(correlation(0.4, (-0.1, 0.8), (0.1, 0.7)), -1) == "cannot-tell"
    assert rules.related(correlation(0.1, (-0.5, 0.6), (-0.2, 0.4)), 0) == "cannot-tell"


# The plateau zone: .8 to 1.25, ends included.
LINE = [
    ((0.8, 1.25), (0.9, 1.1), "backed"),
    ((0.79, 1.2), (0.8, 1.1), "leans"),
    ((0.7, 1.4), (0.79, 1.1), "cannot-tell"),
    ((0.2, 0.8), (0.3, 0.7), "cannot-tell"),
    ((0.2, 0.79), (0.3, 0.7), "against"),
    ((None, 0.79), None, "against"),
    ((None, None), (None, None), "cannot-tell"),
    (None, None, "cannot-tell"),
]


@pytest.mark.parametrize(
    ("at90", "at80", "code"), [*LINE, ((1.26, 1.6), (1.3, 1.5), "against"),
                               ((1.25, 1.6), (1.3, 1.5), "cannot-tell")],
)  # fmt: skip
def test_same_line(at90: rules.Bounds, at80: rules.Bounds, code: str) -> None:
    assert rules.in_plateau(at90, at80, LIMITS) == code


@pytest.mark.parametrize(
    ("at90", "at80", "code"), [*LINE, ((1.26, 1.6), (1.3, 1.5), "against"),
                               ((1.25, 1.6), (1.3, 1.5), "cannot-tell")],
)  # fmt: skip
def test_break_in(at90: rules.Bounds, at80: rules.Bounds, code: str) -> None:
    """An overshoot is against it, too: it was done by then, and some of it came back."""
    assert rules.in_plateau(at90, at80, LIMITS) == code


def test_a_study_may_move_the_plateau() -> None:
    wider = {**LIMITS, "plateau_low": 0.7}
    assert rules.in_plateau((0.75, 1.2), (0.8, 1.1), wider) == "backed"
    assert rules.in_plateau((0.75, 1.2), (0.8, 1.1), LIMITS) == "leans"


@pytest.mark.parametrize(
    ("point", "at95", "at80", "marginal", "code"),
    [
        (6, (4, 9.9), (5, 9), None, "backed"),
        (6, (4, 10), (5, 9), None, "leans"),  # the limit itself is not below
        (6, (4, 14), (5, 10), None, "cannot-tell"),
        (6, None, None, 30, "leans"),  # too few operators for a range, and far below the mark
        (15, None, None, 30, "cannot-tell"),
        (6, None, None, None, "cannot-tell"),
        (20, (8, 45), (12, 29), 30, "leans"),  # the usual marginal zone, all of the 80% range
        (20, (8, 45), (12, 31), 30, "cannot-tell"),
        (29, (15, 83), (20, 60), 30, "cannot-tell"),  # a coin flip
        (20, (8, 45), (12, 29), None, "cannot-tell"),  # the study said what is good enough
        (20, (12, 45), (14, 40), None, "against"),
        (40, (31, 60), (33, 55), 30, "against"),
        (40, (29, 60), (31, 55), 30, "cannot-tell"),
        (90, None, None, 30, "cannot-tell"),  # without a range nothing speaks against
    ],
)
def test_repeatability(
    point: float, at95: rules.Bounds, at80: rules.Bounds, marginal: float | None, code: str
) -> None:
    assert rules.good_gauge(point, at95, at80, 10, marginal) == code


@pytest.mark.parametrize(
    ("calls", "passes", "chances", "code"),
    [
        (["pass", "pass"], [True, True], [0.96, 0.99], "backed"),
        (["pass", "too-close"], [True, True], [0.99, 0.6], "leans"),
        (["pass", "too-close"], [True, False], [0.99, 0.4], "cannot-tell"),
        (["pass", "fail"], [True, False], [0.99, 0.02], "against"),
        (["too-close", "fail"], [True, False], [0.8, 0.02], "against"),
        # One that fails at 95% is nothing rare among many: here it takes 97.5%.
        (["pass", "fail"], [True, False], [0.99, 0.026], "cannot-tell"),
        (["fail"], [False], [0.04], "against"),
        ([], [], [], "cannot-tell"),
    ],
)
def test_limit(calls: list[str], passes: list[bool], chances: list[float], code: str) -> None:
    assert rules.all_conform(calls, passes, chances) == code
    turned = [{"pass": "fail", "fail": "pass"}.get(call, call) for call in calls]
    assert rules.none_conforms(turned, [not p for p in passes], [1 - c for c in chances]) == code


def test_all_that_are_too_close_have_to_be_likelier_to_meet_it_than_not() -> None:
    close = ["too-close"] * 5
    assert rules.all_conform(close[:2], [True, True], [0.5, 0.5]) == "cannot-tell"
    assert rules.all_conform(close, [True] * 5, [0.75] * 5) == "cannot-tell"
    assert rules.all_conform(close, [True] * 5, [0.9] * 5) == "leans"
    # Those that pass are taken to, however many they are.
    assert rules.all_conform(["pass"] * 40 + close[:1], [True] * 41, [0.96] * 40 + [0.9]) == "leans"


@pytest.mark.parametrize(
    ("mean", "se", "df", "against"),
    [
        (1.0, 0.2, 7, True),  # five standard errors past a narrow zone
        (0.9, 0.45, 7, False),  # 90% lies outside it, and misses on both sides may add to 7%
        (0.86, 0.45, 7, False),
    ],
)
def test_a_zone_narrower_than_the_range_can_tell(
    mean: float, se: float, df: int, against: bool
) -> None:
    """P(T ≥ (m − Δ)/SE) + P(T ≥ (m + Δ)/SE) ≤ .05 keeps the zone's level; 90% alone does not."""
    from scipy.stats import t

    from explainer.analysis.limits import p_outside
    from explainer.analysis.result import t_estimate

    e = t_estimate(mean, se, df, df + 1, "made up")
    margin = 0.01
    expected = t.sf((mean - margin) / se, df) + t.sf((mean + margin) / se, df)
    assert p_outside(e, (-margin, margin)) == pytest.approx(expected, rel=1e-9)
    outside = e.at90.outside(-margin, margin)
    assert rules.in_zone(e, (-margin, margin)) == ("against" if against else "cannot-tell")
    assert rules.narrow(e, (-margin, margin)) == (outside and not against)


def test_two_or_three_items_lean_at_most_and_one_that_carries_it_leaves_nothing() -> None:
    codes = ("backed", "leans", "cannot-tell", "against", "not-tested")
    assert [rules.of_few(c, 3) for c in codes] == [
        "leans", "leans", "cannot-tell", "cannot-tell", "not-tested"]  # fmt: skip
    assert [rules.of_few(c, 4) for c in codes] == list(codes)
    assert [rules.unseated(c) for c in codes] == ["cannot-tell"] * 4 + ["not-tested"]


def test_what_a_doubt_leaves() -> None:
    left = {c: rules.demoted(c) for c in ("backed", "leans", "cannot-tell", "against")}
    assert left == {
        "backed": "leans", "leans": "leans", "cannot-tell": "cannot-tell", "against": "cannot-tell",
    }  # fmt: skip


def test_a_chain_is_as_strong_as_its_weakest_link() -> None:
    order = ["against", "not-tested", "cannot-tell", "leans", "backed"]
    for i, weak in enumerate(order):
        for strong in order[i:]:
            assert rules.weakest([strong, weak]) == rules.weakest([weak, strong]) == weak  # type: ignore[list-item]


@pytest.mark.parametrize(
    ("at90", "past"),
    [((1.26, 1.5), True), ((1.25, 1.5), False), ((0.9, 1.5), False), ((None, 1.5), False),
     ((1.3, None), True),
     (None, False)],
)  # fmt: skip
def test_some_came_back_only_where_the_whole_range_lies_past_the_plateau(
    at90: tuple[float | None, float | None] | None, past: bool
) -> None:
    assert LIMITS["plateau_high"] == 1.25
    assert rules.overshot(at90, LIMITS) is past
