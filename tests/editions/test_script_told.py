"""How a script is told: built on its question, for somebody who listens, in every length.

Counted here by other means than the script counts itself.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from types import SimpleNamespace

import pytest
from markdown_it import MarkdownIt

from explainer.claims.judge import judge
from explainer.editions.compose import compose
from explainer.editions.script import _marked, compose_script, render_markdown
from explainer.editions.script_cuts import all_cuts, counted
from explainer.study.description.telling import Comparison
from explainer.study.load import find_study, load_study
from explainer.words.script.measure import MOST_DIGITS, MOST_POINTS, MOST_WORDS, QUESTION_BY
from explainer.words.script.plan import asides, frame, paired, plan, turns, walked
from explainer.words.script.screen import DATA, FIRST_NOTE, SUMMARY, TAKEAWAY

STUDIES = Path(__file__).parents[2] / "studies"
EXAMPLES = ("cover-texture", "four-grits", "gauge-check", "one-old-ball", "sixty-shots",
            "strikes-and-oil", "ten-sleepers", "three-balls")  # fmt: skip
EVERY = pytest.mark.parametrize("name", EXAMPLES)
#: Number words below a hundred, one digit or two; what is higher is said with hundred and thousand.
ONES = ["two", "three", "four", "five", "six", "seven", "eight", "nine", "zero"]
TEENS = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen",
         "eighteen", "nineteen"]  # fmt: skip
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


@lru_cache(maxsize=len(EXAMPLES))
def told(name):
    workspace, folder = find_study(name, STUDIES.parent)
    judgement = judge(load_study(folder, workspace))
    return judgement, compose_script(judgement, compose(judgement))


def lines_of(cut, *kinds):
    return [n for chapter in cut.chapters for n in chapter.lines if n.kind in (kinds or ("say",))]


def spoken_of(cut):
    return " ".join(n.aloud for n in lines_of(cut, "say", "own"))


def sentences(text):
    return [s for s in re.split(r"(?<=[.!?])[”\"]?\s+", text) if s]


def digits_in(text):
    """Roughly: 2 for a ten with or without a one, 1 for a one, 2 more for a hundred."""
    words = re.findall(r"[a-z]+", text.lower())
    count, before = 0, ""
    for word in words:
        if word in TENS or word in TEENS or word == "hundred":
            count += 2
        elif word in ONES and before not in TENS:
            count += 1
        elif word == "thousand":
            count += 3
        before = word
    return count


@EVERY
def test_a_listener_meets_few_decimals_few_digits_and_no_long_sentence(name):
    _, script = told(name)
    for cut in script.cuts:
        said = spoken_of(cut)
        assert "zero point" not in said
        decimals = re.findall(rf"\bpoint (?:one|{'|'.join(ONES)})\b", said)  # not half a point
        assert len(decimals) <= MOST_POINTS == 2, cut.name
        assert digits_in(said) / (cut.seconds / 60) <= 1.1 * MOST_DIGITS, cut.name
        long = [s for s in sentences(said) if len(re.findall(r"[^\W_]+(?:['’]\w+)*", s)) > 20]
        assert MOST_WORDS == 20 and long == [], cut.name


@EVERY
def test_the_script_counts_itself_the_same_way(name):
    _, script = told(name)
    for cut in script.cuts:
        own = counted(cut)
        assert own.points <= MOST_POINTS and own.digits_a_minute <= MOST_DIGITS == 12
        assert own.long == () and own.alike == (), own
        said = spoken_of(cut)
        assert own.digits == pytest.approx(digits_in(said), abs=3 + 0.1 * own.digits)


#: Words that hold a sentence together; the others are what it speaks of.
HOLDING = frozenset(
    """a an the of in on at to by for with from and or but so if as is was are were be it that
    this these those there here what which who how no not one so each every over under than
    does did do can could may might will would your you they them its their report says said
    take takes more less nobody maybe even just still only up down back out""".split()  # noqa: SIM905 - a list of words reads better as one
)


@EVERY
def test_no_sentence_of_ours_is_made_three_times_on_one_last(name):
    """What is left of a sentence without the words it speaks of, and without quotes."""
    _, script = told(name)
    for cut in script.cuts:
        lasts = Counter()
        for line in lines_of(cut):
            for sentence in sentences(re.sub(r"“[^”]*”", "“”", line.aloud)):
                words = re.findall(r"“”|[a-z]+(?:['’][a-z]+)?|[,:?]", sentence.lower())
                kept = [w if w in HOLDING or w in "“”,:?" else "…" for w in words]
                shape = re.sub(r"(?:… )+…", "…", " ".join(kept))
                if sum(w in HOLDING for w in kept) >= 3:
                    lasts[shape] += 1
        assert {s: n for s, n in lasts.items() if n > 2} == {}, cut.name


@EVERY
def test_no_sentence_of_the_thread_is_said_three_times(name):
    """Word for word but for numbers: openings, quotes and verdicts take turns."""
    _, script = told(name)
    for cut in script.cuts:
        starts = Counter(
            re.sub(r"“.*", "“", s) for line in lines_of(cut) for s in sentences(line.aloud)
        )
        assert [s for s, n in starts.items() if n > 2] == [], cut.name


@EVERY
def test_the_question_and_why_it_matters_are_put_within_eight_seconds(name):
    judgement, script = told(name)
    for cut in script.cuts:
        first = [n for n in lines_of(cut, "say", "own") if n.key in ("asked", "why")]
        assert first[0].start == 0.0
        assert judgement.study.description.question.strip() == first[0].text
        assert first[-1].start + first[-1].seconds <= QUESTION_BY + 0.5, cut.name
        given = judgement.study.description
        if given.rule is not None or given.advice:
            assert len(first) == 2, cut.name


@EVERY
def test_the_parts_come_in_the_order_of_a_story(name):
    judgement, script = told(name)
    built = plan(judgement)
    for cut in script.cuts:
        lines = lines_of(cut, "say", "own")
        at = {n.key: i for i, n in reversed(list(enumerate(lines)))}
        ids = [chapter.id for chapter in cut.chapters]
        first = [i for i, n in enumerate(lines) if n.claim]
        assert first and at["asked"] == 0
        if "guess" in at:
            assert at["guess"] < first[0]
        order = [built.reveal.figure.id, "answer"]
        if built.turn is not None:
            order.insert(1, built.turn.figure.id)
        after = [i for i in ("advice", "cautions", "open", "close") if i in ids]
        assert [i for i in ids if i in (*order, *after)] == [*order, *after], cut.name
        assert ids[-1] in ("close", "cautions", "open", "advice")


@EVERY
def test_the_twist_survives_in_every_length(name):
    judgement, script = told(name)
    twist = plan(judgement).twist
    for cut in script.cuts:
        said = spoken_of(cut)
        if twist is None and name != "three-balls":
            assert name == "ten-sleepers" or "twist" not in said
            continue
        if twist is not None:
            assert any(n.claim == twist.claim.id for n in lines_of(cut)), cut.name
        # What nobody could answer turns nothing, and is not called a twist.
        turned = twist is not None and turns(twist)
        assert ("twist" in said) == turned and (turned or "what stays open" in said), cut.name


@pytest.mark.parametrize(("code", "reasons", "is_one"), [
    ("against", (), True), ("leans", ("fragile",), True), ("cannot-tell", ("reversal",), True),
    ("not-tested", (), False), ("cannot-tell", ("too-few-items",), False),
])  # fmt: skip
def test_what_was_not_answered_is_no_twist(code, reasons, is_one):
    """But here's the twist, it said, and then that nobody had put that to the test."""
    assert turns(SimpleNamespace(code=code, reasons=reasons)) is is_one


