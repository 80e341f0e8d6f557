"""Information criterion and curve families against certified fits."""

import numpy as np
import pytest

from explainer.analysis.breakin import aicc

# NIST StRD, BoxBOD (Box, Hunter & Hunter 1978): y = b1·(1 − exp(−b2·x)).
X = np.array([1, 2, 3, 5, 7, 10.0])
Y = np.array([109, 149, 149, 191, 213, 224.0])
B1, B2, RSS = 2.1380940889e02, 5.4723748542e-01, 1.1680088766e03


def test_certified_residual_sum_of_squares():
    assert np.sum((Y - B1 * (1 - np.exp(-B2 * X))) ** 2) == pytest.approx(RSS, rel=1e-10)


def test_six_points_favour_a_line_over_the_certified_curve():
    # Two coefficients and one spread each: K = 3 for both; computed here.
    line = float(np.sum((Y - np.polyval(np.polyfit(X, Y, 1), X)) ** 2))
    assert aicc(RSS, 6, 3) == pytest.approx(49.628, abs=5e-4)
    assert aicc(line, 6, 3) == pytest.approx(48.569, abs=5e-4)
