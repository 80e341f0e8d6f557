"""One gauge, three pairs of hands: the spread that was put in is found, and the line is drawn."""

from __future__ import annotations

import numpy as np
import pytest


@pytest.fixture
def maker(script):
    return script("gauge_check")


@pytest.fixture
def judged(example):
    return example("gauge-check")


def test_the_published_data_is_what_the_script_makes(maker, written):
    desks, checkin = maker.make()
    assert written(desks, "gauge-check", "three-desks.csv")
    assert written(checkin, "gauge-check", "check-in.csv")


def test_the_gauge_s_own_spread_is_found(judged, maker):
    """20 degrees of freedom and more behind it: within a fifth of the truth."""
    gauge = judged.verdict("gauge-fine")
    assert gauge.extra["ev"] == pytest.approx(maker.TRUE_EV, rel=0.2)
    assert gauge.code == "cannot-tell"  # 29 against 30, from 15 to 83: a coin flip
    assert gauge.low < true_share(maker) < gauge.high
    assert (gauge.n_items, gauge.n_rows) == (10, 90)


def true_share(maker) -> float:
    """Percent of study variation the gauge truly adds (AIAG MSA: GRR over TV, as spreads)."""
    grr = np.hypot(maker.TRUE_EV, maker.TRUE_AV)
    return float(100 * grr / np.hypot(grr, np.std(maker.TRUE, ddof=1)))


def test_half_a_point_is_less_than_the_gauge_can_see(judged, maker):
    claim = judged.verdict("sees-half-a-point")
    assert claim.code == "against"
    assert "gauge-too-coarse" in claim.reasons
    least = 1.96 * np.sqrt(2) * np.hypot(maker.TRUE_EV, maker.TRUE_AV)
    assert claim.extra["mdd"] == pytest.approx(least, rel=0.25)
    assert claim.extra["mdd"] > 0.5


def test_a_reason_that_nothing_here_tests_is_asked_about_and_is_not_the_weakest(judged):
    assert [link.code for link in judged.chain.links] == ["not-tested", "cannot-tell", "against"]
    assert judged.chain.weakest == "sees-half-a-point"
    assert [q.claim for q in judged.questions if q.source == "untested-link"] == ["soft-hooks"]


def test_balls_are_called_as_they_truly_are_or_not_at_all(judged, maker):
    """No ball that truly meets the limit fails, none that truly misses it passes."""
    called = {row["item"]: row["call"] for row in judged.verdict("all-conform").extra["items"]}
    true = {f"K{i + 1}": value for i, value in enumerate(maker.TRUE)}
    # One of ten that fails at 95% is nothing rare where balls lie at the limit; it takes 99.5%.
    (failed,) = [r for r in judged.verdict("all-conform").extra["items"] if r["call"] == "fail"]
    assert failed["p_conform"] < 0.05 / 10
    assert judged.verdict("all-conform").code == "against"
    assert {ball for ball, call in called.items() if call == "fail"} == {"K1"}
    assert all(true[ball] >= maker.LIMIT for ball, call in called.items() if call == "pass")
    assert "too-close" in called.values()
    assert "reading-error" in judged.verdict("all-conform").reasons


def test_the_printed_numbers_that_cannot_be_are_caught(judged):
    outcome = {s.what: (s.agrees, s.possible) for s in judged.stated}
    assert outcome["readings taken at the three desks"][0] is True
    assert outcome["share of balls that pass"][1] is True
    assert outcome["mean reading of the softest ball"][1] is False


def test_several_seeds_give_the_same_gauge(maker):
    """Not this one draw only: repeatability over forty draws averages to what was put in."""
    found = []
    for seed in range(40):
        desks, _ = maker.make(seed)
        spread = desks.groupby(["ball", "desk"])["hardness"].var(ddof=1)
        found.append(float(spread.mean()))
    assert np.sqrt(np.mean(found)) == pytest.approx(maker.TRUE_EV, rel=0.05)
