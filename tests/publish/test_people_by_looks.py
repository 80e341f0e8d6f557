"""Groups called like people and things called somebody's: initials, unless somebody says otherwise.

Everybody here is made up.
"""

from __future__ import annotations

import pytest

from explainer.proof.read import proofread
from explainer.publish.data import data_files
from explainer.publish.site import publish
from explainer.study.called import holds_people, owners_in
from explainer.study.load import load_study, open_workspace

from .test_people import everything

STUDY = """\
title: Do covers wear?
question: Do covers wear?
invented: yes
tested: {each: ball}
use: {column: games, unit: game}
measures:
  hook: {unit: board, matters_from: 1}
tables:
  shots: {file: shots.csv}
figures:
  - {id: over, kind: over-use, table: shots, y: hook, say: Zebulon Quackenbush drilled the first.}
claims:
  - {id: c, report_says: S., plainly: P., test: {kind: change, measure: hook, from: 0, to: 10}}
"""
BY = """\
  - id: by-whom
    report_says: They differ.
    plainly: They differ.
    test: {kind: difference, measure: hook, by: GROUP, a: Zebulon Quackenbush, b: Ermintrude Falsworthy, at: 0}
"""  # noqa: E501
PEOPLE = ("Zebulon Quackenbush", "Ermintrude Falsworthy", "Hezekiah Postlethwaite")
OWNED = ("Zebulon's Storm", "Ermintrude Falsworthy's Storm", "Postlethwaite's Gale")


def laid_out(root, study=STUDY, balls=("B0", "B1", "B2"), head="group", groups=PEOPLE):
    folder = root / "studies" / "one"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text(study, "utf-8")
    rows = [f"ball,games,hook,{head},rh"]
    for i, ball in enumerate([*balls, *(f"C{n}" for n in range(3 if balls[0] == "B0" else 0))]):
        group = groups[i % 3]
        rows += [f"{ball},{games},{12 + i / 3 - games / 10:.1f},{group},4{i}" for games in (0, 10)]
    (folder / "shots.csv").write_text("\n".join(rows) + "\n", "utf-8")
    return open_workspace(root), folder


def by_looks(space, folder):
    return [p for p in proofread(folder, space) if p.code == "people-by-looks"]


def nothing_names(files, words):
    for path, text in files.items():
        assert [w for w in words if w.casefold() in text.casefold()] == [], path


def test_groups_that_are_called_like_people_are_initials_everywhere(tmp_path):
    space, folder = laid_out(tmp_path, STUDY + BY.replace("GROUP", "group"))
    [said] = by_looks(space, folder)
    assert "`Zebulon Quackenbush`, `Ermintrude Falsworthy`, `Hezekiah Postlethwaite` in the " \
        "column `group` of shots.csv, called like people" in said.found  # fmt: skip
    assert (said.severity, said.happens) == ("warning", "their initials are shown")
    assert not publish(space, {"one": folder}, tmp_path / "site").failed
    files = everything(tmp_path / "site")
    nothing_names(files, [part for name in PEOPLE for part in name.split()])
    assert "ZQ" in files["one/index.html"] and "EF" in files["one/index.html"]
    # as the check says it and as it is published: a number may tell who somebody is
    assert files["one/data/shots.csv"].splitlines()[0] == "ball,games,hook,group"
    [left] = [p for p in proofread(folder, space) if p.code == "not-in-download"]
    assert "`rh`" in left.found


def test_names_that_are_shown_on_purpose_stay(tmp_path):
    shown = STUDY.replace("each: ball", "each: ball, names: shown")
    space, folder = laid_out(tmp_path, shown + BY.replace("GROUP", "group"))
    assert not by_looks(space, folder)
    assert "Zebulon Quackenbush" in data_files(load_study(folder, space))["data/shots.csv"].decode()


@pytest.mark.parametrize("head", ["model", "house", "ball line", "cover", "team", "pattern_name"])
def test_a_head_that_says_what_they_are_is_believed(head, tmp_path):
    space, folder = laid_out(tmp_path, STUDY + BY.replace("GROUP", head), head=head)
    assert not by_looks(space, folder)
    assert load_study(folder, space).tables["shots"].called_people == ()


