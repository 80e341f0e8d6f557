"""Within and between items against printed values."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd
import pingouin
import pytest
from scipy import stats
from statsmodels.datasets import grunfeld
from statsmodels.regression.mixed_linear_model import MixedLM

from explainer.analysis.result import Estimate
from explainer.analysis.within import Within, within

Digits = Callable[[float, float], float]


def test_bland_and_altman_in_rmcorr() -> None:
    """The front page of the R package rmcorr 0.7 prints r, p and the range to seven digits."""
    data = pingouin.read_dataset("rm_corr")
    w = within(data["PacO2"], data["pH"], data["Subject"])
    assert isinstance(w, Within)
    e = w.r_estimate
    assert (e.value, e.p) == pytest.approx((-0.5067697, 0.0008471081), abs=5e-8)
    assert (e.at95.low, e.at95.high) == pytest.approx((-0.7067146, -0.2318631), abs=5e-8)


@pytest.fixture(scope="module")
def firms() -> pd.DataFrame:
    """Grunfeld 1958: 10 firms over 20 years; statsmodels carries an eleventh, left out here."""
    data = grunfeld.load_pandas().data
    return data[data["firm"] != "American Steel"]


def test_bland_and_altman_1995() -> None:
    """Bland & Altman 1995, BMJ 310:446, table: r = −0.51, 38 df, p = 0.0008 (pingouin rm_corr)."""
    data = pingouin.read_dataset("rm_corr")
    w = within(data["pH"], data["PacO2"], data["Subject"].astype(str))
    assert isinstance(w, Within)
    assert (len(w.items), w.df) == (8, 38)
    assert round(w.r, 2) == -0.51
    assert w.r_estimate.p == pytest.approx(0.0008, abs=5e-5)
    assert w.r == pytest.approx(-0.507, abs=5e-4)
    # pingouin's analysis of covariance by hand: F of pH beside subjects is t² (13.131319).
    assert (w.slope.value / w.slope_se_readings) ** 2 == pytest.approx(13.131319, abs=5e-7)


def test_grunfeld_on_one_variable(firms: pd.DataFrame) -> None:
    """investment on value; worked out once beside R's formulas and statsmodels."""
    w = within(firms["value"], firms["invest"], firms["firm"], firms["year"])
    assert isinstance(w, Within) and w.slope_between is not None
    assert w.r == pytest.approx(0.6088713, abs=5e-8)
    assert w.df == 189
    assert w.slope.value == pytest.approx(0.1898776, abs=5e-8)
    assert w.slope_between.value == pytest.approx(0.1378971, abs=5e-8)
    assert w.slope_difference == pytest.approx(-0.0519804, abs=5e-8)
    assert w.difference_t == pytest.approx(-1.937486, abs=5e-7)
    assert w.difference_df == pytest.approx(25.705, abs=5e-4)
    assert w.p_slopes_differ == pytest.approx(0.06375, abs=5e-6)


def test_grunfeld_by_reml(firms: pd.DataFrame) -> None:
    """The mixed model with item means as a second x: the same difference, t −1.9374."""
    data = firms.assign(mean=firms.groupby("firm")["value"].transform("mean"))
    exog = np.column_stack((np.ones(len(data)), data["value"], data["mean"]))
    fit = MixedLM(data["invest"].to_numpy(), exog, groups=data["firm"].to_numpy()).fit(reml=True)
    w = within(data["value"], data["invest"], data["firm"])
    assert isinstance(w, Within)
    assert fit.fe_params[1] == pytest.approx(w.slope.value, rel=1e-6)
    assert fit.fe_params[2] == pytest.approx(w.slope_difference, rel=1e-6)
    assert fit.tvalues[2] == pytest.approx(-1.9374, abs=5e-5)
    assert fit.tvalues[2] == pytest.approx(w.difference_t, abs=1e-3)


def test_grunfeld_on_two_variables_by_what_is_left_of_the_first(firms: pd.DataFrame) -> None:
    """plm prints .110124 (SE .011857) for value within firms beside capital.

    Ours takes one x, so capital is first removed from both within firms (Frisch & Waugh 1933);
    the standard error then has one degree of freedom too many.
    """

    def rest(name: str) -> pd.Series:
        own = firms[name] - firms.groupby("firm")[name].transform("mean")
        k = firms["capital"] - firms.groupby("firm")["capital"].transform("mean")
        return own - k * (own @ k) / (k @ k)

    w = within(rest("value"), rest("invest"), firms["firm"])
    assert isinstance(w, Within)
    assert w.slope.value == pytest.approx(0.110124, abs=5e-7)
    assert w.slope_se_readings * (189 / 188) ** 0.5 == pytest.approx(0.011857, abs=5e-7)


# igerber/diff-diff, benchmarks/data/clubsandwich_cr2_golden.json, scenario absorbed_fe_did:
# lm(y ~ treat_post + factor(unit) + factor(period)) in R with clubSandwich's
# vcovCR(cluster = unit, type = "CR2") and its Satterthwaite df, clubSandwich 0.7.0; eight units
# over four periods.
CLUB_UNIT = np.repeat(np.arange(8), 4)
CLUB_PERIOD = np.tile(np.arange(4), 8)
CLUB_X = ((CLUB_UNIT >= 4) & (CLUB_PERIOD >= 1)).astype(float)
CLUB_Y = np.array([
    0.8675660610026393, 1.974964371815635, 0.6262455759968815, 0.4250911204896504,
    0.01746049540615028, 1.285747228403441, 0.3303840020024503, -0.5671521618639435,
    -0.1142677095292809, 0.2383353498523538, -0.9019587987113207, -0.7061707682056644,
    -0.6157969345539587, -0.2881843268354549, -0.8240764992194235, -1.200211068425945,
    -1.671803432337748, 1.089318887196633, 0.5606170281167306, -0.7090977528526379,
    1.811753709724553, 4.592189277336034, 3.604625926706315, 3.458451392091618,
    -1.216703112388791, 1.963130563935098, 1.026428163741928, 0.01788553114847297,
    0.3145236664361374, 3.957995942075363, 2.327538808912606, 2.632995686497729,
])  # fmt: skip
CLUB_COEFFICIENT = 2.240053222690117
CLUB_VARIANCE = 0.04493732438638597
CLUB_DF = 6.000000000000003


