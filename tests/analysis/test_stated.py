from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, strategies as st

from explainer.analysis.stated import (
    agrees,
    half_unit,
    possible_mean,
    possible_percent,
    printed,
    r_rounding_bound,
)


def as_printed(value: Fraction, places: int, rounding: str) -> str:
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    return str(exact.quantize(Decimal(1).scaleb(-places), rounding=rounding))


@given(
    st.integers(-500, 5000),
    st.integers(1, 300),
    st.integers(0, 4),
    st.sampled_from([ROUND_HALF_UP, ROUND_HALF_EVEN]),
    st.sampled_from(["1", "0.5", "0.25", "5"]),
)
def test_every_true_mean_is_possible(k, n, places, rounding, step):
    text = as_printed(Fraction(step) * k / n, places, rounding)
    assert possible_mean(text, n, step) is True


@given(st.integers(-300, 300), st.integers(1, 40), st.integers(0, 3))
def test_possible_is_what_trying_every_whole_number_says(shown, n, places):
    text = str(Decimal(shown).scaleb(-places))
    top = int(abs(shown) * n / 10**places) + n + 2
    found = any(
        as_printed(Fraction(k, n), places, rounding) == text
        or Decimal(as_printed(Fraction(k, n), places, rounding)) == Decimal(text)
        for k in range(-top, top)
        for rounding in (ROUND_HALF_UP, ROUND_HALF_EVEN)
    )
    assert possible_mean(text, n) is found


@given(st.integers(0, 300), st.integers(1, 300), st.integers(0, 2))
def test_every_true_percentage_is_possible(k, n, places):
    k = min(k, n)
    assert possible_percent(as_printed(Fraction(100 * k, n), places, ROUND_HALF_UP) + "%", n)


def test_trailing_zeros_count():
    # 10/3 = 3.33 prints as 3.3, but never as 3.30.
    assert possible_mean("3.3", 3) is True
    assert possible_mean("3.30", 3) is False


def test_no_power_with_many_values():
    assert all(possible_mean(f"3.{i:02d}", 100) for i in range(100))


def test_a_share_cannot_pass_a_hundred():
    assert possible_percent("100", 7) is True
    assert possible_percent("114", 7) is False
    assert possible_percent("-14", 7) is False
    assert possible_percent("43 %", 7) is True
    assert possible_percent("45%", 7) is False


def test_ties_go_either_way():
    # 1/8 = .125: half up prints .13, half to even .12.
    assert possible_mean("0.13", 8) is True
    assert possible_mean("0.12", 8) is True
    # 3/8 = .375: both print .38; no other k/8 is near .37.
    assert possible_mean("0.38", 8) is True
    assert possible_mean("0.37", 8) is False


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("71.4", "71.4"),
        ("−0.50", "-0.50"),
        ("1,234", "1234"),
        (" 48 % ", "48"),
        ("+3", "3"),
        ("1.2e3", "1.2e3"),
        ("14,5", "14.5"), ("171,27", "171.27"), ("0,333", "0.333"), ("−0,5 %", "-0.5"),
        ("1.234,567", "1234.567"), ("1,234.5", "1234.5"), ("12,345,678", "12345678"),
        ("falls by 3,5", "-3.5"),
    ],
)  # fmt: skip
def test_numbers_as_printed(text, value):
    assert printed(text) == Decimal(value)


@pytest.mark.parametrize(
    "text", ["", "n.s.", "NaN", "Infinity", "1.2.3", "<0.05", "1e999999", "1e-400"]
)
def test_what_is_no_number(text):
    assert printed(text) is None
    assert half_unit(text) is None
    assert possible_mean(text, 10) is None
    assert possible_percent(text, 10) is None
    assert agrees(text, 1.0) is None


def test_half_of_the_last_printed_place():
    assert half_unit("71.4") == 0.05
    assert half_unit("71.40") == 0.005
    assert half_unit("71") == 0.5
    assert half_unit("1.2e3") == 50


@pytest.mark.parametrize(
    ("text", "value", "answer"),
    [
        ("0.57", 0.575, True),  # the edge itself rounds to it one way
        ("0.57", 0.5751, False),
        ("0.57", 0.565, True),
        ("-3", -3.4, True),
        ("3.40", 3.41, False),
        ("3.4", 3.41, True),
        ("0", 1e-300, True),
    ],
)
def test_agreement_within_its_own_rounding(text, value, answer):
    assert agrees(text, value) is answer


def test_rounded_data_widen_the_agreement():
    assert agrees("3.40", 3.41) is False
    assert agrees("3.40", 3.41, data_half_width_bound=0.005) is True
    assert agrees("3.40", None) is None
    assert agrees("3.40", float("nan")) is None


@given(st.lists(st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=4, max_size=12))
def test_the_bound_on_r_is_its_steepest_slope(points):
    x, y = np.array(points, dtype=float).T
    bound = r_rounding_bound(x, y, half_x=1e-4, half_y=1e-4)
    if np.ptp(x) == 0 or np.ptp(y) == 0:
        assert bound is None
        return
    r = np.corrcoef(x, y)[0, 1]
    rng = np.random.default_rng(0)
    for _ in range(5):
        moved = np.corrcoef(
            x + rng.choice([-1e-4, 1e-4], x.size), y + rng.choice([-1e-4, 1e-4], y.size)
        )[0, 1]
        assert abs(moved - r) <= bound * 1.001 + 1e-6


def test_the_bound_needs_a_correlation():
    assert r_rounding_bound([1, 2], [3, 4], 0.1, 0.1) is None
    assert r_rounding_bound([1, 1, 1], [3, 4, 5], 0.1, 0.1) is None
    assert r_rounding_bound([1, np.nan, 3, 4], [1, 2, 3, 5], 0.1) == pytest.approx(
        r_rounding_bound([1, 3, 4], [1, 3, 5], 0.1)
    )


def test_a_tie_below_zero_may_be_rounded_away_from_it():
    """−1 of 4 is −0.25: −0.3 by half up, −0.2 by half to even."""
    assert possible_mean("-0.3", 4) is True
    assert possible_mean("-0.2", 4) is True
    assert possible_mean("-0.4", 4) is False


def test_how_fine_a_print_may_be():
    assert printed("1e-30") == Decimal("1e-30")
    assert printed("1e-31") is None
    assert printed("1e30") == Decimal("1e30")
    assert printed("1e31") is None


def test_data_that_are_exact_move_nothing():
    assert r_rounding_bound([1, 2, 4], [1, 3, 2]) == 0


def test_a_share_of_1_is_possible_as_a_percentage_is():
    assert possible_percent("0.333", 3) is True and possible_percent("0,333", 3) is True
    assert possible_percent("0.5", 3) is False
    assert possible_percent("0.333%", 3) is False  # a third of a percent is none of three
    assert possible_percent("1", 3) is False
