"""Holm's step-down correction against printed examples."""

from __future__ import annotations

import pytest

from explainer.analysis.simultaneous import holm

# Benjamini & Hochberg 1995, J. R. Stat. Soc. B 57:289, section 4: 15 p-values of a trial; also
# in statsmodels' test_fdr_bky.
TRIAL = [
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459,
    0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0000,
]  # fmt: skip


def test_benjamini_and_hochbergs_trial() -> None:
    """The adjusted values are p·(16 − rank): .0015, .0056, .0247, .114; three stay below .05."""
    adjusted = holm(TRIAL)
    assert adjusted[:4] == pytest.approx((0.0015, 0.0056, 0.0247, 0.114), abs=1e-12)
    assert sum(p is not None and p <= 0.05 for p in adjusted) == 3
    assert adjusted[-1] == 1.0


def test_the_short_example() -> None:
    """R: p.adjust(c(.01, .04, .03, .005), "holm") (from memory)."""
    assert holm([0.01, 0.04, 0.03, 0.005]) == pytest.approx((0.03, 0.06, 0.06, 0.02), abs=1e-12)


def test_claims_without_a_p_do_not_count() -> None:
    assert holm([0.01, None, 0.04]) == pytest.approx((0.02, None, 0.04))
