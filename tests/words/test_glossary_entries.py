"""Every entry of the shipped glossary, held to what the glossary promises its readers."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest

from explainer.words.glossary.entries import Glossary, load_glossary
from explainer.words.glossary.entry import SOURCE_KINDS, Entry, key, plural
from explainer.words.glossary.linker import finder_for
from explainer.words.grade import grade, sentences

FOLDER = Path(__file__).parents[2] / "glossary"
TOPICS = [
    "ball",
    "lane",
    "measuring",
    "motion",
    "oil-and-surface",
    "pins-and-scoring",
    "rules",
    "statistics",
    "study-design",
]


@pytest.fixture(scope="module")
def glossary() -> Glossary:
    return load_glossary((FOLDER,))


def failing(glossary: Glossary, complaint: object) -> list[str]:
    """The entries a check complains about, as one readable line each."""
    assert callable(complaint)
    return [f"{e.term}: {said}" for e in glossary.entries if (said := complaint(e))]


def test_there_are_enough_terms_and_one_file_per_topic(glossary: Glossary) -> None:
    assert len(glossary.entries) >= 350
    assert sorted(p.stem for p in FOLDER.glob("*.yaml")) == TOPICS
    assert min(Counter(e.topic for e in glossary.entries).values()) >= 15


#: What a reader of any study page can be expected to look up.
WANTED = """
cover, core, hardness, roughness, diameter, weight of the ball, track, footprint
boards, arrows, dots, foul line, breakpoint, friction, topography
skid, hook, roll, rev rate, axis rotation, axis tilt, entry angle, total hook
pattern, oil ratio, carry-down, dry, grit
carry, deflection, strike rate, average
durometer, Shore D, profilometer, resolution, repeatability, calibration, tolerance, guard band
mean, spread, likely range, correlation, outlier, sample, equivalence, power
control, baseline, checkpoint, repeated measures, new against used, confounding
specification, limit, conformity, in force
cover roughness, texture, games rolled, between balls, within a ball, margin, break-in
sign-flip test, Holm correction, fragile finding, too close to call, track flare
backed, leans this way, can't tell, against the claim, not tested
"""


@pytest.mark.parametrize("name", re.split(r", |\n", WANTED.strip()))
def test_a_reader_finds(glossary: Glossary, name: str) -> None:
    assert glossary.find(name) is not None


def test_every_entry_is_complete(glossary: Glossary) -> None:
    def complaint(e: Entry) -> str:
        missing = [k for k in ("plainly", "explained", "careful", "see") if not getattr(e, k)]
        if e.unit and not e.like:
            missing.append("like, which every size needs")
        if e.source.kind not in SOURCE_KINDS or not e.source.name:
            missing.append("source")
        return ", ".join(missing)

    assert failing(glossary, complaint) == []


def test_the_plain_phrase_can_stand_in_the_terms_place(glossary: Glossary) -> None:
    def complaint(e: Entry) -> str:
        words = e.plainly.split()
        faults = {
            "begins with an article": words[0].lower() in ("a", "an", "the"),
            "begins like a sentence": e.plainly[0].isupper(),
            "ends like a sentence": e.plainly.endswith((".", "!", "?")),
            "is long": len(words) > 12,
            "uses the term itself": f" {key(e.term)} " in f" {key(e.plainly)} ",
        }
        return ", ".join(fault for fault, found in faults.items() if found)

    assert failing(glossary, complaint) == []


def test_definitions_are_one_to_three_whole_sentences(glossary: Glossary) -> None:
    def complaint(e: Entry) -> str:
        texts = (t for t in (e.explained, e.like, e.careful) if t)
        if not all(t.endswith((".", "?", "!")) for t in texts):
            return "a text without an end"
        return "" if 1 <= len(sentences(e.explained)) <= 3 else "too many sentences"

    assert failing(glossary, complaint) == []


def test_definitions_read_at_grade_8_or_lower(glossary: Glossary) -> None:
    """The definition alone, and everything a reader sees of the entry."""

    def complaint(e: Entry) -> str:
        grades = {
            "explained": grade(e.explained),
            "all": grade(" ".join((e.explained, e.like, e.careful))),
        }
        return ", ".join(f"{part} {found:.1f}" for part, found in grades.items() if found > 8)

    assert failing(glossary, complaint) == []


def test_names_are_unique_and_not_the_plural_of_another(glossary: Glossary) -> None:
    owner: dict[str, str] = {}
    clashes = []
    for e in glossary.entries:
        own = {key(n) for n in e.names}
        assert len(own) == len(e.names), f"{e.term} names itself twice"
        for name in own | {key(plural(n)) for n in e.names}:
            other = owner.setdefault(name, e.term)
            if other != e.term:
                clashes.append(f"{name}: {other} and {e.term}")
    assert clashes == []
    assert len({e.slug for e in glossary.entries}) == len(glossary.entries)


def test_see_also_leads_elsewhere(glossary: Glossary) -> None:
    def complaint(e: Entry) -> str:
        found = [glossary.find(name) for name in e.see]
        if None in found or e in found or len(set(found)) < len(found):
            return ", ".join(e.see)
        return ""

    assert failing(glossary, complaint) == []


#: Words of the trade and of statistics that a bowler may not know.  A definition may use one
#: only if the glossary explains it.
HARDER = """
abrasive algorithm asymmetric autocorrelation bootstrap calibration coefficient confounding
confidence conformity correlation covariance coverstock cutoff differential durometer equivalence
extrapolation friction gyration heteroscedastic hypothesis indenter inertia kurtosis kinetic
likelihood Mann–Kendall median microinch micrometer nonparametric odds outlier parameter
percentile porosity pre-registration profilometer protocol quantile quartile regression
randomization reactive repeatability reproducibility residual resolution rpm Shore significance
skewness stochastic stylus symmetric t-distribution topography traceability urethane uncertainty
variance viscosity waviness z-score
"""


def test_no_definition_rests_on_a_harder_word_that_is_not_explained(glossary: Glossary) -> None:
    explained = {word for e in glossary.entries for n in e.names for word in key(n).split()}
    unexplained = {key(w) for w in HARDER.split()} - explained
    assert "hypothesis" in unexplained  # so that the check below can fail at all

    def complaint(e: Entry) -> str:
        used = set(key(" ".join((e.plainly, e.explained, e.like, e.careful, e.typical))).split())
        return ", ".join(sorted(used & unexplained))

    assert failing(glossary, complaint) == []


def test_sources_are_named_as_what_they_are(glossary: Glossary) -> None:
    """A standard has a designation, a paper its year; the rest says what it is in words."""
    designation = re.compile(r"\b(ISO|ASTM D|ASME B|JCGM) ?\d+|International System of Units")

    def complaint(e: Entry) -> str:
        if e.source.kind == "standard" and not designation.search(e.source.name):
            return f"no designation in {e.source.name}"
        if e.source.kind == "paper" and not re.search(r"\b(18|19|20)\d\d\b", e.source.name):
            return f"no year in {e.source.name}"
        return ""

    assert failing(glossary, complaint) == []


BRITISH = re.compile(
    r"\b\w*(colour|favour|neighbour|behaviou?r(?<=our)|centre|metres?\b|grey|analyse|ageing|tyre|"
    r"aluminium|defence|catalogue|programme|labelled|travelled|levelled|judgement|gauged?s? blocks)"
)


def test_the_spelling_is_american(glossary: Glossary) -> None:
    def complaint(e: Entry) -> str:
        found = BRITISH.search(" ".join((e.plainly, e.explained, e.like, e.careful, e.typical)))
        return found[0] if found else ""

    assert failing(glossary, complaint) == []


def test_definitions_are_no_form_letters(glossary: Glossary) -> None:
    """No opening of three words is worn out by repetition."""
    for part in ("explained", "like", "careful"):
        openings = Counter(" ".join(getattr(e, part).lower().split()[:3]) for e in glossary.entries)
        del openings[""]
        opening, times = openings.most_common(1)[0]
        assert times <= 6, f"{part} begins {opening!r} {times} times"


def test_every_term_is_found_where_it_is_written(glossary: Glossary) -> None:
    """An unguarded name is recognized in plain text, alone and in the plural."""
    finder = finder_for(glossary)

    def complaint(e: Entry) -> str:
        lost = []
        for name in e.names:
            guarded = e.only_near or e.never_after or e.never_before
            if guarded and ("-" in name or len(key(name).split()) == 1):
                continue
            hits = list(finder.find(f"Zz {name} zz."))
            if [h.entry for h in hits] != [e]:
                lost.append(name)
        return ", ".join(lost)

    assert failing(glossary, complaint) == []


def test_the_plain_phrase_reads_at_grade_7_or_lower(glossary: Glossary) -> None:
    """A phrase has no sentence's end; it is graded as one sentence."""

    def complaint(e: Entry) -> str:
        found = grade(e.plainly)
        return f"{found:.1f}: {e.plainly}" if found > 7 else ""

    assert failing(glossary, complaint) == []


