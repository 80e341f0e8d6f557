"""Words are found as people say them, and no abbreviation is taken for another."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from explainer.words.glossary.entries import Glossary, load_glossary, slips, squeezed
from explainer.words.glossary.entry import Entry

GLOSSARY = load_glossary((Path(__file__).parents[2] / "glossary",))
NOTHING = "-"


def spoken_forms() -> list[tuple[str, str]]:
    """(what is said, the term wanted or "-") of every line of the list."""
    path = Path(__file__).parent / "looking-up" / "spoken-forms.txt"
    lines = [n for n in path.read_text("utf-8").splitlines() if n and not n.startswith("#")]
    return [(said, wanted) for said, _, wanted in (line.rpartition(" = ") for line in lines)]


def first(said: str) -> str:
    found = GLOSSARY.nearest(said, 1)
    return found[0].term if found else NOTHING


def test_what_is_wanted_are_terms() -> None:
    forms = spoken_forms()
    assert len(forms) >= 220
    assert len({said for said, _ in forms}) == len(forms)
    assert {w for _, w in forms} - {e.term for e in GLOSSARY.entries} == {NOTHING}


def test_nineteen_in_twenty_are_found_first() -> None:
    forms = spoken_forms()
    missed = [(said, wanted, first(said)) for said, wanted in forms if first(said) != wanted]
    assert len(missed) <= 0.05 * len(forms), missed


def test_those_missed_are_offered_among_the_nearest() -> None:
    """A phrase may be vague; then what is meant stands among the five that are offered."""
    for said, wanted in spoken_forms():
        offered = [e.term for e in GLOSSARY.nearest(said)]
        assert (wanted in offered) if wanted != NOTHING else offered == [], said


def test_no_abbreviation_suggests_another_quantity() -> None:
    """Short forms find what they stand for, first, or nothing."""
    short = [(s, w) for s, w in spoken_forms() if len(squeezed(s)) <= 3]
    assert len(short) > 25
    assert [(s, w, first(s)) for s, w in short if first(s) != w] == []


@pytest.mark.parametrize("said", ["CG", "C.G.", "c. g.", "cg", "Cg's"])
def test_find_takes_any_spelling_of_an_abbreviation(said: str) -> None:
    found = GLOSSARY.find(said)
    assert found is not None
    assert found.term == "center of gravity"


def test_what_only_a_searcher_says_is_never_linked_for() -> None:
    from explainer.words.glossary.linker import finder_for

    text = "We threw a plastic one, had a tilt at it, and it was fresh and hybrid."
    assert [h.entry.term for h in finder_for(GLOSSARY).find(text)] == []


def test_two_entries_never_go_by_the_same_letters() -> None:
    """Spelled without gaps, every name still belongs to one entry."""
    owner: dict[str, Entry] = {}
    for e in GLOSSARY.entries:
        for name in (*e.names, *e.found_as):
            assert owner.setdefault(squeezed(name), e) is e, name


@pytest.mark.parametrize(
    ("one", "other", "many"),
    # Damerau 1964: one letter wrong, left out, put in, or two swapped, is one slip.
    [("hook", "hook", 0), ("hok", "hook", 1), ("hoook", "hook", 1), ("hcok", "hook", 1),
     ("angel", "angle", 1), ("lenght", "length", 1), ("skid", "roll", 3)],
)  # fmt: skip
def test_slips_of_the_pen(one: str, other: str, many: int) -> None:
    assert slips(one, other, 2) == slips(other, one, 2) == many


@given(st.text(max_size=12), st.text(max_size=12))
def test_slips_are_a_distance(one: str, other: str) -> None:
    found = slips(one, other, 30)
    assert (found == 0) == (one == other)
    assert abs(len(one) - len(other)) <= found <= max(len(one), len(other))
    assert slips(one, other, 1) == min(found, 2)


@given(st.text(max_size=40))
def test_anything_at_all_may_be_typed(said: str) -> None:
    assert len(GLOSSARY.nearest(said)) <= 5
    assert Glossary(()).nearest(said) == ()


@pytest.mark.skipif(shutil.which("node") is None, reason="no node here to run the page's script")
def test_the_page_shows_what_was_asked_for_and_no_other_abbreviation() -> None:
    """The script of the glossary page itself, over the same spoken forms.

    It matches letters and words, not slips of the pen: those that name a thing are held to it.
    """
    script = (Path(__file__).parents[2] / "templates" / "glossary.js").read_text("utf-8")
    entries = [
        {"names": [*e.names, *e.found_as], "text": f"{e.term} {e.explained} {e.careful}".casefold()}
        for e in GLOSSARY.entries
    ]
    forms = spoken_forms()
    asked = json.dumps({"entries": entries, "forms": [said for said, _ in forms]})
    run = f"{script}\nconst given = {asked};\n" + (
        "console.log(JSON.stringify(given.forms.map((f) => chosen(f, given.entries)"
        ".flatMap((kept, i) => (kept ? [i] : [])))));"
    )
    made = subprocess.run(["node", "-"], input=run, capture_output=True, text=True, check=True)
    shown = [[GLOSSARY.entries[i].term for i in kept] for kept in json.loads(made.stdout)]
    told = list(zip(forms, shown, strict=True))
    right = [wanted in terms if wanted != NOTHING else terms == [] for (_, wanted), terms in told]
    missed = [form for form, fine in zip(forms, right, strict=True) if not fine]
    assert len(missed) <= 0.1 * len(right), missed
    for (said, wanted), terms in told:
        if len(squeezed(said)) <= 2 and wanted != NOTHING:
            assert terms == [wanted], said
