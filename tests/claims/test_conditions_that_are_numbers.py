"""A column may be a condition of one claim and the use, order or measure of another."""

from __future__ import annotations

from pathlib import Path

import pytest

from explainer.claims.judge import judge
from explainer.errors import StudyError
from explainer.study.load import load_study, open_workspace

#: Six balls, three volumes of oil: every ball hooks two boards less for each five millilitres.
ROWS = "ball,pattern,oil,shot,hook,strikes,shots\n" + "".join(
    f"B{ball},{pattern},{oil},{shot},{20 - 0.4 * oil + 0.3 * ball + 0.15 * (ball * oil % 7):.2f},"
    f"{9 - oil // 5 + ball % 2},12\n"
    for ball in range(1, 7) for pattern in ("short", "long")
    for oil in ((20, 25, 30) if pattern == "short" else (20, 25)) for shot in (1, 2)
)  # fmt: skip
DIFFERENCE = ("{kind: difference, measure: hook, by: oil, a: 20, b: 25, direction: higher, "
              "within: ball}")  # fmt: skip
TREND = "{kind: trend, measure: hook, over: oil, direction: down}"
PATTERN = "{kind: difference, measure: hook, by: pattern, a: short, b: long, direction: any}"
RATES = ("{kind: rate-difference, successes: strikes, attempts: shots, by: oil, a: 20, b: 25, "
         "direction: higher, within: ball}")  # fmt: skip


def study_of(tmp_path: Path, *tests: str, use: str = "", figures: str = ""):
    claims = "".join(
        f"  - id: claim-{n}\n    report_says: So it is.\n    plainly: So it is.\n    test: {test}\n"
        for n, test in enumerate(tests)
    )
    folder = tmp_path / "studies" / "oil"
    folder.mkdir(parents=True)
    (folder / "oil.csv").write_text(ROWS, "utf-8")
    (folder / "study.yaml").write_text(
        "title: Oil\nquestion: Does oil cost hook?\ntested: {each: ball, count: 6}\n"
        + (f"use: {use}\n" if use else "")
        + "measures: {hook: {term: total hook, unit: board, matters_from: 0.5}}\n"
        "tables: {oil: {file: oil.csv, source: made up, order: shot}}\n"
        + (figures or "figures: []\n") + f"claims:\n{claims}",
        "utf-8",
    )  # fmt: skip
    return load_study(folder, open_workspace(tmp_path))


def first(study):
    return judge(study).verdicts[0]


def test_an_unrelated_trend_over_the_condition_changes_nothing(tmp_path):
    alone = first(study_of(tmp_path / "alone", DIFFERENCE, PATTERN))
    beside = first(study_of(tmp_path / "beside", DIFFERENCE, PATTERN, TREND))
    assert alone.code == "backed"
    assert (beside.code, beside.estimate, beside.n_items) == (alone.code, alone.estimate, 6)


def test_the_condition_may_be_the_use_of_the_study(tmp_path):
    plain = first(study_of(tmp_path / "plain", DIFFERENCE, PATTERN))
    used = first(
        study_of(tmp_path / "used", DIFFERENCE, PATTERN, use="{column: oil, term: oil, unit: mL}")
    )
    assert (used.code, used.n_items) == ("backed", 6)
    assert used.estimate == pytest.approx(plain.estimate)


def test_rates_under_conditions_that_another_claim_reads_as_numbers(tmp_path):
    alone = first(study_of(tmp_path / "alone", RATES, PATTERN))
    beside = first(study_of(tmp_path / "beside", RATES, PATTERN, TREND))
    assert alone.n_items == beside.n_items == 6
    assert beside.estimate == pytest.approx(alone.estimate)


@pytest.mark.parametrize("value", ["35", "thirty"])
@pytest.mark.parametrize("more", [(), (TREND,)])
def test_a_condition_that_nothing_has_is_an_error_with_those_that_exist(value, more, tmp_path):
    test = DIFFERENCE.replace("b: 25", f"b: {value}")
    with pytest.raises(StudyError) as caught:
        study_of(tmp_path, test, PATTERN, *more)
    (problem,) = [p for p in caught.value.problems if p.code == "no-value"]
    assert f"`{value}`" in problem.found
    assert "`20`, `25`" in problem.expected and "`30`" in problem.expected


def test_so_is_one_that_nothing_has_in_the_rows_a_claim_picks(tmp_path):
    test = DIFFERENCE.replace("b: 25", "b: 30").replace("within", "only: {pattern: long}, within")
    with pytest.raises(StudyError) as caught:
        study_of(tmp_path, test)
    (problem,) = [p for p in caught.value.problems if p.code == "no-value"]
    assert "`30`, which no row of oil.csv holds of those that `only` picks" in problem.found
    assert problem.expected == "one of `20`, `25`"
