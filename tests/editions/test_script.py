"""The video script: one clock for script, captions and chapters; short cuts that stay honest."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from explainer.claims.judge import judge
from explainer.editions.compose import compose
from explainer.editions.script import (
    LONGEST_DESCRIPTION,
    compose_script,
    description,
    script_files,
)
from explainer.editions.script_clock import REACTION, clock
from explainer.editions.script_cuts import all_cuts, marks
from explainer.editions.script_timeline import stamp
from explainer.publish.check import Page, faults
from explainer.study.load import find_study, load_study
from explainer.words.say import say
from explainer.words.script.talk import Line, Part, Screen, Shot, Talk

STUDIES = Path(__file__).parents[2] / "studies"
RATES = (60, 150, 300)


@pytest.fixture(scope="module", params=["cover-texture", "gauge-check"])
def judgement(request):
    workspace, folder = find_study(str(STUDIES / request.param), None)
    return judge(load_study(folder, workspace))


@pytest.fixture(scope="module")
def script(judgement):
    return compose_script(judgement, compose(judgement))


@pytest.fixture(scope="module")
def words(judgement):
    return say(judgement, judgement.study.workspace.settings.audience)


@pytest.fixture(scope="module")
def files(script, judgement):
    return script_files(script, judgement.study.workspace.template_folders)


def cuts_at(script, rate):
    return all_cuts(script.talk, rate)


def at(time):
    """Seconds of 00:01:02.345."""
    hours, minutes, rest = time.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(rest)


def lines_of(cut):
    return [line for chapter in cut.chapters for line in chapter.lines]


def test_the_stated_length_is_what_reading_aloud_takes(script):
    """Counted here by splitting spoken forms at spaces and hyphens, not with our own counter."""
    for cut in script.cuts:
        said = [line for line in lines_of(cut) if line.kind != "react"]
        count = sum(len(re.findall(r"[\w’']+", line.aloud)) for line in said)
        reactions = sum(line.kind == "react" for line in lines_of(cut))
        takes = count / script.rate * 60 + reactions * REACTION
        assert cut.seconds == pytest.approx(takes, rel=0.05), cut.name


def test_no_figure_is_left_to_be_read_as_figures(script):
    for cut in script.cuts:
        for line in lines_of(cut):
            assert not re.search(r"\d|[%µ±−≥≤<>]", line.aloud), line.aloud


@pytest.mark.parametrize("rate", RATES)
def test_no_cut_is_longer_than_its_name_and_none_wastes_its_time(script, rate):
    for cut in cuts_at(script, rate):
        if cut.target is not None:
            assert 0.85 * cut.target <= cut.seconds <= cut.target, (cut.name, cut.seconds)


@pytest.mark.parametrize("rate", RATES)
def test_every_cut_asks_the_question_gives_n_and_says_it_is_made_up(script, judgement, rate):
    for cut in cuts_at(script, rate):
        text = " ".join(line.text for line in lines_of(cut))
        assert judgement.study.description.question.strip() in text
        assert "made up" in text
        assert re.search(r"\b(8|eight|10|ten) balls", text, re.IGNORECASE)


@pytest.mark.parametrize("rate", RATES)
def test_a_claim_is_never_quoted_without_what_the_data_say(script, judgement, rate):
    for cut in cuts_at(script, rate):
        said = {line.text for line in lines_of(cut)}
        for part in script.talk.parts:
            every = [line for shot in part.shots for line in shot.lines]
            for quote in (n for n in every if n.needs and n.text in said):
                found = [n for n in every if n.key == quote.needs]
                assert any({n.text, n.brief} & said for n in found), quote.text


def test_two_minutes_hold_every_key_finding_and_leave_the_small_print(script):
    shortest = script.cuts[0]
    assert shortest.name == "2-minutes"
    said = {line.text for line in lines_of(shortest)}
    for part in script.talk.parts:
        for line in (n for shot in part.shots for n in shot.lines):
            # Where the brief is empty, the line that answers it says the claim as well.
            if line.rank == 2 and line.key and line.brief != "":
                assert {line.text, line.brief} & said
            if line.rank == 8 or line.kind == "react":
                assert line.text not in said


def test_nothing_is_said_beyond_the_verdict(script, judgement, words):
    """Findings are the page's own sentences; the word backed is said of backed claims only."""
    ours = {text for claim in words.claims.values() for text in claim.because}
    assert ours or not any(v.reasons for v in judgement.verdicts)
    by_figure = {r.figure.id: r.claims for r in judgement.figures}
    for cut in script.cuts:
        for chapter in cut.chapters:
            codes = {judgement.verdict(c).code for c in by_figure.get(chapter.id, ())}
            text = " ".join(line.text for line in chapter.lines).lower()
            if chapter.id in by_figure and "backed" not in codes:
                assert "backed" not in text
            for line in chapter.lines:
                assert not re.search(r"\b(prov(e|es|ed|en)|certain|definitely)\b", line.text)


