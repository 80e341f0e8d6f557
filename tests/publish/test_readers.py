"""Who took a reading is called by initials, like everybody; a desk keeps its name.

Everybody here is made up.
"""

from __future__ import annotations

import pytest

from explainer.claims.judge import judge
from explainer.publish.site import publish
from explainer.study.load import load_study

from .test_people import everything, workspace

NAMES = ("Zebulon Quackenbush", "Ermintrude Falsworthy", "Hezekiah")
STUDY = """\
title: Does the gauge see it?
question: Does the gauge see it?
invented: yes
tested: {each: ball}
measures:
  hardness: {unit: Shore D, matters_from: 1}
tables:
  desks: {file: scores.csv}
figures:
  - {id: gauge, kind: gauge, table: desks, y: hardness, operator: tester, repeat: again}
claims:
  - id: fine
    report_says: The gauge is fine.
    figure: gauge
    test: {kind: repeatability, table: desks, measure: hardness, operator: tester, repeat: again}
"""


def sheet(names=NAMES) -> str:
    rows = ["ball,tester,again,hardness"]
    for ball in range(6):
        for i, name in enumerate(names):
            rows += [f"B{ball},{name},{n},{70 + ball + i / 5 + n / 10:.1f}" for n in (1, 2)]
    return "\n".join(rows) + "\n"


def labels(tmp_path, names=NAMES, head="tester", study=STUDY) -> list[str]:
    data = sheet(names).replace("tester", head, 1)
    space, folder = workspace(tmp_path, study.replace("tester", head), data)
    return list(load_study(folder, space).tables["desks"].frame[head].unique())


def test_whoever_read_is_named_nowhere(tmp_path):
    space, folder = workspace(tmp_path, STUDY, sheet())
    assert not publish(space, {"season": folder}, tmp_path / "site").failed
    files = everything(tmp_path / "site")
    parts = [part.casefold() for name in NAMES for part in name.split()]
    for path, text in files.items():
        assert [part for part in parts if part in text.casefold()] == [], path
    assert "B0,ZQ,1," in files["season/data/scores.csv"]


@pytest.mark.parametrize("head", ["tester", "who", "read_by", "operator"])
def test_whatever_their_column_is_called(head, tmp_path):
    assert labels(tmp_path, head=head) == ["ZQ", "EF", "H"]


@pytest.mark.parametrize("head", ["operator", "desk"])
def test_desks_and_letters_keep_their_names(head, tmp_path):
    plain = ("Desk one", "counter", "3")
    assert labels(tmp_path, plain, head) == list(plain)


def test_a_desk_called_like_somebody_is_called_by_initials(tmp_path):
    assert labels(tmp_path, ("Desk A", "Zebulon Quackenbush", "Shop"), "desk")[1] == "ZQ"


def test_a_place_that_people_are_called_is_somebody_where_it_is_written_like_one(tmp_path):
    assert labels(tmp_path, ("Lane", "Kit", "Bo Falsworthy")) == ["L", "K", "BF"]
    assert labels(tmp_path / "small", ("lane 3", "kit", "counter")) == ["lane 3", "kit", "counter"]


def test_names_are_shown_on_purpose(tmp_path):
    assert labels(tmp_path, study=STUDY.replace("ball}", "ball, names: shown}")) == list(NAMES)


def test_who_read_where_nothing_names_the_column_is_hidden_too(tmp_path):
    study = STUDY.split("figures:")[0] + (
        "claims:\n  - {id: a, report_says: S., test: {kind: not-testable, because: None.}}\n"
    )
    space, folder = workspace(tmp_path, study, sheet())
    study = load_study(folder, space)
    assert set(study.tables["desks"].others["tester"]) == {"ZQ", "EF", "H"}
    assert judge(study)