def test_the_twist_is_what_turns_the_reveal():
    """Between balls against one ball, the total against every bowler, ball against oil."""
    turned = {name: plan(told(name)[0]).twist for name in EXAMPLES}
    assert turned["cover-texture"].claim.id == "worn-hooks-less"
    assert turned["strikes-and-oil"].claim.id == "long-strikes-more"
    assert turned["sixty-shots"].claim.id == "ball-not-oil"
    assert turned["one-old-ball"].claim.id == "old-ball-steady"
    assert turned["three-balls"] is None  # there it is how many it would take


@EVERY
def test_the_answer_gives_finding_strength_and_limit_in_every_length(name):
    judgement, script = told(name)
    n = plan(judgement).lead.n_items
    for cut in script.cuts:
        (answer,) = (c for c in cut.chapters if c.id == "answer")
        texts = [line.text for line in answer.lines]
        # No one number is that of all where what is told rests on more of some than of others.
        assert any(f"{n} " in t or "did the readings show" in t for t in texts), texts
        assert sum(t.startswith("How sure is that?") for t in texts) == 1
        # "The limit" would be a rule's, or a gauge's.
        reach = ("And how far does that go?", "And what stays open?")
        assert sum(t.startswith(reach) for t in texts) == 1
        assert texts.index(next(t for t in texts if "How sure" in t)) >= 2, "no finding"


