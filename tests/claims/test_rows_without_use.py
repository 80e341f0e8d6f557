"""Readings taken together but at no checkpoint: each row is a point, and items still count."""

from __future__ import annotations

import json

import numpy as np
import pandas as pd
import pytest

from explainer.analysis.within import Within, within
from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.study.load import load_study, open_workspace
from explainer.study.shipped import home

STUDY = """\
title: T
question: Q
tested: {each: patient, count: 6}
measures: {a: {unit: count}, b: {unit: count}}
tables: {data: {file: data.csv}}
claims:
  - {id: within, report_says: s, test: {kind: tracks-within, x: a, y: b, direction: positive}}
  - {id: between, report_says: s, test: {kind: association, x: a, y: b, direction: positive}}
"""


@pytest.fixture
def told(tmp_path):
    """Claims by id of six patients, four rows each, of whom one lacks b once; and the rows."""
    rng = np.random.default_rng(3)
    frame = pd.DataFrame({"patient": np.repeat([f"P{i}" for i in range(6)], 4)})
    frame["a"] = rng.normal(0, 1, 24).round(3)
    frame["b"] = (2 * frame["a"] - np.repeat(rng.normal(0, 3, 6), 4)).round(3)
    frame.loc[5, "b"] = np.nan
    frame.to_csv(tmp_path / "data.csv", index=False)
    (tmp_path / "study.yaml").write_text(STUDY, "utf-8")
    said = results(judge(load_study(tmp_path, open_workspace(home()))))
    return {c["id"]: c for c in json.loads(json.dumps(said))["claims"]}, frame


def test_each_row_is_a_point(told):
    claims, frame = told
    expected = within(frame["a"], frame["b"], frame["patient"])
    assert isinstance(expected, Within)
    claim = claims["within"]
    assert claim["n_rows"] == 23
    assert claim["extra"]["df"] == 23 - 6 - 1
    assert claim["estimate"] == pytest.approx(expected.slope.value, rel=1e-12)
    assert claim["verdict"] == "backed"


def test_nothing_drifts_and_no_checkpoint_carries_it_where_there_is_none(told):
    claims, _ = told
    assert not {"shared-trend", "one-step", "too-few-items"} & set(claims["within"]["reasons"])


def test_between_items_it_is_their_means(told):
    claims, frame = told
    means = frame.groupby("patient")[["a", "b"]].mean()
    expected = np.corrcoef(means["a"], means["b"])[0, 1]
    assert claims["between"]["estimate"] == pytest.approx(expected, rel=1e-12)
