"""Open data that nobody gathered for this tool, through the whole main job.

``open/make.py`` says where each data set comes from and under what terms; here the verdicts and
numbers are held against its published analysis, and the finished site is looked over.
"""

from __future__ import annotations

import html
import json
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pikepdf
import pingouin
import pytest
from scipy import stats

from explainer.cli import main

sys.path.insert(0, str(Path(__file__).parent / "open"))
import make

Digits = Callable[[float, float], float]

#: Words of the trade that have no business on a page about firms or rivers (the glossary's
#: own entries at the end of a page speak of balls whatever the study, and are cut off).
BOWLING = re.compile(r"\b(balls?|bowlers?|bowling|lanes?|rolled|sanded|games?)\b", re.IGNORECASE)

#: Columns the description does not name, of people: those stay at home (study/people.py).
UNNAMED = {"waists": ["Jumps"]}


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One workspace with all of them, published by the command."""
    root = tmp_path_factory.mktemp("open")
    for name in make.STUDIES:
        make.make(name, root)
    with pytest.raises(SystemExit) as end:
        main(["--workspace", str(root), "publish", "--into", str(root / "site")])
    assert end.value.code == 0
    return root / "site"


def claims_of(published: Path, study: str) -> dict[str, dict[str, Any]]:
    """The claims of a study by id, from its results file."""
    told = json.loads((published / study / "results.json").read_text("utf-8"))
    return {claim["id"]: claim for claim in told["claims"]}


def reading(page: Path) -> str:
    """What a reader reads of a page: no style, no glossary, no thresholds."""
    text = re.sub(r"<(style|script)\b.*?</\1>", " ", page.read_text("utf-8"), flags=re.DOTALL)
    for section in ("words", "method"):
        text = re.sub(
            rf'<section class="part" id="{section}".*?</section>', " ", text, flags=re.DOTALL
        )
    return html.unescape(re.sub(r"<[^>]+>", " ", text))


@pytest.mark.parametrize("name", make.STUDIES)
def test_the_page_speaks_of_what_was_tested(published: Path, name: str) -> None:
    said = reading(published / name / "index.html")
    assert not BOWLING.findall(said)
    assert not re.search(r"\bnan\b|dollarses|\d,\d{3} to year", said)


@pytest.mark.parametrize("name", make.STUDIES)
def test_the_paper_edition_is_there_and_tagged(published: Path, name: str) -> None:
    with pikepdf.open(published / name / "explainer.pdf") as pdf:
        assert len(pdf.pages) >= 2
        assert pdf.Root.MarkInfo.Marked


@pytest.mark.parametrize("name", make.STUDIES)
def test_the_data_go_out_as_they_came_in(published: Path, name: str) -> None:
    """Numbers to the last digit, whatever way they are written; of people, what is named only."""
    given = pd.read_csv(published.parent / "studies" / name / "data.csv")
    told = pd.read_csv(published / name / "data" / "data.csv")
    kept = given.drop(columns=UNNAMED.get(name, []))
    assert not (set(given) - set(kept)) & set(told)
    pd.testing.assert_frame_equal(told[kept.columns], kept, check_dtype=False, check_exact=True)


def test_acid_and_carbon_dioxide_in_eight_patients(published: Path) -> None:
    """Bland & Altman 1995, BMJ 310:446: within r −0.51, 38 df, P = 0.0008; part 2 (310:633):
    between subjects r 0.08, P = 0.8."""
    claims = claims_of(published, "breathing")
    within, between = claims["within-a-patient"], claims["between-patients"]
    assert within["n_items"] == 8
    assert within["n_rows"] == 47
    assert within["extra"]["df"] == 38
    assert round(within["extra"]["r"], 2) == -0.51
    # Patients differ in their own slopes, so over patients it only leans; no time, no drift.
    # One of them carries even the lean.
    assert within["verdict"] == "cannot-tell"
    assert within["reasons"] == ["fragile"]
    assert "shared-trend" not in within["reasons"]
    assert round(between["extra"]["r"], 1) == 0.1
    assert between["p"] == pytest.approx(0.8, abs=0.06)
    assert between["verdict"] == "cannot-tell"


def test_before_and_after_a_training(published: Path, digits: Digits) -> None:
    """The main effect of time in pingouin's two-way repeated measures analysis of variance."""
    claims = claims_of(published, "employees")
    change = claims["better"]
    data = pingouin.read_dataset("rm_anova2")
    table = pingouin.rm_anova(
        data, dv="Performance", within=["Time", "Metric"], subject="Subject"
    ).set_index("Source")
    t = stats.t.isf(change["p"] / 2, 9)
    assert digits(float(t**2), float(table.loc["Time", "F"])) >= 9
    assert round(float(t**2), 2) == 33.85  # as real-statistics.com prints it (from memory)
    assert (change["n_items"], change["n_rows"]) == (10, 60)
    assert change["verdict"] == "backed"
    assert claims["no-difference"]["verdict"] == "against"
    assert claims["a-year-on"]["verdict"] == "not-tested"
    assert claims["a-year-on"]["reasons"] == ["beyond-data"]


