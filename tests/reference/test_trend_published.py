"""Trend statistics against printed results."""

import math

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm
from calibration.worlds import study_of
from scipy import stats

from explainer.analysis.drift import LIKELY, jump, likely_places, mann_kendall, theil_sen
from explainer.claims.judge import judge

# J. Little, College of the Holy Cross, "A Mann-Kendall Example (By Hand)".
HOLY_CROSS = [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7]


def test_sen_1968():
    # Sen 1968, J. Am. Stat. Assoc. 63:1379, section 6; also scipy's test_mstats_basic.py.
    x = [1, 2, 3, 4, 10, 12, 18]
    y = [9, 15, 19, 20, 45, 55, 78]
    fit = theil_sen(x, y, level=0.93)
    assert fit.slope == 4
    assert fit.low == pytest.approx(26 / 7)
    assert fit.high == pytest.approx(35 / 8)


@pytest.mark.parametrize(
    ("test", "code"),
    [
        # Sen prints 93% limits 26/7 to 35/8 about the slope of 4; so few pairs have the same ones
        # at 95%, as scipy's ``theilslopes`` says: 3.7 lies below them, 3.9 inside, 4.5 above.
        ({"at_least": 3.7}, "backed"), ({"at_least": 3.9}, "cannot-tell"),
        ({"at_least": 4.5}, "against"),
        # 0.8 × 4.5 to 1.25 × 4.5 is 3.6 to 5.6; about 3 would be 2.4 to 3.75, about 8 from 6.4.
        ({"about": 4.5}, "backed"), ({"about": 3.0}, "cannot-tell"), ({"about": 8.0}, "against"),
    ],
)  # fmt: skip
def test_a_size_a_step_is_held_to_sens_limits(test, code):
    x = [1, 2, 3, 4, 10, 12, 18]
    y = [9, 15, 19, 20, 45, 55, 78]
    whole = stats.theilslopes(y, x, 0.95)
    assert (whole.low_slope, whole.high_slope) == pytest.approx((26 / 7, 35 / 8))
    frame = pd.DataFrame({"ball": "P", "step": np.array(x, float), "y": np.array(y, float)})
    test = {"kind": "trend", "measure": "y", "over": "step", "direction": "up", **test}
    study = study_of(frame, test, order="step", measures={"y": {"unit": "board"}})
    (verdict,) = judge(study).verdicts
    assert (verdict.estimate, verdict.code) == (4, code)


def test_the_nile_since_1899():
    """Cobb 1978, Biometrika 65, 243: the river's flow fell with 1898 as its last high year.  The
    levels 1097.75 and 849.97 and the break after 28 of 100 years are what strucchange prints, with
    a 95% interval of 25 to 32 (from memory; Hansen's set is another one and lies inside)."""
    data = sm.datasets.nile.load_pandas().data
    x, y = data["year"].to_numpy(float), data["volume"].to_numpy(float)
    places, fit = likely_places([(x, y)]), jump([(x, y)])
    assert places.best == fit.at == 1899 and int((x < places.best).sum()) == 28
    assert y[x < 1899].mean() == pytest.approx(1097.75)
    assert y[x >= 1899].mean() == pytest.approx(849.97, abs=5e-3)
    assert 1871 + 25 <= places.low <= places.high <= 1871 + 32
    assert fit.ahead > 4  # a drift fits far worse


def test_the_likely_places_of_a_jump_are_hansens():
    """Hansen 2000, Econometrica 68, 575, table I: 95% of the ratios lie below 7.35."""
    assert pytest.approx(7.35, abs=5e-3) == LIKELY


def test_mann_kendall_by_hand():
    test = mann_kendall(HOLY_CROSS)
    assert test.s == 54
    # The note prints V = (14)(13)(33)/18 − (2)(1)(9)/18 and Z = 2.9058, p about .0018 one-sided.
    assert test.var == pytest.approx(14 * 13 * 33 / 18 - 2 * 1 * 9 / 18)
    assert test.z == pytest.approx(2.9058, abs=5e-5)
    assert test.p / 2 == pytest.approx(0.0018, abs=5e-5)


def test_kendalls_tau_in_scipy_leaves_out_the_continuity_correction():
    # Why ours is not scipy's: the same S and variance without the ∓1 give p .00307.
    test = mann_kendall(HOLY_CROSS)
    plain = stats.kendalltau(range(14), HOLY_CROSS, method="asymptotic").pvalue
    assert plain == pytest.approx(0.00307, abs=5e-6)
    assert plain == pytest.approx(2 * stats.norm.sf(test.s / math.sqrt(test.var)))
    assert test.p > plain
