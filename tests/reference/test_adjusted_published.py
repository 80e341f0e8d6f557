"""A link with other things held alike, against what others printed for the same data."""

from __future__ import annotations

import math

import numpy as np
import pytest
import statsmodels.api as sm

from explainer.analysis.grouped import design, left_of, partial, r_left, slope_left
from explainer.analysis.result import Estimate, Undefined, r_p

#: Henderson & Velleman 1981, Biometrics 37, 391: 32 cars of one year; miles a gallon, cylinders,
#: horsepower, weight in 1000 lb.  The numbers are R's data set ``mtcars``, from memory.
MPG = np.array([
    21, 21, 22.8, 21.4, 18.7, 18.1, 14.3, 24.4, 22.8, 19.2, 17.8, 16.4, 17.3, 15.2, 10.4, 10.4,
    14.7, 32.4, 30.4, 33.9, 21.5, 15.5, 15.2, 13.3, 19.2, 27.3, 26, 30.4, 15.8, 19.7, 15, 21.4,
])  # fmt: skip
CYLINDERS = np.array([
    6, 6, 4, 6, 8, 6, 8, 4, 4, 6, 6, 8, 8, 8, 8, 8, 8, 4, 4, 4, 4, 8, 8, 8, 8, 4, 4, 4, 8, 6, 8, 4,
])  # fmt: skip
POWER = np.array([
    110, 110, 93, 110, 175, 105, 245, 62, 95, 123, 123, 180, 180, 180, 205, 215, 230, 66, 52, 65,
    97, 150, 150, 245, 175, 66, 91, 113, 264, 175, 335, 109,
])  # fmt: skip
WEIGHT = np.array([
    2.62, 2.875, 2.32, 3.215, 3.44, 3.46, 3.57, 3.19, 3.15, 3.44, 3.44, 4.07, 3.73, 3.78, 5.25,
    5.424, 5.345, 2.2, 1.615, 1.835, 2.465, 3.52, 3.435, 3.84, 3.845, 1.935, 2.14, 1.513, 3.17,
    2.77, 3.57, 2.78,
])  # fmt: skip


def t_of(e: Estimate) -> float:
    """The t statistic of a slope whose partial correlation is r: r·√(df/(1 − r²))."""
    assert e.df is not None
    return e.value * math.sqrt(e.df / (1 - e.value**2))


@pytest.mark.parametrize(
    ("numbers", "groups", "slope", "t", "p", "df"),
    [
        # lm(mpg ~ wt + hp): wt −3.87783, t −6.129, p 1.12e-06 on 29 df (R's output, from memory)
        ([POWER], [], -3.87783, -6.129, 1.12e-06, 29),
        # lm(mpg ~ wt + factor(cyl)): wt −3.2056, t −4.252, p 0.000213 on 28 df (from memory)
        ([], [CYLINDERS], -3.2056, -4.252, 0.000213, 28),
    ],
)
def test_weight_and_mileage_as_r_prints_them(
    numbers: list[np.ndarray], groups: list[np.ndarray], slope: float, t: float, p: float, df: int
) -> None:
    """A number held alike, and groups held alike: slope, t and p to the digits printed."""
    given = design(numbers, groups)
    e = partial(WEIGHT, MPG, given)
    assert isinstance(e, Estimate) and e.df == df and e.p is not None
    line = slope_left(WEIGHT, MPG, given)
    assert line is not None
    assert line == pytest.approx(slope, abs=0.6 * 10.0 ** -len(str(slope).partition(".")[2]))
    assert t_of(e) == pytest.approx(t, abs=6e-4)
    assert e.p == pytest.approx(p, rel=6e-3)


def test_longley_is_what_nist_certifies() -> None:
    """NIST StRD, linear regression, Longley (certified): employment on six others, 9 df.

    One at a time is x and the other five are held alike: the data that break poor arithmetic.
    """
    data = sm.datasets.longley.load_pandas()
    y, x = data.endog.to_numpy(), data.exog.to_numpy()
    certified = [
        (15.0618722713733, 84.9149257747669), (-0.358191792925910e-01, 0.334910077722432e-01),
        (-2.02022980381683, 0.488399681651699), (-1.03322686717359, 0.214274163161675),
        (-0.511041056535807e-01, 0.226073200069370), (1829.15146461355, 455.478499142212),
    ]  # fmt: skip
    for k, (slope, sd) in enumerate(certified):
        given = design([np.delete(x, k, axis=1)[:, j] for j in range(5)], [])
        e = partial(x[:, k], y, given)
        assert isinstance(e, Estimate) and e.df == 9
        assert slope_left(x[:, k], y, given) == pytest.approx(slope, rel=1e-8)
        assert t_of(e) == pytest.approx(slope / sd, rel=1e-8)
        assert e.p == pytest.approx(r_p(e.value, 9))


def test_the_range_is_fishers_with_what_is_held_taken_off() -> None:
    """Fisher 1924: as for a plain r of n − k items; and with nothing held it is the plain r."""
    given = design([POWER], [])
    e = partial(WEIGHT, MPG, given)
    assert isinstance(e, Estimate)
    half = 1.959963984540054 / math.sqrt(32 - 1 - 3)
    z = math.atanh(e.value)
    assert (e.at95.low, e.at95.high) == pytest.approx((math.tanh(z - half), math.tanh(z + half)))
    nothing = design([np.zeros(32)], [])
    assert r_left(WEIGHT, MPG, nothing) == pytest.approx(np.corrcoef(WEIGHT, MPG)[0, 1])


def test_where_nothing_is_left_that_is_said() -> None:
    """What is held alike accounts for all of x: no link, and no number out of rounding."""
    given = design([2 * WEIGHT + 3], [])
    assert not left_of(WEIGHT, given).any()
    found = partial(WEIGHT, MPG, given)
    assert isinstance(found, Undefined) and found.why == "nothing-left"
    level = partial(WEIGHT, np.full(32, 0.3), design([POWER], []))
    assert isinstance(level, Undefined) and level.why == "no-spread"
    few = partial(WEIGHT[:5], MPG[:5], design([POWER[:5]], []))
    assert isinstance(few, Undefined) and few.why == "too-few-items"
