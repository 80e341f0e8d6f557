"""Captions: what a reader can follow, at the voice's own pace, for two independent readers.

The limits stand here as numbers of their own, so that changing them in the code shows: 42
characters a line, two lines, 17 characters a second, 7 seconds a caption (common practice of
broadcasters and streaming services, values from memory).
"""

from __future__ import annotations

import re
from html import unescape
from itertools import pairwise

import pytest
import srt
import webvtt
from hypothesis import given, settings, strategies as st

from explainer.editions.script_clock import cues
from explainer.editions.script_cuts import all_cuts
from explainer.editions.script_timeline import captions, subrip, timed
from explainer.words.quantity.spoken import said_words
from explainer.words.script.talk import Line, Part, Screen, Shot, Talk

RATES = (60, 150, 300)
SAID = [
    "Over 60 games, the average cover roughness fell by about 22 microinches, likely 17 to 27.",
    "Yes. No. Maybe so.",
    "What was tested? Four balls each of two invented models, new from the box and sanded to"
    " different grits, then rolled on one lane by one bowler until every one of them had seen"
    " sixty games and nobody could tell any more which was which. Eight balls in all.",
    "He said “stop.” Then 1,234,567.89 microinches went by.",
    "word " * 60,
]


def talk_of(text):
    shot = Shot(Screen("card:x", 0), (Line(text, 1), Line("Now you.", 1, "react"), Line("So.", 1)))
    return Talk("T", (Part("x", "X", (shot,)),))


def seconds(time):
    hours, minutes, rest = time.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(rest)


@pytest.mark.parametrize("rate", RATES)
@pytest.mark.parametrize("text", SAID, ids=range(len(SAID)))
def test_webvtt_keeps_the_rules_for_its_own_reader(text, rate, tmp_path):
    cut = all_cuts(talk_of(text), rate)[-1]
    path = tmp_path / "captions.vtt"
    path.write_text(captions(cut, "A title", "Made up"), encoding="utf-8")
    read = list(webvtt.read(str(path)))
    assert " ".join(c.text for c in read).split() == f"{text} So.".split()
    spans = [(seconds(c.start), seconds(c.end), c.raw_text.split("\n")) for c in read]
    assert all(len(rows) <= 2 and max(map(len, rows)) <= 42 for _, _, rows in spans)
    assert all(0 < end - begin <= 7.0005 for begin, end, _ in spans)
    for begin, end, rows in spans:
        assert len(" ".join(rows)) <= 17 * (end - begin + 0.0005), rows
    assert all(b[0] >= a[1] - 1e-6 for a, b in pairwise(spans))
    assert spans[-1][1] <= cut.seconds + 0.001


@pytest.mark.parametrize("text", SAID, ids=range(len(SAID)))
def test_subrip_says_the_same_at_the_same_times(text, tmp_path):
    cut = all_cuts(talk_of(text), 150)[-1]
    path = tmp_path / "captions.vtt"
    path.write_text(captions(cut, "A title", ""), encoding="utf-8")
    theirs = [(seconds(c.start), seconds(c.end), c.raw_text) for c in webvtt.read(str(path))]
    read = list(srt.parse(subrip(cut), ignore_errors=False))
    ours = [(c.start.total_seconds(), c.end.total_seconds(), c.content) for c in read]
    assert ours == theirs
    assert [c.index for c in read] == list(range(1, len(read) + 1))


@pytest.mark.parametrize("text", SAID, ids=range(len(SAID)))
def test_no_caption_holds_the_end_of_one_sentence_and_the_start_of_the_next(text):
    for cue in cues(text, 150):
        assert not re.search(r"[.!?][”\"’]? [A-Z0-9“]", cue.text), cue.text


def test_a_break_is_at_sense_where_there_is_room_for_it():
    """Nothing ends on a word that leans on the next, or between a number and its unit."""
    for text in SAID[:3]:
        for cue in cues(text, 150):
            for row in cue.lines:
                last = row.split()[-1].lower()
                assert last not in {"the", "a", "an", "of", "to", "and", "by", "with", "likely"}
                assert not last[-1].isdigit() or row == cue.lines[-1]
    lines = [c.lines for c in cues(SAID[0], 150)]
    assert lines[-1] == ("likely 17 to 27.",)


def test_captions_do_not_hold_the_voice_up():
    """A hard word to read is given time by its own sentence, not by the clock of the script."""
    text = (
        "Unfortunately the sandpaper’s characteristics deteriorated,"
        " and so it was, as we say, by the end of it all that day."
    )
    takes = sum(cue.seconds for cue in cues(text, 150))
    assert takes == pytest.approx(said_words(text) / 150 * 60, abs=0.01)


def test_a_word_that_takes_long_leaves_the_screen_empty_after_seven_seconds():
    cut = all_cuts(talk_of("1,234,567,891,234.5678"), 60)[-1]
    (begins, ends, cue), *_ = timed(cut)
    assert cue.seconds > 7 and ends - begins == 7


HOSTILE = "A <b>bold</b> & wild --> claim {x}. " + "W" * 100 + " and https://e.org/" + "x" * 60


def test_captions_of_hostile_text_are_still_captions(tmp_path):
    (cut,) = all_cuts(talk_of(HOSTILE), 150)
    path = tmp_path / "captions.vtt"
    path.write_text(captions(cut, "a --> b", "x\n\ny"), encoding="utf-8")
    read = list(webvtt.read(str(path)))
    shown = [[unescape(row) for row in c.raw_text.split("\n")] for c in read]
    joined = "".join(row for rows in shown for row in rows).replace(" ", "")
    assert joined == f"{HOSTILE}So.".replace(" ", "")
    assert all(len(row) <= 42 for rows in shown for row in rows)


def test_subrip_of_hostile_text_has_no_tag_and_no_timing_in_its_words():
    (cut,) = all_cuts(talk_of(HOSTILE), 150)
    read = list(srt.parse(subrip(cut), ignore_errors=False))
    assert len(read) == sum(len(n.cues) for s in cut.scenes for n in s.said)
    assert not any(re.search(r"[<>{}]|-->", c.content) for c in read)


@given(st.lists(st.text("abcdefgh,.éW-", min_size=1, max_size=60), min_size=1, max_size=40),
       st.sampled_from(RATES))  # fmt: skip
@settings(max_examples=60)
def test_any_words_become_captions_that_keep_the_rules(words, rate):
    made = cues(" ".join(words), rate)
    said = "".join(row for cue in made for row in cue.lines).replace(" ", "")
    assert said == "".join(words)
    for cue in made:
        assert len(cue.lines) <= 2 and max(map(len, cue.lines)) <= 42
        assert len(cue.text) <= 17 * cue.stands + 1e-6
        assert cue.stands <= 7
