"""One jump of several series against the same least squares, done here with a design matrix."""

from __future__ import annotations

import math

import numpy as np
import pytest

from explainer.analysis.drift import JumpPlaces, bends, jump, likely_places, own_jumps, slope_beside

X = np.arange(1.0, 9.0)
JUMPING = [
    (X, np.array([1.0, 1.2, 0.9, 1.1, 4.0, 4.3, 3.9, 4.1])),
    (X, np.array([6.2, 6.0, 6.1, 5.9, 8.1, 7.8, 8.2, 8.0])),
]
DRIFTING = [
    (X, 2 * X + np.array([0.1, -0.2, 0.1, 0.0, -0.1, 0.2, -0.1, 0.0])),
    (X, -X + 0.1 * X % 0.3),
]


def rest_of(columns: list[np.ndarray], y: np.ndarray) -> float:
    design = np.column_stack(columns)
    return float(((y - design @ np.linalg.lstsq(design, y, rcond=None)[0]) ** 2).sum())


def rests(series, at: float) -> float:
    return sum(rest_of([np.ones(x.size), x >= at], y) for x, y in series)


def aicc(rest: float, n: int, k: int) -> float:
    """Burnham & Anderson 2002, equation 2.4 with the small-sample term."""
    return n * math.log(rest / n) + 2 * k + 2 * k * (k + 1) / (n - k - 1)


@pytest.mark.parametrize("series", [JUMPING, DRIFTING], ids=["jumping", "drifting"])
def test_the_best_jump_and_how_far_it_is_ahead(series) -> None:
    found = jump(series)
    assert found is not None
    every = {at: rests(series, at) for at in (4.0, 5.0, 6.0)}  # three readings on either side
    assert found.at == min(every, key=every.__getitem__)
    line = sum(rest_of([np.ones(x.size), x], y) for x, y in series)
    assert found.ahead == pytest.approx(aicc(line, 16, 5) - aicc(min(every.values()), 16, 6))
    assert (found.ahead > 0) == (series is JUMPING)


@pytest.mark.parametrize("side", [2, 3])
@pytest.mark.parametrize("series", [JUMPING, DRIFTING], ids=["jumping", "drifting"])
def test_where_a_jump_likely_lies(series, side: int) -> None:
    found = likely_places(series, side)
    every = {at: rests(series, at) for at in X[side:]
             if side <= (x_ := at > X).sum() and side <= (~x_).sum()}  # fmt: skip
    least = min(every.values())
    limit = -2 * math.log(1 - math.sqrt(0.95))
    assert round(limit, 2) == 7.35
    likely = [at for at, rest in every.items() if 14 * (rest - least) / least <= limit]
    best = min(every, key=every.__getitem__)
    assert found == JumpPlaces(best, min(likely), max(likely))


def test_where_nothing_can_be_fitted() -> None:
    assert jump([(X[:5], X[:5])]) is None  # three on one side, two on the other
    assert likely_places([(X[:5], X[:5])]) is None
    assert jump([]) is None
    assert likely_places([]) is None
    exact = np.array([0.0, 0, 0, 0, 1, 1, 1, 1])
    found = jump([(X, exact)])  # no scatter is left, and no line goes through these
    assert found is not None and found.at == 5 and found.ahead > 100
    straight, level = jump([(X, X)]), jump([(X, np.ones(8))])
    assert straight is not None and straight.ahead < -100
    assert level is not None and level.ahead < 0
    # Six readings of one item: n - k - 1 of the jump is 6 - 4 - 1 = 1, just enough.
    six = (X[:6], np.array([1.0, 1.1, 0.9, 2.0, 2.2, 2.1]))
    assert jump([six]) is not None
    assert jump([six, (X[:5], np.arange(5.0) ** 2)]) is None  # the other has two after the place


def test_a_series_that_stands_still_in_x_has_its_own_mean_as_line() -> None:
    still = (np.full(6, 4.0), np.array([1.0, 2, 1, 2, 1, 2]))
    assert jump([still]) is None


def test_a_slope_beside_a_jump() -> None:
    x, y = X, np.array([1.0, 1.5, 2.4, 2.6, 9.0, 9.4, 10.3, 10.4])
    design = np.column_stack([x, x < 5, x >= 5])
    expected = np.linalg.lstsq(design, y, rcond=None)[0][0]
    assert slope_beside(x, y, 5) == pytest.approx(expected)
    assert slope_beside(x, y, 0) == pytest.approx(np.polyfit(x, y, 1)[0])
    assert slope_beside(np.array([1.0, 1, 2, 2]), y[:4], 2) is None
    assert slope_beside(x / 100, y, 0.05) == pytest.approx(expected * 100)


def test_each_series_may_jump_at_a_place_of_its_own() -> None:
    scatter = np.array([0.1, -0.1, 0.05, -0.05, 0.1, -0.1, 0.05, -0.05])
    early, late = (X, 3.0 * (X >= 4) + scatter), (X, 5.0 * (X >= 6) - scatter)
    found = own_jumps([early, late])
    assert found is not None and found.at == (4.0, 6.0)
    line = sum(rest_of([np.ones(x.size), x], y) for x, y in (early, late))
    rest = rests([early], 4.0) + rests([late], 6.0)
    # A level, a size and a place that counts three for each, and the spread.
    assert found.ahead == pytest.approx(aicc(line, 16, 5) - aicc(rest, 16, 11))
    assert own_jumps([]) is None
    assert own_jumps([early, (X[:5], X[:5])]) is None


GAMES = np.array([0.0, 5, 10, 20, 30, 45, 60])


@pytest.mark.parametrize(
    ("curve", "bent"),
    [
        (np.exp(-GAMES / 5), True), (np.exp(-GAMES / 10), True), (np.minimum(GAMES / 20, 1), True),
        (np.maximum(GAMES - 30, 0) / 30, True), (1.0 * (GAMES < 7), False),
        (1.0 * (GAMES < 15), False), (1.0 * (GAMES < 35), False), (-1.0 * (GAMES < 25), False),
    ],
)  # fmt: skip
@pytest.mark.parametrize("size", [3.0, 20.0])
def test_a_curve_that_fades_is_no_jump(curve: np.ndarray, bent: bool, size: float) -> None:
    scatter = np.array([0.1, -0.1, 0.05, -0.05, 0.1, -0.1, 0.05])
    series = [(GAMES, k + size * curve + np.roll(scatter, k)) for k in range(8)]
    found = jump(series, 2)
    assert found is not None and found.ahead > 4  # far better than a straight line, either way
    assert bends(series, [found.at] * 8) is bent
