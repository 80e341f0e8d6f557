"""A second language is data and one module: shown with a made-up one; and English in its own."""

from __future__ import annotations

import ast
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from types import SimpleNamespace

import pytest
from words.language.pelk import Pelk

from explainer.errors import WorkspaceError
from explainer.words.glossary.of_study import glossary_of
from explainer.words.language import (
    Language,
    english,
    filled,
    language,
    load_language,
    speaking,
    words,
)
from explainer.words.page.claims import claim_words
from explainer.words.phrases.renderer import Teller, load_phrases, untold
from explainer.words.quantity import numbers, sizes, when
from explainer.words.quantity.systems import written

HOME = Path(__file__).parents[3]
TEMPLATES = Path(__file__).parent / "templates"
CATALOGUE = "languages/qpx.yaml"


@pytest.fixture
def pelk() -> Iterator[Language]:
    with speaking(load_language(TEMPLATES, Pelk())) as spoken:
        yield spoken


# --- Number forms, plural forms, word order


@pytest.mark.parametrize(
    ("n", "said"),
    [(0, "nil kulum"), (1, "kulo un"), (2, "kule du"), (5, "kulum pet"), (11, "kulum 11"),
     (12, "kulum 12"), (22, "kule 22"), (1200, "kulum 1.200")],
)  # fmt: skip
def test_a_count_has_the_plural_form_that_its_number_asks_for(
    pelk: Language, n: int, said: str
) -> None:
    assert written(numbers.count_words(n, "ball")) == said


def test_a_phrase_is_inflected_at_its_last_word_and_a_noun_nobody_listed_by_rule(
    pelk: Language,
) -> None:
    assert sizes.tally(3, "league bowler") == "league igrache 3"
    assert sizes.tally(7, "slipper") == "slipperum 7"


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [(1.0, "board", "dasko 1"), (3.0, "board", "daske 3"), (1.5, "board", "daskum 1,5"),
     (-21.4, "microinch", "mikzoltum -21,4"), (28.0, "percent", "%28"),
     (1234.5, "shot", "hodum 1.234,5"), (None, "inch", "bez znum"), (1e-9, "", "pochti 0")],
)  # fmt: skip
def test_a_size(pelk: Language, value: float | None, unit: str, said: str) -> None:
    assert written(numbers.quantity(value, unit)) in (said, said.replace("1.234,5", "1.230"))


def test_ranges_shares_and_places_have_their_own_order(pelk: Language) -> None:
    ranged = sizes.Sized(-21.4, -25.2, -17.6, "microinch")
    assert written(ranged.range_unit) == "18 do mikzoltum 25"
    ends = {"low": "1.5", "high": sizes.with_unit("2.5", "board")}
    assert written(words("between", **ends)) == "daskum 2,5 i 1,5 mezh"
    assert numbers.share_words(0.5) == "polov"
    assert numbers.share_words(0.73) == "%73"
    assert numbers.fraction_of_inch(0.125) is None
    assert (numbers.ordinal(2), numbers.ordinal(11)) == ("dusi", "11-si")
    assert sizes.listed(["A", "B", "C"]) == "A, B i C"
    assert when.day_words("2026-02-11") == "11 feb 2026"
    assert sizes.with_unit("3", "board per microinch") == "na mikzolto daske 3"
    assert sizes.with_unit("2", "Shore D") == "Shore D toche 2"


def test_the_second_system_of_units_is_worked_out_before_numbers_are_written(
    pelk: Language,
) -> None:
    """A decimal comma must not be read as a thousand's."""
    assert written(numbers.both_systems(2.5, "board")) == "daskum 2,5 [cm 6,8]"


@dataclass(frozen=True)
class Drawn:
    text: str


@dataclass(frozen=True)
class Finished:
    id: str
    said: str
    drawing: Drawn


def test_only_numbers_of_sentences_are_rewritten(pelk: Language) -> None:
    """Not ids, dates or drawings; each number once."""
    made = Finished("v1.5", "1,234.5 i −0.25, 2026-02-11; A.1.5.", Drawn("M 1.5 2.5"))
    told = written(made, drawn=(Drawn,))
    assert told.said == "1.234,5 i -0,25, 2026-02-11; A.1.5."
    assert (told.id, told.drawing) == (made.id, made.drawing)


# --- Sentences


def test_a_sentence_of_its_own_with_its_own_word_order(
    pelk: Language, made: SimpleNamespace
) -> None:
    study = made.study([made.claim("change", "the-claim")])
    study = replace(study, workspace=replace(
        study.workspace, template_folders=(TEMPLATES, HOME / "templates")))  # fmt: skip
    verdict = made.verdict(study, "the-claim", "backed")
    teller = Teller(load_phrases(study.workspace.template_folders), study.id, "viewer")
    said = written(claim_words(teller, made.judgement(study, (verdict,)), verdict).says)
    assert said == "Gameum 60 cherz kulum 8: 18 do mikzoltum 25 mikzoltum 21 okol po padel."


