"""What stands around a video: short clips that say their own limits, comment, open questions."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from markdown_it import MarkdownIt

from explainer.claims.judge import judge
from explainer.editions.compose import compose
from explainer.editions.script import clip_of, comment, compose_script, open_questions, shorts
from explainer.study.description.study import Description
from explainer.study.load import find_study, load_study
from explainer.study.yaml12 import read
from explainer.words.glossary.of_study import glossary_for
from explainer.words.said import CorrectionWords, EditionWords
from explainer.words.say import say
from explainer.words.script.desk import for_an_ear
from explainer.words.script.kit import kit_words

STUDIES = Path(__file__).parents[2] / "studies"
EXAMPLES = sorted(p.parent.name for p in STUDIES.glob("*/study.yaml"))


@cache
def made(study):
    workspace, folder = find_study(str(STUDIES / study), None)
    judgement = judge(load_study(folder, workspace))
    return judgement, compose_script(judgement, compose(judgement))


def spoken(clip):
    return [line for scene in clip.cut.scenes for line in scene.said if line.kind != "react"]


@pytest.mark.parametrize("study", EXAMPLES)
def test_each_claim_is_a_clip_of_twenty_to_forty_seconds(study):
    judgement, script = made(study)
    assert [c.short.claim for c in script.clips] == [v.claim.id for v in judgement.verdicts]
    for clip in script.clips:
        lasts = sum(line.seconds for scene in clip.cut.scenes for line in scene.said)
        assert 20 - 1e-6 <= lasts <= 40 + 0.002, clip.short.claim
        at = [line.start for scene in clip.cut.scenes for line in scene.said]
        assert at == sorted(at) and at[0] == 0
        assert all(a.screen != b.screen for a, b in pairwise(clip.cut.scenes))


@pytest.mark.parametrize("study", EXAMPLES)
def test_each_clip_gives_claim_finding_verdict_and_limit_and_says_if_it_is_made_up(study):
    """A limit is one of the page's own sentences on the claim or its figure, or how few there
    were; worked out here from the page's words."""
    judgement, script = made(study)
    words = say(judgement, judgement.study.workspace.settings.audience)
    for clip, verdict in zip(script.clips, judgement.verdicts, strict=True):
        told = words.claims[verdict.claim.id]
        text = " ".join(line.text for line in spoken(clip))
        plainly = for_an_ear(re.sub(r"^(And|But|So) ", "", told.plainly))
        assert plainly[1:].rstrip(".!?”") in text
        assert told.label[1:] in text
        first = for_an_ear(re.split(r"(?<=[.!?])\s", told.says)[0])
        assert _bare(first)[:25] in _bare(text), verdict.claim.id
        limits = [*told.because, *told.beside]
        limits += [f.cannot_show for n, f in words.figures.items() if n == clip.short.figure]
        fewness = rf"rests on {verdict.n_items} |no number for it"
        heard = [_bare(for_an_ear(limit)) for limit in limits]
        assert any(limit in _bare(text) for limit in heard) or re.search(fewness, text)
        assert ("made up" in text) == judgement.study.description.is_invented
        assert not re.search(r"\d", " ".join(line.aloud for line in spoken(clip)))


def _bare(text):
    text = re.sub(r"\s\([^)]*\)", "", text)  # metric sizes and chances are not said
    return "".join(re.findall(r"[^\W_]+", text.casefold()))


def test_at_a_slow_rate_verdict_and_limit_are_still_said():
    _, script = made("cover-texture")
    for short in (clip.short for clip in script.clips):
        slow, quick = clip_of(short, 60), clip_of(short, 300)
        for clip in (slow, quick):
            needed = [(line.said[0], *line.instead) for line in short.lines if line.rank <= 2]
            text = " ".join(line.text for line in spoken(clip))
            assert all(any(one in text for one in each) for each in needed)
        assert quick.fits and quick.seconds >= 20
        assert slow.fits == (slow.seconds <= 40.001)


def test_what_is_short_is_held_to_the_end_on_the_picture_that_stands():
    for short in (clip.short for clip in made("cover-texture")[1].clips):
        clip = clip_of(replace(short, lines=short.lines[:2]), 300)
        lines = [line for scene in clip.cut.scenes for line in scene.said]
        assert clip.held > 0 and clip.seconds == pytest.approx(20, abs=0.001)
        assert [line.start for line in lines] == sorted({line.start for line in lines})
        assert [line.kind for line in lines] == ["say"] * (len(lines) - 1) + ["react"]
        assert lines[-1].seconds == clip.held
        assert all(a.screen != b.screen for a, b in pairwise(clip.cut.scenes))