def test_what_ten_firms_invest(published: Path, digits: Digits) -> None:
    """Grunfeld 1958; slopes of investment on value within and between firms as R's plm and a mixed
    model with firm means give them (see test_within_published.py)."""
    claims = claims_of(published, "investing")
    tracks = claims["grows-with-value"]
    assert digits(tracks["estimate"], 0.1898776) >= 6
    assert digits(tracks["extra"]["slope_between"], 0.1378971) >= 6
    assert digits(tracks["extra"]["r"], 0.6088713) >= 6
    assert tracks["extra"]["df"] == 189
    assert (tracks["n_items"], tracks["n_rows"]) == (10, 200)
    # 200 rows are not 200 firms: one firm's slope dominates.
    assert tracks["verdict"] == "leans"
    means = make.investing().groupby("firm")[["value", "invest"]].mean()
    expected = stats.pearsonr(means["value"], means["invest"]).statistic
    assert digits(claims["bigger-invest-more"]["estimate"], float(expected)) >= 9
    assert claims["bigger-invest-more"]["verdict"] == "backed"
    assert claims["same-line"]["estimate"] == pytest.approx(0.1898776 / 0.1378971, rel=1e-6)


def test_smoking_in_eight_cities(published: Path) -> None:
    """Agresti 1996, An Introduction to Categorical Data Analysis, section 3.2 (value from memory):
    common odds ratio 2.17, Breslow–Day 5.2 on 7 df, p 0.64.  The same in statsmodels' notebook on
    contingency tables: pooled odds 2.174, constant OR 5.200, p 0.636."""
    claims = claims_of(published, "smoking")
    rate = claims["more-among-smokers"]
    assert rate["verdict"] == "backed"
    assert rate["extra"]["odds_ratio"] == pytest.approx(2.174, abs=5e-4)
    assert rate["extra"]["p_breslow_day"] == pytest.approx(0.636, abs=5e-4)
    assert rate["extra"]["p_cmh"] < 1e-60  # a chi-square of 280.138
    assert rate["n_items"] == 8


def test_silver_weighed_by_two_instruments(published: Path, digits: Digits) -> None:
    """NIST StRD, AtmWtAg: certified F 15.9467335677930 on 1 and 46 df, sum of squares between
    3.63834187500000E-09.

    With 24 readings each Welch's t is the pooled one, so t² is F; readings agree in their first
    seven digits, which is what the set is there to test.
    """
    claims = claims_of(published, "silver")
    gap = claims["second-reads-lower"]
    data = make.silver().astype({"weight": float})
    a, b = (data.loc[data["instrument"] == f"no {i}", "weight"] for i in (2, 1))
    df = stats.ttest_ind(a, b, equal_var=False).df
    t = float(stats.t.isf(gap["p"] / 2, df))
    assert digits(t**2, 15.9467335677930) >= 8
    assert digits(24 / 2 * gap["estimate"] ** 2, 3.63834187500000e-09) >= 8
    assert gap["verdict"] == "backed"
    assert "real-but-small" in gap["reasons"]


def test_readings_alike_in_seven_digits_are_told_apart_on_the_page(published: Path) -> None:
    said = reading(published / "silver" / "index.html")
    assert "107.868157" in said  # the first reading, 107.8681568
    assert not re.search(r"\b108\b", said)


def test_waists_and_situps_of_twenty_men(published: Path) -> None:
    """SAS/STAT User's Guide, PROC CANCORR, example 1: waist and sit-ups −0.6456, waist and chin-ups
    −0.5522, pulse and sit-ups 0.2250."""
    claims = claims_of(published, "waists")
    assert round(claims["fewer-situps"]["estimate"], 4) == -0.6456
    assert claims["fewer-situps"]["verdict"] == "backed"
    assert claims["strongly"]["verdict"] == "cannot-tell"
    assert round(claims["pulse-nothing"]["estimate"], 4) == 0.2250
    assert claims["pulse-nothing"]["verdict"] == "not-tested"  # 32 men at least for ±0.3


def test_the_flow_of_one_river(published: Path) -> None:
    """Mean 919.35 (Cobb 1978's series as R's summary(Nile) prints it); slope and rank test beside
    scipy's, which leaves out the continuity correction."""
    claims = claims_of(published, "river")
    trend = claims["goes-down"]
    data = make.river()
    reference = stats.theilslopes(data["volume"], data["year"])
    assert trend["estimate"] == pytest.approx(reference.slope, rel=1e-12)
    tau = stats.kendalltau(data["year"], data["volume"])
    assert trend["extra"]["mann_kendall_p"] == pytest.approx(tau.pvalue, rel=0.05)
    # A drop at once in 1898 (Cobb 1978), which a straight line takes for a drift.
    assert (trend["verdict"], "step" in trend["reasons"]) == ("cannot-tell", True)
    told = json.loads((published / "river" / "results.json").read_text("utf-8"))
    assert told["stated"][0]["agrees"] is True
    assert np.isclose(told["stated"][0]["recomputed"], 919.35)