def test_no_plain_phrase_leads_back_to_where_it_began(glossary: Glossary) -> None:
    """A reader who looks up the words of a plain phrase, and theirs, never ends in a circle."""
    finder = finder_for(glossary)
    leads = {e: {h.entry for h in finder.find(e.plainly)} - {e} for e in glossary.entries}

    def reached(e: Entry) -> set[Entry]:
        found: set[Entry] = set()
        waiting = list(leads[e])
        while waiting:
            other = waiting.pop()
            if other not in found:
                found.add(other)
                waiting += leads[other]
        return found

    assert [e.term for e in glossary.entries if e in reached(e)] == []


def test_a_plain_phrase_is_no_harder_than_its_term(glossary: Glossary) -> None:
    """It rests on no word that a bowler would have to look up in turn."""
    hard = {key(w) for w in HARDER.split()} - {"rpm"}

    def complaint(e: Entry) -> str:
        return ", ".join(sorted(set(key(e.plainly).split()) & hard))

    assert failing(glossary, complaint) == []


def test_no_other_sport_is_needed_to_understand_a_thing_of_the_lane(glossary: Glossary) -> None:
    words = r"\b(golf\w*|putts?|putting|fairway|tees?|caddie|birdie|bogey)\b"
    golf = re.compile(words, re.IGNORECASE)

    def complaint(e: Entry) -> str:
        found = golf.search(" ".join((e.plainly, e.explained, e.like, e.careful)))
        return found[0] if found else ""

    assert failing(glossary, complaint) == []


#: Hashes of names that one maker, shop supplier or rule body gave, or that only its customers use:
#: nothing here names anybody.
BORROWED = frozenset({
    "1524af1548e8", "45958e0a614b", "859f90c8a04f", "9764d84854cb", "ab6d53b1d582",
    "b1ece0f3fb4f", "ba103ba53663", "ddd96621fa81", "e11e336c6344", "e1b14c2f802e",
})  # fmt: skip


def test_nothing_is_named_after_one_supplier(glossary: Glossary) -> None:
    def complaint(e: Entry) -> str:
        text = " ".join((*e.names, e.plainly, e.explained, e.like, e.careful, e.typical))
        words = re.findall(r"[a-z]+", text.lower())
        said = [*words, *(" ".join(pair) for pair in pairwise(words))]
        return next((w for w in said
                     if hashlib.sha256(w.encode()).hexdigest()[:12] in BORROWED), "")  # fmt: skip

    assert failing(glossary, complaint) == []
