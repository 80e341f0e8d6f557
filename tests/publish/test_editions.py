"""Only the editions asked for, beside a page that leads to nothing else."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import get_args

import pytest
from click.testing import CliRunner

from explainer.cli import cli
from explainer.errors import StudyError
from explainer.publish.build import build_study
from explainer.publish.commands import EDITIONS
from explainer.publish.rehearse import quick
from explainer.study.description.study import Edition
from explainer.study.load import find_study, load_study, open_workspace

STUDY = Path(__file__).parents[2] / "studies" / "gauge-check"
OF = {"page": "explainer.pdf", "handout": "handout.pdf", "rule-card": "rule-card.pdf",
      "script": "script/script.html"}  # fmt: skip


@pytest.fixture(scope="module")
def study():
    workspace, folder = find_study(str(STUDY), None)
    return load_study(folder, workspace)


@pytest.mark.parametrize("wanted", [(), ("page",), ("handout", "rule-card")], ids=",".join)
def test_what_was_not_asked_for_is_neither_made_nor_linked(study, wanted):
    files = build_study(study, wanted).files
    assert {e for e in EDITIONS if OF[e] in files} == set(wanted)
    assert {"index.html", "results.json", "data/datapackage.json"} <= files.keys()
    links = re.findall(r'href="((?:explainer|handout|rule-card|script|data)\b(?!:)[^"#]*)"',
                       files["index.html"].decode())  # fmt: skip
    assert set(links) <= files.keys()
    assert {OF[e] for e in wanted} <= set(links)


@pytest.mark.seldom
def test_a_study_says_which_editions_it_wants(tmp_path):
    """A league secretary needs the sheet; whoever publishes all studies gets only that."""
    shutil.copytree(STUDY, tmp_path / "studies" / "ours")
    said = tmp_path / "studies" / "ours" / "study.yaml"
    said.write_text(said.read_text() + "\neditions: [handout]\n")
    study = load_study(said.parent, open_workspace(tmp_path))
    assert [e for e in EDITIONS if OF[e] in build_study(study).files] == ["handout"]
    assert [e for e in EDITIONS if OF[e] in build_study(study, ["page"]).files] == ["page"]
    shown = quick(said.parent, study.workspace).files
    assert [e for e in EDITIONS if OF[e] in shown] == ["handout"]
    assert 'href="rule-card.pdf"' not in shown["index.html"].decode()


@pytest.mark.parametrize("said", ["poster", "[poster]", "[page, page, page, page, page]"])
def test_editions_that_nobody_knows_are_said_with_their_place(tmp_path, said):
    shutil.copytree(STUDY, tmp_path / "studies" / "ours")
    place = tmp_path / "studies" / "ours" / "study.yaml"
    before = place.read_text()
    place.write_text(f"{before}\neditions: {said}\n")
    with pytest.raises(StudyError, match=rf"study\.yaml:{before.count(chr(10)) + 2}:"):
        load_study(place.parent, open_workspace(tmp_path))


def test_the_command_line_knows_the_editions_of_a_study():
    assert get_args(Edition) == EDITIONS


def test_the_command_builds_one_edition_and_later_all_of_them(tmp_path):
    into = tmp_path / "site"
    publish = ["publish", str(STUDY), "--into", str(into), "-q"]
    done = CliRunner().invoke(cli, [*publish, "--edition", "handout"], catch_exceptions=False)
    assert done.exit_code == 0, done.stderr
    made = into / "gauge-check"
    assert [e for e in EDITIONS if (made / OF[e]).exists()] == ["handout"]
    done = CliRunner().invoke(cli, publish, catch_exceptions=False)
    assert done.exit_code == 0, done.stderr
    assert [e for e in EDITIONS if (made / OF[e]).exists()] == list(EDITIONS)


def test_an_edition_nobody_knows_is_wrong_usage():
    done = CliRunner().invoke(cli, ["publish", "--edition", "poster"])
    assert done.exit_code == 2
    assert "poster" in done.output and "rule-card" in done.output
