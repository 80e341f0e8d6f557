"""Linking terms: cases a person can read (linking/*.txt), and what must hold for any text."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from explainer.words.glossary.entries import Entry, Glossary, load_glossary
from explainer.words.glossary.linker import TermLinker, finder_for

FOLDER = Path(__file__).parents[2] / "glossary"
GLOSSARY = load_glossary((FOLDER,))


def linker(glossary: Glossary = GLOSSARY) -> TermLinker:
    return TermLinker(glossary, lambda entry: f"#{entry.slug}")


def cases(name: str) -> list[object]:
    """The cases of a fixture: a title, then text and expected text between single full stops."""
    path = Path(__file__).parent / "linking" / name
    found = re.findall(
        r"^(\S[^\n]*)\n\.\n(.*?)\n\.\n(.*?)\n\.$", path.read_text(encoding="utf-8"), re.M | re.S
    )
    assert found, f"no cases in {name}"
    return [pytest.param(text, wanted, id=title) for title, text, wanted in found]


def compact(html: str) -> str:
    """A link as [words](anchor), which is easier on the eye than HTML."""
    return re.sub(r'<a class="term" href="#([^"]+)">(.*?)</a>', r"[\2](\1)", html, flags=re.S)


@pytest.mark.parametrize(("text", "wanted"), cases("sentences.txt") + cases("everyday.txt"))
def test_a_sentence(text: str, wanted: str) -> None:
    assert compact(linker().sentence(text)) == wanted


@pytest.mark.parametrize(("text", "wanted"), cases("prose.txt"))
def test_prose(text: str, wanted: str) -> None:
    assert linker().prose(text).rstrip("\n") == wanted


def test_a_new_section_links_again_and_used_keeps_the_order() -> None:
    page = linker()
    page.sentence("A skid with friction.")
    assert compact(page.sentence("A skid.")) == "A skid."
    page.section()
    assert (
        compact(page.sentence("Friction, and a skid."))
        == "[Friction](friction), and a [skid](skid)."
    )
    assert [e.term for e in page.used] == ["skid", "friction"]


def test_a_section_can_take_terms_as_known() -> None:
    """A definition does not link to itself."""
    page = linker()
    skid = GLOSSARY.find("skid")
    assert skid is not None
    page.section(skid)
    assert compact(page.sentence("A skid with friction.")) == "A skid with [friction](friction)."
    assert [e.term for e in page.used] == ["friction"]


def test_sentences_lines_and_prose_share_one_memory() -> None:
    page = linker()
    page.prose("A skid.")
    assert page.line("A *skid*.") == "A <em>skid</em>."
    assert page.sentence("A skid.") == "A skid."


def test_a_page_with_its_own_word_list_marks_terms() -> None:
    page = TermLinker(GLOSSARY, lambda entry: None)
    wanted = 'The <dfn data-term="entry-angle">entry angle</dfn>.'
    assert page.sentence("The entry angle.") == wanted
    assert page.line("The entry angle.") == "The entry angle."
    assert [e.slug for e in page.used] == ["entry-angle"]


def test_addresses_are_escaped() -> None:
    page = TermLinker(GLOSSARY, lambda entry: 'x"&<#' + entry.slug)
    assert page.sentence("skid") == '<a class="term" href="x&quot;&amp;&lt;#skid">skid</a>'


def test_what_was_not_understood_is_kept_for_the_author() -> None:
    page = linker()
    page.prose("[[wobulator]], [[skid]] and [a](javascript:1) [b](https://example.org)")
    assert page.unknown == ["wobulator"]
    assert page.refused == ["javascript:1"]


def test_an_entry_that_loses_its_guard_is_linked_everywhere() -> None:
    """The guard, and nothing else, kept the word from being linked."""
    plain = Entry(term="track", plainly="ring", explained="A ring.")
    guarded = Entry(term="track", plainly="ring", explained="A ring.", only_near=("oil",))
    text = "Train on track nine."
    assert compact(linker(Glossary((plain,))).sentence(text)) == "Train on [track](track) nine."
    assert compact(linker(Glossary((guarded,))).sentence(text)) == text


def test_near_means_within_ten_words() -> None:
    words = Glossary((Entry(term="track", plainly="x", explained="y", only_near=("oil",)),))
    for between, linked in ((9, True), (10, False)):
        text = "track " + "so " * between + "oil"
        assert ("[track]" in compact(linker(words).sentence(text))) is linked


names = st.sampled_from([n for e in GLOSSARY.entries for n in e.names])
noise = st.sampled_from(["ball", "the", "<b>", "&", "“", "”", '"', "’s", "-", "\n", ".", "12", "é"])


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(names | noise, st.sampled_from([" ", "", "-", ", "])), max_size=12))
def test_linking_never_changes_what_a_reader_sees(parts: list[tuple[str, str]]) -> None:
    text = "".join(word + gap for word, gap in parts)
    html = linker().sentence(text)
    assert unescape(re.sub(r"</?a\b[^>]*>", "", html)) == text
    assert html.count("<a ") == html.count("</a>") == len(set(re.findall(r'href="([^"]+)', html)))
    assert "<" not in re.sub(r'<a class="term" href="#[a-z0-9-]+">|</a>', "", html)


def senses() -> list[tuple[str, str, str]]:
    """(word, the entry it must be linked to or "-", sentence) of every line of senses.txt."""
    path = Path(__file__).parent / "linking" / "senses.txt"
    lines = path.read_text("utf-8").splitlines()
    parts = [line.split(" | ") for line in lines if line and not line.startswith("#")]
    return [(word, term, sentence) for word, term, sentence in parts]


@pytest.mark.parametrize(("word", "term", "sentence"), senses())
def test_one_word_of_several_meanings(word: str, term: str, sentence: str) -> None:
    at = sentence.casefold().index(word)
    hits = [
        h.entry.term
        for h in finder_for(GLOSSARY).find(sentence)
        if h.start <= at and h.end >= at + len(word)
    ]
    assert (hits or ["-"])[0] == term


def test_there_are_sentences_enough_for_every_sense() -> None:
    told = {term for _, term, _ in senses()}
    shared = {e.term for e in GLOSSARY.entries if e.shares}
    assert len(senses()) >= 60
    assert shared - {"oil pattern"} <= told
    asked = {word for word, _, _ in senses()}
    assert {"pin", "count", "condition", "power", "target", "spinner", "drift", "foul"} <= asked


@pytest.mark.parametrize(
    ("terms", "meant"),
    [({"axis", "core"}, ["locator pin"]), ({"strikes"}, ["pin"]), (set(), ["pin"])],
)
def test_the_study_s_own_terms_decide_where_the_words_around_do_not(
    terms: set[str], meant: list[str]
) -> None:
    own = Glossary(GLOSSARY.entries, frozenset(terms))
    assert [h.entry.term for h in finder_for(own).find("Look at the pin now.")] == meant


def test_two_senses_that_are_as_likely_are_not_linked() -> None:
    both = "The pin of the core."
    owned = Entry("core pin", "a", "B.", also=("knob",), only_near=("core",))
    other = Entry("pin of wood", "a", "B.", shares=("knob",), only_near=("core",))
    found = finder_for(Glossary((owned, other))).find(both.replace("pin", "knob"))
    assert list(found) == []


#: Entries on what a report says, whose words our own sentences do mean; the rest are of the trade.
OF_REPORTS = ("statistics", "study-design", "measuring", "rules")
#: Everyday words of our sentences that are meant as the trade means them.
MEANT = {"approach", "board", "dots", "footprint", "grip holes", "league", "roll", "sanding",
         "wear"}  # fmt: skip
#: What is no word of a sentence: its blanks, tags, keys and conditions.
_BLANKS = re.compile(r"\{\{.*?\}\}|\{%.*?%\}|\{#.*?#\}|<[^>]*>")
_NO_SENTENCE = re.compile(r"\s*(?:- )?(?:holds|by|when|margin|#)|\s*(?:- )?[\w.-]+:\s*$")


def test_no_everyday_word_of_ours_is_taken_for_one_of_the_trade() -> None:
    """Whatever is measured: a word of the trade that bears it out is put beside each sentence."""
    finder, folder = finder_for(GLOSSARY), FOLDER.parent / "templates"
    guarded = [e for e in GLOSSARY.entries if e.only_near and e.topic not in OF_REPORTS]
    lines = {line for part in ("phrases", "sections", "parts") for path in (folder / part).iterdir()
             for line in path.read_text("utf-8").splitlines()
             if not _NO_SENTENCE.match(line)}  # fmt: skip
    taken, looked = set(), 0
    for line in lines:
        text = _BLANKS.sub(" X ", line)
        for entry in guarded:
            if any(re.search(rf"\b{re.escape(n)}s?\b", text, re.I) for n in entry.names):
                near = next(word for word in entry.only_near if word != "#")
                looked += 1
                taken |= {(entry.term, text) for hit in finder.find(f"{text} {near}")
                          if hit.entry is entry and hit.end <= len(text)}  # fmt: skip
    assert looked > 50
    assert {pair for pair in taken if pair[0] not in MEANT} == set()
