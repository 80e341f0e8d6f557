"""What grows with the square of a series, or with a dot for each reading, is bounded."""

from __future__ import annotations

import pytest

from explainer.errors import StudyError
from explainer.study.checks import data
from explainer.study.load import load_study, open_workspace

HEAD = """\
title: A test
question: Does it?
invented: yes
tested: {each: ball}
measures: {hardness: {term: hardness, unit: Shore D, matters_from: 1}}
"""
TREND = ("claims: [{id: c, report_says: It does., plainly: It does., "
         "test: {kind: trend, measure: hardness, over: shot, direction: up}}]\n")  # fmt: skip
SERIES = "figures: [{id: f, kind: shot-series, table: t, y: hardness}]\n"
GAUGE = "figures: [{id: f, kind: gauge, table: t, y: hardness, operator: desk, repeat: shot}]\n"


@pytest.mark.parametrize(("asks", "order", "found", "most"), [
    (TREND, ", order: shot", "found 41 readings of one ball in turn, expected at most 40", 41),
    (SERIES, ", order: shot", "found 41 readings of one ball in turn, expected at most 40", 41),
    (GAUGE, "", "found 82 readings to draw a dot for each, expected at most 80", 41),
    (TREND, ", order: shot", "", 40), (SERIES, ", order: shot", "", 40), (GAUGE, "", "", 40),
])  # fmt: skip
def test_a_study_with_more_of_them_is_refused_with_the_place(
    tmp_path, monkeypatch, asks, order, found, most
):
    monkeypatch.setattr(data, "MOST_IN_TURN", 40)
    monkeypatch.setattr(data, "MOST_OF_A_GAUGE", 80)
    folder = tmp_path / "studies" / "a"
    folder.mkdir(parents=True)
    rows = "".join(f"B{b},D{i % 2},{i + 1},{70 + i % 7}.5\n" for b in (1, 2) for i in range(most))
    (folder / "t.csv").write_text(f"ball,desk,shot,hardness\n{rows}", "utf-8")
    text = f"{HEAD}tables: {{t: {{file: t.csv{order}}}}}\n{asks}"
    (folder / "study.yaml").write_text(text, "utf-8")
    if not found:
        assert load_study(folder, open_workspace(tmp_path)).tables
        return
    with pytest.raises(StudyError) as refused:
        load_study(folder, open_workspace(tmp_path))
    assert found in str(refused.value) and str(refused.value).startswith("study.yaml:")
