"""Granularity and recomputation against printed examples."""

import itertools

import numpy as np
import pytest

from explainer.analysis.stated import agrees, possible_mean, r_rounding_bound

# Hunter L and panel ratings of nine lots of canned tuna: Hollander & Wolfe 1973, p. 185 f., as in
# the help page of R's cor.test.
TUNA_X = np.array([44.4, 45.9, 41.9, 53.3, 44.7, 44.1, 50.7, 45.2, 60.1])
TUNA_Y = np.array([2.6, 3.1, 2.5, 5.0, 3.6, 4.0, 5.2, 2.8, 3.8])


@pytest.mark.parametrize(
    ("text", "n", "possible"),
    [
        ("3.48", 20, False),
        ("5.93", 49, False),
        # Brown & Heathers 2017, Soc. Psychol. Personal. Sci. 8:363; the first two also in the
        # documentation and tests of the R packages scrutiny and rsprite2.
        ("5.19", 28, False),
        ("5.19", 32, True),
        ("5.18", 28, True),
    ],
)
def test_grim(text, n, possible):
    assert possible_mean(text, n) is possible


def test_tuna_r_is_held_to_its_own_rounding():
    r = float(np.corrcoef(TUNA_X, TUNA_Y)[0, 1])
    assert r == pytest.approx(0.5711816, abs=5e-8)  # R, cor.test
    bound = r_rounding_bound(TUNA_X, TUNA_Y, 0.05, 0.05)
    assert bound == pytest.approx(0.03458, abs=5e-6)  # computed for this project
    assert agrees("0.57", r)
    assert not agrees("0.60", r)
    assert agrees("0.60", r, bound)
    assert not agrees("0.62", r, bound)


def test_the_bound_covers_every_corner_of_the_rounding():
    # Moving each datum by ±.05 the worst way, r runs from .53577 to .60482.
    r = float(np.corrcoef(TUNA_X, TUNA_Y)[0, 1])
    bound = r_rounding_bound(TUNA_X, TUNA_Y, 0.05, 0.05)
    a, b = TUNA_X - TUNA_X.mean(), TUNA_Y - TUNA_Y.mean()
    a, b = a / np.linalg.norm(a), b / np.linalg.norm(b)
    ends = [
        np.corrcoef(TUNA_X + s * 0.05 * np.sign(b - r * a), TUNA_Y + s * 0.05 * np.sign(a - r * b))
        for s in (-1, 1)
    ]
    low, high = (float(m[0, 1]) for m in ends)
    assert (low, high) == pytest.approx((0.53577, 0.60482), abs=5e-6)
    assert max(r - low, high - r) == pytest.approx(bound, abs=1.5e-3)
    assert all(itertools.starmap(lambda p, q: p < q, [(low, r), (r, high)]))