def test_cr2_of_clubsandwich(digits: Digits) -> None:
    """The gate's slope, with an effect per item and per checkpoint."""
    w = within(CLUB_X, CLUB_Y, CLUB_UNIT, CLUB_PERIOD)
    assert isinstance(w, Within)
    gate = w.slope_without_time
    assert gate is not None and gate.se is not None and gate.df is not None
    assert digits(gate.value, CLUB_COEFFICIENT) >= 12
    assert digits(gate.se**2, CLUB_VARIANCE) >= 11
    assert digits(gate.df, CLUB_DF) >= 11


def cr2_by_definition(
    design: np.ndarray, y: np.ndarray, item: np.ndarray, column: int
) -> tuple[float, float]:
    """Standard error and df of one coefficient, with nothing simplified.

    Bell & McCaffrey 2002: V = B [Σ X'ᵢ Aᵢ eᵢ e'ᵢ A'ᵢ Xᵢ] B with Aᵢ = (I − Hᵢᵢ)^(−1/2), and
    Satterthwaite's df (Σλ)²/Σλ² from the eigenvalues of G'G, G's columns (I − H)'ᵢ Aᵢ Xᵢ B c.
    """
    bread = np.linalg.pinv(design.T @ design)
    left = np.eye(len(y)) - design @ bread @ design.T
    scores, columns = [], []
    for g in np.unique(item):
        mine = item == g
        values, vectors = np.linalg.eigh(left[np.ix_(mine, mine)])
        root = np.where(values > 1e-9, 1 / np.sqrt(np.maximum(values, 1e-9)), 0.0)
        part = (vectors * root @ vectors.T) @ design[mine] @ bread[:, column]
        scores.append(part @ (left @ y)[mine])
        columns.append(left[:, mine] @ part)
    g = np.column_stack(columns)
    lam = np.linalg.eigvalsh(g.T @ g)
    return float(np.linalg.norm(scores)), float(lam.sum() ** 2 / (lam**2).sum())


def test_the_definition_above_is_clubsandwichs(digits: Digits) -> None:
    design = np.column_stack((CLUB_X, np.eye(8)[CLUB_UNIT], np.eye(4)[CLUB_PERIOD][:, 1:]))
    se, df = cr2_by_definition(design, CLUB_Y, CLUB_UNIT, 0)
    assert digits(se**2, CLUB_VARIANCE) >= 11
    assert digits(df, CLUB_DF) >= 11


@pytest.mark.parametrize("seed", range(6))
def test_the_short_form_of_cr2_is_the_definition(seed: int) -> None:
    """Unequal items, unequal spread in x: the short sum and the matrices agree."""
    rng = np.random.default_rng(seed)
    item = np.repeat(np.arange(5), rng.integers(2, 7, 5))
    x = rng.normal(0, 1, item.size) * rng.uniform(0.1, 5, 5)[item] + item
    y = rng.normal(0, 1, item.size) + x * rng.normal(1, 0.5, 5)[item]
    w = within(x, y, item.astype(str))
    assert isinstance(w, Within)
    expected = cr2_by_definition(np.column_stack((x, np.eye(5)[item])), y, item, 0)
    assert (w.slope.se, w.slope.df) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_the_gate_is_the_definition_in_a_full_table(seed: int) -> None:
    rng = np.random.default_rng(seed)
    item, use = np.repeat(np.arange(6), 5), np.tile(np.arange(5), 6)
    x = rng.normal(0, 1, 30) * rng.uniform(0.1, 5, 6)[item] + item + use**2
    y = rng.normal(0, 1, 30) + x - use
    w = within(x, y, item.astype(str), use)
    assert isinstance(w, Within) and w.slope_without_time is not None
    design = np.column_stack((x, np.eye(6)[item], np.eye(5)[use]))
    expected = cr2_by_definition(design, y, item, 0)
    assert (w.slope_without_time.se, w.slope_without_time.df) == pytest.approx(expected, rel=1e-7)


def test_cr2_of_items_that_moved_alike_is_the_t_test_of_their_slopes() -> None:
    """Every ball with the same x: the pooled slope is their mean, its SE that of a mean."""
    rng = np.random.default_rng(4)
    slopes = rng.normal(1, 1, 7)
    x = np.tile([0.0, 1, 2], 7)
    item = np.repeat(np.arange(7), 3)
    w = within(x, slopes[item] * x + item, item.astype(str))
    assert isinstance(w, Within) and isinstance(w.slope, Estimate)
    reference = stats.ttest_1samp(slopes, 0)
    assert w.slope.p == pytest.approx(reference.pvalue, rel=1e-9)
    interval = reference.confidence_interval()
    assert (w.slope.at95.low, w.slope.at95.high) == pytest.approx(tuple(interval), rel=1e-9)