@EVERY
def test_one_thing_is_asked_of_the_audience(name):
    _, script = told(name)
    for cut in script.cuts:
        asked = [n for n in lines_of(cut) if re.search(r"[Tt]ell (?:me|us)\b", n.text)]
        assert len(asked) <= 1
        assert cut.target is not None or len(asked) == 1
    assert "may differ." not in spoken_of(script.cuts[-1])  # as of others, at the end


@EVERY
def test_a_cut_is_as_long_as_it_says(name):
    """Within 5% of the length it has in its name, and on the clock of its own words."""
    _, script = told(name)
    for cut in script.cuts:
        if cut.target is not None:
            assert 0.95 * cut.target <= cut.seconds <= cut.target, cut.name
        reacted = sum(n.seconds for n in lines_of(cut, "react"))
        words = len(re.findall(r"[\w’']+", spoken_of(cut)))
        assert cut.seconds - reacted == pytest.approx(words / script.rate * 60, rel=0.05), cut.name


@pytest.mark.parametrize("rate", [60, 300])
def test_other_speeds_keep_the_reveal_or_what_it_comes_to(rate):
    for name in ("cover-texture", "three-balls"):
        _, script = told(name)
        for cut in all_cuts(script.talk, rate):
            (answer,) = (c for c in cut.chapters if c.id == "answer")
            assert len(list(answer.lines)) >= 3, (name, rate, cut.name)


#: Kind of figure -> (what a line names it by, the step that draws it).
DRAWN = {
    "over-use": ((r"thin lines?", DATA), (r"bold line", SUMMARY)),
    "scatter": ((r"[Ee]ach (?:dot|trail)", DATA), (r"straight line|solid line|thin line", SUMMARY)),
    "shot-series": ((r"[Ee]ach (?:dot|line) is", DATA),
                    (r"lines? through the dots|[Ee]ach short bar", SUMMARY)),
    "ball-paths": ((r"thin line", DATA), (r"bold lines?", SUMMARY)),
    "groups": ((r"[Ee]ach dot|Dots joined", DATA), (r"short bar", SUMMARY)),
    "rates": ((r"[Ee]ach line is|[Ee]ach cross", DATA), (r"cross(?:es)?\b", SUMMARY)),
    "gauge": ((r"[Ee]ach dot", DATA), (r"bar at the side", SUMMARY)),
    "limit": ((r"[Ee]ach mark", DATA),),
}


@EVERY
def test_all_that_is_on_screen_was_spoken_of_in_every_length(name):
    """Of a figure; a second one of a kind goes by what was said of the first."""
    judgement, script = told(name)
    kinds = {f"figure:{r.figure.id}": r.figure.kind for r in judgement.figures}
    for cut in script.cuts:
        said: dict[str, str] = {}
        for scene in cut.scenes:
            kind = kinds.get(scene.screen.of)
            if kind is None:
                continue
            said[kind] = said.get(kind, "") + " ".join(n.text for n in scene.said) + " "
            for words, step in DRAWN[kind]:
                if script.stills[scene.screen].step >= step:
                    assert re.search(words, said[kind]), (cut.name, scene.screen, words)


@EVERY
def test_notes_are_on_screen_only_where_they_were_spoken_of(name):
    _, script = told(name)
    for cut in script.cuts:
        for chapter in cut.chapters:
            steps = [s.screen.step for s in chapter.scenes if s.screen.of.startswith("figure:")]
            (part,) = (p for p in script.talk.parts if p.id == chapter.id)
            notes = {s.screen.step for s in part.shots if FIRST_NOTE <= s.screen.step < TAKEAWAY}
            if TAKEAWAY in steps and notes:
                assert notes <= set(steps), (cut.name, chapter.id)
            assert steps == sorted(steps)


