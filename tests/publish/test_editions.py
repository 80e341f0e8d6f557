"""Only the editions asked for, beside a page that leads to nothing else."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from explainer.cli import cli
from explainer.publish.build import build_study
from explainer.publish.commands import EDITIONS
from explainer.study.load import find_study, load_study

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
