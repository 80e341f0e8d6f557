"""Somebody hidden who is named in what the pages of all studies share: nothing is published.

Everybody here is made up.
"""

from __future__ import annotations

import pytest

from explainer.cli import main
from explainer.errors import WorkspaceError
from explainer.publish.site import publish
from explainer.study.load import open_workspace

from .test_people import STUDY
from .test_people_in_names import laid_out

BALLS = """\
title: Hard balls
question: Are they hard?
invented: yes
editions: []
tested: {each: ball}
measures: {hardness: {term: hardness, unit: Shore D}}
tables: {balls: {file: balls.csv}}
claims:
  - {id: hard, report_says: S., plainly: P., test: {kind: mean-is, measure: hardness, at_least: 70}}
"""
ROWS = "ball,hardness\nA,71\nB,72\nC,73\nD,74\n"
SETTINGS = "title: The Brightwater house\n"


def two_studies(root):
    """A study of people, and one of balls beside it."""
    lean = STUDY.replace("claims:\n", "editions: []\nclaims:\n", 1)
    _, season = laid_out(root, lean)
    balls = root / "studies" / "balls"
    balls.mkdir()
    (balls / "study.yaml").write_text(BALLS, "utf-8")
    (balls / "balls.csv").write_text(ROWS, "utf-8")
    return {"season": season, "balls": balls}


def state(site):
    return {path: path.read_bytes() for path in site.rglob("*") if path.is_file()}


@pytest.mark.parametrize("only", [None, ["balls"], ["season"]])
def test_nothing_is_published_and_the_old_site_stands(only, tmp_path):
    folders = two_studies(tmp_path)
    publish(open_workspace(tmp_path), folders, tmp_path / "site")
    before = state(tmp_path / "site")
    (tmp_path / "studies" / "settings.yaml").write_text(SETTINGS, "utf-8")
    with pytest.raises(WorkspaceError) as fault:
        publish(open_workspace(tmp_path), folders, tmp_path / "site", only=only)
    [problem] = fault.value.problems
    assert (problem.file, problem.line) == ("studies/settings.yaml", 1)
    assert "`Brightwater`" in problem.found and "the study `season`" in problem.found
    assert "`AB`" in problem.expected and problem.happens == "nothing is published"
    assert state(tmp_path / "site") == before


def test_what_is_said_to_be_no_name_is_published(tmp_path):
    folders = two_studies(tmp_path)
    (tmp_path / "studies" / "settings.yaml").write_text(SETTINGS, "utf-8")
    file = folders["season"] / "study.yaml"
    told = STUDY.replace("count: 12,", "count: 12, not_names: [Brightwater],")
    file.write_text(told, "utf-8")
    outcome = publish(open_workspace(tmp_path), folders, tmp_path / "site", only=["balls"])
    assert outcome.published == ["balls"]


def test_the_command_says_it_in_a_line_and_fails(tmp_path, capsys):
    two_studies(tmp_path)
    (tmp_path / "studies" / "settings.yaml").write_text(SETTINGS, "utf-8")
    with pytest.raises(SystemExit) as ended:
        main(["--workspace", str(tmp_path), "publish", "balls", "--quiet"])
    assert ended.value.code == 3
    [line] = capsys.readouterr().err.splitlines()
    assert line.startswith("studies/settings.yaml:1:1: found `Brightwater`")
    assert not (tmp_path / "site").exists()
