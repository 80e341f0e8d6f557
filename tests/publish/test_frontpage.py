"""The front page: what it offers a first visitor holds."""

from __future__ import annotations

import shutil
from dataclasses import asdict, replace
from pathlib import Path

import lxml.html
import pytest

from explainer.claims.judge import judge
from explainer.publish.frontpage import MOST_BOARDS, board, by_question, front_page, known
from explainer.publish.manifest import Listing
from explainer.publish.ties import Held, Ties, read_ties, topics
from explainer.study.load import load_study, open_workspace
from explainer.study.shipped import home


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


def studies() -> tuple[Listing, ...]:
    claim = Held("soft", "It is soft.", "It is.", "Backed by this data", "backed",
                 name="Soft", reach=(0.2, 0.9, 0.5))  # fmt: skip
    early = Ties(topic="wear", asks=(("age", "And old balls?"),), claims=(claim,))
    return (
        Listing("a", "Study A", "A?", "A.", ties=early),
        Listing("b", "Study B", "B?", "B.", ties=Ties(topic="oil", answers="a/age")),
        Listing("c", "Study C", "C?", "C.", ties=Ties(here_for="Here to be checked.")),
        Listing("d", "Study D", "D?", "D.", ties=Ties(topic="wear", claims=(claim, claim))),
    )


def test_studies_stand_by_their_question_each_once_and_loners_last():
    listed = studies()
    groups = by_question(listed, topics(map(known, listed)))
    told = [(g.topic.id if g.topic else None, [s.id for s in g.studies]) for g in groups]
    assert told == [("wear", ["a", "d"]), ("oil", ["b"]), (None, ["c"])]


def test_each_study_shows_its_marks_and_its_picture(workspace):
    listed = studies()
    page = lxml.html.fromstring(front_page(workspace, listed, topics(map(known, listed))))
    for study, claims in (("a", 1), ("d", 2)):
        [item] = page.xpath(f"//li[.//a[@href='{study}/index.html']]")
        [drawn] = item.xpath(".//div[@class='board']/svg")
        assert drawn.get("id") == f"board-{study}"
        assert drawn.text_content().count("Soft") == claims
        assert item.xpath(".//ul[@class='tally']//svg")
    ids = page.xpath("//@id")
    assert len(ids) == len(set(ids))


def test_a_study_that_stands_apart_says_what_it_is_here_for(workspace):
    page = lxml.html.fromstring(front_page(workspace, studies()))
    [item] = page.xpath("//li[.//a[@href='c/index.html']]")
    assert "Here to be checked." in item.text_content()
    assert page.text_content().count("Here to be checked.") == 1


def test_with_very_many_studies_the_front_page_has_no_pictures(workspace):
    one = studies()[0]
    many = tuple(replace(one, id=f"s{i}") for i in range(MOST_BOARDS + 1))
    assert 'class="board"' in front_page(workspace, many[:-1])
    assert 'class="board"' not in front_page(workspace, many)


def test_a_picture_of_a_strange_list_is_refused_or_escaped(workspace):
    said = asdict(studies()[0].ties)
    assert read_ties(said) == studies()[0].ties
    for reach in ([0, "<svg>", 1], [0, 7, 0], [0, 1], "none", [None, 1, 0]):
        bad = {**said, "claims": [{**said["claims"][0], "reach": reach}]}
        with pytest.raises((TypeError, ValueError)):
            read_ties(bad)
    name = {**said, "claims": [{**said["claims"][0], "name": "<script>"}]}
    listing = replace(studies()[0], ties=read_ties(name))
    assert "<script>" not in board(listing)
