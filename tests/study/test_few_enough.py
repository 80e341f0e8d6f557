"""What grows with the square of a series, or with a dot for each reading, is bounded."""

from __future__ import annotations

import pytest

from explainer.errors import StudyError
from explainer.study.checks import work
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
ASSOCIATION = ("claims:\n" + "".join(
    f"  - {{id: c{n}, report_says: It does., plainly: It does., test: "
    "{kind: association, x: hardness, y: hook}}\n" for n in (1, 2)))  # fmt: skip
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
    monkeypatch.setattr(work, "MOST_IN_TURN", 40)
    monkeypatch.setattr(work, "MOST_OF_A_GAUGE", 80)
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


SCATTER = "".join(f"  - {{id: f{n}, kind: scatter, table: t, x: hook, y: hardness}}\n"
                  for n in (1, 2))  # fmt: skip


@pytest.mark.parametrize(("asks", "most", "found"), [
    # Two items of two checkpoints each, left out in turn: 2 x (4 + 60 x 2) = 248 each claim.
    (ASSOCIATION, ("MOST_AGAIN", 495), "found 496 readings to look at again"),
    (ASSOCIATION, ("MOST_AGAIN", 496), ""),
    # A series of two items of two: 2 x (2 + 500 x 2 + 50,000).
    (TREND, ("MOST_AGAIN", 102_003), "found 102,004 readings to look at again"),
    (TREND, ("MOST_AGAIN", 102_004), ""),
    (f"figures:\n{SCATTER}", ("MOST_DRAWN", 7), "study.yaml:9:36: found 8 rows to draw"),
    (f"figures:\n{SCATTER}", ("MOST_DRAWN", 8), ""),
])  # fmt: skip
def test_what_claims_and_figures_take_together_is_bounded(
    tmp_path, monkeypatch, asks, most, found
):
    monkeypatch.setattr(work, *most)
    folder = tmp_path / "studies" / "a"
    folder.mkdir(parents=True)
    rows = "".join(f"B{b},{i},{70 + b + i}.5,{b - i}\n" for b in (1, 2) for i in (1, 2))
    (folder / "t.csv").write_text(f"ball,shot,hardness,hook\n{rows}", "utf-8")
    hook = "hook: {term: hook, unit: board}"
    measures = HEAD.replace("matters_from: 1}}", f"matters_from: 1}}, {hook}}}")
    tables = "tables: {t: {file: t.csv, order: shot}}"
    text = f"{measures}{tables}\n{asks}"
    (folder / "study.yaml").write_text(text, "utf-8")
    if not found:
        assert load_study(folder, open_workspace(tmp_path)).tables
        return
    with pytest.raises(StudyError) as refused:
        load_study(folder, open_workspace(tmp_path))
    assert found in str(refused.value)
