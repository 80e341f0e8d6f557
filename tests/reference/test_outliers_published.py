"""Outlier rules against printed results."""

import numpy as np
import pytest

from explainer.analysis.drift import flag


def test_the_median_rule_on_the_example_of_leys():
    # Leys et al. 2013, J. Exp. Soc. Psychol. 49:764: median 7, MAD 5.1891 (value from memory).
    x = np.array([1, 3, 3, 6, 8, 10, 10, 1000.0])
    assert 1.4826 * np.median(np.abs(x - 7)) == pytest.approx(5.1891, abs=5e-5)
    assert flag(x).tolist() == [False] * 7 + [True]
    # 7 + 3·5.1891 = 22.567 is the edge: a reading just inside stays, one just past it goes.
    assert not flag([1, 3, 3, 6, 8, 10, 10, 22.56])[-1]
    assert flag([1, 3, 3, 6, 8, 10, 10, 22.58])[-1]
