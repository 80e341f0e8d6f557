"""Gauge studies against printed results."""

import numpy as np
import pytest

from explainer.analysis.gauge import GaugeStudy, crossed

# AIAG, Measurement Systems Analysis, 4th ed., figure III-B 15: 10 parts, 3 appraisers (A, B, C),
# 3 trials; rows are parts, columns A1 A2 A3 B1 B2 B3 C1 C2 C3.  Data and printed values as
# reproduced in the test suites of several public gauge packages.
AIAG = np.array(
    [
        [0.29, 0.41, 0.64, 0.08, 0.25, 0.07, 0.04, -0.11, -0.15],
        [-0.56, -0.68, -0.58, -0.47, -1.22, -0.68, -1.38, -1.13, -0.96],
        [1.34, 1.17, 1.27, 1.19, 0.94, 1.34, 0.88, 1.09, 0.67],
        [0.47, 0.50, 0.64, 0.01, 1.03, 0.20, 0.14, 0.20, 0.11],
        [-0.80, -0.92, -0.84, -0.56, -1.20, -1.28, -1.46, -1.07, -1.45],
        [0.02, -0.11, -0.21, -0.20, 0.22, 0.06, -0.29, -0.67, -0.49],
        [0.59, 0.75, 0.66, 0.47, 0.55, 0.83, 0.02, 0.01, 0.21],
        [-0.31, -0.20, -0.17, -0.63, 0.08, -0.34, -0.46, -0.56, -0.49],
        [2.26, 1.99, 2.01, 1.80, 2.12, 2.19, 1.77, 1.45, 1.87],
        [-1.36, -1.25, -1.31, -1.68, -1.62, -1.50, -1.49, -1.77, -2.16],
    ]
).reshape(10, 3, 3)

# Houf & Berman 1988, IEEE Trans. Components, Hybrids & Mfg. Tech. 11:497; thermal performance of
# 10 power modules, 3 operators, 3 readings each.  Data as in SAS/STAT, PROC VARCOMP, "Using the
# GRR Method".
HOUF_BERMAN = np.array(
    [
        [37, 38, 37, 41, 41, 40, 41, 42, 41],
        [42, 41, 43, 42, 42, 42, 43, 42, 43],
        [30, 31, 31, 31, 31, 31, 29, 30, 28],
        [42, 43, 42, 43, 43, 43, 42, 42, 42],
        [28, 30, 29, 29, 30, 29, 31, 29, 29],
        [42, 42, 43, 45, 45, 45, 44, 46, 45],
        [25, 26, 27, 28, 28, 30, 29, 27, 27],
        [40, 40, 40, 43, 42, 42, 43, 43, 41],
        [25, 25, 25, 27, 29, 28, 26, 26, 26],
        [35, 34, 34, 35, 35, 34, 35, 34, 35],
    ],
    dtype=float,
).reshape(10, 3, 3)


@pytest.fixture(scope="module")
def aiag():
    study = crossed(AIAG)
    assert isinstance(study, GaugeStudy)
    return study


@pytest.mark.parametrize(
    ("part", "printed", "half_unit"),
    [
        # AIAG MSA 4th ed., table III-B 8 (σ column) and table A 4 (F).
        ("ev", 0.199933, 5e-7),
        ("av", 0.226838, 5e-7),
        ("interaction", 0.0, 0.0),
        ("pv", 1.042327, 5e-7),
        ("tv", 1.085, 5e-4),
        ("percent_study_variation", 27.9, 0.05),
        ("interaction_f", 0.434, 5e-4),
        # p in the text of the manual's ANOVA output, as quoted by the public packages.
        ("interaction_p", 0.9741, 5e-5),
    ],
)
def test_the_worked_example_of_the_manual(aiag, part, printed, half_unit):
    assert getattr(aiag, part) == pytest.approx(printed, abs=half_unit)


def test_grr_differs_from_the_manual_in_the_last_printed_digit_only(aiag):
    # The manual prints .302373, the root of the sum of its own rounded squares; exact .3023715.
    assert aiag.grr == pytest.approx(0.3023715, abs=5e-8)
    assert aiag.grr == pytest.approx(0.302373, abs=2e-6)


def test_ndc_uses_root_two_where_the_manual_rounds_it_to_1_41(aiag):
    assert aiag.ndc == pytest.approx(4.875, abs=5e-4)
    assert aiag.ndc * 1.41 / np.sqrt(2) == pytest.approx(4.861, abs=5e-4)


def test_the_example_is_pooled_and_differs_unpooled(aiag):
    kept = crossed(AIAG, pool_above=1.0)
    assert aiag.pooled
    assert not kept.pooled
    # MSE .045982 before pooling (sum of squares 2.7589 on 60 degrees of freedom, table III-B 7).
    assert kept.ev**2 == pytest.approx(2.7589 / 60, abs=1e-6)


def test_a_study_with_a_real_interaction_keeps_it():
    study = crossed(HOUF_BERMAN)
    # Montgomery, Design and Analysis of Experiments (power module example): interaction F 5.27,
    # variance components .511 (repeat), .728 (operator × part); values from memory.
    assert study.interaction_f == pytest.approx(5.27, abs=0.005)
    assert not study.pooled
    assert study.ev**2 == pytest.approx(0.511, abs=5e-4)
    assert study.interaction**2 == pytest.approx(0.728, abs=5e-4)
