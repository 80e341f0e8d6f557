"""Who tried which: the part of a pooled difference that is made by the mix alone."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from claims.conftest import Judge
from hypothesis import given, strategies as st

from explainer.claims.rate_difference import composition
from explainer.words.say import say

One = Callable[..., str]

TRIES = st.tuples(*[st.integers(1, 400)] * 2)


@given(st.lists(st.tuples(TRIES, st.floats(0, 1), st.floats(0, 1)), min_size=1, max_size=12))
def test_mix_and_rates_add_up_to_the_pooled_difference(people):
    """Kitagawa, Components of a difference between two rates, J. Am. Stat. Assoc. 50 (1955),
    1168-1194: the difference of two pooled rates is a part for the rates and a part for the mix,
    and nothing is left over."""
    n = np.array([tries for tries, _, _ in people], dtype=float)
    s = np.round(n * np.array([rates for _, *rates in people]))
    pooled = s[:, 0].sum() / n[:, 0].sum() - s[:, 1].sum() / n[:, 1].sum()
    weights = n / n.sum(axis=0)
    rates = s / n
    of_rates = float(((rates[:, 0] - rates[:, 1]) * weights.mean(axis=1)).sum())
    assert composition(s, n) + of_rates == pytest.approx(pooled, abs=1e-12)


def test_nobody_is_lifted_where_all_try_both_alike():
    assert composition(np.array([[3.0, 5.0], [9.0, 2.0]]), np.full((2, 2), 10.0)) == 0


def test_who_lifts_a_total_has_the_higher_rate_and_not_more_strikes(
    judged: Judge, one: One
) -> None:
    """Ball A rolls 43 strikes of 50 shots, ball B 82 of 340: a total is lifted by the rate."""
    counts = {("A", "old"): (9, 10), ("A", "new"): (34, 40), ("B", "old"): (75, 300),
              ("B", "new"): (7, 40)}  # fmt: skip
    frame = pd.DataFrame(
        [(ball, oil, strikes, shots) for (ball, oil), (strikes, shots) in counts.items()],
        columns=["ball", "oil", "strikes", "shots"],
    )
    test = ("{kind: rate-difference, successes: strikes, attempts: shots, by: oil, a: old, b: new,"
            " direction: higher}")  # fmt: skip
    judgement = judged(one(test), frame, head="""\
title: A test study
question: Does it?
tested: {each: ball}
measures: {strikes: {unit: count}, shots: {unit: count}}
""")
    (v,) = judgement.verdicts
    assert "reversal" in v.reasons
    told = " ".join(say(judgement).claims[v.claim.id].because)
    assert "come more from the ball with the higher rate of strikes over both, and a total" in told