def test_the_plans_are_markdown_whatever_a_title_holds():
    _, script = made("gauge-check")
    title = "# A *bold* <b>title</b> [x](http://e.org) | 1. `code` _a_"
    article = replace(script.article, title=title)
    clip = script.clips[0]
    card = replace(clip.short.card, title="1. - + # > a `b`")
    hostile = replace(clip, short=replace(clip.short, card=card))
    tokens = MarkdownIt().parse(shorts((hostile,), article, 150))
    heads = [tokens[i + 1] for i, t in enumerate(tokens) if t.type == "heading_open"]
    assert heads[0].children[0].content.startswith("Short clips: ")
    assert "".join(c.content for c in heads[0].children) == f"Short clips: {title}"
    assert "".join(c.content for c in heads[1].children) == "1. - + # > a `b`"
    kinds = {t.type for t in tokens}
    assert not kinds & {"html_block", "ordered_list_open", "bullet_list_open", "fence", "hr"}


@pytest.mark.parametrize("study", EXAMPLES)
def test_open_questions_are_a_block_that_the_next_study_can_take_up(study):
    judgement, script = made(study)
    text = open_questions(script.kit, judgement.study.id)
    told, *_ = (line for line in text.splitlines() if line != f"# {script.kit.notice}")
    assert f"answers: {judgement.study.id}/ID" in told
    value = read(text.encode("utf-8"), "open-questions.yaml").value
    asked = [q["ask"] for q in value["questions"]]
    assert asked == [" ".join(q.ask.split()) for q in script.article.questions]
    taken = Description.model_validate(
        {"title": "T", "question": "Q?", "tested": {"each": "ball"},
         "tables": {"t": {"file": "t.csv"}}, **value}
    )  # fmt: skip
    own = {q.id for q in judgement.study.description.questions if q.id}
    assert {q.id for q in taken.questions if q.id} == own


def test_questions_with_any_signs_are_read_back_as_they_were():
    _, script = made("gauge-check")
    hostile = 'Is it: "this" #1\n- {a: b} \\ or ’that’ & <b>?'
    kit = replace(script.kit, asked=((hostile, "", ""), ("No?", hostile, "an-id")))
    value = read(open_questions(kit, "s").encode("utf-8"), "q.yaml").value
    assert value["questions"][0]["ask"] == " ".join(hostile.split())
    assert value["questions"][1] == {
        "ask": "No?", "settled_by": " ".join(hostile.split()), "id": "an-id",
    }  # fmt: skip
    empty = read(open_questions(replace(kit, asked=()), "s").encode("utf-8"), "q.yaml").value
    assert empty == {"questions": []}


def test_the_comment_answers_asks_and_says_first_what_was_put_right():
    judgement, script = made("cover-texture")
    words = say(judgement, "viewer")
    plain = comment(script.kit, script.article)
    assert plain.startswith("Made-up data.") and words.answer in plain
    assert words.questions[0][0] in plain and "<" not in plain
    put = CorrectionWords("2026-03-01", "March 1, 2026", "A bar was wrong.", ("It moved.",))
    edition = EditionWords(stale="Something has been put right.", corrections=(put,))
    kit = kit_words(judgement, replace(words, edition=edition), "")
    told = comment(kit, script.article)
    assert told.index("Something has been put right.") < told.index("A bar was wrong. It moved.")
    assert told.index("A bar was wrong. It moved.") < told.index(words.answer)
    assert kit.corrections == (("March 1, 2026", "A bar was wrong. It moved."),)


def test_the_comment_leads_to_the_page_once_there_is_an_address():
    _, script = made("gauge-check")
    there = replace(script.article, base_address="https://example.org/b")
    assert comment(script.kit, there).rstrip().endswith("https://example.org/b/gauge-check/")
    nowhere = replace(script.article, base_address="")
    assert "://" not in comment(script.kit, nowhere)


@pytest.mark.parametrize("study", EXAMPLES)
def test_terms_are_those_that_the_script_says(study):
    judgement, script = made(study)
    said = " ".join(line.text for s in script.cuts[-1].scenes for line in s.said).lower()
    glossary = glossary_for(judgement.study)
    measures = [glossary.find(m.term) for m in judgement.study.description.measures.values()]
    own = {entry.term for entry in measures if entry is not None}
    for term, plainly in script.kit.terms:
        assert plainly
        entry = glossary.find(term)
        names = " ".join((entry.term, *entry.also)).lower()
        words = re.findall(r"\w+", names)
        assert term in own or any(word[:4] in said for word in words), term
    assert len({t for t, _ in script.kit.terms}) == len(script.kit.terms) <= 12
