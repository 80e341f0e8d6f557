"""Kinds that put two readings of an item together, through the whole judge: Student's sleepers."""

from __future__ import annotations

from pathlib import Path

import pytest

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
