"""Kinds that put two readings of an item together, through the whole judge: Student's sleepers."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pingouin
import pytest
from calibration.worlds import study_of
from scipy import stats

from explainer.claims.judge import judge
from explainer.claims.verdict import Verdict
from explainer.study.load import find_study, load_study

# Cushny & Peebles 1905, as in Student 1908 and R's datasets::sleep: extra hours of the same ten
# patients under each of two drugs.
DRUG_1 = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
DRUG_2 = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]

HEAD = """\
title: Sleep
question: Does it help?
tested: {each: patient}
use: {column: stage, term: stages, unit: game}
measures: {extra: {unit: count, matters_from: 3}}
tables: {t: {file: t.csv, source: Student 1908}}
claims:
"""


def verdict(folder: Path, rows: list[tuple[object, ...]], test: str) -> Verdict:
    """The verdict on one claim about rows of patient, drug, stage and extra hours."""
    study = folder / "studies" / "sleep"
    study.mkdir(parents=True)
    lines = ["patient,drug,stage,extra", *(",".join(map(str, row)) for row in rows)]
    (study / "t.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    claim = f"  - {{id: c, report_says: It helps., test: {test}}}\n"
    (study / "study.yaml").write_text(HEAD + claim, encoding="utf-8")
    workspace, place = find_study(str(study), folder)
    (found,) = judge(load_study(place, workspace)).verdicts
    return found


def test_difference_in_change_is_welchs_on_gains(tmp_path: Path) -> None:
    """As two groups of ten, nothing gained at first: R's t.test(extra ~ group) prints t −1.8608,
    df 17.776, p 0.07939 and −3.3654832 to 0.2054832 (the range from memory)."""
    rows = [(f"{drug}{i}", drug, stage, value if stage else 0.0)
            for drug, values in (("one", DRUG_1), ("two", DRUG_2))
            for i, value in enumerate(values) for stage in (0, 1)]  # fmt: skip
    v = verdict(tmp_path, rows, "{kind: difference-in-change, measure: extra, from: 0, to: 1, "
                "by: drug, a: one, b: two, direction: lower}")  # fmt: skip
    assert v.estimate == pytest.approx(-1.58, abs=5e-9)
    assert (v.low, v.high) == pytest.approx((-3.3654832, 0.2054832), abs=5e-8)
    assert v.p == pytest.approx(0.07939, abs=5e-6)


def test_no_worse_rests_on_the_one_sided_bound(tmp_path: Path) -> None:
    """The same patients twice: R's paired t.test with a one-sided alternative prints t 4.0621,
    df 9, p 0.001416 and a bound of 0.8669947 (from memory; Student 1908 has the mean, 1.58)."""
    rows = [(f"P{i}", "both", stage, values[i]) for i in range(10)
            for stage, values in ((0, DRUG_1), (1, DRUG_2))]  # fmt: skip
    v = verdict(tmp_path, rows, "{kind: no-worse, measure: extra, from: 0, to: 1, worse: down}")
    assert v.code == "backed" and v.estimate == pytest.approx(1.58, abs=5e-9)
    assert v.extra["worst95"] == pytest.approx(0.8669947, abs=5e-8)


def test_settles_is_a_t_range_and_then_an_equivalence_range(tmp_path: Path) -> None:
    """Extra hours under the first drug by then: R's one-sample t.test prints a mean of 0.75 with
    −0.5297804 to 2.0297804; and from the first to the second drug, whose one-sided bound above is
    the low end of the 90% range (both from memory)."""
    rows = [(f"P{i}", "both", stage, values[i]) for i in range(10)
            for stage, values in ((0, [0.0] * 10), (1, DRUG_1), (2, DRUG_2))]  # fmt: skip
    v = verdict(tmp_path, rows, "{kind: settles, measure: extra, from: 0, by: 1, to: 2, "
                "direction: up}")  # fmt: skip
    early = (v.extra["early"], v.extra["early_low"], v.extra["early_high"])
    assert early == pytest.approx((0.75, -0.5297804, 2.0297804), abs=5e-8)
    assert v.extra["late_low90"] == pytest.approx(0.8669947, abs=5e-8)
    assert v.detail.fails == "early"  # type: ignore[attr-defined]


# Potvin, Lechowicz & Tardif 1990, Ecology 71, 1389, as R's datasets::CO2 (package) has them: what
# each of twelve plants takes up at 95, 350, 675 and 1000 mL/L of carbon dioxide.
UPTAKE = {
    "Qn1": (16.0, 37.2, 39.2, 39.7), "Qn2": (13.6, 41.8, 41.4, 44.3),
    "Qn3": (16.2, 42.1, 43.9, 45.5), "Qc1": (14.2, 34.6, 35.4, 38.7),
    "Qc2": (9.3, 38.8, 37.5, 42.4), "Qc3": (15.1, 34.0, 39.6, 41.4),
    "Mn1": (10.6, 30.0, 32.4, 35.5), "Mn2": (12.0, 31.8, 31.1, 31.5),
    "Mn3": (11.3, 27.9, 28.1, 27.8), "Mc1": (10.5, 18.9, 22.2, 21.9),
    "Mc2": (7.7, 13.0, 13.7, 14.4), "Mc3": (10.6, 17.9, 18.9, 19.9),
}  # fmt: skip
LEVELS = (95, 350, 675, 1000)


@pytest.mark.parametrize(
    ("to", "margin", "late"),
    [(675, 2.5, "backed"), (675, 2.1, "leans"), (1000, 2.5, "cannot-tell")],
)
def test_settles_on_plants_that_take_up_no_more(to: int, margin: float, late: str) -> None:
    """What a plant takes up rises with what it is given and then levels off: the first half by
    SciPy's paired t test, the second by pingouin's two one-sided tests, and the weaker decides."""
    frame = pd.DataFrame([(plant, float(level), value) for plant, values in UPTAKE.items()
                          for level, value in zip(LEVELS, values, strict=True)],
                         columns=["ball", "games", "y"])  # fmt: skip
    test = {"kind": "settles", "measure": "y", "from": 95, "by": 350, "to": to, "direction": "up",
            "margin": margin}  # fmt: skip
    (v,) = judge(study_of(frame, test, use="games", measures={"y": {"unit": "board"}})).verdicts
    start, middle, end = (np.array([row[LEVELS.index(x)] for row in UPTAKE.values()])
                          for x in (95, 350, to))  # fmt: skip
    early = stats.ttest_rel(middle, start)
    low, high = early.confidence_interval(0.95)
    assert (v.extra["early"], v.extra["early_low"], v.extra["early_high"]) == pytest.approx(
        ((middle - start).mean(), low, high), abs=1e-9)  # fmt: skip
    low, high = stats.ttest_rel(end, middle).confidence_interval(0.90)
    assert (v.extra["late_low90"], v.extra["late_high90"]) == pytest.approx((low, high), abs=1e-9)
    p = pingouin.tost(end, middle, margin, paired=True)["pval"].iloc[0]
    assert v.extra["p_tost"] == pytest.approx(p, abs=1e-9)
    assert (p < 0.05) == (late == "backed") == (v.code == "backed")
    assert early.pvalue < 1e-4 and v.detail.early_code == "backed"  # type: ignore[attr-defined]
    assert v.detail.late_code == late  # type: ignore[attr-defined]
