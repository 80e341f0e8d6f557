"""Scales and their ticks."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings, strategies as st

from explainer.charts import axis

NUMBERS = st.floats(-1e9, 1e9).filter(lambda v: v == 0 or abs(v) > 1e-6)


@given(st.lists(NUMBERS, min_size=1, max_size=8))
@settings(max_examples=80, deadline=None)
def test_an_axis_shows_every_value_with_labels_that_differ(values: list[float]) -> None:
    found = axis.fit(values)
    shares = found.place(values)
    assert shares.min() >= -1e-9
    assert shares.max() <= 1 + 1e-9
    assert 2 <= len(found.ticks) <= 12
    assert len(set(found.labels)) == len(found.ticks)


@pytest.mark.parametrize(
    ("low", "high", "ticks"),
    [(0, 10, (0, 2.5, 5, 7.5, 10)), (-3, 3, (-2, -1, 0, 1, 2)), (0.0068, 0.0078, None)],
)
def test_ticks_are_round(low: float, high: float, ticks: tuple[float, ...] | None) -> None:
    found = axis.round_ticks(low, high)
    if ticks:
        assert found == pytest.approx(ticks) or len(found) in (5, 6, 7)
    step = found[1] - found[0]
    head = step / 10 ** math.floor(math.log10(step) + 1e-9)
    assert min(abs(head - m) for m in (1, 2, 2.5, 5)) < 1e-6


def test_five_decades_take_steps_of_ten_and_a_range_below_zero_does_not_change_that() -> None:
    found = axis.fit([2, 90_000], also=[-500.0, 60_000])
    assert found.log
    assert found.ticks == (1.0, 10.0, 100.0, 1000.0, 10000.0, 100000.0)
    assert found.labels[-1] == "100,000"
    assert float(found.place(-500.0)) == 0.0


def test_missing_values_do_not_stretch_an_axis() -> None:
    assert axis.fit([1, math.nan, None, math.inf, 2]) == axis.fit([1, 2])


@pytest.mark.parametrize(
    ("value", "text"),
    [(-21.43, "−21.4"), (0.0, "0"),
     (2.4e8, "2.4×10⁸"), (-1e-6, "−1×10⁻⁶"), (1234.6, "1,235"), (3.0, "3")],
)  # fmt: skip
def test_single_numbers_are_short(value: float, text: str) -> None:
    assert axis.short(value) == text
