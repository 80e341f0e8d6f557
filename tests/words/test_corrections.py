"""Editions and corrections: newest first, what moved, and the same words everywhere."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.editions.compose import compose
from explainer.publish.build import listing
from explainer.publish.frontpage import feed
from explainer.publish.manifest import read_listing
from explainer.study.description.rule import Correction
from explainer.study.load import load_study, open_workspace
from explainer.words.say import AUDIENCES, say

HOME = Path(__file__).resolve().parents[2]


def judged(study="cover-texture", **said):
    """An example with its description changed."""
    read = load_study(HOME / "studies" / study, open_workspace(HOME))
    return judge(replace(read, description=read.description.model_copy(update=said)))


def corrected(*made, **said):
    entries = tuple(Correction.model_validate(c) for c in made)
    return judged(corrections=entries, **said)


OLD = {"date": "2026-03-05", "what": "A slip of the pen"}
NEW = {"date": "2026-04-09", "what": "Two tables had changed places.", "found_by": "a reader",
       "was": {"worn-hooks-less": "leans", "texture-falls": "backed"}}  # fmt: skip


@pytest.mark.parametrize("audience", AUDIENCES)
def test_the_newest_comes_first_with_what_changed_in_which_verdict(audience):
    edition = say(corrected(OLD, NEW, edition=None), audience).edition
    assert [c.date for c in edition.corrections] == ["2026-04-09", "2026-03-05"]
    assert edition.corrected == edition.day == "2026-04-09"
    assert edition.line == "Edition of April 9, 2026. Corrected twice, last on that day."
    assert "before April 9, 2026" in edition.stale
    newest = edition.corrections[0]
    assert newest.says == "Two tables had changed places. Found by a reader."
    moved, kept = newest.changed
    assert moved == ("“When your own ball goes smooth, it hooks less than it did” was “Leans this "
                     "way” before, and is now “Can't tell from this data”.")  # fmt: skip
    assert kept.endswith("was “Backed by this data” before, and still is.")
    assert edition.corrections[1].says == "A slip of the pen."
    assert edition.corrections[1].changed == ()


@pytest.mark.parametrize(
    ("was", "said"),
    [("backed", "Before, it said: “Backed by this data”."),
     ("that nobody knows", "Before, it said: that nobody knows."), (None, None)],
)  # fmt: skip
def test_what_stood_there_may_be_told_in_words(was, said):
    [made] = say(corrected({**OLD, "was": was})).edition.corrections
    assert made.says == " ".join(filter(None, ("A slip of the pen.", said)))


def test_a_number_in_a_correction_is_worked_out():
    made = corrected({**OLD, "what": "It fell by {texture-falls.size}, not by half of that."})
    [said] = say(made).edition.corrections
    assert "{" not in said.says
    assert "22 microinches" in said.says


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ({"edition": "2026-03-02", "corrections": ()},
         "Edition of March 2, 2026. No corrections so far."),
        ({"edition": None, "corrections": ()},
         "First edition, of the report of February 11, 2026. No corrections so far."),
        ({"edition": None, "corrections": (), "report": None},
         "First edition. No corrections so far."),
    ],
)  # fmt: skip
def test_an_edition_without_corrections_says_so(said, line):
    edition = say(judged(**said)).edition
    assert edition.line == line
    assert edition.stale == ""


def test_results_listing_and_feed_tell_of_it():
    judgement = corrected(OLD, NEW, edition=None)
    said = results(judgement)
    assert [c["date"] for c in said["corrections"]] == ["2026-04-09", "2026-03-05"]
    assert said["corrections"][0]["was"]["worn-hooks-less"] == "leans"
    article = compose(judgement)
    shown = listing(article, judgement.study)
    again = read_listing(json.loads(json.dumps(_plain(shown))))
    assert again == shown
    assert shown.ties.updated == "2026-04-09"
    settings = judgement.study.workspace.settings.model_copy(
        update={"base_address": "https://example.org/b"}
    )
    text = feed(settings, [shown]).decode()
    assert "2026-04-09T00:00:00Z" in text
    assert text.index("Corrected on April 9, 2026: Two tables") < text.index("A slip of the pen")
    assert "“Can't tell from this data”" in text


def _plain(listing_):
    from dataclasses import asdict

    return asdict(listing_)


def test_the_page_that_an_old_code_leads_to_begins_with_what_was_put_right():
    from explainer.editions.page import render
    from explainer.words.glossary.of_study import glossary_for

    judgement = corrected(OLD, NEW, edition=None)
    study = judgement.study
    page = render(
        compose(judgement), glossary_for(study), study.workspace.template_folders, "screen"
    )
    body = page.partition("<body")[2]
    opening = body.partition('<header class="opening">')[2].partition("</header>")[0]
    assert "before April 9, 2026" in opening
    assert "Two tables had changed places." in opening
    line = opening.index("<summary>Put right on April 9, 2026: what changed?</summary>")
    assert opening.index('class="answer"') < line < opening.index('class="tally"')
    assert opening.count("Two tables had changed places.") == 1
    assert body.index("Two tables", body.index('id="corrections"')) < body.rindex("A slip of")
    printed = render(
        compose(judgement), glossary_for(study), study.workspace.template_folders, "print"
    ).partition("<header")[2].partition("</header>")[0]
    assert "Two tables had changed places." in printed and "<details" not in printed
    bare = render(
        compose(judged()), glossary_for(study), study.workspace.template_folders, "screen"
    )
    assert "Do you hold a sheet" not in bare
