"""What did not fit a sheet of paper reaches the person who publishes, and the sheets the site."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from explainer.cli import cli
from explainer.errors import Problem
from explainer.publish import site
from explainer.publish.build import build_study
from explainer.publish.manifest import Built, Listing
from explainer.study.load import load_study, open_workspace

HOME = Path(__file__).resolve().parents[2]
PAGE = b"<!doctype html><html lang=en><title>t</title><h1>t</h1><a href='../index.html'>all</a>"
LEFT = Problem(
    "study.yaml", 7, 3, found="more than the 2 sides of the handout hold",
    expected="less to say", happens="the handout leaves out a word", severity="warning",
)  # fmt: skip


def quick(folder, workspace):
    return Built(Listing(folder.name, "T", "Q?", "A."), {"index.html": PAGE}, (LEFT,))


def test_publish_prints_each_warning_and_still_ends_well(tmp_path, monkeypatch):
    studies = tmp_path / "home" / "studies" / "one"
    studies.mkdir(parents=True)
    (studies / "study.yaml").write_text("title: T\n", encoding="utf-8")
    monkeypatch.setattr(site, "from_folder", quick)
    done = CliRunner().invoke(
        cli, ["--workspace", str(tmp_path / "home"), "publish", "--into", str(tmp_path / "site")]
    )
    assert done.exit_code == 0, done.output
    assert (
        "study.yaml:7:3: warning: found more than the 2 sides of the handout hold, expected less "
        "to say; the handout leaves out a word" in done.stderr
    )


@pytest.mark.seldom
def test_a_rule_card_is_made_only_where_there_is_a_rule():
    study = load_study(HOME / "studies" / "cover-texture", open_workspace(HOME))
    sheets = ("handout", "rule-card")
    built = build_study(study, sheets)
    assert {"handout.pdf", "rule-card.pdf"} <= set(built.files)
    assert b'href="rule-card.pdf"' in built.files["index.html"]
    bare = replace(study, description=study.description.model_copy(update={"rule": None}))
    without = build_study(bare, sheets)
    assert "handout.pdf" in without.files
    assert "rule-card.pdf" not in without.files
    assert b"rule-card.pdf" not in without.files["index.html"]