def test_its_sentences_speak_only_where_ours_may(pelk: Language) -> None:
    """Words change, truth stays: the condition is the one of the English sentence."""
    ours = load_phrases((HOME / "templates",))["change.backed"]
    told = load_phrases((TEMPLATES, HOME / "templates"))["change.backed"]
    assert told.variants != ours.variants
    assert told.condition == ours.condition
    assert all(v.holds.split(" and ")[0] == "all_in" for v in ours.variants)


def test_what_is_not_yet_told_in_a_language_can_be_listed(pelk: Language) -> None:
    missing = untold(load_phrases((TEMPLATES, HOME / "templates")))
    assert "change.leans" in missing
    assert not {"change.backed", "seen.change"} & set(missing)


def test_its_dictionary_is_its_own_and_ours_is_not_mixed_in(made: SimpleNamespace) -> None:
    study = made.study([])
    folders = (Path(__file__).parent / "glossary", HOME / "glossary")
    workspace = replace(study.workspace, glossary_folders=folders)
    with speaking(load_language(TEMPLATES, Pelk())):
        assert [e.term for e in glossary_of(workspace).entries] == ["kulo"]
    assert glossary_of(workspace).find("cover") is not None
    assert glossary_of(workspace).find("kulo") is None


def test_english_is_spoken_again_afterwards() -> None:
    with speaking(load_language(TEMPLATES, Pelk())):
        assert language().tag == "qpx"
        assert numbers.quantity(3, "board") == "daske 3"
    assert language() is english()
    assert numbers.quantity(3, "board") == "3 boards"
    assert load_phrases((TEMPLATES, HOME / "templates")) == load_phrases((HOME / "templates",))
    assert untold(load_phrases((HOME / "templates",))) == ()


# --- What a catalogue must be


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ("  nothing: pochnil\n", "", "no `nothing`"),
        ("  nothing: pochnil\n", "  nothing: pochnil\n  nothings: x\n", "unknown name `nothings`"),
        ('"{low} do {high}"', '"{low} do"', "range: {low} do"),
        ("  board: {one: dasko, few: daske, other: daskum}\n", "", "no unit `board`"),
        ("few: daske, ", "", "board:"),
        ("[nil, un, ", "[un, ", "ones:"),
        ("  nothing: pochnil\n", "  nothing: 3\n", "nothing: 3"),
        ("months:", "moons:", "other sections"),
    ],
)  # fmt: skip
def test_a_faulty_catalogue_is_refused_with_its_line(
    tmp_path: Path, old: str, new: str, found: str
) -> None:
    shutil.copytree(TEMPLATES, tmp_path / "templates")
    path = tmp_path / "templates" / CATALOGUE
    text = path.read_text("utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), "utf-8")
    with pytest.raises(WorkspaceError) as fault:
        load_language(tmp_path / "templates", Pelk())
    told = [p for p in fault.value.problems if found in p.found]
    assert len(told) == 1, fault.value.problems
    assert told[0].file == f"templates/{CATALOGUE}"
    assert told[0].line > 0


def test_a_language_without_a_catalogue_is_one_plain_error(tmp_path: Path) -> None:
    with pytest.raises(WorkspaceError, match="qpx"):
        load_language(tmp_path, Pelk())


def test_a_pattern_runs_nothing() -> None:
    assert filled("{size.__class__} {size}", {"size": "3"}) == "{size.__class__} 3"


# --- English lives in its catalogue


@pytest.mark.parametrize("module", ["numbers", "sizes", "when"])
def test_no_english_is_left_in_the_modules_that_say_numbers(module: str) -> None:
    """What they say comes from the catalogue: no literal of theirs is words with a gap between."""
    path = HOME / "explainer" / "words" / "quantity" / f"{module}.py"
    tree = ast.parse(path.read_text("utf-8"))
    documented = {
        id(n.value) for n in ast.walk(tree)
        if isinstance(n, ast.Expr) and isinstance(n.value, ast.Constant)
    }  # fmt: skip
    units = {"percentage point", " per ", "Shore ", "Shore point"}  # names of units, not words
    left = [
        n.value for n in ast.walk(tree)
        if isinstance(n, ast.Constant) and isinstance(n.value, str) and id(n) not in documented
        and n.value not in units and re.search(r"[a-z] | [a-z]", n.value)
    ]  # fmt: skip
    assert left == []


def test_every_word_of_the_catalogue_is_asked_for_somewhere() -> None:
    sources = "".join(
        p.read_text("utf-8") for p in (HOME / "explainer" / "words").rglob("*.py")
    )
    assert [n for n in english().patterns if f'"{n}"' not in sources] == []