def test_things_called_somebody_s_are_called_by_initials(tmp_path):
    study = STUDY.replace("Zebulon Quackenbush drilled the first", "ERMINTRUDE FALSWORTHY saw it")
    space, folder = laid_out(tmp_path, study, balls=OWNED, groups=("a", "b", "c"))
    [said] = by_looks(space, folder)
    assert "`Zebulon's Storm`" in said.found and "`people: no` under `tested`" in said.expected
    study = load_study(folder, space)
    assert study.tables["shots"].items == ("Z's Storm", "EF's Storm", "P's Gale")
    assert not publish(space, {"one": folder}, tmp_path / "site").failed
    files = everything(tmp_path / "site")
    nothing_names(files, ("Ermintrude", "Falsworthy", "Postlethwaite", "Zebulon"))
    assert files["one/data/shots.csv"].splitlines()[0] == "ball,games,hook"


def test_whoever_says_that_they_are_nobody_s_is_believed(tmp_path):
    no = STUDY.replace("each: ball", "each: ball, people: no")
    space, folder = laid_out(tmp_path, no, balls=OWNED, groups=("a", "b", "c"))
    assert not by_looks(space, folder)
    assert load_study(folder, space).tables["shots"].items == OWNED


def test_an_id_with_such_a_word_is_asked_about_and_refused_only_where_people_are_meant(tmp_path):
    study = (STUDY + BY.replace("GROUP", "group")).replace("id: over", "id: quackenbush-over")
    space, folder = laid_out(tmp_path, study)
    told = [p for p in proofread(folder, space) if "names-somebody" in p.code or "may" in p.code]
    assert [(p.severity, p.code) for p in told] == [("warning", "may-name-somebody")]


@pytest.mark.parametrize(
    ("head", "labels", "are"),
    [
        ("group", PEOPLE, True), ("coached_by", PEOPLE, True), ("name", PEOPLE, True),
        ("Belongs to", PEOPLE, True),
        ("split", (*PEOPLE, "Nobody"), True), ("", PEOPLE, True), ("set", PEOPLE[:1], False),
        ("group", ("Early Shift", "Late Shift"), False), ("group", ("Jane", "Bob"), False),
        ("group", ("Mad Hatters", "Wild Bunch"), False), ("model", PEOPLE, False),
        ("group", ("High Average", "Low Average"), False), ("sanded_by", PEOPLE, False),
        ("group", ("sanded", "polished"), False), ("city", PEOPLE, False),
        ("group", ("A 1", "B 2"), False), ("group", ("Street Kings", "Pin Pals", "X"), False),
    ],
)  # fmt: skip
def test_which_columns_hold_people(head, labels, are):
    assert holds_people(head, labels) is are


@pytest.mark.parametrize(
    ("labels", "owners"),
    [
        (OWNED, ["Zebulon", "Ermintrude Falsworthy", "Postlethwaite"]),
        (("Pandora's Box", "Vesper", "Teasel"), []), (("Vesper", "Teasel"), []),
        (("Men's Ball", "Women's Ball"), []), (("Zebulon's",), []),
    ],
)  # fmt: skip
def test_whose_things_are(labels, owners):
    assert list(owners_in(labels).values()) == owners


def test_whoever_is_surely_somebody_is_not_taken_for_a_look_alike(tmp_path):
    """A captain in a column of groups bowls, too."""
    study = STUDY.replace("each: ball", "each: bowler")
    study = study.replace("id: over", "id: quackenbush-over")
    space, folder = laid_out(tmp_path, study, balls=PEOPLE)
    text = (folder / "shots.csv").read_text("utf-8").replace("ball,", "bowler,", 1)
    (folder / "shots.csv").write_text(text, "utf-8")
    told = [p for p in proofread(folder, space) if "names-somebody" in p.code or "may" in p.code]
    assert [(p.severity, p.code) for p in told] == [("error", "names-somebody")]