#: What a finding of each verdict owns up to, and what one that is backed never does.
DOUBT = {
    "leans": r"settle|still fits|a catch|short of|only signs|ruled out",
    "cannot-tell": r"can.t tell|can say|either|fits?\b|stays open|nobody has|[Mm]aybe|a catch"
    r"|could be|too few|too close|not known|can be either",
    "against": r"other way|\bnot\b|[Nn]ot |too (?:fine|little)|doesn.t|don.t|takes a|come? after",
}


def test_the_full_script_tells_every_claim_once_at_its_verdicts_strength(script, judgement):
    full = lines_of(script.cuts[-1])
    for verdict in judgement.verdicts:
        (told,) = (n.text for n in full if n.claim == verdict.claim.id)
        if verdict.code in DOUBT:
            assert re.search(DOUBT[verdict.code], told), (verdict.code, told)
        if verdict.code == "backed":
            assert not re.search(DOUBT["leans"] + "|" + DOUBT["cannot-tell"], told), told


def test_the_authors_own_lines_stand_in_place_marked_as_theirs(script):
    own = [line for line in lines_of(script.cuts[-1]) if line.kind == "own"]
    assert len(own) >= 3
    assert not any(re.search(r"[*_`{}\[\]]", line.text) for line in own)


def test_a_reaction_has_room_in_long_cuts(script):
    for cut in script.cuts:
        reactions = [line for line in lines_of(cut) if line.kind == "react"]
        assert all(line.seconds == REACTION and not line.cues for line in reactions)
        assert bool(reactions) == (cut.target is None)


def test_scenes_follow_on_without_a_gap(script):
    for cut in script.cuts:
        at = 0.0
        for line in lines_of(cut):
            assert line.start == pytest.approx(at, abs=1e-6)
            at += line.seconds
        assert cut.seconds == pytest.approx(at, abs=0.002)


@pytest.mark.parametrize("rate", RATES)
def test_chapters_begin_at_nought_and_go_strictly_up(script, rate):
    for cut in cuts_at(script, rate):
        found = marks(cut)
        starts = [int(at) for at, _ in found]
        assert starts[0] == 0
        assert all(b - a >= 9 for a, b in pairwise(starts))
        assert len({title for _, title in found}) == len(found) >= 2
        assert clock(starts[0]) == "0:00"


def test_times_as_webvtt_writes_them():
    assert stamp(0) == "00:00:00.000"
    assert stamp(3661.2345) == "01:01:01.234"
    assert clock(3599.99) == "59:59"
    assert clock(3600) == "1:00:00"


def test_the_description_lists_sources_questions_and_chapters(script, judgement):
    text = description(script.article, script.cuts[-1])
    assert text.startswith("MADE-UP DATA.")
    assert len(text) <= LONGEST_DESCRIPTION
    assert judgement.study.description.report.title in text
    for question in script.article.questions[:6]:
        assert question.ask in text
    assert "0:00 The question" in text


def test_description_names_the_page_once_there_is_an_address(script):
    there = replace(script.article, base_address="https://example.org/bowling")
    assert f"https://example.org/bowling/{there.id}/" in description(there, script.cuts[-1])


def test_description_sends_nobody_to_a_page_without_an_address(script):
    nowhere = replace(script.article, base_address="")
    assert "page of this study" not in description(nowhere, script.cuts[-1])
    assert "Every number" not in description(nowhere, script.cuts[-1])


def test_pages_say_it_is_made_up_lead_to_what_is_there_and_load_nothing(files):
    pages = {}
    for name, content in files.items():
        if name.endswith(".html"):
            page = Page()
            page.feed(content.decode("utf-8"))
            pages[f"study/{name}"] = page
            assert "Made-up data" in content.decode("utf-8")
    there = {f"study/{name}" for name in files} | {"study/index.html"}
    assert len(pages) == 3
    assert list(faults(pages, there, {})) == []


def test_every_page_shows_every_cut_and_every_still(files, script):
    html = files["script/script.html"].decode("utf-8")
    wall = files["script/stills.html"].decode("utf-8")
    markdown = files["script/script.md"].decode("utf-8")
    for cut in script.cuts:
        assert f'id="cut-{cut.name}"' in html
        assert f"## {cut.label}: {clock(cut.seconds)}" in markdown
    for still in script.shown:
        assert f"script/stills/{still.name}.png" in files
        assert f"stills/{still.name}.png" in html
        assert f"stills/{still.name}.png" in wall
        assert f"(stills/{still.name}.png)" in markdown


def test_a_short_script_has_no_longer_cut_than_itself():
    shot = Shot(Screen("card:x", 0), (Line("A few words, and that is all of it.", 1),))
    cuts = all_cuts(Talk("T", (Part("x", "X", (shot,)),)), 150)
    assert [cut.name for cut in cuts] == ["full"]
