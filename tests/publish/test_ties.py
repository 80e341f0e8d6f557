"""Studies that speak to each other: linked both ways, and never to what is not there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import get_args

import lxml.html
import pytest

from explainer.claims.verdict import REASONS, Code
from explainer.editions.article import QuestionView
from explainer.editions.templates import environment
from explainer.publish.check import check_site
from explainer.publish.frontpage import known
from explainer.publish.manifest import Built, Listing, read_manifest
from explainer.publish.site import publish
from explainer.publish.ties import CODES, Held, Ties, read_ties, replies, ties_of, topics
from explainer.study.thresholds import THRESHOLDS

PLACE = "<!-- other studies --><!-- /other studies -->"
PAGE = (
    "<!doctype html><html lang=en><title>{id}</title><h1>{id}</h1>"
    f"<section id=questions></section><section id=claim-soft></section>{PLACE}"
)


def held(code: str, answers: str = "", key: bool = False) -> Held:
    return Held("soft", "It is soft.", "Some say so.", f"Label {code}", code, key, answers)


EARLY = Listing(
    "early", "The early one", "Is it?", "Perhaps.",
    ties=Ties(date="2026-02-01", asks=(("age", "What of old balls?"),),
              open=("What of old balls?", "What else?")),
)  # fmt: skip
LATE = Listing(
    "late", "The late one", "Old?", "Soft.",
    ties=Ties(topic="hardness", date="2026-07-01", answers="early/age",
              open=("Who knows?",), claims=(held("backed"),)),
)  # fmt: skip


def reply(*claims: Held, answers: str = "early/age"):
    late = replace(LATE, ties=replace(LATE.ties, claims=claims, answers=answers))
    return replies([known(late), known(EARLY)])


@pytest.mark.parametrize(
    ("codes", "outcome"),
    [
        (["backed"], "answered"),
        (["against"], "answered"),
        (["leans"], "open"),
        (["cannot-tell", "not-tested"], "open"),
        (["backed", "leans"], "partly"),
        ([], "open"),
    ],
)
def test_a_question_is_answered_only_by_settled_verdicts(codes, outcome):
    assert [r.outcome for r in reply(*map(held, codes))] == [outcome]


def test_the_claims_that_name_a_question_answer_it_and_else_the_key_ones():
    named, key, other = held("leans", "early/age"), held("backed", key=True), held("against")
    assert reply(named, key, other)[0].claims == (named,)
    assert reply(named, key, other, answers="")[0].claims == (named,)
    assert reply(key, other)[0].claims == (key,)
    assert reply(other)[0].claims == (other,)


def test_a_topic_lists_every_study_that_speaks_to_it_whatever_its_own_topic():
    early = replace(EARLY, ties=replace(EARLY.ties, topic="wear", claims=(held("leans"),)))
    found = {t.id: t for t in topics(map(known, (early, LATE)))}
    assert set(found) == {"wear", "hardness"}
    [(asker, own)] = found["hardness"].beside
    assert (asker.id, [c.code for c in own]) == ("early", ["leans"])
    [(taker, told)] = found["wear"].beside
    assert (taker.id, [c.code for c in told]) == ("late", ["backed"])


@pytest.mark.parametrize("answers", ["early/nothing", "nobody/age", "late/age", ""])
def test_what_refers_to_nothing_is_left_out(answers):
    assert reply(held("backed"), answers=answers) == ()


@pytest.mark.parametrize(("answers", "told"), [("early/nothing", 1), ("early/age", 0)])
def test_what_leads_nowhere_is_told_to_whoever_publishes(workspace, target, answers, told):
    late = replace(LATE, ties=replace(LATE.ties, answers=answers))
    listed = {"early": EARLY, "late": late}
    outcome = publish(
        workspace, BOTH, target,
        build=lambda f, w: Built(listed[f.name], {"index.html": PAGE.format(id=f.name).encode()}),
    )  # fmt: skip
    assert len(outcome.warnings) == told
    for warning in outcome.warnings:
        assert str(warning) == (
            "study.yaml:1:1: warning: found `answers: early/nothing` in late, expected the id of a "
            "question of another study on this site; no link was made"
        )


def test_a_topic_lists_its_studies_by_date_and_what_is_open():
    middle = replace(LATE, id="middle", ties=Ties(topic="hardness", date="2026-05-01"))
    undated = replace(LATE, id="undated", ties=Ties(topic="hardness", open=("How old?",)))
    (topic,) = topics(map(known, [undated, LATE, EARLY, middle]))
    assert [s.id for s in topic.studies] == ["middle", "late", "undated"]
    assert [s.id for s in topic.askers] == ["early"]
    assert [ask for _, ask in topic.still_open] == ["Who knows?", "How old?"]


def test_one_study_alone_is_no_topic():
    alone = replace(LATE, ties=replace(LATE.ties, answers=""))
    assert topics([known(alone), known(EARLY)]) == ()


def builder(folder: Path, workspace) -> Built:
    listing = {"early": EARLY, "late": LATE}[folder.name]
    return Built(listing, {"index.html": PAGE.format(id=listing.id).encode()})


BOTH = {"early": Path("early"), "late": Path("late")}


def links(page: Path) -> list[str]:
    return [str(a) for a in lxml.html.parse(str(page)).xpath("//a/@href")]


def test_both_pages_and_the_topic_page_link_to_each_other(workspace, target):
    publish(workspace, BOTH, target, build=builder)
    assert "../late/index.html#others" in links(target / "early/index.html")
    assert "../topic/hardness/index.html" in links(target / "early/index.html")
    assert "../early/index.html#others" in links(target / "late/index.html")
    topic = lxml.html.parse(str(target / "topic/hardness/index.html"))
    assert topic.xpath("//*[@data-reply]/@data-outcome") == ["answered"]
    assert "topic/hardness/index.html" in links(target / "index.html")


def test_a_question_is_marked_as_taken_up_whatever_signs_it_has(workspace, target):
    ask = 'Is a ball\'s age < "five" & more?'
    early = replace(EARLY, ties=replace(EARLY.ties, asks=(("age", ask),), open=(ask,)))
    section = environment(workspace.template_folders).get_template("sections/questions.html.j2")
    asked = section.render(article={"questions": (QuestionView(ask, "", ""),)})
    pages = {"early": PAGE.format(id="early") + asked, "late": PAGE.format(id="late")}
    listed = {"early": early, "late": LATE}
    publish(
        workspace, BOTH, target,
        build=lambda f, w: Built(listed[f.name], {"index.html": pages[f.name].encode()}),
    )  # fmt: skip
    page = lxml.html.parse(str(target / "early/index.html"))
    assert page.xpath("//li[@data-question]//a/text()") == ["Taken up since"]


def test_a_page_that_is_not_built_anew_learns_of_a_later_study(workspace, target):
    publish(workspace, {"early": Path("early")}, target, build=builder)
    assert "late" not in (target / "early/index.html").read_text()
    publish(workspace, BOTH, target, only=["late"], build=builder)
    assert "../late/index.html#others" in links(target / "early/index.html")
    assert read_manifest(target).studies["late"].ties == LATE.ties
    check_site(target)


def test_a_page_forgets_a_study_that_is_gone(workspace, target):
    publish(workspace, BOTH, target, build=builder)
    publish(workspace, {"early": Path("early")}, target, build=builder)
    assert (target / "early/index.html").read_text() == PAGE.format(id="early")
    assert not (target / "topic").exists()
    check_site(target)


def test_how_verdicts_work_names_every_label_reason_and_threshold(workspace, target):
    publish(workspace, {}, target)
    page = lxml.html.parse(str(target / "how/verdicts/index.html"))
    (untested,) = page.xpath("//*[@data-label='not-tested']/p/text()")
    assert "too few were read to test it" in untested
    assert page.xpath("//*[@data-label]/@data-label") == [
        "backed", "leans", "cannot-tell", "against", "not-tested",
    ]  # fmt: skip
    assert page.xpath("//*[@data-reason]/@data-reason") == list(REASONS)
    rows = [r.text_content() for r in page.xpath("//tbody/tr/th")]
    assert [r.lower().replace("’", "'") for r in rows] == [
        t.explained.lower() for t in THRESHOLDS.values()
    ]
    assert len(page.xpath("//main//svg")) == 9  # four strips and the five marks


def test_what_is_open_stands_by_the_study_that_left_it():
    (topic,) = topics(map(known, [LATE, EARLY, replace(LATE, id="third")]))
    assert [(s.id, asks) for s, asks in topic.open_by_study] == [
        ("late", ("Who knows?",)), ("third", ("Who knows?",)),
    ]  # fmt: skip


def test_a_claims_own_open_question_is_not_said_again_beside_the_one_it_answers():
    article = SimpleNamespace(
        questions=(
            QuestionView("Is there a gap?", "", "", "soft"),
            QuestionView("Is it heavy?", "", "", "heavy"),
            QuestionView("Who knows?", "", ""),
        ),
        claims=(), report=None, updated="", board_rows=(),
    )  # fmt: skip
    said = SimpleNamespace(
        claims=(SimpleNamespace(id="soft", answers="early/age"),
                SimpleNamespace(id="heavy", answers=None)),
        questions=(), topic=None, report=None, answers=None, here_for=None,
    )  # fmt: skip
    assert ties_of(article, said).open == ("Is it heavy?", "Who knows?")


def test_a_topic_shows_key_findings_and_answers_and_counts_the_rest():
    many = (held("backed", key=True), held("against", "early/age"), held("leans"))
    told = known(replace(LATE, ties=replace(LATE.ties, claims=many)))
    assert told.main_claims == many[:2]
    assert known(replace(LATE, ties=replace(LATE.ties, claims=many[2:]))).main_claims == many[2:]


def test_a_list_of_an_older_site_is_read():
    """It says of readings only whether there are any; the ends of the row stand for them."""
    old = {"id": "it", "plainly": "It is so.", "says": "Some say so.", "label": "Backed",
           "code": "against", "key": False, "answers": "", "reach": [-0.5, 1.0, None]}  # fmt: skip
    held = [read_ties({"claims": [{**old, "readings": any_}]}).claims[0] for any_ in (True, False)]
    assert [claim.readings for claim in held] == [(-0.5, 1.0), ()]


def test_a_list_knows_every_verdict_there_is():
    assert set(get_args(Code)) == CODES