@EVERY
def test_what_a_card_has_in_words_is_said_over_it(name):
    """The answer row by row, and the questions that are open."""
    _, script = told(name)
    for cut in script.cuts:
        for chapter in cut.chapters:
            if chapter.id in ("answer", "open"):
                said = " ".join(n.text for n in chapter.lines)
                for scene in chapter.scenes:
                    rows = script.talk.cards[scene.screen.of.removeprefix("card:")].rows
                    if chapter.id == "answer":
                        row = rows[scene.screen.step - 1].text
                        assert row.rstrip(".") in said, row


# --- what the author gives

def a_study(**given):
    settings = SimpleNamespace(opening=SimpleNamespace(hook="Ours.", running_question=None),
                               ending=SimpleNamespace(outro="Bye.", next=None, request=None))
    study = SimpleNamespace(description=SimpleNamespace(**given),
                            workspace=SimpleNamespace(settings=settings))
    return SimpleNamespace(study=study, memo={}, verdicts=(), figures=())


def test_an_authors_first_and_last_words_come_before_the_workspaces():
    own = a_study(opening=SimpleNamespace(hook="Mine.", running_question="Why?"),
                  ending=SimpleNamespace(outro=None, next="More.", request="Write.",
                                         answered_by="a"))  # fmt: skip
    first = frame(own)
    assert (first.hook, first.running_question, first.request) == ("Mine.", "Why?", "Write.")
    assert (first.outro, first.next, first.answered_by) == ("Bye.", "More.", "a")
    assert frame(a_study()).hook == "Ours."


def test_asides_walks_and_pairs_are_found_by_their_keys():
    figure = SimpleNamespace(like=Comparison(what="It is like a tire.", stops="Not sanded."),
                             guess="Two boards.", opinion=None, walk="yes", pair=("a", "b"))
    result = SimpleNamespace(figure=figure)
    assert list(asides(figure, a_study())) == [
        ("like", "It is like a tire.", "Not sanded."), ("guess", "Two boards.", ""),
    ]  # fmt: skip
    assert walked(result) and paired([result]) == [("a", "b")]
    bare = SimpleNamespace(figure=SimpleNamespace())
    assert not walked(bare) and paired([bare]) == [] and not list(asides(bare.figure, a_study()))


# --- script.md

HOSTILE = (
    "1. A *title* with [a link](https://example.org) & <b>tags</b>",
    "# not a heading", "- no list", "+ nor this", "> no quote", "===", "---", "~~gone~~ `code`",
    "a | b | c", "two\nlines\n\nand more", "\\*escaped\\* already", "www.example.org and $5$ ^2^",
    "![pic](x.png)", "2) what now", "&lt;entity&gt; &amp; more", "_under_ __score__", "*", "10.",
)  # fmt: skip


@pytest.mark.parametrize("title", HOSTILE)
def test_markdown_takes_a_title_for_nothing_but_text(title):
    """Read back by a Markdown reader with every extension on."""
    reader = MarkdownIt("js-default", {"html": True, "linkify": False})
    for text in (f"# On camera: {_marked(title)}", _marked(title), f"> {_marked(title)}"):
        tokens = reader.parse(text)
        inline = [t for t in tokens if t.type == "inline"]
        assert len(inline) == 1, (text, [t.type for t in tokens])
        assert {t.type for t in inline[0].children} <= {"text", "text_special"}, text
        plain = "".join(t.content for t in inline[0].children)
        assert plain.endswith(" ".join(title.split())), text


def test_the_whole_markdown_file_keeps_a_hostile_title_in_its_place():
    judgement, script = told("three-balls")
    title = "# One\n\n- *two* | <script>alert(1)</script> [x](y) ~~z~~ `c` 1. end"
    made = replace(script, article=replace(script.article, title=title))
    text = render_markdown(made, judgement.study.workspace.template_folders)
    tokens = MarkdownIt("js-default", {"html": True}).parse(text)
    heads = [tokens[i + 1].content for i, t in enumerate(tokens) if t.type == "heading_open"]
    assert sum(t.tag == "h1" for t in tokens if t.type == "heading_open") == 1
    assert "script" in heads[0]
    assert not [t for t in tokens if t.type in ("html_block", "table_open", "hr", "code_block")]
    assert not [c for t in tokens for c in t.children or () if c.type in ("html_inline", "s_open")]
    assert "\n\n\n" not in text
