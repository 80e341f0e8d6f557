"""The front page: what it offers a first visitor holds."""

from __future__ import annotations

import shutil
from pathlib import Path

import lxml.html

from explainer.claims.judge import judge
from explainer.publish.frontpage import front_page
from explainer.study.load import load_study
from explainer.study.workspace import home, open_workspace


def test_the_study_file_it_shows_is_a_whole_study(workspace, tmp_path):
    shown = lxml.html.fromstring(front_page(workspace, ())).xpath("//pre/code")
    folder = Path(workspace.root) / "studies" / "mine"
    folder.mkdir()
    (folder / "study.yaml").write_text(shown[0].text_content(), encoding="utf-8")
    shutil.copy(home() / "studies" / "cover-texture" / "checkpoints.csv", folder)
    judgement = judge(load_study(folder, open_workspace(workspace.root)))
    assert [v.code for v in judgement.verdicts] == ["backed"]


def test_it_leads_to_the_words_and_to_how_verdicts_work(workspace):
    links = lxml.html.fromstring(front_page(workspace, ())).xpath("//a/@href")
    assert {"glossary/index.html", "how/verdicts/index.html"} <= set(links)
